//! What the notes of a scan say of its frames, and the scan itself.

use std::fmt::Display;
use std::path::{Path, PathBuf};

use super::correction;
use super::counting;
use super::folders::real;
use super::linked;
use super::moved;
use super::reading::Reading;
use super::recall;
use crate::light::Density;
use crate::notes::{Notes, ShotNotes, Sidecar};
use crate::plane::Size;
use crate::scan::{self, Channel, Scan};

use super::which::{Wanted, no_such_frame};

/// The notes of a scan, with everything that printing goes by.
pub(super) struct Noted {
    /// Which they are.
    pub wanted: Wanted,
    /// As they stand on the disk.
    pub sidecar: Sidecar,
    /// The program's part.
    pub notes: Notes,
    /// What was measured.
    pub reading: Reading,
}

/// Two bases are one: the notes have four decimals.
const SAME_BASE: f64 = 0.000_05;

/// And corners two.
const SAME_PLACE: f64 = 0.005_01;

impl Noted {
    /// Opens them.
    ///
    /// # Errors
    /// When they cannot be read, are of a newer version, or say less than a print needs.
    pub(super) fn open(wanted: Wanted) -> Result<Self, String> {
        let sidecar = Sidecar::open(&wanted.notes).map_err(|e| format!("{}: {e}", wanted.notes.display()))?;
        Self::of(wanted, sidecar)
    }

    /// The same of notes that are open.
    ///
    /// # Errors
    /// When they hold no measured frame, or what is written there is not obeyed.
    pub(super) fn of(wanted: Wanted, sidecar: Sidecar) -> Result<Self, String> {
        let wrong = |what: &dyn Display| format!("{}: {what}", wanted.notes.display());
        let unfit = "these notes hold no measured frame: run dryside batch on the scans first";
        let notes = sidecar.ours().ok_or_else(|| wrong(&unfit))?;
        let size = Size { width: notes.scan.width, height: notes.scan.height };
        let reading = recall::reading(size, &notes.scan.codes_blake3, &notes.measured);
        let reading = reading.ok_or_else(|| wrong(&unfit))?;
        is_obeyed(&sidecar, &notes, &reading).map_err(|e| wrong(&e))?;
        Ok(Self { wanted, sidecar, notes, reading })
    }

    /// Numbers of the frames that are wanted.
    ///
    /// # Errors
    /// When the scan has not so many.
    pub(super) fn numbers(&self) -> Result<Vec<usize>, String> {
        let count = self.reading.frames.len();
        match self.wanted.frame {
            None => Ok((1..=count).collect()),
            Some(number) if (1..=count).contains(&number) => Ok(vec![number]),
            Some(_) => Err(format!("{}: {}", self.wanted.notes.display(), no_such_frame(count))),
        }
    }

    /// Name of a frame: that of its flat positive.
    pub(super) fn name(&self, number: usize) -> String {
        let scan = self.wanted.scan();
        if self.reading.frames.len() == 1 { scan } else { format!("{scan}-{number}") }
    }

    /// What the photographer wrote of the picture.
    pub(super) fn shot(&self) -> ShotNotes {
        linked::shot(&self.sidecar, &self.wanted.notes)
    }

    /// The same in a line for the head of a sheet: its title, its subject and its date, as far as they are known.
    pub(super) fn heading(&self) -> String {
        let shot = self.shot();
        let called = shot.called().map(str::to_owned);
        let subject = shot.subject.as_deref().map(str::trim).filter(|word| !word.is_empty()).map(str::to_owned);
        let subject = subject.filter(|word| Some(word) != called.as_ref());
        let facts: Vec<String> = called.into_iter().chain(subject).chain(shot.date.map(|d| d.to_string())).collect();
        facts.join(" \u{b7} ")
    }

    fn folder(&self, scans: Option<&Path>) -> PathBuf {
        let beside = || real(&self.wanted.results()).parent().unwrap_or(Path::new("")).join(&self.notes.scan.folder);
        scans.map_or_else(beside, Path::to_owned)
    }

    /// Where a flat positive of this name lies.
    pub(super) fn flat(&self, file: &str) -> PathBuf {
        self.wanted.notes.with_file_name(Path::new(file).file_name().unwrap_or_default())
    }

    /// Where the scan lies if it has kept its name.
    pub(super) fn place(&self, scans: Option<&Path>) -> PathBuf {
        self.folder(scans).join(Path::new(&self.notes.scan.file).file_name().unwrap_or_default())
    }

    /// The scan: in `scans` if that is said, else in the folder of its name beside the results. One that was renamed
    /// there is known again by its codes.
    ///
    /// # Errors
    /// When it is not there, or cannot be read.
    pub(super) fn scan(&self, scans: Option<&Path>) -> Result<(PathBuf, Scan), String> {
        let file = &self.notes.scan.file;
        if Path::new(file).file_name().is_none_or(|name| name != file.as_str()) {
            return Err(format!("{}: \"{file}\" is no name of a scan", self.wanted.notes.display()));
        }
        let (folder, path) = (self.folder(scans), self.place(scans));
        let there = if path.is_file() { Some(path) } else { moved::in_folder(&folder, &self.notes.scan) };
        let Some(path) = there else {
            return Err(format!(
                "{file}: it is not in {}, nor under another name: say where the scans are with --scans FOLDER",
                folder.display()
            ));
        };
        let scan = scan::open_torn(&path, recall::torn(&self.notes)).map_err(|e| format!("{}: {e}", path.display()))?;
        Ok((path, scan))
    }

    /// Reads all of the scan and holds it against its notes.
    ///
    /// # Errors
    /// When it is not what was measured, or can no longer be read.
    pub(super) fn verify(&self, path: &Path, scan: &Scan, channel: Channel) -> Result<(), String> {
        let wrong = |what: &dyn Display| format!("{}: {what}", path.display());
        let codes = counting::fingerprint(scan, channel).map_err(|e| wrong(&e))?;
        if codes == self.notes.scan.codes_blake3 && scan.facts().size == self.reading.size {
            return Ok(());
        }
        let (scans, out) = (path.parent().unwrap_or(Path::new(".")), self.wanted.results());
        Err(wrong(&format!(
            "it is no longer the scan that these notes were measured from: \
             measure it anew with dryside batch {} --out {}, then print",
            scans.display(),
            out.display()
        )))
    }
}

/// What a person put right under `[scan]` must have been taken up by a run, or the print would be the old one.
fn is_obeyed(sidecar: &Sidecar, notes: &Notes, reading: &Reading) -> Result<(), String> {
    let correction = sidecar.correction().map_err(|e| e.to_string())?;
    let again =
        |what: &str| Err(format!("{what} was put right here since: run dryside batch on its scans again, then print"));
    if !correction.pictures.is_empty() {
        let outlines = correction::pictures(&correction, reading.size)?;
        let apart = |a: f64, b: f64| (a - b).abs() > SAME_PLACE;
        let same = outlines.len() == reading.frames.len()
            && outlines.iter().zip(&reading.frames).all(|(given, frame)| {
                given.0.iter().zip(&frame.corners.0).all(|(a, b)| !apart(a.x, b.x) && !apart(a.y, b.y))
            });
        if !same {
            return again("picture");
        }
    }
    let by_flag = notes.record.decided_by.get("base").is_some_and(|place| place == "flag");
    match correction.base.and_then(|base| base.parse().ok()).map(Density::new) {
        Some(base) if !by_flag && (base.value() - notes.measured.base).abs() > SAME_BASE => again("base"),
        _ => Ok(()),
    }
}
