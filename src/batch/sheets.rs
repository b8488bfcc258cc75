//! The proof sheet of a batch: pages of all frames in order.

use std::fs;
use std::io::Write;
use std::path::PathBuf;

use crate::light::PixelsPerInch;
use crate::notes::WarningNote;
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Frame, Head, PageSize, Picture};

use super::folders::Folders;
use super::frame::{Decided, GRADES, PAPER};
use super::ready::Ready;
use super::{Done, DoneFrames, Error};

/// Resolution of the JPEG pages: fine enough to read captions on a large screen.
const PAGE_PPI: f64 = 200.0;

/// The sheet's PDF, and how the names of its JPEG pages begin.
const STEM: &str = "proof-sheet";

/// Lays out all frames and saves the PDF and the JPEG pages; pages of an earlier, longer sheet are removed.
///
/// # Errors
/// When a proof cannot be read back or a page cannot be saved.
pub(super) fn save(scans: &[Done], ready: &[Ready], size: PageSize, folders: &Folders) -> Result<Vec<PathBuf>, Error> {
    let frames =
        scans.iter().zip(ready).map(|(done, ready)| frames(done, ready, folders)).collect::<Result<Vec<_>, _>>()?;
    let frames = frames.concat();
    let folder = folders.scans().file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let head = Head {
        title: folder,
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: "each frame in its own grade".to_owned(),
        paper_and_table: format!("{} \u{b7} grades after {}", PAPER.name(), GRADES.name()),
    };
    let sheet = sheet::proof(&frames, &head, size);
    let ppi = PixelsPerInch::new(PAGE_PPI).expect("a page has pixels");

    let pdf = folders.sheet(&format!("{STEM}.pdf"));
    let bytes = sheet.pdf().map_err(|e| failed(&pdf, &e))?;
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
    Ok(files)
}

fn frames(done: &Done, ready: &Ready, folders: &Folders) -> Result<Vec<Frame>, Error> {
    match &done.result {
        Err(error) => Ok(vec![Frame { name: ready.name.clone(), failed: Some(error.clone()), ..Frame::default() }]),
        Ok(of) => of.frames.iter().map(|frame| one(of, frame, ready, folders)).collect(),
    }
}

fn one(of: &DoneFrames, frame: &Decided, ready: &Ready, folders: &Folders) -> Result<Frame, Error> {
    let path = folders.proof(&frame.name);
    let jpeg = fs::read(&path).map_err(|error| Error::Disk { path: path.clone(), error })?;
    let subject = ready.state.as_ref().ok().and_then(|known| known.sidecar.shot("subject"));
    Ok(Frame {
        name: frame.name.clone(),
        picture: Some(Picture::from_jpeg(jpeg).map_err(|e| failed(&path, &e))?),
        subject: subject.map(str::to_owned),
        base: (of.base_source != "assumed").then(|| frame.base.value()),
        range: Some(frame.range().value()),
        grade: Some(frame.grade.to_string()),
        flags: of.warnings.iter().map(in_words).collect(),
        failed: None,
    })
}

fn in_words(warning: &WarningNote) -> String {
    warning.code.replace('-', " ")
}

fn remove_pages_after(pages: usize, folders: &Folders) -> Result<(), Error> {
    for page in pages + 1.. {
        let path = folders.sheet(&format!("{STEM}-{page}.jpg"));
        if !path.exists() {
            break;
        }
        fs::remove_file(&path).map_err(|error| Error::Disk { path, error })?;
    }
    Ok(())
}

fn write(path: &std::path::Path, bytes: &[u8]) -> Result<(), Error> {
    save::whole(path, |file| file.write_all(bytes)).map_err(|error| Error::Disk { path: path.to_owned(), error })
}

fn failed(path: &std::path::Path, error: &dyn std::fmt::Display) -> Error {
    Error::Save { path: path.to_owned(), what: error.to_string() }
}
