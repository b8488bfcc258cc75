//! Proofs and pictures of straight pages made again, from the scan or, where that is away, from the flat positive.

use std::fmt::Display;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::flat::{Law, read_back};
use crate::light::{Density, LogExposure, Stops};
use crate::notes::{FileNotes, Notes, ShotNotes, Sidecar};
use crate::paper::{Grade, Print, Split, Stock};
use crate::plane::{Area, Point, Quad, Size};
use crate::save::{self, Written};
use crate::scan::{self, Carried, Channel, Halt, Orientation, Scan};

use super::counting;
use super::develop::BEYOND_RANGE;
use super::folders::{Folders, real};
use super::frame::straight;
use super::inscribe::{Inscriber, Printed, Tones};
use super::keep;
use super::key::{self, Stamp};
use super::linked;
use super::moved;
use super::own_picture::jpeg;
use super::print::Read;
use super::recall;
use super::settings::Settings;
use super::shown::Shown;
use super::small::{Greys, Kind, PROOF_EDGE, STRAIGHT_EDGE, Small, reduce, tones};
use super::stock;

/// Makes what is not there of the pictures that a sheet shows: proofs, and those of the `straight` pages if they are
/// wanted. Scans are looked for in `scans`, else beside the results. What cannot be made is told, and in its frame's
/// box. When `halt` is asked, what is in hand is dropped.
pub(super) fn make_again(shown: &mut [Shown], straight: bool, scans: Option<&Path>, halt: &Halt) -> Vec<String> {
    let mut troubles = Vec::new();
    for of_scan in shown.chunk_by_mut(|a, b| a.row.scan == b.row.scan && a.folders == b.folders) {
        if halt.is_asked() {
            break;
        }
        let lacks = |shown: &Shown| shown.failure().is_none() && !needed(shown, straight).is_empty();
        if !of_scan.iter().any(lacks) {
            continue;
        }
        let told = Again::of(&of_scan[0], scans, halt).and_then(|mut again| again.make(of_scan, straight));
        if let Err(why) = told {
            for shown in of_scan.iter_mut().filter(|shown| lacks(shown)) {
                shown.gone = Some(why.clone());
            }
            troubles.push(format!("{}: {why}", of_scan[0].scan()));
        }
    }
    troubles
}

/// Those that are not there, or not whole.
fn needed(shown: &Shown, straight: bool) -> Vec<Kind> {
    let proof = (!shown.proof().is_file() || is_torn(&shown.proof())).then_some(Kind::Proof);
    let there = shown.straight_noted && shown.straight().is_file() && !is_torn(&shown.straight());
    let straight = (straight && shown.has_base() && !there).then_some(Kind::Straight);
    proof.into_iter().chain(straight).collect()
}

/// Whether a JPEG ends before its picture does, as a copy that was broken off, or is blank, as after a fall of the
/// machine: then it is nobody's work. Behind the begin of its last scan must stand the end of the image, which its data
/// cannot hold (ISO/IEC 10918-1, B.1.1.2 and B.1.1.5). What cannot be read, or is something else, is told by whoever
/// draws it.
fn is_torn(path: &Path) -> bool {
    const START_OF_IMAGE: [u8; 2] = [0xFF, 0xD8];
    const START_OF_SCAN: [u8; 2] = [0xFF, 0xDA];
    const END_OF_IMAGE: [u8; 2] = [0xFF, 0xD9];
    let Ok(bytes) = jpeg(path) else { return false };
    let last = |marker: [u8; 2]| bytes.windows(2).rposition(|pair| pair == marker);
    let ends = || last(START_OF_SCAN).is_some_and(|start| last(END_OF_IMAGE).is_some_and(|end| end > start));
    bytes.iter().all(|byte| *byte == 0) || bytes.starts_with(&START_OF_IMAGE) && !ends()
}

/// Where pixels come from.
enum Source {
    Scan(Box<Scan>),
    /// Each frame's own flat positive.
    Flats,
}

/// The notes of a scan whose pictures are made again.
struct Again {
    path: PathBuf,
    notes: Notes,
    shot: ShotNotes,
    folders: Folders,
    stock: Arc<Stock>,
    source: Source,
    halt: Halt,
}

