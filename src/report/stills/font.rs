//! Letters for pictures, drawn with a round pen: no font is needed on the machine.
//!
//! A letter is a few strokes on a grid 8 wide, with the foot at 4, small letters up to 12 and capitals up to 16 (`g`); each
//! point is two signs, right and up. A stroke that begins with `~` is smooth, one that begins with `@` smooth and closed.

/// Height of capitals on the grid.
const CAPITAL: f64 = 12.0;
/// Foot of the letters on the grid.
const FOOT: f64 = 4.0;
/// Room between letters on the grid; the pen takes part of it.
const BETWEEN: f64 = 3.6;

/// What stands for a sign that has no strokes here.
const UNKNOWN: &str = "040g6g6404";

/// Strokes of a sign, or nothing.
const fn strokes(sign: char) -> Option<&'static str> {
    Some(match sign {
        'A' => "044g84 1979",
        'B' => "040g ~0g7g7a0a ~0a8a8404",
        'C' => "~8d8g0g048487",
        'D' => "040g ~0g8g8404",
        'E' => "8g0g0484 0a6a",
        'F' => "8g0g04 0a6a",
        'G' => "~8d8g0g04848a 8a5a",
        'H' => "040g 848g 0a8a",
        'I' => "444g 2g6g 2464",
        'J' => "~7g7a74340407",
        'K' => "040g 8g09 3c84",
        'L' => "0g0484",
        'M' => "040g4a8g84",
        'N' => "040g848g",
        'O' => "@0g8g8404",
        'P' => "040g ~0g8g8909",
        'Q' => "@0g8g8404 5783",
        'R' => "040g ~0g8g8909 4984",
        'S' => "~8d8g0g0a8a840407",
        'T' => "0g8g 4g44",
        'U' => "~0g0a0444848a8g",
        'V' => "0g448g",
        'W' => "0g244c648g",
        'X' => "0g84 048g",
        'Y' => "0g4a8g 4a44",
        'Z' => "0g8g0484",
        'a' => "@0c7c7404 7c74",
        'b' => "0g04 @0c7c7404",
        'c' => "~7a7c0c047476",
        'd' => "7g74 @0c7c7404",
        'e' => "0878 ~787c0c047475",
        'f' => "~6g3g3c 3c34 0c6c",
        'g' => "@0c7c7404 ~7c74700001",
        'h' => "0g04 ~080c4c7c7874",
        'i' => "3c34 3f3g",
        'j' => "~4c4440401000 4f4g",
        'k' => "0g04 7c08 3a74",
        'l' => "~2g2824445464",
        'm' => "0c04 ~090c2c4c4844 ~494c6c8c8884",
        'n' => "0c04 ~080c4c7c7874",
        'o' => "@0c7c7404",
        'p' => "0c00 @0c7c7404",
        'q' => "7c70 @0c7c7404",
        'r' => "0c04 ~080c4c6b",
        's' => "~6b6c0c0868640405",
        't' => "~3g3834445464 0c6c",
        'u' => "~0c08043474787c 7c74",
        'v' => "0c346c",
        'w' => "0c244a648c",
        'x' => "0c64 046c",
        'y' => "0c34 6c20",
        'z' => "0c6c0464",
        '0' => "@0g7g7404",
        '1' => "1d4g44 1474",
        '2' => "~0d0g8g8b5904 0484",
        '3' => "~0e0g8g8a3a ~3a8a840406",
        '4' => "646g0888",
        '5' => "7g0g0a ~0a0c8c840406",
        '6' => "~7g0g0a08 @0b8b8404",
        '7' => "0g8g34",
        '8' => "@1g7g7a1a @0a8a8404",
        '9' => "@0g8g8909 ~8c8a8414",
        '.' => "4445",
        '-' => "1a7a",
        _ => return None,
    })
}

/// Whether a sign can be drawn.
#[cfg(test)]
const fn has(sign: char) -> bool {
    sign == ' ' || strokes(sign).is_some()
}

