//! `dryside batch --from-notes`: files that are gone, made again by what their notes hold. Nothing is measured and
//! nothing decided.

mod decided;
mod differs;

use std::fmt::Display;
use std::path::{Path, PathBuf};

use crate::notes::{FileNotes, FlatFrame, Notes, PrintFrame};
use crate::save::{PROGRAM, Written};
use crate::scan::{Channel, Halt};

use super::closing::{Closing, close};
use super::find;
use super::finish::holds;
use super::folders::{self, FLAT, Folders, PROOF, SHEETS, STRAIGHT};
use super::frame::Decided;
use super::inscribe::Inscriber;
use super::keep;
use super::logbook;
use super::make::{Files, Made, Makings, Task};
use super::noted::Noted;
use super::print::Read;
use super::recall;
use super::room::{Room, least_memory};
use super::shares;
use super::sheets;
use super::shown::Shown;
use super::which::{self, Wanted};
use super::wishes::Wishes;
use super::{Error, settings_file, side_by_side};
use decided::AsNoted;

pub use differs::Differs;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct RemakeOrder {
    /// The folder of scans.
    pub scans: PathBuf,
    /// Where results are; beside the scans' folder if not said.
    pub out: Option<PathBuf>,
    /// Settings given as flags: they are not obeyed, but held against the notes.
    pub flags: Wishes,
    /// Make files again from a scan that is another by now, and in the place of those that other hands changed.
    pub force: bool,
    /// Only tell what would be done.
    pub dry_run: bool,
    /// Scans worked on side by side.
    pub jobs: usize,
    /// Bytes of memory that may be used.
    pub memory: u64,
    /// Whether proof sheets are laid out where they are gone.
    pub sheets: bool,
}

/// What became of all.
#[derive(Clone, Debug)]
pub struct Remade {
    /// Where results are.
    pub out: PathBuf,
    /// Scans that have notes, in name order.
    pub scans: Vec<RemadeScan>,
    /// Scans that have none.
    pub unnoted: Vec<String>,
    /// What was wrong beside the scans.
    pub troubles: Vec<String>,
}

/// What became of a scan.
#[derive(Clone, Debug)]
pub struct RemadeScan {
    /// File name of the scan, or of its notes where these cannot be read.
    pub file: String,
    /// In what it, this program or the settings differ from the notes.
    pub differs: Vec<Differs>,
    /// Its frames, or why nothing could be made.
    pub result: Result<Vec<RemadeFrame>, String>,
}

/// What became of a frame's files.
#[derive(Clone, Debug)]
pub struct RemadeFrame {
    /// Its name.
    pub name: String,
    /// The flat positive.
    pub flat: FileState,
    /// The proof.
    pub proof: FileState,
    /// Its picture on the straight pages, if its notes tell of one.
    pub straight: Option<FileState>,
    /// What flat positive and proof say of the picture, in files beside them, if its notes tell of such.
    pub xmp: [Option<FileState>; 2],
}

/// What became of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileState {
    /// It is there, to the byte as its notes say.
    There,
    /// It is there, and other hands changed it.
    Kept,
    /// Dry run: it would be made.
    ToMake,
    /// It was made again, to the byte as its notes say.
    Made,
    /// It was made again, and is another file than its notes told of.
    Otherwise,
    /// It was made; notes of a run that was broken off did not say what it should be.
    Finished,
}

/// What all scans of a run share.
struct Run<'a> {
    order: &'a RemakeOrder,
    scans: &'a Path,
    folders: &'a Folders,
    in_file: &'a Wishes,
    room: &'a Room,
}

