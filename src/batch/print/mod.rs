//! `dryside print`: prints at size, from the scan and its notes.

mod carrier;
mod easel;
mod expose;
mod file;
mod placed;
mod read_as;
mod recipe;
mod trial;

use std::collections::BTreeSet;
use std::fmt::Display;
use std::path::{Path, PathBuf};

use crate::light::{Density, LengthUnit, Millimetres};
use crate::notes::{FileNotes, Mark, PrintRecord, Sidecar};
use crate::save::{self, Written};
use crate::scan::{Carried, Channel, Halt, Scan};

use super::finish::holds;
use super::folders::{self, PRINT};
use super::inscribe::{self, Inscriber, Tones};
use super::keep;
use super::key::Stamp;
use super::make::save_beside;
use super::noted::Noted;
use super::reach::Reach;
use super::which::{self, Wanted};
use easel::{Laid, Lying};
use expose::Exposure;
use recipe::Recipe;

pub(super) use carrier::{Carrier, decide, open, settled};
pub use easel::{Easel, Meeting};
pub(super) use read_as::Read;
pub use recipe::{PPI, PrintWishes, SHARPEN};
pub(super) use trial::{Lamp, Part, Trial};

/// What is asked for.
#[derive(Clone, Debug)]
pub struct PrintOrder {
    /// Which frames, and how.
    pub task: PrintTask,
    /// Only frames that carry this mark.
    pub marked: Option<Mark>,
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<PathBuf>,
    /// Where the prints go; `print` in the folder of results if not said.
    pub out: Option<PathBuf>,
    /// Make again what is there.
    pub force: bool,
}

/// Which prints.
#[derive(Clone, Debug)]
pub enum PrintTask {
    /// Frames as a person named them, printed as asked.
    New(Vec<PathBuf>, Box<PrintWishes>),
    /// All prints that the notes of frames tell of, as they were made.
    Again(Vec<PathBuf>),
}

/// What became of all.
#[derive(Clone, Debug, Default)]
pub struct PrintOutcome {
    /// Prints.
    pub prints: Vec<Printed>,
    /// What could not be printed, and why.
    pub failures: Vec<String>,
    /// Whether nothing of what was typed is there: the failures say so.
    pub none_there: bool,
}

/// A print.
#[derive(Clone, Debug)]
pub struct Printed {
    /// The frame.
    pub frame: String,
    /// The file.
    pub path: PathBuf,
    /// Its decisions.
    pub record: PrintRecord,
    /// The picture on the sheet, in the unit of the sheet.
    pub picture: (f64, f64, LengthUnit),
    /// Pixels of the scan for an inch of the print.
    pub scanned: f64,
    /// Whether it was made, or was there.
    pub state: PrintState,
    /// What a person should know.
    pub advice: Vec<String>,
}

/// Whether a print was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrintState {
    /// It was.
    Made,
    /// The same print was there already.
    UpToDate,
    /// It was there already, and other hands have changed it since.
    Kept,
}

/// Makes prints, until `halt` is asked. One that fails is told; the others go on. Meanwhile `tell` learns the name of
/// each file that is begun.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub fn make_prints(order: &PrintOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<PrintOutcome, folders::Error> {
    let (PrintTask::New(typed, _) | PrintTask::Again(typed)) = &order.task;
    let (all, failures) = which::all(typed);
    let results: BTreeSet<PathBuf> = all.iter().map(Wanted::results).collect();
    let _held: Vec<_> = results.iter().map(|out| folders::hold(out)).collect::<Result<_, _>>()?;
    let (mut prints, mut reach) = (Vec::new(), Reach::of(failures));
    let mut without = None;
    for wanted in all.into_iter().take_while(|_| !halt.is_asked()) {
        let Some((noted, numbers)) = reach.open(wanted, |noted, number| is_meant(noted, number, order)) else {
            continue;
        };
        let notes = &noted.wanted.notes;
        // A mark that cannot be read may be of a frame that was meant.
        if order.marked.is_some() {
            let slips = noted.sidecar.marks().slips(noted.reading.frames.len());
            slips.into_iter().for_each(|slip| reach.fail(format!("{}: {slip}", notes.display())));
        }
        if numbers.is_empty() {
            without = without.or_else(|| Some(notes.clone()));
        } else {
            Enlarger::work(noted, &numbers, (order, halt), tell, (&mut prints, &mut reach));
        }
    }
    // Of a folder not every scan has prints, or is marked; that none has is only known when all were looked at.
    if let (true, true, false, Some(notes)) = (prints.is_empty(), reach.failures.is_empty(), halt.is_asked(), without) {
        let none =
            format!("{}: these notes tell of no print: make one with dryside print FRAME --size", notes.display());
        reach.failures.push(order.marked.map_or(none, which::none_marked));
    }
    Ok(PrintOutcome { prints, none_there: reach.none_there(), failures: reach.failures })
}

