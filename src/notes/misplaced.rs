//! Words in a notes file that look like those the program obeys, and are not: without a word they would do nothing.

use toml_edit::{DocumentMut, Item};

use super::correction::HELD;
use super::sidecar::Error;

/// The photographer's table that is obeyed.
const SETTINGS: &str = "settings";

/// Two densities of the notes are one: they have four decimals.
const SAME: f64 = 0.000_05;

/// Densities of a base that are compared; what lies outside is measured again.
const OF_A_BASE: std::ops::RangeInclusive<f64> = -1.0..=5.0;

/// Looks for slips in `[settings]` and in `picture` and `base` of `[scan]`. Any other table or key is nobody's business
/// here.
///
/// # Errors
/// The first slip, with the word that was meant.
pub(super) fn check(document: &DocumentMut) -> Result<(), Error> {
    for (name, item) in document.iter() {
        if item.is_table_like() && is_like_settings(name) {
            return Err(Error::Unlike { word: format!("[{name}]"), meant: "[settings]" });
        }
        if HELD.contains(&name) || name == "pictures" {
            return Err(Error::Elsewhere(format!("{name} at the top")));
        }
    }
    let table = |name| document.get(name).and_then(Item::as_table);
    let keys = table("scan").into_iter().flatten().map(|(key, _)| key);
    if let Some((key, meant)) = keys.filter_map(|key| Some((key, meant(key)?))).next() {
        return Err(Error::Unlike { word: format!("[scan] {key}"), meant });
    }
    let Some(measured) = table("measured") else { return Ok(()) };
    if let Some((key, _)) = measured.iter().find(|(key, _)| meant(key) == Some("picture") || *key == "picture") {
        return Err(Error::Elsewhere(format!("[measured] {key}")));
    }
    // The program writes one here as well. Where it comes from the rebate the two agree, unless a hand changed one; a
    // base without a key was never the program's.
    let number = |key| measured.get(key).and_then(Item::as_float).filter(|d| OF_A_BASE.contains(d));
    let from_rebate = measured.get("base_source").and_then(Item::as_str) == Some("rebate");
    let changed = number("base").zip(number("rebate")).is_some_and(|(base, rebate)| (base - rebate).abs() > SAME);
    let added = measured.contains_key("base") && measured.len() == 1;
    if added || from_rebate && changed { Err(Error::Elsewhere("[measured] base".to_owned())) } else { Ok(()) }
}

fn is_like_settings(name: &str) -> bool {
    let plain = name.to_lowercase();
    // Two slips in eight letters are still recognisable. They seldom hit the first two, and sittings and fittings are
    // words.
    name != SETTINGS && plain.starts_with("se") && strsim::damerau_levenshtein(SETTINGS, &plain) <= 2
}

/// Which of the two a key of `[scan]` is meant to be, if it is neither and near to one.
fn meant(key: &str) -> Option<&'static str> {
    let plain = key.to_lowercase();
    // One slip in a word of four letters: with two, date and make would be near to base.
    let near = |word: &&str| strsim::damerau_levenshtein(word, &plain) <= if word.len() > 4 { 2 } else { 1 };
    if HELD.contains(&key) { None } else { HELD.into_iter().find(near) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> Option<String> {
        check(&text.parse().unwrap()).err().map(|e| e.to_string())
    }

    #[test]
    fn a_word_near_to_one_that_is_obeyed_is_named_with_it() {
        for (text, word, meant) in [
            ("[scan]\npictures = [[1, 2], [3, 4]]", "[scan] pictures", "did you mean \"picture\"?"),
            ("[scan]\npicutre = [[1, 2], [3, 4]]", "[scan] picutre", "did you mean \"picture\"?"),
            ("[scan]\nBase = 0.2", "[scan] Base", "did you mean \"base\"?"),
            ("[setting]\ngrade = \"3\"", "[setting]", "did you mean \"[settings]\"?"),
            ("[seting]\ngrade = \"3\"", "[seting]", "did you mean \"[settings]\"?"),
            ("[Settings]\ngrade = \"3\"", "[Settings]", "did you mean \"[settings]\"?"),
        ] {
            let told = told(text).unwrap();
            assert!(told.contains(word) && told.contains(meant), "{told}");
        }
    }

    #[test]
    fn a_word_in_the_wrong_place_is_sent_to_the_right_one() {
        let edited = "[measured]\nkey = \"k\"\nrebate = 0.2\nbase = 0.3\nbase_source = \"rebate\"";
        for text in [
            "picture = [[1, 2], [3, 4]]",
            "base = 0.2",
            "[measured]\npicture = [[1, 2]]",
            "[measured]\nbase = 0.2",
            edited,
        ] {
            assert!(told(text).unwrap().contains("under [scan]"), "{text}");
        }
    }

    #[test]
    fn what_is_the_photographers_or_the_programs_own_is_no_slip() {
        for text in [
            "weather = \"fair\"\n[shot]\nbase = \"acetate\"\npicture = \"Coil\"\n[sittings]\nfirst = 3\n[fittings]\niron = 2\n[settings.x]\ny = 1",
            "[scan]\nfile = \"a\"\nbytes = 1\nbits = 16\nmake = \"m\"\ndate = \"d\"\npicture = [[1, 2], [3, 4]]\nbase = 0.2",
            "[measured]\nkey = \"k\"\nrebate = 0.2\nbase = 0.2\nbase_source = \"rebate\"",
            "[measured]\nkey = \"k\"\nrebate = 0.2\nbase = 0.3\nbase_source = \"batch\"",
        ] {
            assert_eq!(told(text), None, "{text}");
        }
    }
}
