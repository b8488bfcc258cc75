//! The paper and the table of grades that the settings name.

use std::path::Path;
use std::sync::Arc;

use crate::notes::text_of;
use crate::paper::{FileError, Stock, read_paper, read_table, shelf};

use super::settings::{Kept, Settings};

/// Takes both from the shelf, or reads them.
///
/// # Errors
/// What is wrong with a file of a person's own, and where it is.
pub(super) fn stock(settings: &Settings) -> Result<Arc<Stock>, String> {
    let paper = take(&settings.paper, "paper", shelf::paper, read_paper)?;
    let table = take(&settings.grades, "table of grades", shelf::table, read_table)?;
    Ok(Arc::new(Stock::new(paper, table)))
}

fn take<T: Clone + 'static>(
    kept: &Kept,
    what: &str,
    shelf: impl Fn(&str) -> Option<&'static T>,
    read: impl Fn(&str) -> Result<T, FileError>,
) -> Result<T, String> {
    match kept {
        Kept::Shelf(name) => Ok(shelf(name).expect("names on the shelf were checked when they were set").clone()),
        Kept::File(path) => open(path, what, read),
    }
}

fn open<T>(path: &Path, what: &str, read: impl Fn(&str) -> Result<T, FileError>) -> Result<T, String> {
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let text = text_of(path).map_err(|e| wrong(&e))?;
    let text = text.ok_or_else(|| wrong(&format!("no such {what}: check its name and folder")))?;
    read(&text).map_err(|e| wrong(&e))
}
