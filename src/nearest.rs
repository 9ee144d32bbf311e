//! The known name that a misspelt one was most likely meant to be.

use crate::units::LengthUnit;

/// The known name nearest to `word`, if one is near enough to be offered; the first of equals.
///
/// Near enough is one slip in every three letters, or one word being the beginning of the other: at one in two, `lap`
/// is offered for `axis`; at one in five, `falnge` no longer finds `flange`.
#[must_use]
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = plain_form(word);
    let distance = |name: &&str| edit_distance(&plain, &plain_form(name));
    let best = known.into_iter().map(|name| (distance(&name), name)).min_by_key(|&(distance, _)| distance)?;
    let (slips, name) = best;
    let other = plain_form(name);
    let begins =
        plain.len() >= 3 && other.len() >= 3 && (other.starts_with(&plain[..]) || plain.starts_with(&other[..]));
    (begins || 3 * slips <= plain.len().max(3)).then_some(name)
}

/// The unit that a longer or foreign spelling means, for messages only: the file must still say the short name.
#[must_use]
pub fn unit_meant(word: &str) -> Option<LengthUnit> {
    Some(match word.trim().to_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" | "mms" => LengthUnit::Millimetre,
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" | "cms" => LengthUnit::Centimetre,
        "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::Metre,
        "in" | "inch" | "inches" | "\"" | "ins" => LengthUnit::Inch,
        "ft" | "foot" | "feet" | "'" => LengthUnit::Foot,
        _ => return None,
    })
}

/// Lower case, with blanks, hyphens and underscores alike.
fn plain_form(word: &str) -> Vec<char> {
    word.to_lowercase().chars().map(|letter| if matches!(letter, ' ' | '_') { '-' } else { letter }).collect()
}

/// Least number of letters put in, taken out, changed or swapped with their neighbour that make one word the other.
fn edit_distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let changed = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            rows[i][j] = changed.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                rows[i][j] = rows[i][j].min(rows[i - 2][j - 2] + 1);
            }
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: counted by hand.
    #[test]
    fn slips_are_counted_as_a_typist_makes_them() {
        let distance = |a, b| edit_distance(&plain_form(a), &plain_form(b));
        assert_eq!(distance("quantity", "quantity"), 0);
        assert_eq!(distance("quantitiy", "quantity"), 1);
        assert_eq!(distance("falnge", "flange"), 1);
        assert_eq!(distance("nomral", "normal"), 1);
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("", "lap"), 3);
    }

    #[test]
    fn a_misspelt_name_finds_its_neighbour_and_a_strange_one_none() {
        let keys = ["axis", "at_mm", "normal", "point_mm", "lap_mm"];
        assert_eq!(nearest("nomral", keys), Some("normal"));
        assert_eq!(nearest("point-mm", keys), Some("point_mm"));
        assert_eq!(nearest("point", keys), Some("point_mm"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("", keys), None);
        assert_eq!(nearest("axis", []), None);
    }

    #[test]
    fn a_misspelt_material_finds_its_neighbour() {
        assert_eq!(nearest("mat450", ["mat 300", "mat 450", "woven 600"]), Some("mat 450"));
        assert_eq!(nearest("Polyestr", ["vinyl ester", "polyester"]), Some("polyester"));
        assert_eq!(nearest("carbon tape", ["mat 300", "polyester"]), None);
    }

    #[test]
    fn long_names_of_units_are_understood() {
        assert_eq!(unit_meant("Inches"), Some(LengthUnit::Inch));
        assert_eq!(unit_meant("millimeter"), Some(LengthUnit::Millimetre));
        assert_eq!(unit_meant("furlong"), None);
    }
}
