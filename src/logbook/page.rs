//! The page as a whole.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Logbook;
use super::along::along;
use super::axis::Axis;
use super::entry::{entry, files};
use super::first::first;
use super::register::register;
use super::style::style;
use super::words::count;
use crate::save::PROGRAM;

/// Parts of the page: what leads to each, and what it is called.
const PARTS: [(&str, &str); 5] = [
    ("first", "Look at these first"),
    ("along", "Along the batch"),
    ("frames", "Frames"),
    ("register", "Register"),
    ("settings", "Settings"),
];

/// The page as HTML (the living standard of WHATWG), UTF-8.
pub fn page(logbook: &Logbook) -> String {
    let title = match logbook.title.trim() {
        "" => "A batch",
        title => title,
    };
    let axis = Axis::of_net(logbook);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="generator" content=(PROGRAM);
                title { (title) ": logbook of a batch" }
                style { (PreEscaped(style())) }
            }
            body {
                a.skip href="#frames" { "To the frames" }
                header { (head(logbook, title)) }
                nav aria-label="Parts of this page" { ul { @for (to, name) in PARTS { li { a href=(format!("#{to}")) { (name) } } } } }
                main {
                    (part(0, first(logbook)))
                    (part(1, html! {
                        @if logbook.entries.is_empty() { p { "There is no frame to be drawn." } } @else { (along(logbook)) }
                    }))
                    (part(2, html! {
                        @if logbook.entries.is_empty() { p { "No frame came of this batch." } } @else { p.quiet { (legend(logbook)) } }
                        @for (number, of) in logbook.entries.iter().enumerate() { (entry(of, number, axis, logbook)) }
                    }))
                    (part(3, register(logbook)))
                    (part(4, settings(logbook)))
                }
                footer {
                    p { "A proof on a screen is no print: judge on a print. Keep the scans, and keep the negatives." }
                    p.quiet { "Made by " (PROGRAM) ". Letters: Inter, SIL Open Font License 1.1." }
                }
            }
        }
    }
    .into_string()
        + "\n"
}

fn part(number: usize, within: Markup) -> Markup {
    let (id, name) = PARTS[number];
    let heading = format!("{id}-heading");
    html! { section id=(id) aria-labelledby=(heading) { h2 id=(heading) { (name) } (within) } }
}

fn head(logbook: &Logbook, title: &str) -> Markup {
    let failed = match logbook.failed.len() {
        0 => String::new(),
        failed => format!(", {} failed", count(failed, "scan")),
    };
    html! {
        h1 { bdi { (title) } }
        ul.label {
            li { (logbook.day) }
            li { (count(logbook.entries.len(), "frame")) (failed) }
            @for line in &logbook.made { li { (line) } }
        }
        (files(&logbook.files))
    }
}

fn legend(logbook: &Logbook) -> String {
    format!(
        "Tones of a frame over net density, the same scale for all: unbroken lines are its thin and its dense end, the broken one \
         its median, the figures below zones after {}.",
        logbook.zones.1
    )
}

fn settings(logbook: &Logbook) -> Markup {
    html! {
        p.quiet { "Those of the batch. A scan may have others: its notes tell which, and who decided." }
        ul.settings { @for (name, value) in &logbook.settings { li { span.word { (name) } " " bdi { (value) } } } }
    }
}
