//! Films whose reciprocity somebody has published. Their data files stand beside this one, each with its source.

use std::sync::LazyLock;

use super::film::Reciprocity;
use super::film_file::read_film;

/// Names of the films.
pub const FILMS: [&str; 13] = [
    "delta-100",
    "delta-3200",
    "delta-400",
    "fp4-plus",
    "hp5-plus",
    "kentmere-100",
    "kentmere-400",
    "ortho-plus",
    "pan-f-plus",
    "sfx-200",
    "t-max-100",
    "t-max-400-2002",
    "xp2-super",
];

static ALL: LazyLock<[Reciprocity; 13]> = LazyLock::new(|| {
    [
        include_str!("films/delta-100.toml"),
        include_str!("films/delta-3200.toml"),
        include_str!("films/delta-400.toml"),
        include_str!("films/fp4-plus.toml"),
        include_str!("films/hp5-plus.toml"),
        include_str!("films/kentmere-100.toml"),
        include_str!("films/kentmere-400.toml"),
        include_str!("films/ortho-plus.toml"),
        include_str!("films/pan-f-plus.toml"),
        include_str!("films/sfx-200.toml"),
        include_str!("films/t-max-100.toml"),
        include_str!("films/t-max-400-2002.toml"),
        include_str!("films/xp2-super.toml"),
    ]
    .map(|text| read_film(text).expect("a test reads all of them"))
});

/// The film of this name; blanks and signs do not matter.
pub fn film(name: &str) -> Option<&'static Reciprocity> {
    let plain = plain(name);
    FILMS.iter().position(|known| self::plain(known) == plain).map(|i| &ALL[i])
}

fn plain(name: &str) -> String {
    name.to_lowercase().replace('+', "plus").chars().filter(char::is_ascii_alphanumeric).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_film_has_its_source() {
        for name in FILMS {
            let film = film(name).unwrap();
            assert!(film.source().len() > 20 && !film.name().is_empty(), "{name}");
        }
        assert_eq!(film("HP5 Plus"), film("hp5+"));
        assert_eq!(film("rope"), None);
    }
}