impl Again {
    fn of(shown: &Shown, scans: Option<&Path>, halt: &Halt) -> Result<Self, String> {
        let folders = shown.folders.clone();
        let path = shown.notes.clone();
        let within = |e: &dyn Display| format!("{}: {e}", path.display());
        let sidecar = Sidecar::open(&path).map_err(|e| within(&e))?;
        let shot = linked::shot(&sidecar, &path);
        let notes = sidecar.ours();
        let notes =
            notes.ok_or_else(|| within(&"these notes hold no measured frame: run dryside batch on the scan"))?;
        let stock = stock_of(&notes).map_err(|e| within(&e))?;
        let source = source(&notes, &folders, scans, halt)?;
        Ok(Self { path, notes, shot, folders, stock, source, halt: halt.clone() })
    }

    fn make(&mut self, of_scan: &mut [Shown], straight: bool) -> Result<(), String> {
        let before = self.notes.clone();
        let lacking: Vec<(usize, Vec<Kind>)> =
            of_scan.iter().map(|shown| (shown.number, needed(shown, straight))).collect();
        for (number, kinds) in &lacking {
            let foreign = self.folders.straight(&name(&self.notes, *number)?);
            let noted = self.notes.print.frames.get(number - 1).is_some_and(|frame| frame.straight.is_some());
            if kinds.contains(&Kind::Straight) && !noted && foreign.exists() {
                return Err(format!("{} was put there by other hands: move it away", foreign.display()));
            }
        }
        match &self.source {
            Source::Scan(scan) => {
                let channel = self.notes.scan.channel.as_deref().and_then(|word| word.parse().ok());
                let read = self.read()?;
                let bench = read.bench(scan.facts()).map_err(|e| e.to_string())?;
                let base = Density::new(self.notes.measured.base);
                let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - base);
                let made =
                    self.pictures(scan, channel.unwrap_or(Channel::Green), &lacking, Point { x: 0.0, y: 0.0 }, &net)?;
                made.into_iter().for_each(|made| self.note(made));
            }
            Source::Flats => {
                for lack in lacking.into_iter().filter(|(_, kinds)| !kinds.is_empty()) {
                    let made = self.out_of_flat(lack)?;
                    made.into_iter().for_each(|made| self.note(made));
                }
            }
        }
        for shown in of_scan {
            shown.straight_noted =
                self.notes.print.frames.get(shown.number - 1).is_some_and(|frame| frame.straight.is_some());
        }
        let changed = self.notes != before;
        if changed {
            keep::change(&self.path, |sidecar| sidecar.with(&self.notes)).map_err(|e| self.within(&e))
        } else {
            Ok(())
        }
    }

    fn read(&self) -> Result<Read, String> {
        let encoding = self.notes.record.settings.get("encoding").map_or("auto", String::as_str);
        let channel = self.notes.scan.channel.clone().unwrap_or_else(|| Channel::Green.to_string());
        Read::of(encoding, &channel, &self.notes)
    }

    /// By the law and the encoding that the notes name for the flat positive.
    fn out_of_flat(&self, lack: (usize, Vec<Kind>)) -> Result<Vec<MadeAgain>, String> {
        let flat =
            self.notes.flat.frames.get(lack.0 - 1).ok_or_else(|| self.within(&"these notes name no flat positive"))?;
        let path = self.folders.flat_file(&flat.file);
        let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
        let law = Law::between(Density::new(flat.thin), Density::new(flat.dense));
        let mut settings = Settings::default();
        let word = self.notes.record.settings.get("out-encoding").map_or("", String::as_str);
        settings.set("out-encoding", word).map_err(|e| self.within(&e))?;
        let [x, y, ..] = flat.area;
        let corner = Point { x: f64::from(x), y: f64::from(y) };
        let scan = scan::open(&path).map_err(|e| wrong(&e))?.heeding(&self.halt);
        let net = |code| match code {
            // The scanner saw no end of light there: thinner than any film.
            0 => Density::new(f64::NEG_INFINITY),
            code => read_back(code, &law, &settings.out_encoding).unwrap_or(BEYOND_RANGE),
        };
        self.pictures(&scan, Channel::Green, &[lack], corner, &net).map_err(|e| wrong(&e))
    }

    /// Makes pictures of what is read, which begins at a `corner` of the scan.
    fn pictures(
        &self,
        scan: &Scan,
        channel: Channel,
        lacking: &[(usize, Vec<Kind>)],
        corner: Point,
        net: &(dyn Fn(u16) -> Density + Sync),
    ) -> Result<Vec<MadeAgain>, String> {
        let (mut smalls, mut of) = (Vec::new(), Vec::new());
        for (number, kinds) in lacking {
            let corners = self.corners(*number)?;
            let area = within(corners.bounds(self.size()), corner, scan.facts().size);
            let area = area.ok_or("its picture does not lie where its notes say: run dryside batch on the scan")?;
            for kind in kinds {
                let (edge, tones) = match kind {
                    Kind::Proof => (PROOF_EDGE, tones(&self.print(*number)?, net)),
                    Kind::Straight => (STRAIGHT_EDGE, tones(&straight(&self.stock), net)),
                };
                smalls.push(Small::new(area, edge, tones));
                of.push((*number, *kind, corners.moved(-corner.x, -corner.y)));
            }
        }
        let orientation = Orientation::new(self.notes.scan.orientation).unwrap_or_default();
        let greys = reduce(scan, channel, &smalls).map_err(|e| e.to_string())?;
        let inscriber = Inscriber::noted(&self.shot, &self.notes.record.settings, scan.facts());
        let inscriber = inscriber.map_err(|e| self.within(&e))?;
        let save = |((number, kind, corners), greys): ((usize, Kind, Quad), Greys)| {
            let name = name(&self.notes, number)?;
            let path = kind.path(&name, &self.folders);
            let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
            let jpeg = greys.jpeg(corners, orientation).map_err(|e| wrong(&e))?;
            let jpeg = save::inscribe_jpeg(&jpeg, &self.carried(&inscriber, number)).map_err(|e| wrong(&e))?;
            fs::create_dir_all(path.parent().unwrap_or(Path::new("."))).map_err(|e| wrong(&e))?;
            let written = save::whole(&path, |file| Ok::<_, save::Error>(file.write_all(&jpeg)?));
            Ok(MadeAgain { number, kind, file: format!("{name}.jpg"), written: written.map_err(|e| wrong(&e))? })
        };
        of.into_iter().zip(greys).map(save).collect()
    }

    /// What the proof of a frame carries, and its picture on the straight pages with it.
    fn carried(&self, inscriber: &Inscriber<'_>, number: usize) -> Carried {
        let (measured, print) = (&self.notes.measured, &self.notes.print);
        let (frame, of_proof) = (&measured.frames[number - 1], &print.frames[number - 1]);
        let grade = of_proof.split.as_ref().map_or(&of_proof.grade, |split| &split.equivalent);
        let exposure = Stops::new(of_proof.exposure);
        let printed = Printed { paper: &print.paper, table: &print.table, grade, exposure };
        inscriber.print(Tones::noted(measured.base, frame.thin, frame.dense), printed)
    }

    fn corners(&self, number: usize) -> Result<Quad, String> {
        let frame = self.notes.measured.frames.get(number - 1);
        let frame = frame.ok_or_else(|| self.within(&format!("these notes have no frame {number}")))?;
        Ok(Quad(frame.corners.map(|[x, y]| Point { x, y })))
    }

    fn size(&self) -> Size {
        Size { width: self.notes.scan.width, height: self.notes.scan.height }
    }

    /// The proof's print, as it is noted.
    fn print(&self, number: usize) -> Result<Print<'_>, String> {
        let frame = &self.notes.print.frames[number - 1];
        let grade: Grade = frame.grade.parse().map_err(|e| self.within(&e))?;
        let split = frame.split.as_ref().map(|split| split.exposures.parse::<Split>()).transpose();
        let split = split.map_err(|e| self.within(&e))?;
        Ok(Print::parted(&self.stock, grade, LogExposure::new(frame.x0), split))
    }

    fn note(&mut self, made: MadeAgain) {
        let frame = &mut self.notes.print.frames[made.number - 1];
        let MadeAgain { kind, file, written: Written { bytes, blake3 }, .. } = made;
        match kind {
            Kind::Proof => (frame.bytes, frame.blake3) = (bytes, blake3),
            Kind::Straight => frame.straight = Some(FileNotes { file, bytes, blake3 }),
        }
    }

    fn within(&self, e: &dyn Display) -> String {
        format!("{}: {e}", self.path.display())
    }
}

