//! All values below `[shot]`, whatever way their tables are written.

use toml_edit::{Item, TableLike, Value};

use super::field::{self, Found};

/// The values below an item, in the order written, each with its dotted name.
pub(super) fn fields(shot: &Item) -> Vec<Found> {
    let mut found = Vec::new();
    if let Some(table) = shot.as_table_like() {
        below(table, "", &mut found);
    }
    found
}

fn below(table: &dyn TableLike, name: &str, found: &mut Vec<Found>) {
    for (key, item) in table.iter() {
        let name = if name.is_empty() { key.to_owned() } else { format!("{name}.{key}") };
        one(item, name, found);
    }
}

fn one(item: &Item, name: String, found: &mut Vec<Found>) {
    match item {
        Item::Table(table) => below(table, &name, found),
        Item::ArrayOfTables(tables) => {
            for (number, table) in (1..).zip(tables) {
                below(table, &format!("{name}.{number}"), found);
            }
        }
        Item::Value(value) => of_value(value, name, found),
        Item::None => {}
    }
}

fn of_value(value: &Value, name: String, found: &mut Vec<Found>) {
    match value {
        Value::InlineTable(table) => below(table, &name, found),
        // A list of readings; a list of numbers or words is a value.
        Value::Array(list) if list.iter().any(Value::is_inline_table) => {
            for (number, value) in (1..).zip(list) {
                of_value(value, format!("{name}.{number}"), found);
            }
        }
        value => {
            let mut plain = value.clone();
            plain.decor_mut().clear();
            let text = plain.as_str().map_or_else(|| plain.to_string().trim().to_owned(), str::to_owned);
            let (field, at) = (field::of(&name), value.span().unwrap_or_default());
            found.push(Found { name, field, value: plain, text, at });
        }
    }
}
