//! The console. This file alone prints; those beside it put into words what the tasks did.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod batch;
mod loupe;
mod exposure;
mod layout;
mod measure;
mod notes;
mod paper;
mod print;
mod proof;
mod progress;
mod remade;
mod strip;
mod table;
mod wedge;
mod words;
mod zones;

use std::io::{self, Write};

/// The person's screen: results on standard output, everything else on standard error.
pub(super) struct Console;

impl Console {
    /// Help, the version, or what is wrong with the arguments.
    pub(super) fn usage(error: &clap::Error) {
        // Nothing is left to be done when even this cannot be printed.
        let _ = error.print();
    }

    /// Where the light table is to be opened.
    pub(super) fn table(&self, address: &str) {
        let how = "open this address in your browser; Ctrl-C ends it".to_owned();
        print_lines(&[format!("light table: {address}"), how]);
    }

    /// What is wrong.
    pub(super) fn error(&self, error: &str) {
        // Nothing is left to be done when nobody listens.
        let _ = writeln!(io::stderr(), "dryside: {}", one_line(error));
    }
}

/// Names of files may hold anything; a line stays a line, and runs one way: no mark in a name turns the rest of it
/// round (Unicode Standard Annex 9, explicit directional formatting).
fn one_line(text: &str) -> String {
    let turns = |c| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().map(|c| if c.is_control() || turns(c) { ' ' } else { c }).collect()
}

/// Letters that a line of the person's screen holds; nothing where results go elsewhere.
fn screen() -> Option<usize> {
    terminal_size::terminal_size_of(io::stdout()).map(|(terminal_size::Width(letters), _)| usize::from(letters))
}

/// Prints to standard output; tells whether all of it went out. A reader that has seen enough, such as `head`, is no
/// error.
fn print_lines(lines: &[String]) -> bool {
    print_text(&lines.iter().map(|line| one_line(line) + "\n").collect::<String>())
}

/// The same of a text that is for other programs, as it is.
fn print_text(text: &str) -> bool {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => {
            let _ = writeln!(io::stderr(), "dryside: the results cannot be printed: {e}: make room where they go");
            false
        }
        _ => true,
    }
}