/// A picture that was made.
struct MadeAgain {
    number: usize,
    kind: Kind,
    file: String,
    written: Written,
}

/// An area of the scan, counted from the corner of what is read.
fn within(area: Area, corner: Point, size: Size) -> Option<Area> {
    let (x, y) = (area.x.checked_sub(corner.x as u32)?, area.y.checked_sub(corner.y as u32)?);
    (x + area.width <= size.width && y + area.height <= size.height).then_some(Area { x, y, ..area })
}

fn name(notes: &Notes, number: usize) -> Result<String, String> {
    let file = notes.print.frames.get(number - 1).map(|frame| Path::new(&frame.file));
    let name = file.filter(|file| file.file_name() == Some(file.as_os_str())).and_then(Path::file_stem);
    name.map(|name| name.to_string_lossy().into_owned())
        .ok_or_else(|| format!("its notes name no proof of frame {number}"))
}

/// The paper and the table of grades of the proofs.
fn stock_of(notes: &Notes) -> Result<Arc<Stock>, String> {
    let mut settings = Settings::default();
    for name in ["paper", "grades"] {
        if let Some(word) = notes.record.settings.get(name) {
            settings.set(name, word).map_err(|e| e.to_string())?;
        }
    }
    let stock = stock::stock(&settings)?;
    let same = stock.paper().name() == notes.print.paper && stock.table().name() == notes.print.table;
    let what = "its paper or its table of grades is another by now: run dryside batch on the scan";
    if same { Ok(stock) } else { Err(what.to_owned()) }
}

