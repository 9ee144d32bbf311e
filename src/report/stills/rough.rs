//! A rough plug in colours: where it lies low, where it stands proud.

use super::canvas::Colour;
use crate::geometry::mesh::Vector;
use crate::geometry::rough::Rough;
use crate::report::drawing::depth::Depth;
use crate::report::drawing::view::{Area, View};

/// Colour map PuOr: from orange over white to purple, told apart with and without red and green.
///
/// # Source
/// Harrower and Brewer, "ColorBrewer.org: an online tool for selecting colour schemes for maps", The Cartographic Journal
/// 40(1), 2003; its table of eleven classes, straight lines between.
const DIVERGING: [Colour; 11] = [
    [127, 59, 8],
    [179, 88, 6],
    [224, 130, 20],
    [253, 184, 99],
    [254, 224, 182],
    [247, 247, 247],
    [216, 218, 235],
    [178, 171, 210],
    [128, 115, 172],
    [84, 39, 136],
    [45, 0, 75],
];
/// Pixels along the longer side of what is shown.
const LONGER_PX: f64 = 560.0;
/// Of a plug whose normals cancel out to less than this share both sides are shown.
const ONE_SIDED: f64 = 0.5;

/// One picture of a rough plug.
#[derive(Debug, Clone, PartialEq)]
pub struct RoughPicture {
    /// From where it is seen, in words.
    pub view: &'static str,
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// The picture as PNG.
    pub png: Vec<u8>,
}

/// Colour of so many mm proud (under 0: low) on a scale that ends at `most_mm` either way.
#[must_use]
pub fn colour(proud_mm: f64, most_mm: f64) -> Colour {
    let share = if most_mm > 0.0 { (proud_mm / most_mm).clamp(-1.0, 1.0) } else { 0.0 };
    let place = (share + 1.0) / 2.0 * (DIVERGING.len() - 1) as f64;
    let before = (place.floor() as usize).min(DIVERGING.len() - 2);
    let (one, other) = (DIVERGING[before], DIVERGING[before + 1]);
    [0, 1, 2].map(|channel| {
        let (from, to) = (f64::from(one[channel]), f64::from(other[channel]));
        (from + (to - from) * (place - before as f64) + 0.5) as u8
    })
}

/// Either end of the scale: the deepest hollow or the highest hump, whichever is more, in mm.
#[must_use]
pub fn scale_mm(rough: &Rough) -> f64 {
    [rough.deepest, rough.highest].into_iter().flatten().map(|(mm, _)| mm).fold(0.0, f64::max)
}

/// The pictures: the side that the skin faces, and the other if it faces both.
#[must_use]
pub fn pictures(rough: &Rough) -> Vec<RoughPicture> {
    let mesh = &rough.drawn.mesh;
    let doubled = || mesh.face_ids().map(|face| mesh.doubled_area_vector(face));
    let (sum, whole) = (doubled().sum::<Vector>(), doubled().map(|area| area.norm()).sum::<f64>());
    if whole <= 0.0 {
        return Vec::new();
    }
    let toward = if sum.norm() > 0.05 * whole { sum.normalize() } else { -Vector::y() };
    let both = sum.norm() < ONE_SIDED * whole;
    let views = [Some(View::from("from outside", toward)), both.then(|| View::from("from the other side", -toward))];
    views.into_iter().flatten().map(|view| picture(rough, &view)).collect()
}

fn picture(rough: &Rough, view: &View) -> RoughPicture {
    let (mesh, most_mm) = (&rough.drawn.mesh, scale_mm(rough));
    let area = Area::round(mesh.points_mm.iter().map(|point| view.seen(point)));
    let longer_mm = area.size()[0].max(area.size()[1]).max(f64::MIN_POSITIVE);
    let mut depth = Depth::over(&area, LONGER_PX / longer_mm);
    let (width, height) = (depth.width, depth.height);
    let mut pixels = vec![[255_u8; 3]; width * height];
    for corners in &mesh.faces {
        let seen = corners.map(|corner| view.seen(&mesh.points_mm[corner as usize]));
        let proud = corners.map(|corner| rough.drawn.proud_mm[corner as usize]);
        depth.cover_with(seen, |square, shares| {
            let proud_mm = (0..3).map(|k| proud[k] * shares[k]).sum();
            pixels[square] = colour(proud_mm, most_mm);
        });
    }
    // Rows run from the bottom up on the grid, and down in a picture.
    let rows: Vec<u8> = pixels.chunks(width).rev().flatten().flatten().copied().collect();
    RoughPicture { view: view.name, width_px: width as u32, height_px: height as u32, png: png(&rows, width, height) }
}

fn png(rows: &[u8], width: usize, height: usize) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width as u32, height as u32);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Balanced);
    let written = encoder.write_header().and_then(|mut writer| {
        writer.write_image_data(rows)?;
        writer.finish()
    });
    written.expect("a picture of its own size is written to memory");
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::{Mesh, Point};
    use crate::geometry::rough::Drawn;

    #[test]
    fn a_hollow_is_orange_a_hump_purple_and_what_fits_white() {
        assert_eq!(colour(-12.0, 12.0), DIVERGING[0]);
        assert_eq!(colour(0.0, 12.0), DIVERGING[5]);
        assert_eq!(colour(99.0, 12.0), DIVERGING[10]);
        assert_eq!(colour(3.0, 0.0), DIVERGING[5]);
    }

    #[test]
    fn a_sheet_is_seen_from_the_side_that_it_faces_with_its_hollow_where_it_is() {
        let points = [[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [0.0, 100.0]].map(|[x, y]| Point::new(x, y, 0.0));
        let mesh = Mesh { points_mm: points.to_vec(), faces: vec![[0, 1, 2], [0, 2, 3]] };
        let rough = Rough {
            deepest: Some((4.0, Point::origin())),
            drawn: Drawn { mesh, proud_mm: vec![-4.0; 4] },
            ..Rough::default()
        };
        let [only] = pictures(&rough).try_into().expect("one picture");
        assert_eq!((only.view, only.width_px, only.height_px), ("from outside", 562, 282));
        let mut reader = png::Decoder::new(std::io::Cursor::new(&only.png)).read_info().expect("a PNG");
        let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
        reader.next_frame(&mut pixels).expect("its pixels");
        let middle = 3 * (141 * 562 + 281);
        assert_eq!(pixels[middle..middle + 3], DIVERGING[0]);
    }
}
