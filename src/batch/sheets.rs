//! The proof sheet of a batch: a PDF and its pages as pictures, saved as long as nobody else's are in the way.

use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::light::PixelsPerInch;
use crate::notes::text_of;
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Head, Lay, Sheet};

use super::folders::Folders;
use super::key::{Stamp, key, on_disk};
use super::sheet_parts::{Kinds, Printing, densities, parts};
use super::shown::Shown;
use super::write::write;

/// Resolution of the JPEG pages unless another is asked for: fine enough to read captions on a large screen.
pub const PAGE_PPI: f64 = 200.0;

/// The sheet of all frames of a batch: its PDF, and how the names of its JPEG pages begin.
pub(super) const PROOF_SHEET: &str = "proof-sheet";

/// How a sheet is laid.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wanted {
    /// Name of the PDF, and how those of the pages begin.
    pub stem: String,
    /// Paper, grid, and whether by contact.
    pub lay: Lay,
    /// Which kinds of pages.
    pub kinds: Kinds,
    /// Resolution of the JPEG pages.
    pub ppi: PixelsPerInch,
    /// Replace a sheet of other hands.
    pub force: bool,
}

/// What became of a sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct SheetSaved {
    /// The PDF, and the JPEG pages.
    pub files: Vec<PathBuf>,
    /// Whether it was laid, or was there as it would be.
    pub laid: bool,
}

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed. A proof that
/// cannot be read back leaves an empty box that says so. Where nothing has changed the sheet is left as it is.
///
/// # Errors
/// When a page cannot be drawn or saved, or other hands changed the sheet: which, and why.
pub(super) fn save(shown: &[Shown], wanted: &Wanted, folders: &Folders) -> Result<SheetSaved, String> {
    let stem = &wanted.stem;
    let printing = Printing::of(shown);
    let head = head(shown, &printing, folders);
    let pdf = folders.sheet(&format!("{stem}.pdf"));
    // A hidden file remembers what the sheet shows and the PDF as it was saved.
    let sealed = folders.sheet(&format!(".{stem}"));
    let key = sheet_key(shown, &head, wanted);
    let (key_before, ours) = seal_before(&sealed);
    if pdf.exists() && !wanted.force {
        if key_before == key {
            return Ok(SheetSaved { files: pages_there(pdf, stem, folders), laid: false });
        }
        if !ours.contains(&on_disk(&pdf).map_err(|e| failed(&pdf, &e))?.blake3) {
            let what = "it was put there or changed by other hands: move it away, or run with --force";
            return Err(failed(&pdf, &what));
        }
    }
    let sheet = sheet::proof(&parts(shown, wanted.kinds, &printing), &head, &wanted.lay).map_err(|e| e.to_string())?;
    let mut hash = String::new();
    let saved = save::whole(&pdf, |file| {
        let mut out = BufWriter::new(&mut *file);
        sheet.write_pdf(&mut out)?;
        out.flush()?;
        drop(out);
        hash = file.written().blake3;
        // The seal comes before the PDF has its name, without a key and good for the old PDF and the new one: wherever a run is
        // broken off, the next knows the sheet as its own and as not finished.
        write(&sealed, format!("\n{hash}\n{}\n", ours.join("\n")).as_bytes()).map_err(Unsaved::Seal)
    });
    saved.map_err(|error| match error {
        Unsaved::Seal(told) => told,
        Unsaved::Sheet(error) => of_page(&pdf, &error),
    })?;
    let pages: Vec<_> = (0..sheet.pages()).map(|page| (page, page_file(stem, page + 1, folders))).collect();
    for some in pages.chunks(PAGES_AT_ONCE) {
        some.par_iter().try_for_each(|(page, path)| save_page(&sheet, *page, wanted.ppi, path))?;
    }
    let files = std::iter::once(pdf).chain(pages.into_iter().map(|(_, path)| path)).collect();
    remove_pages_after(sheet.pages(), stem, folders)?;
    write(&sealed, format!("{key}\n{hash}\n").as_bytes())?;
    Ok(SheetSaved { files, laid: true })
}

fn head(shown: &[Shown], printing: &Printing, folders: &Folders) -> Head {
    let densities = densities(shown);
    let Printing { paper, table, .. } = printing;
    Head {
        title: folders.name(),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: String::new(),
        paper_and_table: format!("{paper} \u{b7} grades after {table} \u{b7} {densities}"),
    }
}

/// Why the PDF was not saved.
enum Unsaved {
    Sheet(sheet::Error),
    /// In words, with the seal's path.
    Seal(String),
}

impl From<sheet::Error> for Unsaved {
    fn from(error: sheet::Error) -> Self {
        Self::Sheet(error)
    }
}

impl From<io::Error> for Unsaved {
    fn from(error: io::Error) -> Self {
        Self::Sheet(error.into())
    }
}