/// The scan, if it is the one that was measured; else the flat positives, if they are those that were made.
fn source(notes: &Notes, folders: &Folders, scans: Option<&Path>, halt: &Halt) -> Result<Source, String> {
    let beside = || real(folders.out()).parent().unwrap_or(Path::new("")).join(&notes.scan.folder);
    let folder = scans.map_or_else(beside, Path::to_owned);
    let path = folder.join(Path::new(&notes.scan.file).file_name().unwrap_or_default());
    let open = || {
        let scan = scan::open_torn(&path, recall::torn(notes)).map_err(|e| format!("{}: {e}", path.display()))?;
        Ok::<_, String>(scan.heeding(halt))
    };
    let stamp = Stamp { bytes: notes.scan.bytes, modified: notes.scan.modified.clone() };
    if path.is_file() && Stamp::of(&path).is_ok_and(|there| there == stamp) {
        return open().map(|scan| Source::Scan(Box::new(scan)));
    }
    let made = |frame: &crate::notes::FlatFrame| {
        let path = folders.flat_file(&frame.file);
        let written = Written { bytes: frame.bytes, blake3: frame.blake3.clone() };
        written.bytes > 0 && path.is_file() && key::holds(&written, &path).is_ok_and(|ours| ours)
    };
    if notes.flat.frames.iter().all(made) {
        return Ok(Source::Flats);
    }
    if path.is_file() {
        let scan = open()?;
        let channel = notes.scan.channel.as_deref().and_then(|word| word.parse().ok()).unwrap_or(Channel::Green);
        let codes = counting::fingerprint(&scan, channel).map_err(|e| e.to_string())?;
        if codes == notes.scan.codes_blake3 {
            return Ok(Source::Scan(Box::new(scan)));
        }
    }
    if let Some(path) = moved::in_folder(&folder, &notes.scan) {
        let scan = scan::open_torn(&path, recall::torn(notes)).map_err(|e| format!("{}: {e}", path.display()))?;
        return Ok(Source::Scan(Box::new(scan.heeding(halt))));
    }
    let what = "a picture of it is gone or torn, and so is the scan that it was made from";
    let advice = "say where the scans are with --scans FOLDER, or run dryside batch on them";
    Err(format!("{what} ({}): {advice}", path.display()))
}
