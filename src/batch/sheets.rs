//! The proof sheet of a batch: pages of all frames in order.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use crate::light::PixelsPerInch;
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Frame, Head, PageSize, Picture};

use super::entry::Entry;
use super::folders::Folders;
use super::frame::{Decided, GRADES, PAPER};
use super::outcome::{Done, DoneScan};

/// Resolution of the JPEG pages: fine enough to read captions on a large screen.
const PAGE_PPI: f64 = 200.0;

/// The sheet's PDF, and how the names of its JPEG pages begin.
const STEM: &str = "proof-sheet";

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed. A proof that
/// cannot be read back leaves an empty box that says so.
///
/// # Errors
/// When a page cannot be drawn or saved: which, and why.
pub(super) fn save(
    scans: &[Done],
    entries: &[Entry],
    size: PageSize,
    folders: &Folders,
) -> Result<Vec<PathBuf>, String> {
    let frames: Vec<_> = scans.iter().zip(entries).flat_map(|(done, entry)| frames(done, entry, folders)).collect();
    let head = Head {
        title: folders.scans().file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: "graded: each frame in the grade under it".to_owned(),
        paper_and_table: format!("{} \u{b7} grades after {}", PAPER.name(), GRADES.name()),
    };
    let sheet = sheet::proof(&frames, &head, size);
    let ppi = PixelsPerInch::new(PAGE_PPI).expect("a page has pixels");

    let pdf = folders.sheet(&format!("{STEM}.pdf"));
    write(&pdf, &sheet.pdf().map_err(|e| failed(&pdf, &e))?)?;
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
    Ok(files)
}

fn frames(done: &Done, entry: &Entry, folders: &Folders) -> Vec<Frame> {
    match &done.result {
        Err(error) => {
            // On paper the names of files say enough.
            let reason = error.replace(&format!("{}/", folders.out().display()), "");
            vec![Frame { name: entry.name.clone(), failed: Some(reason), ..Frame::default() }]
        }
        Ok(of) => of.frames.iter().map(|frame| one(of, frame, entry, folders)).collect(),
    }
}

fn one(of: &DoneScan, frame: &Decided, entry: &Entry, folders: &Folders) -> Frame {
    let path = folders.proof(&frame.name);
    let proof = fs::read(&path)
        .map_err(|e| failed(&path, &e))
        .and_then(|jpeg| Picture::from_jpeg(jpeg).map_err(|e| failed(&path, &e)));
    let (picture, failed) = match proof {
        Ok(picture) => (Some(picture), None),
        Err(why) => (None, Some(why)),
    };
    let stops = frame.exposure.value();
    let exposure = if stops == 0.0 { String::new() } else { format!(", {stops:+} stop") };
    Frame {
        name: frame.name.clone(),
        picture,
        subject: entry.state.as_ref().ok().and_then(|known| known.subject.clone()),
        base: (of.base_source != "assumed").then(|| frame.base.value()),
        range: Some(frame.range().value()),
        grade: Some(format!("{}{exposure}", frame.grade)),
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
