//! The proof sheet of a batch: pages of all frames in order.

use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::light::{PixelsPerInch, Stops};
use crate::notes::{Row, text_of};
use crate::paper::Placing;
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Frame, Head, PageSize, Picture, Sheet};

use super::closing::{Closing, Printing};
use super::folders::Folders;
use super::key::{Stamp, key, on_disk};
use super::write::write;

/// Resolution of the JPEG pages: fine enough to read captions on a large screen.
const PAGE_PPI: f64 = 200.0;

/// The sheet's PDF, and how the names of its JPEG pages begin.
const STEM: &str = "proof-sheet";

/// A hidden file that remembers what the sheet shows and the PDF as it was saved.
const SEAL: &str = ".proof-sheet";

/// A frame of the table as the sheet shows it, or a scan that failed.
#[derive(Debug)]
pub(super) struct Shown {
    row: Row,
    subject: Option<String>,
    /// The folder of results that it lies in, and its proof there.
    out: PathBuf,
    proof: PathBuf,
}

impl Shown {
    /// A row of a scan whose results lie in `folders`, and the photographer's name for the picture.
    pub(super) fn of(row: Row, subject: Option<String>, folders: &Folders) -> Self {
        let proof = folders.proof(&row.frame);
        Self { row, subject, out: folders.out().to_owned(), proof }
    }

    /// As the table has it.
    pub(super) fn row(&self) -> &Row {
        &self.row
    }

    /// What the photographer calls the picture.
    pub(super) fn subject(&self) -> Option<&str> {
        self.subject.as_deref()
    }

    /// The folder of results that it lies in.
    pub(super) fn out(&self) -> &Path {
        &self.out
    }

    /// Its proof there.
    pub(super) fn proof(&self) -> &Path {
        &self.proof
    }

