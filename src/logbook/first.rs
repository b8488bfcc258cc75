//! What to look at first: scans that failed, then frames with flags, each with what to do.

use maud::{Markup, html};

use super::words::spoken;
use super::{Entry, Logbook};

/// The list, or that there is nothing on it.
pub(super) fn first(logbook: &Logbook) -> Markup {
    let flagged = || logbook.entries.iter().enumerate().filter(|(_, entry)| !entry.flags.is_empty());
    html! {
        @if logbook.failed.is_empty() && flagged().next().is_none() {
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
        @if flagged().next().is_some() {
            h3 { "Frames with flags" }
            ul.first {
                @for (number, entry) in flagged() {
                    li {
                        a href=(format!("#{}", Entry::anchor(number))) { strong { bdi { (entry.name) } } }
                        @if let Some(called) = &entry.called { " " bdi.quiet { (called) } }
                        @for flag in &entry.flags {
                            span.do { b { (spoken(&flag.code)) } @if !flag.message.is_empty() { ": " (flag.message) } }
                        }
                    }
                }
            }
        }
    }
}
