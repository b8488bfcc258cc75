//! A scan of the batch: settled, and measured unless its notes already say what it is.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::light::Density;
use crate::notes::{Correction, Marks, Notes, NotesError, Outputs, ShotNotes, Sidecar};
use crate::paper::{Placing, Stock};
use crate::plane::{Point, Size};
use crate::scan;

use super::Run;
use super::calibrated::Wedge;
use super::correction::pictures;
use super::find::Candidate;
use super::key::{Stamp, key};
use super::light::Light;
use super::linked;
use super::measured::{self, Measured, Taken};
use super::plan::Voice;
use super::reading::{self, Reading};
use super::recall;
use super::room::Room;
use super::settings::{Ends, Settings};
use super::spots;
use super::stock::with_texts;
use super::wishes::{Settled, Wishes};

/// A scan of the batch, or why it is none.
#[derive(Debug)]
pub(super) struct Entry {
    /// File name.
    pub file: String,
    /// Name of what is made from it.
    pub name: String,
    /// Path of the scan.
    pub path: PathBuf,
    /// What is known of it.
    pub state: Result<Known, String>,
}

/// What is known of a scan before the batch decides.
#[derive(Debug)]
pub(super) struct Known {
    /// Settings in force.
    pub settled: Settled,
    /// What the photographer wrote of the picture.
    pub shot: ShotNotes,
    /// Why its notes do not lead to the first scan that they name.
    pub unlinked: Option<String>,
    /// The photographer's marks.
    pub marks: Marks,
    /// What the program wrote of it before.
    pub before: Option<Notes>,
    /// The files that its notes name.
    pub outputs: Outputs,
    /// What the disk says of it.
    pub stamp: Stamp,
    /// The calibration that they name.
    pub wedge: Option<Wedge>,
    /// The paper and the table of grades that they name.
    pub stock: Arc<Stock>,
    /// What is in the files of both, where they are a person's own.
    pub own_stock: [Option<String>; 2],
    /// The place that the exposure is found by, if it is found by one; or why it cannot be read. That is no fault of
    /// the scan in the counsel of all, which does not ask for it.
    pub spot: Result<Option<PlacedSpot>, String>,
    /// What the measuring depended on.
    pub measure_key: String,
    /// What was measured; nothing when only told what would be done.
    pub reading: Option<Reading>,
    /// What was measured before, where it is only told what would be done and the scan is to be measured again: most
    /// scans show again what they showed.
    pub former: Option<Reading>,
    /// Whether the reading came from the notes; what was measured afresh is written down again.
    pub recalled: bool,
    /// The ends of the notes that it is to match: one pair for all frames, or of its first scan one for each; else
    /// none.
    pub matched: Vec<(Density, Density)>,
}

/// A place of the scan, read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PlacedSpot {
    /// In pixels of the scan as stored.
    pub at: Point,
    /// Over the scanner's full scale, or true if there is a wedge.
    pub density: Density,
}

impl Entry {
    /// Opens and measures a scan. Whatever goes wrong is told in its state. In a share's making pass it is `measured`
    /// already, and is not measured again: the shares would no longer decide the same.
    pub(super) fn of(candidate: &Candidate, measured: Option<&Measured>, run: &Run<'_>) -> Self {
        let file = candidate.file();
        let state = match (run.waiting.get(&file), &candidate.same_name_as, measured) {
            (Some(why), ..) => Err(why.clone()),
            (None, Some(other), _) => {
                let other = other.file_name().unwrap_or_default().to_string_lossy();
                Err(format!("its results would have the names of those of {other}: rename one of the two"))
            }
            (None, None, Some(Measured { result: Err(error), .. })) => Err(error.clone()),
            (None, None, Some(Measured { result: Ok(taken), .. })) => known(candidate, &file, Some(taken), run),
            (None, None, None) => known(candidate, &file, None, run),
        };
        Self { file, name: candidate.name.clone(), path: candidate.path.clone(), state }
    }

    /// What it brings to the counsel of all, if it was measured.
    pub(super) fn voice(&self) -> Option<Voice<'_>> {
        self.voice_of(|known| known.reading.as_ref())
    }

    /// The same, or what it brought before, where it is only told what would be done.
    pub(super) fn last_voice(&self) -> Option<Voice<'_>> {
        self.voice_of(|known| known.reading.as_ref().or(known.former.as_ref()))
    }

    fn voice_of<'s>(&'s self, reading: impl FnOnce(&'s Known) -> Option<&'s Reading>) -> Option<Voice<'s>> {
        let known = self.state.as_ref().ok()?;
        let reading = reading(known)?;
        Some(Voice { file: &self.file, name: &self.name, given: known.settled.settings.base, reading })
    }
}