    /// The scan and why it failed, if it did.
    pub(super) fn failure(&self) -> Option<(&str, &str)> {
        (!self.row.error.is_empty()).then_some((&self.row.scan, &self.row.error))
    }
}

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed. A proof that
/// cannot be read back leaves an empty box that says so. Where nothing has changed the sheet is left as it is.
///
/// # Errors
/// When a page cannot be drawn or saved, or other hands changed the sheet: which, and why.
pub(super) fn save(shown: &[Shown], closing: &Closing, folders: &Folders) -> Result<Vec<PathBuf>, String> {
    let size = closing.page;
    let densities = if closing.by_wedge { "densities by a step wedge" } else { "scanner densities" };
    let Printing { paper, table, .. } = &closing.printing;
    let head = Head {
        title: folders.name(),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: kind(&closing.printing),
        paper_and_table: format!("{paper} \u{b7} grades after {table} \u{b7} {densities}"),
    };
    let pdf = folders.sheet(&format!("{STEM}.pdf"));
    let sealed = folders.sheet(SEAL);
    let key = sheet_key(shown, &head, size);
    let (key_before, ours) = seal_before(&sealed);
    if pdf.exists() && !closing.force {
        if key_before == key {
            return Ok(pages_there(pdf, folders));
        }
        if !ours.contains(&on_disk(&pdf).map_err(|e| failed(&pdf, &e))?.blake3) {
            let what = "it was put there or changed by other hands: move it away, or run with --force";
            return Err(failed(&pdf, &what));
        }
    }
    let frames: Vec<_> = shown.par_iter().map(|shown| frame(shown, &closing.printing)).collect();
    let sheet = sheet::proof(&frames, &head, size);
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
    let pages: Vec<_> =
        (0..sheet.pages()).map(|page| (page, folders.sheet(&format!("{STEM}-{}.jpg", page + 1)))).collect();
    for some in pages.chunks(PAGES_AT_ONCE) {
        some.par_iter().try_for_each(|(page, path)| save_page(&sheet, *page, path))?;
    }
    let files = std::iter::once(pdf).chain(pages.into_iter().map(|(_, path)| path)).collect();
    remove_pages_after(sheet.pages(), folders)?;
    write(&sealed, format!("{key}\n{hash}\n").as_bytes())?;
    Ok(files)
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

fn save_page(sheet: &Sheet, page: usize, path: &Path) -> Result<(), String> {
    let ppi = PixelsPerInch::new(PAGE_PPI).expect("a page has pixels");
    let picture = sheet.raster(page, ppi).map_err(|e| of_page(path, &e))?;
    let size = Size { width: picture.width(), height: picture.height() };
    let jpeg = save::grey_jpeg(picture.as_raw(), size, Some(ppi)).map_err(|e| failed(path, &e))?;
    write(path, &jpeg)
}

/// Whether an earlier run, or somebody else, left a sheet.
pub(super) fn is_there(folders: &Folders) -> bool {
    folders.sheet(&format!("{STEM}.pdf")).exists()
}

/// How the frames were printed, as far as all of them were alike.
pub(super) fn kind(Printing { place, dry_down, .. }: &Printing) -> String {
    let graded = "graded: each frame in the grade under it";
    let placed = match place {
        Placing::Highlights => "",
        Placing::Shadows => ", placed by its shadows",
        Placing::Fixed => ", one exposure for all: film base is black in grade 2",
        Placing::Spot { .. } => ", placed by a spot",
    };
    let dry_down = match dry_down.percent() {
        0.0 => String::new(),
        _ => format!(", {dry_down} less exposure for dry-down"),
    };
    format!("{graded}{placed}{dry_down}")
}

/// Everything that a sheet shows but the day. Proofs are told by when they were made, not read.
fn sheet_key(shown: &[Shown], head: &Head, size: PageSize) -> String {
    let mut parts = vec![head.title.clone(), head.kind.clone(), head.paper_and_table.clone(), size.to_string()];
    for Shown { row, subject, proof, .. } in shown {
        let proof = Stamp::of(proof).map(|stamp| stamp.modified).unwrap_or_default();
        parts.push(format!("{row:?} {subject:?} {proof}"));
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

fn pages_there(pdf: PathBuf, folders: &Folders) -> Vec<PathBuf> {
    let pages = (1..).map(|page| folders.sheet(&format!("{STEM}-{page}.jpg"))).take_while(|page| page.exists());
    std::iter::once(pdf).chain(pages).collect()
}

fn frame(shown: &Shown, of_batch: &Printing) -> Frame {
    let Shown { row, subject, out, proof } = shown;
    if let Some((_, error)) = shown.failure() {
        // On paper the names of files say enough.
        let reason = error.replace(&format!("{}/", out.display()), "");
        let name = Path::new(&row.scan).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        return Frame { name, failed: Some(reason), ..Frame::default() };
    }
    let path = proof.clone();
    let (picture, failed) = match Picture::fetched(&proof.display().to_string(), move || fs::read(&path)) {
        Ok(picture) => (Some(picture), None),
        Err(why) => (None, Some(why.to_string())),
    };
    Frame {
        name: row.frame.clone(),
        picture,
        subject: subject.clone(),
        base: row.base.filter(|_| row.base_source != "assumed"),
        range: row.range,
        grade: Some(graded(row)),
        printed: printed(row, of_batch),
        flags: row.flags.split_whitespace().map(|code| code.replace('-', " ")).collect(),
        failed,
    }
}

/// The grade, of a split exposure the one that it comes near to, with the stops beyond the placing: "2",
/// "2 1/2, +1/3 stop", "about 1".
pub(super) fn graded(row: &Row) -> String {
    let grade = if row.equivalent.is_empty() { row.grade.clone() } else { format!("about {}", row.equivalent) };
    match row.exposure {
        Some(stops) if stops.abs() > 1.0 => format!("{grade}, {} stops", Stops::new(stops)),
        Some(stops) if stops != 0.0 => format!("{grade}, {} stop", Stops::new(stops)),
        _ => grade,
    }
}

/// How else the frame was printed than the head says of the batch.
pub(super) fn printed(row: &Row, of_batch: &Printing) -> Vec<String> {
    let other = |own: &str, of_batch: &str, what: &str| (own != of_batch).then(|| format!("{what} {own}"));
    let dry_down = row.dry_down.map_or_else(String::new, |percent| format!("{percent}%"));
    let all = [
        (!row.split.is_empty()).then(|| format!("split {}", row.split)),
        other(&row.place, &of_batch.place.to_string(), "placed by"),
        other(&dry_down, &of_batch.dry_down.to_string(), "dry-down"),
        other(&row.paper, &of_batch.paper, "paper"),
        other(&row.table, &of_batch.table, "grades after"),
    ];
    all.into_iter().flatten().collect()
}

fn remove_pages_after(pages: usize, folders: &Folders) -> Result<(), String> {
    for page in pages + 1.. {
        let path = folders.sheet(&format!("{STEM}-{page}.jpg"));
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

    #[test]
    fn a_proof_that_goes_while_the_sheet_is_written_is_named_itself() {
        let top = tempfile::tempdir().unwrap();
        let folders = Folders::of_results(top.path(), "loft");
        let proof = folders.proof("coil");
        fs::create_dir(proof.parent().unwrap()).unwrap();
        let jpeg = save::grey_jpeg(&[90; 35], Size { width: 7, height: 5 }, None).unwrap();
        fs::write(&proof, jpeg).unwrap();
        let shown = Shown::of(Row { frame: "coil".to_owned(), ..Row::default() }, None, &folders);
        let sheet = sheet::proof(&[frame(&shown, &Printing::default())], &Head::default(), PageSize::A4);
        fs::remove_file(&proof).unwrap();
        let pdf = folders.sheet("proof-sheet.pdf");
        let told = of_page(&pdf, &sheet.write_pdf(&mut Vec::new()).unwrap_err());
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = save_page(&sheet, 0, &pdf).unwrap_err();
        assert!(told.starts_with(&format!("{}: the picture", proof.display())), "{told}");
        let told = of_page(&pdf, &io::Error::from(io::ErrorKind::StorageFull).into());
        assert!(told.starts_with(&format!("{}: cannot write", pdf.display())), "{told}");
    }
}