/// Pages drawn side by side: each holds some tens of megabytes.
const PAGES_AT_ONCE: usize = 4;

fn save_page(sheet: &Sheet, page: usize, ppi: PixelsPerInch, path: &Path) -> Result<(), String> {
    let picture = sheet.raster(page, ppi).map_err(|e| of_page(path, &e))?;
    let size = Size { width: picture.width(), height: picture.height() };
    let jpeg = save::grey_jpeg(picture.as_raw(), size, Some(ppi)).map_err(|e| failed(path, &e))?;
    write(path, &jpeg)
}

/// Whether an earlier run, or somebody else, left a sheet.
pub(super) fn is_there(folders: &Folders) -> bool {
    folders.sheet(&format!("{PROOF_SHEET}.pdf")).exists()
}

/// Everything that a sheet shows but the day. Pictures are told by when they were made, not read.
fn sheet_key(shown: &[Shown], head: &Head, wanted: &Wanted) -> String {
    let Wanted { lay, kinds, ppi, .. } = wanted;
    let laid = format!("{} {:?} {} {kinds:?} {}", lay.page, lay.grid, lay.contact, ppi.value());
    let mut parts = vec![head.title.clone(), head.paper_and_table.clone(), laid];
    for of in shown {
        let Shown { row, subject, date, marked, gone, on_film, .. } = of;
        let stamp = |path: PathBuf| Stamp::of(&path).map(|stamp| stamp.modified).unwrap_or_default();
        let proof = kinds.graded.then(|| stamp(of.proof()));
        let straight = kinds.straight.then(|| stamp(of.straight()));
        let on_film = on_film.filter(|_| lay.contact);
        parts.push(format!("{row:?} {subject:?} {date:?} {marked:?} {gone:?} {on_film:?} {proof:?} {straight:?}"));
    }
    key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Key of the sheet as it was finished, empty if it was not, and hashes of the PDFs that are the program's own.
pub(super) fn seal_before(sealed: &Path) -> (String, Vec<String>) {
    // A seal that cannot be read vouches for nothing: the sheet is then taken for another's.
    let text = text_of(sealed).ok().flatten().unwrap_or_default();
    let mut lines = text.lines().map(str::to_owned);
    (lines.next().unwrap_or_default(), lines.collect())
}

/// A page as a picture, counted from 1.
fn page_file(stem: &str, page: usize, folders: &Folders) -> PathBuf {
    folders.sheet(&format!("{stem}-{page}.jpg"))
}

fn pages_there(pdf: PathBuf, stem: &str, folders: &Folders) -> Vec<PathBuf> {
    let pages = (1..).map(|page| page_file(stem, page, folders)).take_while(|page| page.exists());
    std::iter::once(pdf).chain(pages).collect()
}

fn remove_pages_after(pages: usize, stem: &str, folders: &Folders) -> Result<(), String> {
    for page in pages + 1.. {
        let path = page_file(stem, page, folders);
        if !path.exists() {
            break;
        }
        fs::remove_file(&path).map_err(|e| failed(&path, &e))?;
    }
    Ok(())
}

/// What goes wrong with a proof names the proof, all else the file of the sheet.
fn of_page(path: &Path, error: &sheet::Error) -> String {
    match error {
        sheet::Error::Picture { .. } => error.to_string(),
        error => failed(path, error),
    }
}

fn failed(path: &Path, error: &dyn std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notes::Row;
    use crate::sheet::PageSize;

    #[test]
    fn a_proof_that_goes_while_the_sheet_is_written_is_named_itself() {
        let top = tempfile::tempdir().unwrap();
        let folders = Folders::of_results(top.path(), "loft");
        let proof = folders.proof("coil");
        fs::create_dir(proof.parent().unwrap()).unwrap();
        let jpeg = save::grey_jpeg(&[90; 35], Size { width: 7, height: 5 }, None).unwrap();
        fs::write(&proof, jpeg).unwrap();
        let shown = [Shown::of(Row { frame: "coil".to_owned(), ..Row::default() }, 1, &folders)];
        let parts = parts(&shown, Kinds { straight: false, graded: true }, &Printing::of(&shown));
        let lay = Lay { page: PageSize::A4, grid: None, contact: false };
        let sheet = sheet::proof(&parts, &Head::default(), &lay).unwrap();
        fs::remove_file(&proof).unwrap();
        let pdf = folders.sheet("proof-sheet.pdf");
        let told = of_page(&pdf, &sheet.write_pdf(&mut Vec::new()).unwrap_err());
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = save_page(&sheet, 0, PixelsPerInch::new(PAGE_PPI).unwrap(), &pdf).unwrap_err();
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = of_page(&pdf, &io::Error::from(io::ErrorKind::StorageFull).into());
        assert!(told.starts_with(&format!("{}: cannot write", pdf.display())), "{told}");
    }
}
