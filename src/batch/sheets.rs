//! The proof sheet of a batch: a PDF and its pages as pictures, saved as long as nobody else's are in the way.

use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::light::PixelsPerInch;
use crate::plane::Size;
use crate::save;
use crate::scan::Halt;
use crate::sheet::{self, Head, Lay, Looks, Sheet};

use super::folders::Folders;
use super::key::{Stamp, key};
use super::loupe::{Behind, look_behind, looked_at};
use super::seal::Seal;
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
    /// What its head says beside the name of the batch: what was chosen.
    pub chosen: Option<String>,
}

/// What became of a sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct SheetSaved {
    /// The PDF, and the JPEG pages.
    pub files: Vec<PathBuf>,
    /// Whether it was laid, or was there as it would be.
    pub laid: bool,
    /// What could not be looked at through the loupe, and why.
    pub failures: Vec<String>,
}

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed. A proof
/// that cannot be read back leaves an empty box that says so. Where nothing has changed the sheet is left as it is.
/// When `halt` is asked, the page in hand is finished and no more are begun; the next run lays the sheet again. With
/// `behind` come the pages of the loupe.
///
/// # Errors
/// When a page cannot be drawn or saved, or other hands changed the sheet: which, and why. When it is halted.
pub(super) fn save(
    shown: &[Shown],
    wanted: &Wanted,
    folders: &Folders,
    behind: Option<&Behind<'_>>,
    halt: &Halt,
) -> Result<SheetSaved, String> {
    let stem = &wanted.stem;
    let printing = Printing::of(shown);
    let head = head(shown, &printing, folders, wanted.chosen.as_deref());
    let pdf = folders.sheet(&format!("{stem}.pdf"));
    let page_file = |page: usize| folders.sheet(&format!("{stem}-{}.jpg", page + 1));
    let key = sheet_key(shown, &head, wanted, behind);
    let mut seal = Seal::of(folders.sheet(&format!(".{stem}")));
    if let Some(sealed) = seal.finished_by(&key).filter(|_| !wanted.force) {
        let files: Vec<_> = std::iter::once(pdf.clone()).chain((1..sealed).map(|file| page_file(file - 1))).collect();
        if files.iter().all(|file| file.is_file()) {
            return Ok(SheetSaved { files, ..SheetSaved::default() });
        }
    }

    // 1. Where the sheet goes lies nothing of other hands.
    let parts = parts(shown, wanted.kinds, &printing);
    let (looks, failures) = behind.map(|behind| looks(shown, behind)).unzip();
    if halt.is_asked() {
        return Err(STOPPED.to_owned());
    }
    let sheet = sheet::proof(&parts, looks.as_ref(), &head, &wanted.lay).map_err(|e| e.to_string())?;
    let failures = failures.unwrap_or_default();
    let pages: Vec<_> = (0..sheet.pages()).map(|page| (page, page_file(page))).collect();
    if !wanted.force {
        std::iter::once(&pdf)
            .chain(pages.iter().map(|(_, path)| path))
            .try_for_each(|file| seal.refuse_others(file))?;
    }

    // 2. The PDF, then the pages. Each is sealed before it has its name.
    let mut hashes = Vec::new();
    let saved = save::whole(&pdf, |file| {
        let mut out = BufWriter::new(Heeding { out: &mut *file, halt });
        sheet.write_pdf(&mut out)?;
        out.flush()?;
        drop(out);
        hashes.push(file.written().blake3);
        seal.expect(hashes.clone()).map_err(Unsaved::Seal)
    });
    saved.map_err(|error| match error {
        _ if halt.is_asked() => STOPPED.to_owned(),
        Unsaved::Seal(told) => told,
        Unsaved::Sheet(error) => of_page(&pdf, &error),
    })?;
    for some in pages.chunks(PAGES_AT_ONCE) {
        if halt.is_asked() {
            return Err(STOPPED.to_owned());
        }
        let jpegs: Result<Vec<_>, _> =
            some.par_iter().map(|(page, path)| jpeg(&sheet, *page, wanted.ppi, path)).collect();
        let jpegs = jpegs?;
        let of_these: Vec<String> = jpegs.iter().map(|jpeg| blake3::hash(jpeg).to_hex().to_string()).collect();
        seal.expect(of_these.clone())?;
        hashes.extend(of_these);
        some.iter().zip(&jpegs).try_for_each(|((_, path), jpeg)| write(path, jpeg))?;
    }

    // 3. Pages of an earlier, longer sheet go; what others put under such a name stays.
    for path in (sheet.pages()..).map(page_file).take_while(|path| path.exists()) {
        if path.is_file() && seal.vouches_for(&path)? {
            fs::remove_file(&path).map_err(|e| failed(&path, &e))?;
        }
    }
    // What could not be looked at is tried again, and told again, by the next run.
    seal.finish(if failures.is_empty() { key } else { String::new() }, hashes)?;
    let files = std::iter::once(pdf).chain(pages.into_iter().map(|(_, path)| path)).collect();
    Ok(SheetSaved { files, laid: true, failures })
}

fn looks(shown: &[Shown], behind: &Behind<'_>) -> (Looks, Vec<String>) {
    let (frames, failures) = look_behind(shown, behind);
    (Looks { lay: behind.lay, frames }, failures)
}