/// Makes again what is gone of the files that notes tell of, until `halt` is asked. Meanwhile `tell` learns each scan.
///
/// # Errors
/// When nothing can be done at all: no notes, folders that cannot be used.
pub fn remake(order: &RemakeOrder, halt: &Halt, tell: &(dyn Fn(&str) + Sync)) -> Result<Remade, Error> {
    let scans = folders::of_scans(&order.scans)?;
    let folders = Folders::new(&scans, order.out.as_deref())?;
    let in_file = settings_file(&scans)?;
    let all = which::of_folder(folders.out()).map_err(Error::Notes)?;
    if all.is_empty() {
        return Err(Error::NoNotes(folders.out().to_owned()));
    }
    let below: &[&str] = if order.sheets { &[FLAT, PROOF, STRAIGHT, SHEETS] } else { &[FLAT, PROOF, STRAIGHT] };
    let _held = if order.dry_run { None } else { Some(folders.prepare(below, None)?) };
    let jobs = order.jobs.min(all.len()).min((order.memory / least_memory()) as usize).max(1);
    let room = Room::new(order.memory, jobs, halt);
    let run = Run { order, scans: &scans, folders: &folders, in_file: &in_file, room: &room };
    let mut remade =
        Remade { out: folders.out().to_owned(), scans: Vec::new(), unnoted: Vec::new(), troubles: Vec::new() };

    // 1. Every scan that has notes.
    let made = side_by_side(jobs, halt, &all, |wanted| {
        tell(&wanted.scan());
        of_scan(wanted.clone(), &run)
    });
    let (made, noted): (Vec<_>, Vec<_>) = made.into_iter().unzip();
    remade.scans = made;
    if halt.is_asked() {
        let done = remade.scans.iter().filter(|scan| scan.result.is_ok()).count();
        return Err(Error::Stopped { done, of: all.len(), what: "made" });
    }
    let noted: Vec<Noted> = noted.into_iter().flatten().collect();
    let candidates = find::scans(&scans).map_err(|error| Error::Disk { path: scans.clone(), error })?;
    let renamed = |scan: &RemadeScan, file: &String| scan.differs.iter().any(|differs| differs.is_renamed_to(file));
    let known = |file: &String| {
        noted.iter().any(|noted: &Noted| noted.notes.scan.file == *file)
            || remade.scans.iter().any(|scan| renamed(scan, file))
    };
    remade.unnoted = candidates.iter().map(find::Candidate::file).filter(|file| !known(file)).collect();

    // 2. Table, sheet and page, where one of them is gone.
    let gone =
        !folders.table().exists() || order.sheets && !(sheets::is_there(&folders) && logbook::is_there(&folders));
    if let Some(first) = noted.first().filter(|_| gone && !order.dry_run) {
        let AsNoted { settings, stock, .. } = AsNoted::of(first).map_err(Error::Stock)?;
        let page = settings.page;
        let wedge_blake3 = first.notes.scan.wedge.as_ref().map(|wedge| &*wedge.blake3);
        let words = shares::words(&settings, wedge_blake3, &stock);
        let mut shown: Vec<Shown> = noted
            .iter()
            .flat_map(|noted| Shown::of_notes(&noted.sidecar, &noted.notes, &noted.wanted.notes, &folders))
            .collect();
        let closing = Closing { page, scans: Some(&scans), halt, sheets: order.sheets, force: order.force };
        let (_, troubles) = close(&mut shown, &closing, &folders);
        remade.troubles.extend(troubles);
        if order.sheets {
            remade.troubles.extend(logbook::save(&shown, &closing, &words, &folders).err());
        }
    }
    Ok(remade)
}

/// What becomes of a scan, and its notes as they stand then.
fn of_scan(wanted: Wanted, run: &Run<'_>) -> (RemadeScan, Option<Noted>) {
    let path = wanted.notes.clone();
    let mut noted = match Noted::open(wanted) {
        Ok(noted) => noted,
        Err(why) => {
            let file = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            return (RemadeScan { file, differs: Vec::new(), result: Err(why) }, None);
        }
    };
    let (mut differs, file) = (Vec::new(), noted.notes.scan.file.clone());
    let result = Remaking::of(&mut noted, run).and_then(|remaking| remaking.make(&mut differs));
    (RemadeScan { file, differs, result }, Some(noted))
}

/// One scan's files, held against its notes.
struct Remaking<'a> {
    noted: &'a mut Noted,
    run: &'a Run<'a>,
    as_noted: AsNoted,
    frames: Vec<RemadeFrame>,
}

