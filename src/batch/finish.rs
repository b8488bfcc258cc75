//! A scan's files: found up to date, or made.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use crate::notes::{FileNotes, Notes, OutputFile, Outputs, WarningNote};
use crate::save::Written;

use super::Run;
use super::entry::{Entry, Known};
use super::folders::{FLAT, Folders, PROOF, STRAIGHT};
use super::frame::Decided;
use super::inscribe::Inscriber;
use super::keep;
use super::key;
use super::light::Light;
use super::make::{Files, Made, Makings, Packed, Task};
use super::outcome::{DoneScan, State};
use super::plan::{Decision, Plan};
use super::reading::Reading;
use super::record;
use super::room::Room;
use super::settings::Beside;
use super::share::Share;

/// Makes a scan's files, or leaves them when they are up to date.
///
/// # Errors
/// What is wrong with the scan, the disk or the files in the way, in words for the person at the desk.
pub(super) fn finish(entry: &Entry, plan: &Plan, run: &Run<'_>) -> Result<DoneScan, String> {
    let &Run { order, folders, room, .. } = run;
    let known = entry.state.as_ref().map_err(Clone::clone)?;
    let Some(reading) = &known.reading else {
        return Ok(undecided(State::ToMeasure));
    };
    if let Some(why) = plan.exchanged.get(&entry.file).filter(|_| !order.force) {
        return Err(why.clone());
    }
    let decision = plan.decide(entry, known, reading)?;
    let key = decision.key(known);
    let before = known.before.as_ref().filter(|_| known.recalled);
    let xmp = known.settled.settings.xmp == Beside::Beside;
    let there = |frame: &Decided| {
        let name = &frame.name;
        let beside = !xmp || folders.flat_xmp(name).is_file() && folders.proof_xmp(name).is_file();
        folders.flat(name).is_file() && folders.proof(name).is_file() && beside
    };
    let made = before.filter(|notes| notes.record.key == key && decision.frames.iter().all(there));
    // By size alone: reading every file again would cost as much as making it. A picture of the straight pages that is
    // gone is made again when the sheet is laid.
    let same_size = |(path, written): &(PathBuf, Written)| match fs::metadata(path) {
        Ok(there) => there.len() == written.bytes,
        Err(_) => path.parent().is_some_and(|folder| folder.ends_with(STRAIGHT)),
    };
    let state = match (made, order.dry_run) {
        (Some(_), _) if outputs(&known.outputs, folders).iter().all(same_size) => State::UpToDate,
        (Some(_), _) => State::Kept,
        (None, true) => State::ToMake,
        (None, false) => State::Made,
    };
    if state == State::Made {
        let straight = order.sheets && decision.has_straight();
        let share = order.share;
        Finishing { entry, known, reading, decision: &decision, straight, xmp, folders, room, share }
            .make(&key, order.force)?;
    }
    let Decision { frames, base_source, mut warnings, .. } = decision;
    let by_hand = record::by_hand(&known.marks, frames.len(), known.unlinked.as_ref());
    warnings.extend(by_hand.iter().map(WarningNote::from));
    warnings.sort_by_key(WarningNote::gravity);
    Ok(DoneScan { state, key, frames, base_source, warnings })
}

/// A measuring pass stops here: the batch decides when all its scans have been measured.
///
/// # Errors
/// What is wrong with the scan.
pub(super) fn only_measured(entry: &Entry) -> Result<DoneScan, String> {
    let known = entry.state.as_ref().map_err(Clone::clone)?;
    Ok(undecided(if known.reading.is_some() { State::Measured } else { State::ToMeasure }))
}

fn undecided(state: State) -> DoneScan {
    DoneScan { state, key: String::new(), frames: Vec::new(), base_source: "", warnings: Vec::new() }
}

struct Finishing<'a> {
    entry: &'a Entry,
    known: &'a Known,
    reading: &'a Reading,
    decision: &'a Decision,
    /// Whether its frames get pictures for the straight pages.
    straight: bool,
    /// Whether what files say also stands beside them.
    xmp: bool,
    folders: &'a Folders,
    room: &'a Room,
    /// The share that it is of, if of one.
    share: Option<Share>,
}