/// That a person stopped it, and how to go on.
pub(super) const STOPPED: &str =
    "stopped: the sheet is not finished, and all files are whole: run the same again to go on";

/// Takes no more when it is asked to stop.
struct Heeding<'a, W> {
    out: W,
    halt: &'a Halt,
}

impl<W: Write> Write for Heeding<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.halt.is_asked() { Err(io::Error::other(STOPPED)) } else { self.out.write(bytes) }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

fn head(shown: &[Shown], printing: &Printing, folders: &Folders, chosen: Option<&str>) -> Head {
    let Printing { paper, table, .. } = printing;
    let none = shown.iter().all(|shown| shown.failure().is_some());
    let paper_and_table = if none { String::new() } else { format!("{paper} \u{b7} grades after {table}") };
    Head {
        title: chosen.map_or_else(|| folders.name(), |chosen| format!("{}: {chosen}", folders.name())),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: String::new(),
        paper_and_table,
        densities: if none { String::new() } else { densities(shown).to_owned() },
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

/// A page as a picture.
fn jpeg(sheet: &Sheet, page: usize, ppi: PixelsPerInch, path: &Path) -> Result<Vec<u8>, String> {
    let picture = sheet.raster(page, ppi).map_err(|e| of_page(path, &e))?;
    let size = Size { width: picture.width(), height: picture.height() };
    save::grey_jpeg(picture.as_raw(), size, Some(ppi)).map_err(|e| failed(path, &e))
}

/// Whether an earlier run, or somebody else, left a sheet.
pub(super) fn is_there(folders: &Folders) -> bool {
    folders.sheet(&format!("{PROOF_SHEET}.pdf")).exists()
}

/// Everything that a sheet shows but the day. Pictures are told by when they were made, not read.
fn sheet_key(shown: &[Shown], head: &Head, wanted: &Wanted, behind: Option<&Behind<'_>>) -> String {
    let Wanted { lay, kinds, ppi, .. } = wanted;
    let laid = format!("{} {:?} {} {kinds:?} {}", lay.page, lay.grid, lay.contact, ppi.value());
    let mut parts = vec![head.title.clone(), head.paper_and_table.clone(), head.densities.clone(), laid];
    for of in shown {
        let Shown { row, called, date, marked, gone, on_film, .. } = of;
        let stamp = |path: PathBuf| Stamp::of(&path).map(|stamp| stamp.modified).unwrap_or_default();
        let proof = kinds.graded.then(|| stamp(of.proof()));
        let straight = kinds.straight.then(|| stamp(of.straight()));
        let on_film = on_film.filter(|_| lay.contact);
        let looked = behind.map(|behind| looked_at(of, behind.scans));
        parts.push(format!(
            "{row:?} {called:?} {date:?} {marked:?} {gone:?} {on_film:?} {proof:?} {straight:?} {looked:?}"
        ));
    }
    key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
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
        fs::write(&proof, save::grey_jpeg(&[90; 35], Size { width: 7, height: 5 }, None).unwrap()).unwrap();
        let shown = [Shown::of(Row { frame: "coil".to_owned(), ..Row::default() }, 1, &folders)];
        let parts = parts(&shown, Kinds { straight: false, graded: true }, &Printing::of(&shown));
        let lay = Lay { page: PageSize::A4, grid: None, contact: false };
        let sheet = sheet::proof(&parts, None, &Head::default(), &lay).unwrap();
        fs::remove_file(&proof).unwrap();
        let pdf = folders.sheet("proof-sheet.pdf");
        let told = of_page(&pdf, &sheet.write_pdf(&mut Vec::new()).unwrap_err());
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = jpeg(&sheet, 0, PixelsPerInch::new(PAGE_PPI).unwrap(), &pdf).unwrap_err();
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = of_page(&pdf, &io::Error::from(io::ErrorKind::StorageFull).into());
        assert!(told.starts_with(&format!("{}: cannot write", pdf.display())), "{told}");
    }

    #[test]
    fn a_sheet_that_is_halted_says_how_to_go_on_and_is_not_finished() {
        let top = tempfile::tempdir().unwrap();
        let folders = Folders::of_results(top.path(), "loft");
        fs::create_dir_all(folders.sheet("x").parent().unwrap()).unwrap();
        let shown = [Shown::failed("coil.tif", "torn".to_owned(), &folders)];
        let wanted = Wanted {
            stem: PROOF_SHEET.to_owned(),
            lay: Lay { page: PageSize::A4, grid: None, contact: false },
            kinds: Kinds::BOTH,
            ppi: PixelsPerInch::new(PAGE_PPI).unwrap(),
            force: false,
            chosen: None,
        };
        let halt = Halt::default();
        halt.ask();
        let told = save(&shown, &wanted, &folders, None, &halt).unwrap_err();
        assert!(told.starts_with("stopped") && told.ends_with("run the same again to go on"), "{told}");
        assert!(!is_there(&folders), "no half of it has a name");
        assert!(save(&shown, &wanted, &folders, None, &Halt::default()).unwrap().laid);
        assert!(!save(&shown, &wanted, &folders, None, &halt).unwrap().laid, "it is up to date");
    }
}