impl<'a> Remaking<'a> {
    fn of(noted: &'a mut Noted, run: &'a Run<'a>) -> Result<Self, String> {
        let as_noted = AsNoted::of(noted).map_err(|e| format!("{}: {e}", noted.wanted.notes.display()))?;
        let (folders, notes) = (run.folders, &noted.notes);
        let state = |path: PathBuf, bytes: u64, blake3: &str| -> Result<FileState, String> {
            if !path.exists() || bytes == 0 {
                return Ok(FileState::ToMake);
            }
            let is_noted = holds(&Written { bytes, blake3: blake3.to_owned() }, &path)?;
            Ok(match is_noted {
                true => FileState::There,
                false if run.order.force => FileState::ToMake,
                false => FileState::Kept,
            })
        };
        let further = |path: PathBuf, file: &Option<FileNotes>| {
            file.as_ref().map(|file| state(path, file.bytes, &file.blake3)).transpose()
        };
        let frame = |((Decided { name, .. }, flat), proof): ((&Decided, &FlatFrame), &PrintFrame)| {
            Ok(RemadeFrame {
                name: name.clone(),
                flat: state(folders.flat(name), flat.bytes, &flat.blake3)?,
                proof: state(folders.proof(name), proof.bytes, &proof.blake3)?,
                straight: further(folders.straight(name), &proof.straight)?,
                xmp: [further(folders.flat_xmp(name), &flat.xmp)?, further(folders.proof_xmp(name), &proof.xmp)?],
            })
        };
        let frames = as_noted.frames.iter().zip(&notes.flat.frames).zip(&notes.print.frames);
        let frames = frames.map(frame).collect::<Result<Vec<_>, String>>()?;
        Ok(Self { noted, run, as_noted, frames })
    }

    /// Makes what is gone, and says in what the scan, the program or the settings differ from the notes.
    fn make(mut self, differs: &mut Vec<Differs>) -> Result<Vec<RemadeFrame>, String> {
        let &Run { order, scans, folders, room, in_file } = self.run;
        let lacking: Vec<Files> = self.frames.iter().map(RemadeFrame::lacking).collect();
        let nothing = lacking.iter().all(|files| files.is_none());
        differs.extend(differs::of_program(&self.noted.notes));
        differs.extend(differs::of_settings(self.noted, &order.flags, in_file)?);
        let path = match self.noted.scan(Some(scans)) {
            Ok((path, _)) => path,
            // What is there to the byte needs no scan.
            Err(_) if nothing => return Ok(self.frames),
            Err(why) => return Err(why),
        };
        differs.extend(differs::of_name(&self.noted.notes, &path));
        let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
        let channel = self.noted.notes.scan.channel.as_deref().and_then(|word| word.parse().ok());
        let channel = channel.unwrap_or(Channel::Green);
        let opened = room.open(&path, channel, recall::torn(&self.noted.notes)).map_err(|e| wrong(&e))?;
        let scan = &opened.scan;
        let encoding = self.noted.notes.record.settings.get("encoding").map_or("auto", String::as_str);
        let read = Read::of(encoding, &channel.to_string(), &self.noted.notes)?;
        let inscriber = Inscriber::noted(&self.noted.shot(), &self.noted.notes.record.settings, scan.facts());
        let inscriber = inscriber.map_err(|e| e.to_string())?;
        differs.extend(differs::of_words(&self.noted.notes, &inscriber.key()));
        differs.extend(differs::of_scan(&self.noted.notes, &path, scan, &read, nothing).map_err(|e| wrong(&e))?);
        if nothing {
            return Ok(self.frames);
        }
        if !order.force && differs.iter().any(|differs| differs.forbids) {
            return Err(
                "nothing is made from a scan that differs from its notes: put the one back that they tell of, \
                        measure this one without --from-notes, or add --force"
                    .to_owned(),
            );
        }
        if order.dry_run {
            return Ok(self.frames);
        }
        // Where other bytes are to be expected, the notes come first: whatever interrupts the making, the next run
        // knows the files as its own.
        let before = self.noted.notes.clone();
        let other_bytes = differs.iter().any(|differs| differs.bytes);
        if other_bytes {
            for (i, files) in lacking.iter().enumerate() {
                let none = Some(Written::default());
                let (flat_xmp, proof_xmp) = (none.clone(), none.clone());
                let nothing = Made { straight: none, flat_xmp, proof_xmp, ..Made::default() };
                note(&mut self.noted.notes, i, *files, &nothing);
            }
            self.write()?;
        }
        let bench = read.bench(scan.facts()).map_err(|e| wrong(&e))?;
        let packed = self.as_noted.packed(&before, scan.facts());
        let (settings, decided) = (&self.as_noted.settings, &self.as_noted.frames);
        let (at, tasks): (Vec<usize>, Vec<Task<'_>>) = (0..)
            .zip(decided.iter().zip(&lacking))
            .filter(|(_, (_, files))| !files.is_none())
            .map(|(i, (frame, files))| (i, Task { frame, files: *files }))
            .unzip();
        let (bench, inscriber, spare) = (&bench, &inscriber, &room.spare);
        let makings = Makings { scan, bench, settings, packed, inscriber, folders, spare };
        let made = makings.make(&tasks).map_err(|e| e.to_string())?;
        drop(tasks);
        for (i, made) in at.into_iter().zip(&made) {
            note(&mut self.noted.notes, i, lacking[i], made);
            self.frames[i].took(lacking[i], made, &before, i);
        }
        if self.frames.iter().any(|frame| frame.has(FileState::Otherwise)) {
            self.noted.notes.record.program = PROGRAM.to_owned();
            self.noted.notes.record.said = Some(inscriber.key());
        }
        if other_bytes || self.noted.notes != before {
            self.write()?;
        }
        Ok(self.frames)
    }

    fn write(&self) -> Result<(), String> {
        let path = &self.noted.wanted.notes;
        let notes = &self.noted.notes;
        keep::change(path, |sidecar| sidecar.with(notes)).map_err(|e| format!("{}: {e}", path.display()))
    }
}

/// Takes the files of a frame that were made into its notes.
fn note(notes: &mut Notes, frame: usize, files: Files, made: &Made) {
    let (flat, proof) = (&mut notes.flat.frames[frame], &mut notes.print.frames[frame]);
    if files.flat {
        (flat.bytes, flat.blake3) = (made.flat.bytes, made.flat.blake3.clone());
        if made.flat.bytes > 0 {
            (flat.at_zero, flat.at_full_scale) = (made.at_zero, made.at_full_scale);
        }
    }
    if files.proof {
        (proof.bytes, proof.blake3) = (made.proof.bytes, made.proof.blake3.clone());
    }
    let further = [
        (files.straight, &mut proof.straight, &made.straight),
        (files.flat_xmp, &mut flat.xmp, &made.flat_xmp),
        (files.proof_xmp, &mut proof.xmp, &made.proof_xmp),
    ];
    for of in further {
        if let (true, Some(noted), Some(written)) = of {
            (noted.bytes, noted.blake3) = (written.bytes, written.blake3.clone());
        }
    }
}

impl Remade {
    /// Whether everything went well.
    pub fn all_well(&self) -> bool {
        self.troubles.is_empty() && self.scans.iter().all(|scan| scan.result.is_ok())
    }
}

impl RemadeFrame {
    /// The files that are to be made.
    fn lacking(&self) -> Files {
        let to_make = |state| state == FileState::ToMake;
        let further = |state: Option<FileState>| state.is_some_and(to_make);
        Files {
            flat: to_make(self.flat),
            proof: to_make(self.proof),
            straight: further(self.straight),
            flat_xmp: further(self.xmp[0]),
            proof_xmp: further(self.xmp[1]),
        }
    }

