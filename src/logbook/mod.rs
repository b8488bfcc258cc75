//! The logbook of a batch: one page for a browser that needs nothing beside itself, neither network nor script.
//!
//! Values in, text out: pictures come as JPEGs, places of files as links. Everything that a person wrote, or a file is
//! called, goes through the template library, which escapes it. The same logbook gives the same bytes.

mod along;
mod axis;
mod entry;
mod first;
mod page;
mod register;
mod style;
mod tones;
mod words;

use std::fmt::Display;

use crate::light::Density;
use crate::notes::TonesNotes;

pub use page::page;

/// A batch, as it is told on the page.
#[derive(Clone, Debug, Default)]
pub struct Logbook {
    /// What the batch is called.
    pub title: String,
    /// The day on which the page was made.
    pub day: String,
    /// How the frames were printed, paper and table of grades, what densities are: a line each.
    pub made: Vec<String>,
    /// The frames in order.
    pub entries: Vec<Entry>,
    /// The scans that failed.
    pub failed: Vec<Failure>,
    /// Zones with their net densities, and the name of their table.
    pub zones: (Vec<(String, Density)>, String),
    /// Settings of the batch, by their names.
    pub settings: Vec<(String, String)>,
    /// Files of the whole batch.
    pub files: Vec<Link>,
}

/// A frame.
#[derive(Clone, Debug, Default)]
pub struct Entry {
    /// What its files are called.
    pub name: String,
    /// The file of its scan.
    pub scan: String,
    /// What the photographer calls it.
    pub called: Option<String>,
    /// When it was taken, as far as that is known.
    pub date: Option<String>,
    /// The photographer's mark.
    pub mark: Option<String>,
    /// What was written beside it.
    pub remark: Option<String>,
    /// Its proof, small, or why there is none.
    pub picture: Option<Result<Small, String>>,
    /// Film base, if it is known, and where it comes from.
    pub base: Option<Density>,
    /// rebate, batch, given, assumed.
    pub base_source: String,
    /// Net densities of the thin end, the median and the dense end.
    pub net: Option<[Density; 3]>,
    /// The grade, and how else it was printed than the batch.
    pub printed: Vec<String>,
    /// What to look at, the gravest first.
    pub flags: Vec<Flag>,
    /// How its tones are spread.
    pub tones: Option<TonesNotes>,
    /// Why its notes say nothing, if they cannot be read.
    pub notes_wrong: Option<String>,
    /// The prints made of it: what each is, and its file if that is there.
    pub prints: Vec<(String, Option<Link>)>,
    /// Its files.
    pub files: Vec<Link>,
}

/// A warning: its code, and what to do.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Flag {
    /// A stable name.
    pub code: String,
    /// What it says.
    pub message: String,
}

/// A scan of which nothing came.
#[derive(Clone, Debug, Default)]
pub struct Failure {
    /// Its file.
    pub scan: String,
    /// Why.
    pub reason: String,
}

/// A small JPEG.
#[derive(Clone, Debug)]
pub struct Small {
    /// Its bytes.
    pub jpeg: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
}

/// A file to go to.
#[derive(Clone, Debug, Default)]
pub struct Link {
    /// What it is.
    pub word: String,
    /// Where it lies, as a relative reference (RFC 3986, 4.2), percent-encoded.
    pub to: String,
}

impl Logbook {
    /// The frame before this one on the same scan of which the same is said; nothing if it is the first.
    fn told_before(&self, number: usize, flag: &Flag) -> Option<usize> {
        let scan = &self.entries[number].scan;
        let earlier = (0..number).rev().take_while(|i| self.entries[*i].scan == *scan);
        earlier.filter(|i| self.entries[*i].flags.contains(flag)).last()
    }
}

impl Entry {
    /// The name by which the page refers to an entry, from its place in the batch: names of files hold anything.
    fn anchor(number: usize) -> impl Display {
        format!("frame-{}", number + 1)
    }
}

#[cfg(test)]
pub(crate) mod tests;
