//! The proof sheet of a batch: pages of all frames in order.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use crate::light::PixelsPerInch;
use crate::notes::text_of;
use crate::paper::{Placing, Stock};
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Frame, Head, PageSize, Picture};

use super::entry::Entry;
use super::folders::Folders;
use super::frame::Decided;
use super::key::{Seal, Stamp, key};
use super::outcome::{Done, DoneScan};
use super::settings::Settings;

/// Resolution of the JPEG pages: fine enough to read captions on a large screen.
const PAGE_PPI: f64 = 200.0;

/// The sheet's PDF, and how the names of its JPEG pages begin.
const STEM: &str = "proof-sheet";

/// A hidden file that remembers what the sheet shows and the PDF as it was saved.
const SEAL: &str = ".proof-sheet";

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed. A proof that
/// cannot be read back leaves an empty box that says so. Where nothing has changed the sheet is left as it is.
///
/// # Errors
/// When a page cannot be drawn or saved, or other hands changed the sheet: which, and why.
pub(super) fn save(
    scans: &[Done],
    entries: &[Entry],
    (settings, stock): (&Settings, &Stock),
    folders: &Folders,
    force: bool,
) -> Result<Vec<PathBuf>, String> {
    let size = settings.page;
    let densities = if settings.wedge.is_some() { "densities by a step wedge" } else { "scanner densities" };
    let frames: Vec<_> =
        scans.iter().zip(entries).flat_map(|(done, entry)| frames(done, entry, folders, (settings, stock))).collect();
    let head = Head {
        title: folders.name(),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: kind(settings),
        paper_and_table: format!(
            "{} \u{b7} grades after {} \u{b7} {densities}",
            stock.paper().name(),
            stock.table().name()
        ),
    };
    let pdf = folders.sheet(&format!("{STEM}.pdf"));
    let sealed = folders.sheet(SEAL);
    let key = sheet_key(&frames, &head, size, folders);
    let (key_before, ours) = seal_before(&sealed);
    if pdf.exists() && !force {
        if key_before == key {
            return Ok(pages_there(pdf, folders));
        }
        if !ours.contains(&Seal::of(&pdf).map_err(|e| failed(&pdf, &e))?.blake3) {
            let what = "it was put there or changed by other hands: move it away, or run with --force";
            return Err(failed(&pdf, &what));
        }
    }
    let sheet = sheet::proof(&frames, &head, size);
    let ppi = PixelsPerInch::new(PAGE_PPI).expect("a page has pixels");

    // The seal comes first, without a key and good for the old PDF and the new one: wherever a run is broken off, the next
    // knows the sheet as its own and as not finished.
    let bytes = sheet.pdf().map_err(|e| failed(&pdf, &e))?;
    let hash = blake3::hash(&bytes).to_hex().to_string();
    write(&sealed, format!("\n{hash}\n{}\n", ours.join("\n")).as_bytes())?;
    write(&pdf, &bytes)?;
    let mut files = vec![pdf];
    for page in 0..sheet.pages() {
        let path = folders.sheet(&format!("{STEM}-{}.jpg", page + 1));
        let picture = sheet.raster(page, ppi).map_err(|e| failed(&path, &e))?;
        let size = Size { width: picture.width(), height: picture.height() };
        let jpeg = save::grey_jpeg(picture.as_raw(), size, Some(ppi)).map_err(|e| failed(&path, &e))?;
        write(&path, &jpeg)?;
        files.push(path);
    }
    remove_pages_after(sheet.pages(), folders)?;
    write(&sealed, format!("{key}\n{hash}\n").as_bytes())?;
    Ok(files)
}

/// Whether an earlier run, or somebody else, left a sheet.
pub(super) fn is_there(folders: &Folders) -> bool {
    folders.sheet(&format!("{STEM}.pdf")).exists()
}

/// How the frames were printed, as far as all of them were alike.
fn kind(settings: &Settings) -> String {
    let graded = "graded: each frame in the grade under it";
    let placed = match settings.place {
        Placing::Highlights => "",
        Placing::Shadows => ", placed by its shadows",
        Placing::Fixed => ", one exposure for all: film base is black in grade 2",
        Placing::Spot { .. } => ", placed by a spot",
    };
    let dry_down = match settings.dry_down.percent() {
        0.0 => String::new(),
        _ => format!(", {} less exposure for dry-down", settings.dry_down),
    };
    format!("{graded}{placed}{dry_down}")
}

