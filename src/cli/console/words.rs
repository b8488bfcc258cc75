//! Words and numbers that several tasks tell.

use std::collections::HashMap;

use crate::notes::WarningNote;

/// What to do about each warning, the gravest first: a line for each message, with the files that it is about.
pub(super) fn explained<'a>(scans: impl Iterator<Item = (&'a str, &'a [WarningNote])>) -> Vec<String> {
    let mut all: Vec<_> =
        scans.flat_map(|(file, warnings)| warnings.iter().map(move |warning| (file, warning))).collect();
    all.sort_by_key(|(_, warning)| warning.gravity());
    grouped(all.into_iter().map(|(file, warning)| (file, format!("{}: {}", warning.code, warning.message))))
}

/// A line for each thing said, in the order first said, with the files that it is said of.
pub(super) fn grouped<'a>(said: impl Iterator<Item = (&'a str, String)>) -> Vec<String> {
    let mut messages: Vec<(String, Vec<&str>)> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for (file, message) in said {
        let place = *places.entry(message.clone()).or_insert_with(|| {
            messages.push((message, Vec::new()));
            messages.len() - 1
        });
        messages[place].1.push(file);
    }
    let line = |(message, files): &(String, Vec<&str>)| {
        let files = match &files[..] {
            [first, second, _, ..] => format!("{first}, {second} and {} more", files.len() - 2),
            few => few.join(", "),
        };
        format!("{files}: {message}")
    };
    messages.iter().map(line).collect()
}

pub(super) fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

pub(super) fn two(value: f64) -> String {
    // Adding zero turns -0.00 into 0.00.
    format!("{:.2}", (value * 100.0).round() / 100.0 + 0.0)
}