fn known(candidate: &Candidate, file: &str, taken: Option<&Taken>, run: &Run<'_>) -> Result<Known, String> {
    let Run { order, folders, .. } = run;
    let real = fs::canonicalize(&candidate.path).map_err(|e| scan::Error::Disk(e).to_string())?;
    if folders.is_result(&real) {
        return Err("it is a link to a file among the results: give another folder with --out".to_owned());
    }
    let path = folders.notes(&candidate.name);
    let within = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    match Sidecar::open(&path) {
        Ok(sidecar) => by_notes(candidate, file, taken, sidecar, run),
        Err(slip @ NotesError::Slip { .. }) if taken.is_none() && !order.dry_run && !order.measure_only => {
            let kept = aside(candidate, file, run).unwrap_or_else(|e| format!("nor can it be measured: {e}"));
            Err(format!("{}; {kept}", within(&slip)))
        }
        Err(other) => Err(within(&other)),
    }
}

/// Measures a scan whose notes cannot be read, and puts what it shows where the next run takes it up: without its own
/// settings no picture is made, and nothing is written into the notes. Tells where it is.
///
/// # Errors
/// When it cannot be measured or written; the slip is what there is to mend.
fn aside(candidate: &Candidate, file: &str, run: &Run<'_>) -> Result<String, String> {
    let known = by_notes(candidate, file, None, Sidecar::new(), run)?;
    let entry =
        Entry { file: file.to_owned(), name: candidate.name.clone(), path: candidate.path.clone(), state: Ok(known) };
    let beside = run.folders.measured(file);
    fs::create_dir_all(beside.parent().unwrap_or(Path::new(""))).map_err(|e| e.to_string())?;
    measured::save(&entry, run.folders)?;
    Ok(format!("what was measured is in {} until then", beside.display()))
}

fn by_notes(
    candidate: &Candidate,
    file: &str,
    taken: Option<&Taken>,
    sidecar: Sidecar,
    &Run { order, folders, in_file, room, .. }: &Run<'_>,
) -> Result<Known, String> {
    let path = folders.notes(&candidate.name);
    let within = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let correction = sidecar.correction().map_err(|e| within(&e))?;
    // What is put right for this very scan says more than a setting.
    let own = Wishes::of_notes(&sidecar, correction.base.clone(), folders.out()).map_err(|e| within(&e))?;
    let settled = Settled::settle(&order.flags, &own, in_file);
    let first = linked::first(&sidecar, &path);
    let matched = match &settled.settings.ends {
        Ends::First => match first.as_ref().map_err(|e| within(e))? {
            Some(first) => ends_of(&first.path, &settled.settings)?,
            None => Vec::new(),
        },
        _ => matched(&settled.settings)?,
    };
    let wedge = Wedge::of(&settled.settings)?;
    let (stock, own_stock) = with_texts(&settled.settings)?;
    let stamp = Stamp::of(&candidate.path).map_err(|e| scan::Error::Disk(e).to_string())?;

    let words = settled.settings.words();
    // By what is in the calibration, not by its name.
    let by = wedge.as_ref().map_or("", |wedge| &wedge.blake3);
    let pictures = format!("{:?}", correction.pictures);
    let measuring = ["channel", "encoding", "film", "frames"].map(|name| words[name].as_str());
    let measure_key =
        key(&[&[file, &stamp.bytes.to_string(), &stamp.modified, &pictures, by], &measuring[..]].concat());
    let (before, outputs) = (sidecar.ours(), sidecar.outputs());
    let noted = before.as_ref().filter(|notes| notes.measured.key == measure_key && !order.force);
    let recall = |notes: &Notes| {
        let size = Size { width: notes.scan.width, height: notes.scan.height };
        recall::reading(size, &notes.scan.codes_blake3, &notes.measured)
    };
    let noted = noted.and_then(recall);
    let recalled = noted.is_some();
    let reading = match (taken, noted) {
        (Some(taken), _) if taken.key != measure_key || taken.given != settled.settings.base => {
            let why = "it has changed since it was measured, or its settings have";
            return Err(format!("{why}: run the share with --measure-only again, then all shares"));
        }
        (Some(taken), _) => Some(taken.reading.clone()),
        (None, Some(reading)) => Some(reading),
        (None, None) => match measured::of(candidate, folders).and_then(|measured| measured.result.ok()) {
            Some(taken) if taken.key == measure_key && !order.force => Some(taken.reading),
            _ if order.dry_run => {
                scan::open_torn(&candidate.path, settled.settings.salvage).map(|_| None).map_err(|e| e.to_string())?
            }
            _ => Some(measure(&candidate.path, &settled.settings, &correction, wedge.as_ref(), room)?),
        },
    };
    let former = before.as_ref().filter(|_| reading.is_none()).and_then(recall);
    let spot = match (settled.settings.place, &reading) {
        // A measuring pass leaves it to the run that makes the scan: by then it may be placed by another.
        (Placing::Spot { at, .. }, Some(_)) if !order.measure_only => {
            let before = before.as_ref().filter(|_| recalled).and_then(|notes| notes.measured.spot);
            let before = before.filter(|spot| spot.at == [at.x, at.y]).map(|spot| Density::new(spot.density));
            let density = before
                .filter(|d| recall::is_of_film(*d))
                .map_or_else(|| read_spot(&candidate.path, &settled.settings, wedge.as_ref(), at, room), Ok);
            density.map(|density| Some(PlacedSpot { at, density }))
        }
        _ => Ok(None),
    };
    let marks = sidecar.marks();
    let unlinked = first.as_ref().err().cloned();
    let shot = linked::over(&sidecar, first.ok().flatten().as_ref());
    Ok(Known {
        settled,
        shot,
        unlinked,
        marks,
        before,
        outputs,
        stamp,
        wedge,
        stock,
        own_stock,
        spot,
        measure_key,
        reading,
        former,
        recalled,
        matched,
    })
}

