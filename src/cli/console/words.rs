//! Words and numbers that several tasks tell.

use std::collections::HashMap;

use crate::notes::WarningNote;

/// What to do about each warning: a line for each message, with the files that it is about.
pub(super) fn explained<'a>(scans: impl Iterator<Item = (&'a str, &'a [WarningNote])>) -> Vec<String> {
    let mut messages: Vec<(&WarningNote, Vec<&str>)> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (file, warning) in scans.flat_map(|(file, warnings)| warnings.iter().map(move |w| (file, w))) {
        let place = *places.entry(&warning.message).or_insert_with(|| {
            messages.push((warning, Vec::new()));
            messages.len() - 1
        });
        messages[place].1.push(file);
    }
    let line = |(warning, files): &(&WarningNote, Vec<&str>)| {
        let files = match &files[..] {
            [first, second, _, ..] => format!("{first}, {second} and {} more", files.len() - 2),
            few => few.join(", "),
        };
        format!("{files}: {}: {}", warning.code, warning.message)
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