/// A line of text as pen strokes, from the left end of its foot, y upwards, capitals `height` high.
#[must_use]
pub fn lines(text: &str, height: f64) -> Vec<Vec<[f64; 2]>> {
    let unit = height / CAPITAL;
    let mut lines = Vec::new();
    let mut x = 0.0;
    for sign in text.chars() {
        for line in strokes_of(sign) {
            lines.push(line.iter().map(|point| [(x + point[0]) * unit, (point[1] - FOOT) * unit]).collect());
        }
        x += width_of(sign) + BETWEEN;
    }
    lines
}

/// Width of a line of text.
#[must_use]
pub fn width(text: &str, height: f64) -> f64 {
    let signs: f64 = text.chars().map(|sign| width_of(sign) + BETWEEN).sum();
    (signs - BETWEEN).max(0.0) * height / CAPITAL
}

fn width_of(sign: char) -> f64 {
    match sign {
        ' ' => 3.0,
        '.' => 1.0,
        'i' | 'j' | 'l' | 'I' => 5.0,
        _ => strokes_of(sign).iter().flatten().map(|point| point[0]).fold(0.0, f64::max),
    }
}

fn strokes_of(sign: char) -> Vec<Vec<[f64; 2]>> {
    if sign == ' ' {
        return Vec::new();
    }
    let shift = match sign {
        '.' => -4.0,
        'i' | 'l' | 'j' | 'I' => -1.5,
        _ => 0.0,
    };
    let mut lines: Vec<Vec<[f64; 2]>> = strokes(sign).unwrap_or(UNKNOWN).split(' ').map(stroke).collect();
    lines.iter_mut().flatten().for_each(|point| point[0] += shift);
    lines
}

fn stroke(written: &str) -> Vec<[f64; 2]> {
    let (smooth, closed) = (written.starts_with(['~', '@']), written.starts_with('@'));
    let places: Vec<f64> = written.chars().filter_map(|sign| sign.to_digit(17)).map(f64::from).collect();
    let mut points: Vec<[f64; 2]> = places.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect();
    if smooth {
        const ROUNDS: usize = 3;
        (0..ROUNDS).for_each(|_| points = rounder(&points, closed));
    }
    if let (true, Some(&first)) = (closed, points.first()) {
        points.push(first);
    }
    points
}

/// Cuts every corner at a quarter of its sides (Chaikin 1974), which tends to a quadratic B-spline.
fn rounder(points: &[[f64; 2]], closed: bool) -> Vec<[f64; 2]> {
    let n = points.len();
    let cut = |a: [f64; 2], b: [f64; 2]| [a[0] + 0.25 * (b[0] - a[0]), a[1] + 0.25 * (b[1] - a[1])];
    let sides = if closed { n } else { n.saturating_sub(1) };
    let mut rounded: Vec<[f64; 2]> = Vec::with_capacity(2 * n);
    for side in 0..sides {
        let (a, b) = (points[side], points[(side + 1) % n]);
        let is_first = !closed && side == 0;
        let is_last = !closed && side + 1 == sides;
        rounded.push(if is_first { a } else { cut(a, b) });
        rounded.push(if is_last { b } else { cut(b, a) });
    }
    rounded
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needed() -> impl Iterator<Item = char> {
        ('A'..='Z').chain('a'..='z').chain('0'..='9').chain(['.', '-'])
    }

    #[test]
    fn every_letter_and_digit_has_strokes_of_its_own() {
        let mut drawn: Vec<String> = needed().map(|sign| format!("{:?}", strokes_of(sign))).collect();
        assert!(needed().all(has));
        drawn.sort();
        drawn.dedup();
        assert_eq!(drawn.len(), needed().count(), "two signs look alike");
    }

    #[test]
    fn every_stroke_lies_on_the_grid() {
        for sign in needed() {
            for point in strokes_of(sign).iter().flatten() {
                assert!((-1.5..=8.0).contains(&point[0]) && (0.0..=16.0).contains(&point[1]), "{sign}: {point:?}");
            }
        }
    }

    #[test]
    fn a_sign_without_strokes_shows_as_a_box_and_takes_room() {
        assert!(!has('ä'));
        assert!(width("ä", 12.0) > 0.0);
        assert!(width("a c6", 12.0) > width("c6", 12.0));
    }
}