/// Whether a frame that was named is meant: it carries the mark that is asked for; or there are prints to be made
/// again, as far as its notes can be read.
fn is_meant(noted: &Noted, number: usize, order: &PrintOrder) -> bool {
    match order.task {
        PrintTask::New(..) => order.marked.is_none_or(|mark| noted.sidecar.marks().of_frame(number).mark == Some(mark)),
        PrintTask::Again(_) => {
            noted.sidecar.prints().map_or(true, |prints| prints.iter().any(|print| is_again(noted, print)))
        }
    }
}

/// Whether a print is among those to be made again: of a scan that was named as a whole all are, also one of a frame
/// that is no more, so that this is told.
fn is_again(noted: &Noted, print: &PrintRecord) -> bool {
    noted.wanted.frame.is_none_or(|number| print.frame as usize == number)
}

/// One scan in the enlarger.
struct Enlarger<'a> {
    noted: Noted,
    order: &'a PrintOrder,
    tell: &'a dyn Fn(&str),
    path: PathBuf,
    scan: Scan,
    /// Where its prints go.
    folder: PathBuf,
    /// Whether it was held against its notes.
    verified: bool,
}

impl<'a> Enlarger<'a> {
    fn work(
        noted: Noted,
        numbers: &[usize],
        asked: (&'a PrintOrder, &Halt),
        tell: &'a dyn Fn(&str),
        (prints, reach): (&mut Vec<Printed>, &mut Reach),
    ) {
        let told = Self::new(noted, asked, tell).and_then(|mut enlarger| enlarger.task(numbers, prints, reach));
        if let Err(error) = told {
            reach.fail(error);
        }
    }

    fn new(noted: Noted, (order, halt): (&'a PrintOrder, &Halt), tell: &'a dyn Fn(&str)) -> Result<Self, String> {
        let (path, scan) = noted.scan(order.scans.as_deref())?;
        let scan = scan.heeding(halt);
        let folder = order.out.clone().unwrap_or_else(|| noted.wanted.results().join(PRINT));
        folders::for_files(&folder, &path)?;
        Ok(Self { noted, order, tell, path, scan, folder, verified: false })
    }

    fn task(&mut self, numbers: &[usize], prints: &mut Vec<Printed>, reach: &mut Reach) -> Result<(), String> {
        // The disk tells at once when a scan was made anew; that it was not, only its codes tell, before anything is
        // made.
        let (stamp, before) = (Stamp::of(&self.path).map_err(|e| e.to_string())?, &self.noted.notes.scan);
        if (stamp.bytes, &stamp.modified) != (before.bytes, &before.modified) {
            self.verify()?;
        }
        let records = match &self.order.task {
            PrintTask::New(_, asked) => {
                let decide = |number: &usize| recipe::decide(asked, &self.noted, *number, &self.scan);
                numbers.iter().map(decide).collect::<Result<Vec<_>, _>>()?
            }
            PrintTask::Again(_) => {
                let again = self.prints()?.into_iter().filter(|record| is_again(&self.noted, record));
                again.map(|record| (record, Vec::new())).collect()
            }
        };
        for (record, advice) in records {
            let name = self.noted.name(record.frame as usize);
            // A print that was made is known by its file.
            let told = if record.file.is_empty() { name.clone() } else { record.file.clone() };
            match self.print(record, &name) {
                Ok(mut printed) => {
                    printed.advice.extend(advice);
                    prints.push(printed);
                }
                Err(error) => reach.fail(format!("{told}: {error}")),
            }
        }
        Ok(())
    }

    fn verify(&mut self) -> Result<(), String> {
        if !self.verified {
            let channel = self.noted.notes.scan.channel.as_deref().and_then(|word| word.parse().ok());
            self.noted.verify(&self.path, &self.scan, channel.unwrap_or(Channel::Green))?;
            self.verified = true;
        }
        Ok(())
    }

    fn prints(&self) -> Result<Vec<PrintRecord>, String> {
        self.noted.sidecar.prints().map_err(|e| format!("{}: {e}", self.noted.wanted.notes.display()))
    }

    /// Makes a print, unless it is there.
    fn print(&mut self, mut record: PrintRecord, name: &str) -> Result<Printed, String> {
        let facts = self.scan.facts();
        let recipe = Recipe::of(&record, &self.noted, facts)?;
        let laid = recipe.easel.lay(&recipe.frame)?;
        if !recipe.upsampling && !laid.is_enough() {
            return Err(too_few(&recipe, &laid));
        }
        let earlier = self.prints()?;
        let before = earlier.into_iter().find(|before| before.is_like(&record));
        record.file = match &before {
            Some(before) if Path::new(&before.file).file_name().is_some_and(|f| f == before.file.as_str()) => {
                before.file.clone()
            }
            Some(before) => return Err(format!("\"{}\" in its notes is no name of a file", before.file)),
            None => self.free_name(name, &record, recipe.kind)?,
        };
        let path = self.folder.join(&record.file);
        let mut advice: Vec<String> = askew(&recipe.frame, &recipe.easel).into_iter().collect();
        let seal = before.as_ref().map(|before| Written { bytes: before.bytes, blake3: before.blake3.clone() });
        let shot = self.noted.shot();
        let inscriber = Inscriber::noted(&shot, &self.noted.notes.record.settings, self.scan.facts());
        let inscriber = inscriber.map_err(|e| e.to_string())?;
        record.said = inscriber.key();
        let known_xmp = before.as_ref().and_then(|before| before.xmp.clone());
        record.xmp = record.xmp.or(known_xmp.clone());
        let beside = path.with_extension("xmp");
        let carried = self.carried(&inscriber, &record);
        let said = before.as_ref().map_or(&record.said, |before| &before.said);
        let said_otherwise = *said != record.said;
        let state = match &seal {
            Some(seal) if !self.order.force && seal.bytes > 0 && path.exists() => {
                if holds(seal, &path)? {
                    if said_otherwise { PrintState::Made } else { PrintState::UpToDate }
                } else {
                    PrintState::Kept
                }
            }
            _ => PrintState::Made,
        };
        let lacks_xmp = record.xmp.is_some() && (state == PrintState::Made || !beside.exists());
        let is_ours = || {
            let written = |of: &FileNotes| Written { bytes: of.bytes, blake3: of.blake3.clone() };
            known_xmp.as_ref().map_or(Ok(false), |of| holds(&written(of), &beside))
        };
        if lacks_xmp && beside.exists() && !self.order.force && !is_ours()? {
            let beside = beside.display();
            return Err(format!(
                "{beside} was put there or changed by other hands: move it away, or print with --force"
            ));
        }
        let save_beside = || -> Result<FileNotes, String> {
            let Written { bytes, blake3 } = save_beside(&beside, &carried).map_err(|e| e.to_string())?;
            let file = beside.file_name().unwrap_or_default().to_string_lossy().into_owned();
            Ok(FileNotes { file, bytes, blake3 })
        };
        if state == PrintState::Made {
            (self.tell)(&record.file);
            self.verify()?;
            // First without its seal: whatever interrupts the making, the next run knows the file as its own.
            self.note(&record)?;
            let made = self.make(&recipe, laid, &path, &carried).map_err(|e| format!("{}: {e}", path.display()))?;
            let program = before.map(|before| before.program).unwrap_or_default();
            if said_otherwise && seal.is_some() {
                advice
                    .push("what its notes say of the picture has changed since, and so what its file says".to_owned());
            } else if seal.is_some_and(|seal| seal.bytes > 0 && seal != made) {
                advice.push(format!("it is not the same file as before, to the byte: that was made by {program}"));
            }
            record =
                PrintRecord { bytes: made.bytes, blake3: made.blake3, program: save::PROGRAM.to_owned(), ..record };
            if lacks_xmp {
                record.xmp = Some(save_beside()?);
            }
            self.note(&record)?;
        } else if let Some(before) = before {
            record = before;
            if lacks_xmp {
                record.xmp = Some(save_beside()?);
                self.note(&record)?;
            }
        }
        let unit = recipe.easel.size.unit();
        let side = |pixels: u32| unit.count(Millimetres::of_pixels(f64::from(pixels), recipe.easel.ppi));
        Ok(Printed {
            frame: name.to_owned(),
            path,
            picture: (side(laid.picture.width), side(laid.picture.height), unit),
            scanned: laid.scanned().0 / f64::from(laid.picture.width) * recipe.easel.ppi.value(),
            record,
            state,
            advice,
        })
    }

    /// What its file is to say.
    fn carried(&self, inscriber: &Inscriber<'_>, record: &PrintRecord) -> Carried {
        let frame = &self.noted.reading.frames[record.frame as usize - 1];
        let base = Density::new(record.base);
        let tones = Tones { base, thin: frame.thin - base, dense: frame.dense - base };
        inscriber.print(tones, inscribe::Printed::of(record))
    }

    fn make(&self, recipe: &Recipe, laid: Laid, path: &Path, carried: &Carried) -> Result<Written, file::Error> {
        let exposure = Exposure {
            scan: &self.scan,
            channel: recipe.channel(),
            laid,
            light: recipe.light(self.scan.facts())?,
            edge_burn: recipe.edge_burn,
            sharpening: recipe.sharpening.clone(),
            white: recipe.luminance(Density::new(f64::INFINITY)),
            black: recipe.luminance(Density::new(f64::NEG_INFINITY)),
        };
        file::write(path, recipe, &exposure, carried)
    }

    /// A name that no file there has and no print in the notes: the frame's with the size, and a number from the second
    /// on.
    fn free_name(&self, name: &str, record: &PrintRecord, kind: save::PictureKind) -> Result<String, String> {
        let earlier = self.prints()?;
        let beside = |file: &String| record.xmp.is_some() && self.folder.join(file).with_extension("xmp").exists();
        let taken =
            |file: &String| earlier.iter().any(|p| p.file == *file) || self.folder.join(file).exists() || beside(file);
        let numbered = |n: u32| match n {
            1 => format!("{name}-{}.{}", record.size, kind.ending()),
            n => format!("{name}-{}-{n}.{}", record.size, kind.ending()),
        };
        (1..).map(numbered).find(|file| !taken(file)).ok_or_else(|| "no name is left for it".to_owned())
    }

    /// Writes a print into the notes, read again just before: a person may have written in them meanwhile.
    fn note(&mut self, record: &PrintRecord) -> Result<(), String> {
        let path = &self.noted.wanted.notes;
        let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
        keep::change(path, |sidecar| sidecar.with_print(record)).map_err(|e| wrong(&e))?;
        self.noted.sidecar = Sidecar::open(path).map_err(|e| wrong(&e))?;
        Ok(())
    }
}

/// Resolution of a good print, and of one that is not told otherwise, in pixels an inch: one arc-minute at 30 cm is 291
/// (published; computed).
pub const GOOD: f64 = 300.0;

/// That the scan has too few pixels, and how large it can go.
fn too_few(recipe: &Recipe, laid: &Laid) -> String {
    let (across, down) = laid.scanned();
    let unit = recipe.easel.size.unit();
    let [width, height] = [across, down].map(|pixels| unit.count(Millimetres::of_pixels(pixels, recipe.easel.ppi)));
    format!(
        "{} at {} ppi needs {} x {} pixels of picture, the scan has {across:.0} x {down:.0}: \
         at this resolution it can be {width:.1} x {height:.1} {} large; print smaller, scan finer, or add --allow-upsampling",
        recipe.easel.size,
        recipe.easel.ppi.value(),
        laid.picture.width,
        laid.picture.height,
        unit.name(),
    )
}

/// A frame that lies askew by this many degrees or more shows it beside the edge of the sheet: 1.3 mm on 30 cm.
const ASKEW: f64 = 0.25;

fn askew(frame: &Lying, easel: &Easel) -> Option<String> {
    let tilt = frame.tilt();
    let told = || format!("the frame lies askew by {} degrees: --straighten sets it upright", tilt.abs());
    (tilt.abs() >= ASKEW && easel.tilt == 0.0).then(told)
}
