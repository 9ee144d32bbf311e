//! Names of files, whatever a panel is called.

/// Longest part of a file name that comes from a panel's name. Longer names make paths that some systems refuse.
const LONGEST: usize = 40;

/// The file of a picture: number of the panel, its name in small letters and hyphens, number of the view, each from 1.
#[must_use]
pub fn file_name(panel: usize, name: &str, view: usize) -> String {
    let slug = slug(name);
    let hyphen = if slug.is_empty() { "" } else { "-" };
    format!("stills/{:02}{hyphen}{slug}-{}.png", panel + 1, view + 1)
}

/// Small ASCII letters, digits and single hyphens; empty if nothing of the name can be written so.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars().flat_map(char::to_lowercase) {
        match letter {
            'a'..='z' | '0'..='9' => slug.push(letter),
            'ä' => slug.push_str("ae"),
            'ö' => slug.push_str("oe"),
            'ü' => slug.push_str("ue"),
            'ß' => slug.push_str("ss"),
            'à' | 'á' | 'â' | 'ã' | 'å' => slug.push('a'),
            'è' | 'é' | 'ê' | 'ë' => slug.push('e'),
            'ì' | 'í' | 'î' | 'ï' => slug.push('i'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ø' => slug.push('o'),
            'ù' | 'ú' | 'û' => slug.push('u'),
            'ç' => slug.push('c'),
            'ñ' => slug.push('n'),
            _ if slug.is_empty() || slug.ends_with('-') => {}
            _ => slug.push('-'),
        }
        if slug.len() >= LONGEST {
            break;
        }
    }
    slug.truncate(LONGEST);
    slug.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panel_gives_its_pictures_its_name() {
        assert_eq!(file_name(0, "roof shell", 0), "stills/01-roof-shell-1.png");
        assert_eq!(file_name(11, "Kotflügel / links (2)", 2), "stills/12-kotfluegel-links-2-3.png");
    }

    #[test]
    fn no_name_leaves_the_folder_or_breaks_the_path() {
        for name in ["", "../../etc/passwd", "C:\\con", "سقف", "<b>&\"'", "\u{202e}gnp", &"long name ".repeat(30)] {
            let file = file_name(3, name, 0);
            let own = file.strip_prefix("stills/04").and_then(|rest| rest.strip_suffix("-1.png")).expect("its frame");
            assert!(own.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'), "{file}");
            assert!(own.len() <= LONGEST + 1, "{file}");
        }
    }
}
