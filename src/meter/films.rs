//! Films whose reciprocity somebody has published. Their data files stand beside this one, each with its source.

use std::sync::LazyLock;

use super::film::Reciprocity;
use super::film_file::read_film;

/// Each film's name, with its data file.
const FILES: [(&str, &str); 13] = [
    ("delta-100", include_str!("films/delta-100.toml")),
    ("delta-3200", include_str!("films/delta-3200.toml")),
    ("delta-400", include_str!("films/delta-400.toml")),
    ("fp4-plus", include_str!("films/fp4-plus.toml")),
    ("hp5-plus", include_str!("films/hp5-plus.toml")),
    ("kentmere-100", include_str!("films/kentmere-100.toml")),
    ("kentmere-400", include_str!("films/kentmere-400.toml")),
    ("ortho-plus", include_str!("films/ortho-plus.toml")),
    ("pan-f-plus", include_str!("films/pan-f-plus.toml")),
    ("sfx-200", include_str!("films/sfx-200.toml")),
    ("t-max-100", include_str!("films/t-max-100.toml")),
    ("t-max-400-2002", include_str!("films/t-max-400-2002.toml")),
    ("xp2-super", include_str!("films/xp2-super.toml")),
];

static ALL: LazyLock<[(&str, Reciprocity); 13]> =
    LazyLock::new(|| FILES.map(|(name, text)| (name, read_film(text).expect("a test reads all of them"))));

/// All of them, each with its name.
pub fn films() -> impl Iterator<Item = &'static (&'static str, Reciprocity)> {
    ALL.iter()
}

/// The film of this name; blanks and signs do not matter.
pub fn film(name: &str) -> Option<&'static Reciprocity> {
    let plain = plain(name);
    films().find(|(known, _)| self::plain(known) == plain).map(|(_, film)| film)
}

fn plain(name: &str) -> String {
    name.to_lowercase().replace('+', "plus").chars().filter(char::is_ascii_alphanumeric).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_film_has_its_source() {
        assert_eq!(films().count(), FILES.len());
        for (name, of) in films() {
            assert_eq!(film(name), Some(of));
            assert!(of.source().len() > 20 && !of.name().is_empty(), "{name}");
        }
        assert_eq!(film("HP5 Plus"), film("hp5+"));
        assert_eq!(film("rope"), None);
    }
}
