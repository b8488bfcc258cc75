//! The photographer's `[settings]` of one scan, written when the person asks for it.

use toml_edit::{DocumentMut, Item, Table, Value};

/// The table's name.
const SETTINGS: &str = "settings";

/// Writes a setting, or takes it away; everything else stays to the byte. Tells whether `[settings]` is a table that
/// can take it.
pub(super) fn write(document: &mut DocumentMut, name: &str, word: Option<&str>) -> bool {
    let headed = || {
        let mut table = Table::new();
        table.decor_mut().set_prefix("\n");
        Item::Table(table)
    };
    if word.is_none() && !document.contains_key(SETTINGS) {
        return true;
    }
    let Some(table) = document.entry(SETTINGS).or_insert_with(headed).as_table_like_mut() else { return false };
    match (word, table.get_mut(name)) {
        (None, _) => drop(table.remove(name)),
        (Some(word), Some(Item::Value(there))) => {
            let mut fresh = Value::from(word);
            *fresh.decor_mut() = there.decor().clone();
            *there = fresh;
        }
        (Some(word), _) => drop(table.insert(name, Item::Value(word.into()))),
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_is_written_and_everything_else_stays() {
        let hand =
            "[shot]\nsubject = 'coil'  # mine\n\n[settings] # of the night\ngrade = \"2\" # soft\ncrop = 'none'\n";
        let mut document: DocumentMut = hand.parse().unwrap();
        assert!(write(&mut document, "grade", Some("3 1/2")) && write(&mut document, "place", None));
        assert_eq!(document.to_string(), hand.replace("\"2\" # soft", "\"3 1/2\" # soft"));
        assert!(write(&mut document, "grade", None) && write(&mut document, "exposure", Some("-1/3")));
        let expected = hand.replace("grade = \"2\" # soft\n", "") + "exposure = \"-1/3\"\n";
        assert_eq!(document.to_string(), expected);
        let mut none: DocumentMut = "settings = 3\n".parse().unwrap();
        assert!(!write(&mut none, "grade", Some("2")));
        let mut new: DocumentMut = "[shot]\n".parse().unwrap();
        assert!(write(&mut new, "grade", None) && new.to_string() == "[shot]\n");
        assert!(write(&mut new, "grade", Some("2")) && new.to_string() == "[shot]\n\n[settings]\ngrade = \"2\"\n");
    }
}