/// Density of the place that an exposure is found by.
fn read_spot(
    path: &Path,
    settings: &Settings,
    wedge: Option<&Wedge>,
    at: Point,
    room: &Room,
) -> Result<Density, String> {
    let opened = room.take_up(path, settings.channel, settings.salvage).map_err(|e| e.to_string())?;
    let scan = &opened.scan;
    let light = Light::of(scan.facts(), settings).map_err(|e| e.to_string())?;
    let calibration = wedge.map(|wedge| &wedge.calibration);
    let bench = room.benches.of(&light.encoding, calibration);
    let density = spots::density(scan, settings.channel, &bench, at, calibration);
    room.put_by(path, opened);
    density
}

fn measure(
    path: &Path,
    settings: &Settings,
    correction: &Correction,
    wedge: Option<&Wedge>,
    room: &Room,
) -> Result<Reading, String> {
    let opened = room.open(path, settings.channel, settings.salvage).map_err(|e| e.to_string())?;
    let pictures = pictures(correction, opened.scan.facts().size)?;
    let reading = reading::read(&opened.scan, settings, &pictures, wedge, &room.benches).map_err(|e| e.to_string())?;
    room.put_by(path, opened);
    Ok(reading)
}

/// The ends at which an earlier scan's flat positive was placed, if the settings ask to match them: those of the first
/// frame in its notes.
///
/// # Errors
/// What is wrong with those notes.
pub(super) fn matched(settings: &Settings) -> Result<Vec<(Density, Density)>, String> {
    let Ends::Match(path) = &settings.ends else { return Ok(Vec::new()) };
    Ok(ends_of(path, settings)?.into_iter().take(1).collect())
}

/// The ends at which the flat positives of notes were placed, frame by frame.
fn ends_of(path: &Path, settings: &Settings) -> Result<Vec<(Density, Density)>, String> {
    let wrong = |what: &str| format!("{}: {what}", path.display());
    if !path.is_file() {
        return Err(wrong("no such notes: give the .notes.toml of an earlier scan after match="));
    }
    if path.extension().is_none_or(|ending| ending != "toml") {
        return Err(wrong("these are no notes: give the .notes.toml of an earlier scan after match="));
    }
    let notes = Sidecar::open(path).map_err(|e| wrong(&e.to_string()))?.ours();
    let notes = notes.ok_or_else(|| wrong("these notes name no flat positive: give those of a scan that was made"))?;
    if notes.measured.base_source == "assumed" {
        return Err(wrong("that scan had no base, so its ends are not net densities: match another"));
    }
    if notes.scan.wedge.is_some() != settings.wedge.is_some() {
        return Err(wrong(
            "one of the two has densities by a wedge and the other the scanner's: match notes made like this batch",
        ));
    }
    if notes.flat.frames.is_empty() {
        return Err(wrong("these notes name no frame: match another"));
    }
    let ends: Vec<_> =
        notes.flat.frames.iter().map(|flat| (Density::new(flat.thin), Density::new(flat.dense))).collect();
    if !ends.iter().all(|ends| [ends.0, ends.1].into_iter().all(recall::is_of_film) && ends.0 < ends.1) {
        return Err(wrong("its thin and dense ends cannot be those of a negative: match another"));
    }
    Ok(ends)
}