impl Finishing<'_> {
    /// The notes come first, without a key: whatever interrupts the making, the next run knows the files as its own and
    /// not as up to date. They come last again, with the key.
    fn make(&self, key: &str, force: bool) -> Result<(), String> {
        if !force {
            self.refuse_another_negative()?;
            self.refuse_foreign_files()?;
        }
        let settings = &self.known.settled.settings;
        let opened = self.room.take_up(&self.entry.path, settings.channel, settings.salvage);
        let opened = opened.map_err(|e| e.to_string())?;
        let scan = &opened.scan;
        if scan.facts().size != self.reading.size {
            return Err("it changed while the batch ran: run again".to_owned());
        }
        let packed = Packed::of(settings, scan.facts());
        let inscriber = Inscriber::new(&self.known.shot, settings, scan.facts());
        let light = Light::of(scan.facts(), settings).map_err(|e| e.to_string())?;
        let notes = |key, made: &[Made], former: &[(PathBuf, Written)]| {
            let (entry, known, reading, decision) = (self.entry, self.known, self.reading, self.decision);
            record::notes(&record::Made {
                folder: self.folders.name(),
                entry,
                known,
                reading,
                facts: scan.facts(),
                light: &light,
                decision,
                packed,
                said: inscriber.key(),
                made,
                key,
                former: former.iter().map(|file| self.former_notes(file)).collect(),
            })
        };
        let frames = &self.decision.frames;
        let xmp = self.xmp.then(Written::default);
        let straight = self.straight.then(Written::default);
        let in_the_making = Made { straight, flat_xmp: xmp.clone(), proof_xmp: xmp, ..Made::default() };
        let former = self.former_files()?;
        self.write_notes(&notes("", &vec![in_the_making; frames.len()], &former))?;
        let bench = self.room.benches.of(&light.encoding, self.known.wedge.as_ref().map(|wedge| &wedge.calibration));
        let (straight, xmp) = (self.straight, self.xmp);
        let files = Files { flat: true, proof: true, straight, flat_xmp: xmp, proof_xmp: xmp };
        let tasks: Vec<Task<'_>> = frames.iter().map(|frame| Task { frame, files }).collect();
        let (inscriber, folders, spare) = (&inscriber, self.folders, &self.room.spare);
        let makings = Makings { scan, bench: &bench, settings, packed, inscriber, folders, spare };
        let made = makings.make(&tasks).map_err(|e| e.to_string())?;
        remove(&former)?;
        self.write_notes(&notes(key, &made, &[]))
    }

    /// Another folder's scan of the same name: its notes and files would be lost, and its words would stand under this
    /// one.
    fn refuse_another_negative(&self) -> Result<(), String> {
        let Some(before) = self.known.before.as_ref().map(|notes| &notes.scan) else { return Ok(()) };
        let same = before.folder == self.folders.name() || before.codes_blake3 == self.reading.codes_blake3;
        if same {
            return Ok(());
        }
        let (out, other) = (self.folders.out().display(), &before.folder);
        Err(format!(
            "{out} holds results of this name from another folder ({other}): give another --out, or run with --force"
        ))
    }

    /// A file that stands where one is to be made is replaced only if the notes know it as it is: nobody else's work is
    /// lost.
    fn refuse_foreign_files(&self) -> Result<(), String> {
        let known = outputs(&self.known.outputs, self.folders);
        let noted = self.folders.notes(&self.entry.name).exists();
        let older = if noted { ", or its notes were saved back from an editor that was open during a run" } else { "" };
        for path in self.files() {
            if !path.exists() {
                continue;
            }
            let mut ours = false;
            for (_, written) in known.iter().filter(|(known, _)| *known == path) {
                ours = ours || holds(written, &path)?;
            }
            if !ours {
                let path = path.display();
                return Err(format!(
                    "{path} was put there or changed by other hands{older}: move it away, or run with --force"
                ));
            }
        }
        Ok(())
    }

    /// The files that are made beside the notes.
    fn files(&self) -> Vec<PathBuf> {
        let of_frame = |frame: &Decided| {
            let straight = self.straight.then(|| self.folders.straight(&frame.name));
            let flat_xmp = self.xmp.then(|| self.folders.flat_xmp(&frame.name));
            let proof_xmp = self.xmp.then(|| self.folders.proof_xmp(&frame.name));
            [Some(self.folders.flat(&frame.name)), Some(self.folders.proof(&frame.name)), straight, flat_xmp, proof_xmp]
        };
        self.decision.frames.iter().flat_map(of_frame).flatten().collect()
    }

    /// Files that an earlier run made of frames that are no more, or under the scan's former name, or that this one
    /// does not make anew, unless other hands changed them.
    fn former_files(&self) -> Result<Vec<(PathBuf, Written)>, String> {
        let now = self.files();
        let mut former = Vec::new();
        for (path, written) in outputs(&self.known.outputs, self.folders) {
            if !now.contains(&path) && path.is_file() && holds(&written, &path)? {
                former.push((path, written));
            }
        }
        Ok(former)
    }

    fn former_notes(&self, (path, written): &(PathBuf, Written)) -> FileNotes {
        let below = path.strip_prefix(self.folders.out()).unwrap_or(path);
        let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
        FileNotes { file: parts.join("/"), bytes: written.bytes, blake3: written.blake3.clone() }
    }

    /// Read again just before writing: a person may have written in them meanwhile. Another share may be about to write
    /// where the first scan of a rescan is by now.
    fn write_notes(&self, notes: &Notes) -> Result<(), String> {
        let _turn = self.share.map(|_| self.folders.turn()).transpose().map_err(|e| e.to_string())?;
        let path = self.folders.notes(&self.entry.name);
        keep::change(&path, |sidecar| sidecar.with(notes)).map_err(|e| format!("{}: {e}", path.display()))
    }
}

