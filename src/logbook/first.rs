//! What to look at first: scans that failed, then what is flagged, the gravest first, each with what to do and where.

use std::collections::HashMap;

use maud::{Markup, html};

use super::words::spoken;
use super::{Entry, Flag, Logbook};
use crate::film::gravity;

/// The list, or that there is nothing on it.
pub(super) fn first(logbook: &Logbook) -> Markup {
    let flagged = flagged(logbook);
    html! {
        @if logbook.failed.is_empty() && flagged.is_empty() {
            p { "Nothing: every scan went well, and no frame has a flag." }
        }
        @if !logbook.failed.is_empty() {
            h3 { "Scans that failed" }
            ul.first {
                @for failure in &logbook.failed {
                    li { strong { bdi { (failure.scan) } } span.do { (failure.reason) } }
                }
            }
        }
        @if !flagged.is_empty() {
            h3 { "Flags, the gravest first" }
            ul.first {
                @for (flag, frames) in &flagged {
                    li {
                        strong { (spoken(&flag.code)) }
                        @if !flag.message.is_empty() { ": " (flag.message) }
                        span.do {
                            @for (i, number) in frames.iter().enumerate() {
                                @let entry = &logbook.entries[*number];
                                @if i > 0 { ", " }
                                a href=(format!("#{}", Entry::anchor(*number))) { bdi { (entry.name) } }
                                @if let Some(called) = entry.called.as_ref().filter(|_| frames.len() == 1) { " " bdi.quiet { (called) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// All flags, each once, with the frames that it is said of.
fn flagged(logbook: &Logbook) -> Vec<(&Flag, Vec<usize>)> {
    let mut flagged: Vec<(&Flag, Vec<usize>)> = Vec::new();
    let mut places: HashMap<&Flag, usize> = HashMap::new();
    for (number, entry) in logbook.entries.iter().enumerate() {
        for flag in &entry.flags {
            let place = *places.entry(flag).or_insert_with(|| {
                flagged.push((flag, Vec::new()));
                flagged.len() - 1
            });
            let frames = &mut flagged[place].1;
            if frames.last() != Some(&number) {
                frames.push(number);
            }
        }
    }
    flagged.sort_by_key(|(flag, _)| gravity(&flag.code));
    flagged
}
