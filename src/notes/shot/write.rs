//! One field written into `[shot]`; everything else stays to the byte.

use toml_edit::{DocumentMut, InlineTable, Item, Table, TableLike, Value};

use super::field;

/// Why a field cannot be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// Not `key=value`.
    #[error("\"{0}\": write it as key=value, as aperture=f/22")]
    NoKey(String),
    /// A name that TOML has no plain key for.
    #[error("\"{0}\" is no name of a field: use letters, figures, - and _, with dots between, as development.time")]
    Name(String),
    /// A name near to a field's.
    #[error("\"{key}\" is no field: did you mean {near}?")]
    Near {
        /// As written.
        key: String,
        /// The nearest right one.
        near: String,
    },
    /// A word that is obeyed elsewhere.
    #[error("\"{key}\" is no field of [shot], where nobody would look for it: {instead}")]
    Elsewhere {
        /// As written.
        key: String,
        /// What to do instead.
        instead: &'static str,
    },
    /// A value that the field cannot take.
    #[error("{key}: {what}")]
    Value {
        /// The field.
        key: String,
        /// What is wrong with it.
        what: String,
    },
    /// Something is in the way.
    #[error("\"{0}\" is written in the notes as a plain value, so nothing can stand below it: mend that by hand")]
    InTheWay(String),
}

/// Writes `key=value` into `[shot]`; `key=` takes a field away.
///
/// # Errors
/// When the value cannot be read as that of the field, or there is no place for it.
pub(in crate::notes) fn write(document: &mut DocumentMut, asked: &str) -> Result<(), WriteError> {
    let (key, word) = asked.split_once('=').ok_or_else(|| WriteError::NoKey(asked.to_owned()))?;
    let (key, word) = (key.trim(), word.trim());
    let plain =
        |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
    let parts: Vec<&str> = key.strip_prefix("shot.").unwrap_or(key).split('.').collect();
    let name = parts.join(".");
    if !parts.iter().all(|part| plain(part)) {
        return Err(WriteError::Name(key.to_owned()));
    }
    let known = field::of(&name);
    if let (None, Some(instead)) = (known, elsewhere(parts[0])) {
        return Err(WriteError::Elsewhere { key: name, instead });
    }
    if word.is_empty() {
        remove(document, &parts);
        return Ok(());
    }
    let value = match (known, field::near(&name)) {
        (Some(field), _) => {
            field.kind.read_word(word).map_err(|what| WriteError::Value { key: name.clone(), what })?;
            field.kind.value(word)
        }
        (None, Some(near)) => return Err(WriteError::Near { key: name, near }),
        (None, None) => Value::from(word),
    };
    let shot = document.entry("shot").or_insert_with(|| Item::Table(Table::new()));
    let shot = shot.as_table_like_mut().ok_or_else(|| WriteError::InTheWay("shot".to_owned()))?;
    put(shot, &parts, value, false).map_err(WriteError::InTheWay)
}

/// What to do about a word that stands in another part of the notes.
fn elsewhere(first: &str) -> Option<&'static str> {
    match first {
        "mark" | "marks" => Some("mark frames with dryside mark print FRAME"),
        "grade" | "grades" | "paper" | "exposure" | "settings" | "split" | "dry-down" => {
            Some("write it by hand under [settings], as grade = \"3\"")
        }
        "scan" | "measured" | "flat" | "print" | "prints" | "record" => Some("that part of the notes is the program's"),
        _ => None,
    }
}

/// Puts a value below a table, in place of an older one with the comments around it.
fn put(table: &mut dyn TableLike, parts: &[&str], mut value: Value, inline: bool) -> Result<(), String> {
    let (first, rest) = parts.split_first().expect("a name has a part");
    if rest.is_empty() {
        match table.get_mut(first) {
            Some(Item::Value(old)) => {
                *value.decor_mut() = old.decor().clone();
                *old = value;
            }
            Some(_) => return Err((*first).to_owned()),
            None => {
                table.insert(first, Item::Value(value));
            }
        }
        return Ok(());
    }
    if !table.contains_key(first) {
        // Movements and readings are short: one line each below their table.
        let new = if inline { Item::Value(Value::InlineTable(InlineTable::new())) } else { Item::Table(headed()) };
        table.insert(first, new);
    }
    let below = table.get_mut(first).and_then(Item::as_table_like_mut).ok_or_else(|| (*first).to_owned())?;
    put(below, rest, value, true)
}

fn headed() -> Table {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table
}

fn remove(document: &mut DocumentMut, parts: &[&str]) {
    let Some((last, before)) = parts.split_last() else { return };
    let mut table = document.get_mut("shot").and_then(Item::as_table_like_mut);
    for part in before {
        table = table.and_then(|table| table.get_mut(part)).and_then(Item::as_table_like_mut);
    }
    if let Some(table) = table {
        table.remove(last);
    }
}