/// Everything that a sheet shows but the day.
fn sheet_key(frames: &[Frame], head: &Head, size: PageSize, folders: &Folders) -> String {
    let mut parts = vec![head.title.clone(), head.kind.clone(), head.paper_and_table.clone(), size.to_string()];
    for frame in frames {
        let Frame { name, subject, base, range, grade, printed, flags, failed, .. } = frame;
        let proof = Stamp::of(&folders.proof(name)).map(|stamp| stamp.modified).unwrap_or_default();
        parts.push(format!(
            "{name:?} {subject:?} {base:?} {range:?} {grade:?} {printed:?} {flags:?} {failed:?} {proof}"
        ));
    }
    key(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

/// Key of the sheet as it was finished, empty if it was not, and hashes of the PDFs that are the program's own.
fn seal_before(sealed: &Path) -> (String, Vec<String>) {
    // A seal that cannot be read vouches for nothing: the sheet is then taken for another's.
    let text = text_of(sealed).ok().flatten().unwrap_or_default();
    let mut lines = text.lines().map(str::to_owned);
    (lines.next().unwrap_or_default(), lines.collect())
}

fn pages_there(pdf: PathBuf, folders: &Folders) -> Vec<PathBuf> {
    let pages = (1..).map(|page| folders.sheet(&format!("{STEM}-{page}.jpg"))).take_while(|page| page.exists());
    std::iter::once(pdf).chain(pages).collect()
}

fn frames(done: &Done, entry: &Entry, folders: &Folders, of_batch: (&Settings, &Stock)) -> Vec<Frame> {
    match &done.result {
        Err(error) => {
            // On paper the names of files say enough.
            let reason = error.replace(&format!("{}/", folders.out().display()), "");
            vec![Frame { name: entry.name.clone(), failed: Some(reason), ..Frame::default() }]
        }
        Ok(of) => of.frames.iter().map(|frame| one(of, frame, entry, folders, of_batch)).collect(),
    }
}

fn one(of: &DoneScan, frame: &Decided, entry: &Entry, folders: &Folders, of_batch: (&Settings, &Stock)) -> Frame {
    let path = folders.proof(&frame.name);
    let proof = fs::read(&path)
        .map_err(|e| failed(&path, &e))
        .and_then(|jpeg| Picture::from_jpeg(jpeg).map_err(|e| failed(&path, &e)));
    let (picture, failed) = match proof {
        Ok(picture) => (Some(picture), None),
        Err(why) => (None, Some(why)),
    };
    // The head names those of the batch.
    let (settings, stock) = of_batch;
    let other = |own: &str, of_batch: &str, what: &str| (own != of_batch).then(|| format!("{what} {own}"));
    let printed = [
        frame.split.map(|split| format!("split {split}")),
        other(&frame.placing.to_string(), &settings.place.to_string(), "placed by"),
        other(&frame.dry_down.to_string(), &settings.dry_down.to_string(), "dry-down"),
        other(frame.stock.paper().name(), stock.paper().name(), "paper"),
        other(frame.stock.table().name(), stock.table().name(), "grades after"),
    ];
    Frame {
        name: frame.name.clone(),
        picture,
        subject: entry.state.as_ref().ok().and_then(|known| known.subject.clone()),
        base: (of.base_source != "assumed").then(|| frame.base.value()),
        range: Some(frame.range().value()),
        grade: Some(frame.printed_as()),
        printed: printed.into_iter().flatten().collect(),
        flags: of.warnings.iter().filter(|w| w.is_about(frame.number)).map(|w| w.code.replace('-', " ")).collect(),
        failed,
    }
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

fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    save::whole(path, |file| file.write_all(bytes)).map_err(|e| failed(path, &e))
}

fn failed(path: &Path, error: &dyn std::fmt::Display) -> String {
    format!("{}: {error}", path.display())
}
