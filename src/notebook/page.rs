//! The page as a whole.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Notebook;
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
pub fn page(notebook: &Notebook) -> String {
    let title = match notebook.title.trim() {
        "" => "A batch",
        title => title,
    };
    let axis = Axis::of_net(notebook);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="generator" content=(PROGRAM);
                title { (title) ": notebook of a batch" }
                style { (PreEscaped(style())) }
            }
            body {
                a.skip href="#frames" { "To the frames" }
                header { (head(notebook, title)) }
                nav aria-label="Parts of this page" { ul { @for (to, name) in PARTS { li { a href=(format!("#{to}")) { (name) } } } } }
                main {
                    (part(0, first(notebook)))
                    (part(1, html! {
                        @if notebook.entries.is_empty() { p { "There is no frame to be drawn." } } @else { (along(notebook)) }
                    }))
                    (part(2, html! {
                        @if notebook.entries.is_empty() { p { "No frame came of this batch." } } @else { p.quiet { (legend(notebook)) } }
                        @for (number, of) in notebook.entries.iter().enumerate() { (entry(of, number, axis, notebook)) }
                    }))
                    (part(3, register(notebook)))
                    (part(4, settings(notebook)))
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

fn head(notebook: &Notebook, title: &str) -> Markup {
    let failed = match notebook.failed.len() {
        0 => String::new(),
        failed => format!(", {} failed", count(failed, "scan")),
    };
    html! {
        h1 { bdi { (title) } }
        ul.label {
            li { (notebook.day) }
            li { (count(notebook.entries.len(), "frame")) (failed) }
            @for line in &notebook.made { li { (line) } }
        }
        (files(&notebook.files))
    }
}

fn legend(notebook: &Notebook) -> String {
    format!(
        "Tones of a frame over net density, the same scale for all: unbroken lines are its thin and its dense end, the broken one \
         its median, the figures below zones after {}.",
        notebook.zones.1
    )
}

fn settings(notebook: &Notebook) -> Markup {
    html! {
        p.quiet { "Those of the batch. A scan may have others: its notes tell which, and who decided." }
        ul.settings { @for (name, value) in &notebook.settings { li { span.word { (name) } " " bdi { (value) } } } }
    }
}
