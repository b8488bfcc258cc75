//! What a measuring pass leaves of each scan, so that shares of a batch can decide together what none of them has seen
//! whole.

use rayon::prelude::*;

use crate::light::Density;
use crate::notes::{MEASURED_VERSION, MeasuredFile, ReadingNotes, text_of};
use crate::plane::Size;
use crate::save;

use super::Error;
use super::entry::Entry;
use super::find::Candidate;
use super::folders::Folders;
use super::plan::Voice;
use super::reading::Reading;
use super::share::Share;
use super::write::write;
use super::{recall, record};

/// A scan as a measuring pass left it.
#[derive(Clone, Debug)]
pub(super) struct Measured {
    file: String,
    name: String,
    /// What was measured, or why nothing could be.
    pub result: Result<Taken, String>,
}

/// What was measured of a scan, and by what.
#[derive(Clone, Debug)]
pub(super) struct Taken {
    /// The base that somebody gave it.
    pub given: Option<Density>,
    /// What the measuring depended on.
    pub key: String,
    /// What was measured.
    pub reading: Reading,
}

impl Measured {
    /// What the scan brings to the counsel of all, if it could be measured.
    pub(super) fn voice(&self) -> Option<Voice<'_>> {
        let taken = self.result.as_ref().ok()?;
        Some(Voice { file: &self.file, name: &self.name, given: taken.given, reading: &taken.reading })
    }
}

/// Writes down what was measured of a scan. A share that is broken off goes on from there.
///
/// # Errors
/// When the disk refuses.
pub(super) fn save(entry: &Entry, folders: &Folders) -> Result<(), String> {
    let reading =
        entry.voice().zip(entry.state.as_ref().ok()).map(|(Voice { given, reading, .. }, known)| ReadingNotes {
            given: given.map(|density| density.value()),
            width: reading.size.width,
            height: reading.size.height,
            codes_blake3: reading.codes_blake3.clone(),
            measured: record::measured(reading, &known.measure_key, Density::default(), "assumed"),
        });
    let file = MeasuredFile {
        version: MEASURED_VERSION,
        program: save::PROGRAM.to_owned(),
        file: entry.file.clone(),
        folder: folders.name(),
        error: entry.state.as_ref().err().cloned(),
        reading,
    };
    write(&folders.measured(&entry.file), file.text().as_bytes())
}

/// What a measuring pass by this version of the program left of a scan.
pub(super) fn of(candidate: &Candidate, folders: &Folders) -> Option<Measured> {
    let file = candidate.file();
    // What cannot be read is measured again, or is said to be missing.
    let text = text_of(&folders.measured(&file)).ok().flatten()?;
    let ours = |noted: &MeasuredFile| {
        noted.program == save::PROGRAM && (&noted.file, &noted.folder) == (&file, &folders.name())
    };
    let noted = MeasuredFile::parse(&text).filter(ours)?;
    let result = match (noted.error, noted.reading) {
        (Some(error), _) => Err(error),
        (None, notes) => {
            let notes = notes?;
            let size = Size { width: notes.width, height: notes.height };
            let reading = recall::reading(size, &notes.codes_blake3, &notes.measured)?;
            Ok(Taken { given: notes.given.map(Density::new), key: notes.measured.key, reading })
        }
    };
    Some(Measured { file, name: candidate.name.clone(), result })
}

/// What measuring passes left of all scans of a folder; `shares` are theirs.
///
/// # Errors
/// When one has not been measured yet.
pub(super) fn all(candidates: &[Candidate], shares: &[Share], folders: &Folders) -> Result<Vec<Measured>, Error> {
    let measured: Vec<_> = candidates.par_iter().map(|candidate| of(candidate, folders)).collect();
    let missing = measured.iter().zip(candidates).zip(shares).filter(|((measured, _), _)| measured.is_none());
    let mut missing: Vec<_> = missing.map(|((_, candidate), share)| (*share, candidate.file())).collect();
    if missing.is_empty() {
        return Ok(measured.into_iter().flatten().collect());
    }
    missing.sort();
    let (scans, example) = (missing.len(), missing[0].1.clone());
    missing.dedup_by_key(|(share, _)| *share);
    let shares = missing.into_iter().map(|(share, _)| share).collect();
    Err(Error::Unmeasured { out: folders.out().to_owned(), scans, example, shares })
}
