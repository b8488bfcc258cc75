//! The paper and the table of grades that the settings name.

use std::path::Path;
use std::sync::Arc;

use crate::notes::text_of;
use crate::paper::{FileError, GradeTable, Paper, Stock, read_paper, read_table, shelf};

use super::settings::{Kept, Settings};

/// Takes both from the shelf, or reads them.
///
/// # Errors
/// What is wrong with a file of a person's own, and where it is.
pub(super) fn stock(settings: &Settings) -> Result<Arc<Stock>, String> {
    with_texts(settings).map(|(stock, _)| stock)
}

/// The same, with what is in their files where they are a person's own: the paper's, and the table's.
///
/// # Errors
/// Those of [`stock`].
pub(super) fn with_texts(settings: &Settings) -> Result<(Arc<Stock>, [Option<String>; 2]), String> {
    let ((paper, of_paper), (table, of_table)) = (paper(settings)?, table(settings)?);
    Ok((Arc::new(Stock::new(paper, table)), [of_paper, of_table]))
}

/// The paper alone, with what is in its file.
///
/// # Errors
/// Those of [`stock`].
pub(super) fn paper(settings: &Settings) -> Result<(Paper, Option<String>), String> {
    take(&settings.paper, "paper", shelf::paper, read_paper)
}

/// And the table of grades alone.
///
/// # Errors
/// Those of [`stock`].
pub(super) fn table(settings: &Settings) -> Result<(GradeTable, Option<String>), String> {
    take(&settings.grades, "table of grades", shelf::table, read_table)
}

fn take<T: Clone + 'static>(
    kept: &Kept,
    what: &str,
    shelf: impl Fn(&str) -> Option<&'static T>,
    read: impl Fn(&str) -> Result<T, FileError>,
) -> Result<(T, Option<String>), String> {
    match kept {
        Kept::Shelf(name) => {
            Ok((shelf(name).expect("names on the shelf were checked when they were set").clone(), None))
        }
        Kept::File(path) => open(path, what, read).map(|(own, text)| (own, Some(text))),
    }
}

fn open<T>(path: &Path, what: &str, read: impl Fn(&str) -> Result<T, FileError>) -> Result<(T, String), String> {
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let text = text_of(path).map_err(|e| wrong(&e))?;
    let text = text.ok_or_else(|| wrong(&format!("no such {what}: check its name and folder")))?;
    let own = read(&text).map_err(|e| wrong(&e))?;
    Ok((own, text))
}
