//! A picture as a PNG file of few colours.

use std::sync::LazyLock;

use super::canvas::{ACCENT, Canvas, Colour, FINE, mixed};

/// Steps of grey, black to white. Fewer: bands on gently curved faces; more: larger files.
const N_GREYS: usize = 128;
/// Steps from grey to the accent, and of the greys that it is mixed with.
const N_SHARES: usize = 6;
const N_MIXED: usize = 14;
/// Bits of a channel that choose the colour of the palette.
const BITS: u32 = 5;

/// The colours of every picture, and for each rough colour the nearest of them.
struct Palette {
    colours: Vec<Colour>,
    nearest: Vec<u8>,
}

static PALETTE: LazyLock<Palette> = LazyLock::new(|| {
    let grey = |step: usize, n: usize| [(255.0 * step as f64 / (n - 1) as f64).round() as u8; 3];
    let greys = (0..N_GREYS).map(|step| grey(step, N_GREYS));
    let accents = (1..=N_SHARES).flat_map(|share| {
        (0..N_MIXED).map(move |step| mixed(ACCENT, grey(step, N_MIXED), share as f64 / N_SHARES as f64))
    });
    let colours: Vec<Colour> = greys.chain(accents).collect();
    let n_rough = 1u32 << BITS;
    let middle = |step: u32| (f64::from(step) * 255.0 / f64::from(n_rough - 1)).round() as u8;
    let roughs = (0..n_rough.pow(3))
        .map(|number| [number / (n_rough * n_rough), number / n_rough % n_rough, number % n_rough].map(middle));
    let nearest = roughs.map(|rough| nearest_of(&colours, rough)).collect();
    Palette { colours, nearest }
});

fn nearest_of(colours: &[Colour], colour: Colour) -> u8 {
    let away = |other: &Colour| -> i32 {
        (0..3).map(|channel| (i32::from(other[channel]) - i32::from(colour[channel])).pow(2)).sum()
    };
    let nearest = (0..colours.len()).min_by_key(|&number| away(&colours[number])).unwrap_or(0);
    nearest as u8
}

impl Palette {
    fn number_of(&self, colour: Colour) -> u8 {
        // Greys have steps finer than the rough colours.
        if colour[0] == colour[1] && colour[1] == colour[2] {
            let step = (usize::from(colour[0]) * (N_GREYS - 1) + 127) / 255;
            return step as u8;
        }
        let rough = colour.map(|channel| (u32::from(channel) * ((1 << BITS) - 1) + 127) / 255);
        self.nearest[((rough[0] << (2 * BITS)) | (rough[1] << BITS) | rough[2]) as usize]
    }
}

/// Writes the picture.
#[must_use]
pub fn png(canvas: &Canvas) -> Vec<u8> {
    let palette = &*PALETTE;
    let numbers: Vec<u8> = canvas.pixels().map(|colour| palette.number_of(colour)).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, (canvas.width / FINE) as u32, (canvas.height / FINE) as u32);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(palette.colours.concat());
    encoder.set_compression(png::Compression::Balanced);
    // Numbers of colours do not grow evenly along a row, so that no filter helps.
    encoder.set_filter(png::Filter::NoFilter);
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(&numbers)?;
        writer.finish()
    });
    written.expect("a picture of its own size is written to memory");
    bytes
}

#[cfg(test)]
mod tests {
    use super::super::canvas::{INK, WHITE};
    use super::*;

    #[test]
    fn colours_of_the_pictures_are_kept() {
        for colour in [WHITE, INK, ACCENT] {
            let shown = PALETTE.colours[usize::from(PALETTE.number_of(colour))];
            let off = (0..3).map(|channel| shown[channel].abs_diff(colour[channel])).max();
            assert!(off <= Some(6), "{colour:?} is shown as {shown:?}");
        }
        assert!(PALETTE.colours.len() <= 256);
    }

    #[test]
    fn what_is_drawn_is_read_back() {
        let mut canvas = Canvas::white(2 * 7, 2 * 5);
        canvas.rectangle(&crate::report::drawing::view::Area::at([0.0, 0.0], [4.0, 2.0]), INK);
        let bytes = png(&canvas);
        let mut reader = png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().expect("a PNG");
        let mut numbers = vec![0; reader.output_buffer_size().expect("a size")];
        let frame = reader.next_frame(&mut numbers).expect("a picture");
        assert_eq!((frame.width, frame.height), (7, 5));
        let dark: Vec<usize> = (0..numbers.len()).filter(|&at| numbers[at] != (N_GREYS - 1) as u8).collect();
        assert_eq!(dark, vec![28, 29], "the ink is at the lower left");
    }
}
