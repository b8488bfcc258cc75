//! A frame in the carrier: everything that a print of it goes by, whatever its size.

use std::fmt::Display;
use std::sync::Arc;

use crate::batch::frame::{self, Decided};
use crate::batch::noted::Noted;
use crate::batch::reading::FrameReading;
use crate::batch::settings::{SettingError, Settings};
use crate::batch::stock::with_texts;
use crate::batch::wishes::{Settled, Wishes};
use crate::film::Warning;
use crate::flat::Law;
use crate::light::{Density, LogExposure};
use crate::notes::Notes;
use crate::paper::{Placing, Stock};
use crate::plane::{Point, Quad};
use crate::scan::{Channel, Facts, Scan};

use super::easel::Lying;
use super::read_as::Read;

/// Settings that say how a frame is placed on which paper, and so are the proof's unless others are asked for.
const GRADED: [&str; 7] = ["paper", "grades", "grade", "place", "exposure", "dry-down", "split"];

/// A frame in the carrier: how it lies in the scan, what is read of it, and how it is placed on which paper.
pub(in crate::batch) struct Carrier {
    /// The negative placed on the paper.
    pub decided: Decided,
    /// What a person should know of that.
    pub advice: Vec<String>,
    /// How it lies in the scan.
    pub lying: Lying,
    /// What is read of the scan, and as which light.
    pub read: Read,
    /// The channel that is read, as a setting.
    pub channel: String,
    /// And the encoding.
    pub encoding: String,
    /// What is in the files of paper and table, where they are a person's own.
    pub files: [Option<String>; 2],
}

impl Carrier {
    /// Places a frame on its paper: by what is `asked`, by the notes' own settings, else as its proof.
    ///
    /// # Errors
    /// When the notes' own settings are wrong, the paper's file cannot be read, or the place that it is exposed by.
    pub(in crate::batch) fn of(asked: &Wishes, noted: &Noted, number: usize, scan: &Scan) -> Result<Self, String> {
        let (notes, reading, facts) = (&noted.notes, &noted.reading, scan.facts());
        let settings = settled(asked, noted)?;
        let (stock, files) = with_texts(&settings)?;
        let encoding = notes.record.settings.get("encoding").cloned().unwrap_or_else(|| "auto".to_owned());
        let channel = notes.scan.channel.clone().unwrap_or_else(|| Channel::Green.to_string());
        let read = Read::of(&encoding, &channel, notes)?;

        let (decided, warning) = decide(&settings, stock, noted, number, |at| read.spot(at, notes, scan))?;
        let advice = warning.into_iter().chain(decided.beyond_split()).map(|warning| warning.to_string()).collect();
        let lying = lying(trimmed(&reading.frames[number - 1]), facts);
        Ok(Self { decided, advice, lying, read, channel, encoding, files })
    }
}

/// How a frame is to be placed: by what is `asked`, by the notes' own settings, else as its proof.
///
/// # Errors
/// When the notes' own settings are wrong.
pub(in crate::batch) fn settled(asked: &Wishes, noted: &Noted) -> Result<Settings, String> {
    let wrong = |e: &dyn Display| format!("{}: {e}", noted.wanted.notes.display());
    let own = Wishes::of_notes(&noted.sidecar, None, &noted.wanted.results()).map_err(|e| wrong(&e))?;
    Ok(Settled::settle(asked, &own, &of_proof(&noted.notes).map_err(|e| wrong(&e))?).settings)
}

/// Places a frame on its paper; `spot` reads the density of the place that it is exposed by, if it is by one.
///
/// # Errors
/// When that place cannot be read.
pub(in crate::batch) fn decide(
    settings: &Settings,
    stock: Arc<Stock>,
    noted: &Noted,
    number: usize,
    spot: impl FnOnce(Point) -> Result<Density, String>,
) -> Result<(Decided, Option<Warning>), String> {
    let frame = &noted.reading.frames[number - 1];
    let base = Density::new(noted.notes.measured.base);
    let (grade, warning) = frame::grade(settings, stock.table(), frame, number);
    let spot = match settings.place {
        Placing::Spot { at, .. } => Some(spot(at).map_err(|e| format!("{}: {e}", noted.name(number)))? - base),
        Placing::Highlights | Placing::Shadows | Placing::Fixed => None,
    };
    let bounds = frame.corners.bounds(noted.reading.size);
    let decided = Decided {
        name: noted.name(number),
        number,
        reading: frame.clone(),
        base,
        law: Law::between(frame.thin - base, frame.dense - base),
        flat_area: bounds,
        proof_area: bounds,
        stock,
        grade,
        grade_given: settings.grade.is_some(),
        placing: settings.place,
        spot,
        exposure: settings.exposure,
        dry_down: settings.dry_down,
        split: settings.split,
        open: None,
    };
    Ok((decided, warning))
}

/// Log exposure that film base receives, as it is written down: prints are made from there.
pub(in crate::batch) fn open(decided: &Decided) -> LogExposure {
    LogExposure::new(Density::new(decided.exposed().open.value()).noted().value())
}

/// How the proof was placed, as settings.
fn of_proof(notes: &Notes) -> Result<Wishes, SettingError> {
    let mut proof = Wishes::default();
    for name in GRADED {
        if let Some(word) = notes.record.settings.get(name) {
            proof.add(name, word)?;
        }
    }
    Ok(proof)
}

/// What is masked off a frame on each side, as a share of its longer one: an outline that was looked for in an overview
/// of 1250 pixels is true to two of them, and the film's edge shows as a dark line (house; 0.3 mm of a 4x5 sheet).
const MASKED: f64 = 0.0025;

/// The outline through which a frame is printed: a little inside the one that was found; as it is where a person gave
/// it.
fn trimmed(frame: &FrameReading) -> Quad {
    if frame.sides.iter().all(|side| side == "given") {
        return frame.corners;
    }
    let (width, height) = frame.corners.extent();
    let masked = MASKED * width.max(height);
    let hundredth = |v: f64| (v * 1e2).round() / 1e2 + 0.0;
    let Quad(corners) = frame.corners.drawn_in(masked / width, masked / height);
    Quad(corners.map(|p| Point { x: hundredth(p.x), y: hundredth(p.y) }))
}

/// How an outline lies in a scan.
pub(super) fn lying(corners: Quad, facts: &Facts) -> Lying {
    let pixel_shape = facts.resolution.map_or(1.0, |r| r.x.value() / r.y.value());
    Lying { corners, scan: facts.size, orientation: facts.orientation, pixel_shape }
}