fn remove(files: &[(PathBuf, Written)]) -> Result<(), String> {
    let removed = |path: &PathBuf| match fs::remove_file(path) {
        Err(e) if e.kind() != ErrorKind::NotFound => Err(format!("{}: cannot remove: {e}", path.display())),
        _ => Ok(()),
    };
    files.iter().try_for_each(|(path, _)| removed(path))
}

pub(super) fn holds(written: &Written, path: &Path) -> Result<bool, String> {
    key::holds(written, path).map_err(|e| format!("{}: cannot be read: {e}: check the disk", path.display()))
}

/// The files that notes name, as they were made.
fn outputs(outputs: &Outputs, folders: &Folders) -> Vec<(PathBuf, Written)> {
    let written = |f: &OutputFile| Written { bytes: f.bytes, blake3: f.blake3.clone() };
    // Names, never paths: what notes say may not reach out of the folder.
    let is_name = |file: &str| Path::new(file).file_name().is_some_and(|name| name == file);
    let is_named = |f: &&OutputFile| is_name(&f.file);
    let flats = outputs.flat.frames.iter().filter(is_named).map(|f| (folders.flat_file(&f.file), written(f)));
    let proofs = outputs.print.frames.iter().filter(is_named).map(|f| (folders.proof_file(&f.file), written(f)));
    let further = |file: &Option<FileNotes>, place: &dyn Fn(&str) -> PathBuf| {
        let file = file.as_ref().filter(|f| is_name(&f.file));
        file.map(|f| (place(&f.file), Written { bytes: f.bytes, blake3: f.blake3.clone() }))
    };
    let former = outputs.record.former.iter().filter_map(|f| {
        let (folder, file) = f.file.split_once('/').filter(|(_, file)| is_name(file))?;
        let place = match folder {
            FLAT => folders.flat_file(file),
            PROOF => folders.proof_file(file),
            STRAIGHT => folders.straight_file(file),
            _ => return None,
        };
        Some((place, Written { bytes: f.bytes, blake3: f.blake3.clone() }))
    });
    let of_flat = |f: &OutputFile| further(&f.xmp, &|file| folders.flat_file(file));
    let of_proof = |f: &OutputFile| {
        let straight = further(&f.straight, &|file| folders.straight_file(file));
        straight.into_iter().chain(further(&f.xmp, &|file| folders.proof_file(file)))
    };
    let beside = outputs.flat.frames.iter().filter_map(of_flat).chain(outputs.print.frames.iter().flat_map(of_proof));
    flats.chain(proofs).chain(beside).chain(former).collect()
}