    /// Whether one of its files is in that state.
    pub fn has(&self, state: FileState) -> bool {
        self.states().any(|of| of == state)
    }

    /// States of its files.
    pub fn states(&self) -> impl Iterator<Item = FileState> {
        [self.flat, self.proof].into_iter().chain(self.straight).chain(self.xmp.into_iter().flatten())
    }

    /// Holds what was made against what its notes said `before`.
    fn took(&mut self, files: Files, made: &Made, before: &Notes, frame: usize) {
        let state = |bytes: u64, blake3: &str, made: &Written| match (bytes, blake3) {
            (0, _) => FileState::Finished,
            (bytes, blake3) if made.bytes == bytes && made.blake3 == blake3 => FileState::Made,
            _ => FileState::Otherwise,
        };
        let (flat, proof) = (&before.flat.frames[frame], &before.print.frames[frame]);
        if files.flat {
            self.flat = state(flat.bytes, &flat.blake3, &made.flat);
        }
        if files.proof {
            self.proof = state(proof.bytes, &proof.blake3, &made.proof);
        }
        let [of_flat, of_proof] = &mut self.xmp;
        let further = [
            (files.straight, &proof.straight, &made.straight, &mut self.straight),
            (files.flat_xmp, &flat.xmp, &made.flat_xmp, of_flat),
            (files.proof_xmp, &proof.xmp, &made.proof_xmp, of_proof),
        ];
        for (wanted, noted, made, now) in further {
            if let (true, Some(noted), Some(written)) = (wanted, noted, made) {
                *now = Some(state(noted.bytes, &noted.blake3, written));
            }
        }
    }
}
