//! The decisions of a print: taken from what is asked and what the notes say, written down, and read back. Every print
//! is made from what is written down, the first as well as those after it.

use std::fmt::Display;
use std::str::FromStr;

use crate::batch::frame::{self, Decided, GRADES, PAPER};
use crate::batch::light::Light;
use crate::batch::reading::FrameReading;
use crate::batch::settings::Settings;
use crate::batch::wishes::{Settled, Wishes};
use crate::flat::Law;
use crate::light::{
    Calibration, Densitometer, Density, Encoding, LogExposure, Millimetres, PixelsPerInch, Stops, lightness,
};
use crate::notes::PrintRecord;
use crate::paper::{EdgeBurn, Grade, PaperSize, Print, Rendering, Tone};
use crate::plane::{Point, Quad, Unsharp, per_code};
use crate::save::{PROGRAM, PictureKind};
use crate::scan::{self, Channel, Facts, Orientation};

use super::easel::{Easel, Lying, Meeting};
use super::noted::Noted;

/// What is asked of a print, beside its frame.
#[derive(Clone, Debug)]
pub struct PrintWishes {
    /// The sheet.
    pub size: PaperSize,
    /// Resolution of the print.
    pub ppi: PixelsPerInch,
    /// How the picture meets the sheet.
    pub meeting: Meeting,
    /// Paper that stays white on all sides, at least.
    pub border: Millimetres,
    /// Whether a frame that lies askew is set upright.
    pub straighten: bool,
    /// Unsharp mask: how much of what a blur takes away is added once more, 0 to 2.
    pub sharpen: f64,
    /// How its edges are burnt in.
    pub edge_burn: EdgeBurn,
    /// Its hue by density.
    pub tone: Tone,
    /// What the file's white is.
    pub white: Rendering,
    /// What it is saved as.
    pub kind: PictureKind,
    /// Whether the picture may have more pixels than the scan.
    pub upsampling: bool,
    /// `grade` and `exposure`, as settings; those of the proof if not said.
    pub graded: Wishes,
}

/// A print's decisions, ready to be made.
pub(super) struct Recipe {
    /// How the frame lies on the sheet.
    pub easel: Easel,
    /// How it lies in the scan.
    pub frame: Lying,
    /// Whether the picture may have more pixels than the scan.
    pub upsampling: bool,
    /// The negative placed on the paper.
    pub print: Print<'static>,
    /// How it is sharpened, if it is.
    pub sharpening: Option<Unsharp>,
    /// How its edges are burnt in.
    pub edge_burn: EdgeBurn,
    /// Its hue by density.
    pub tone: Tone,
    /// What the file's white is.
    pub white: Rendering,
    /// The base taken off.
    pub base: Density,
    /// What it is saved as.
    pub kind: PictureKind,
    /// What is read of the scan, and as which light.
    pub settings: Settings,
    /// What makes its densities true ones.
    calibration: Option<Calibration>,
}

/// The placing of a frame on the paper in its grade: today that of the proofs' paper.
fn placed(frame: &Decided) -> Print<'static> {
    frame.print()
}

/// The paper curve that a record names, with the negative on it as noted.
fn placed_again(record: &PrintRecord) -> Result<Print<'static>, String> {
    if record.paper != PAPER.name() {
        return Err(format!("there is no paper \"{}\" here, only {}", record.paper, PAPER.name()));
    }
    record.grade.parse::<Grade>().map_err(|e| e.to_string())?;
    if !(1.0..=1000.0).contains(&record.r) || !record.x0.is_finite() {
        return Err(format!("R {} with x0 {} is no placing", record.r, record.x0));
    }
    Ok(Print::at(PAPER.curve(record.r), LogExposure::new(record.x0)))
}

/// Decides how a frame is printed, and notes it; the file's name is still open. Also told is what a person should know.
///
/// # Errors
/// When the notes' own settings are wrong.
pub(super) fn decide(
    asked: &PrintWishes,
    noted: &Noted,
    number: usize,
    facts: &Facts,
) -> Result<(PrintRecord, Option<String>), String> {
    let (notes, reading) = (&noted.notes, &noted.reading);
    let wrong = |e: &dyn Display| format!("{}: {e}", noted.wanted.notes.display());
    let own = noted.sidecar.settings().map_err(|e| wrong(&e))?;
    let own = Wishes::of_notes(&own, &noted.wanted.results()).map_err(|e| wrong(&e))?;
    let Settled { settings, decided_by } = Settled::settle(&asked.graded, &own, &Wishes::default());

    let frame = &reading.frames[number - 1];
    let base = Density::new(notes.measured.base);
    let proof = notes.print.frames.get(number - 1);
    let (grade, warning) = match proof.filter(|_| !decided_by.contains_key("grade")) {
        Some(proof) => (proof.grade.parse().map_err(|e| wrong(&e))?, None),
        None => frame::grade(&settings, frame, number),
    };
    let exposure = match proof.filter(|_| !decided_by.contains_key("exposure")) {
        Some(proof) => Stops::new(proof.exposure),
        None => settings.exposure,
    };
    let bounds = frame.corners.bounds(reading.size);
    let decided = Decided {
        name: noted.name(number),
        number,
        reading: frame.clone(),
        base,
        law: Law::between(frame.thin - base, frame.dense - base),
        flat_area: bounds,
        proof_area: bounds,
        grade,
        grade_given: settings.grade.is_some(),
        exposure,
    };
    let lying = lying(trimmed(frame), facts);
    let word = |name: &str| notes.record.settings.get(name).cloned().unwrap_or_else(|| "auto".to_owned());
    let record = PrintRecord {
        file: String::new(),
        bytes: 0,
        blake3: String::new(),
        program: PROGRAM.to_owned(),
        frame: number as u32,
        kind: asked.kind.to_string(),
        size: asked.size.to_string(),
        ppi: asked.ppi.value(),
        meeting: asked.meeting.to_string(),
        upsampling: asked.upsampling,
        border: asked.border.value(),
        tilt: if asked.straighten { lying.tilt() } else { 0.0 },
        sharpen: asked.sharpen,
        tone: asked.tone.to_string(),
        white: asked.white.to_string(),
        paper: PAPER.name().to_owned(),
        table: GRADES.name().to_owned(),
        grade: grade.to_string(),
        r: decided.r(),
        exposure: exposure.value(),
        edge_burn: asked.edge_burn.amount().value(),
        x0: Density::new(placed(&decided).open().value()).noted().value(),
        base: base.value(),
        corners: lying.corners.0.map(|p| [p.x, p.y]),
        orientation: facts.orientation.value(),
        channel: notes.scan.channel.clone().unwrap_or_else(|| Channel::Green.to_string()),
        encoding: word("encoding"),
        wedge: notes.scan.wedge.as_ref().map(|wedge| wedge.blake3.clone()),
        codes_blake3: notes.scan.codes_blake3.clone(),
    };
    Ok((record, warning.map(|warning| warning.to_string())))
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

fn lying(corners: Quad, facts: &Facts) -> Lying {
    let pixel_shape = facts.resolution.map_or(1.0, |r| r.x.value() / r.y.value());
    Lying { corners, scan: facts.size, orientation: facts.orientation, pixel_shape }
}

impl Recipe {
    /// Reads a print's decisions back.
    ///
    /// # Errors
    /// When one of them is none, or the notes have since been measured in another way.
    pub(super) fn of(record: &PrintRecord, noted: &Noted, facts: &Facts) -> Result<Self, String> {
        fn read<T: FromStr<Err: Display>>(word: &str) -> Result<T, String> {
            word.parse().map_err(|e: T::Err| e.to_string())
        }
        let within = |name: &str, value: f64, low: f64, high: f64| {
            let why = format!("{name} {value} is not from {low} to {high}");
            Some(value).filter(|v| (low..=high).contains(v)).ok_or(why)
        };
        if record.codes_blake3 != noted.notes.scan.codes_blake3 {
            return Err("its scan has been made anew since: print the frame anew".to_owned());
        }
        let wedge = noted.notes.scan.wedge.as_ref();
        if record.wedge.as_ref() != wedge.map(|wedge| &wedge.blake3) {
            let what = "its scan has since been measured with another calibration, or without one";
            return Err(format!("{what}: print the frame anew"));
        }
        let points = wedge.map(|wedge| &wedge.points[..]).unwrap_or_default();
        let steps: Vec<_> = points.iter().map(|[scanner, d]| (Density::new(*scanner), Density::new(*d))).collect();
        let calibration = wedge.map(|_| Calibration::through(&steps)).transpose().map_err(|e| e.to_string())?;

        let mut settings = Settings::default();
        settings.set("encoding", &record.encoding).map_err(|e| e.to_string())?;
        settings.set("channel", &record.channel).map_err(|e| e.to_string())?;
        let ppi = PixelsPerInch::new(within("ppi", record.ppi, *PPI.start(), *PPI.end())?);
        let ppi = ppi.ok_or("it has no resolution")?;
        let sharpen = within("sharpen", record.sharpen, *SHARPEN.start(), *SHARPEN.end())?;
        let orientation = Orientation::new(record.orientation);
        let corners = Quad(record.corners.map(|[x, y]| Point { x, y }));
        let (width, height) = (f64::from(facts.size.width), f64::from(facts.size.height));
        let near = |p: &Point| (-width..=2.0 * width).contains(&p.x) && (-height..=2.0 * height).contains(&p.y);
        if !corners.0.iter().all(near) {
            return Err("its corners are those of no frame".to_owned());
        }
        Ok(Self {
            easel: Easel {
                size: read::<PaperSize>(&record.size)?,
                ppi,
                meeting: read::<Meeting>(&record.meeting)?,
                border: Millimetres::new(within("border", record.border, 0.0, 10_000.0)?),
                tilt: within("tilt", record.tilt, -45.0, 45.0)?,
            },
            frame: Lying {
                orientation: orientation.ok_or_else(|| format!("{} is no orientation", record.orientation))?,
                ..lying(corners, facts)
            },
            upsampling: record.upsampling,
            print: placed_again(record)?,
            sharpening: (sharpen > 0.0).then(|| Unsharp::new(sharpen, SEEN.pixels(ppi))),
            edge_burn: EdgeBurn::new(Stops::new(record.edge_burn))
                .ok_or_else(|| format!("edge_burn {} is not from 0 to 2", record.edge_burn))?,
            tone: read::<Tone>(&record.tone)?,
            white: read::<Rendering>(&record.white)?,
            base: Density::new(within("base", record.base, -1.0, 8.0)?),
            kind: read::<PictureKind>(&record.kind)?,
            settings,
            calibration,
        })
    }

    /// For each code of the scan the luminance that the print has there, at each of some exposures: none more than its
    /// own, and up to that of a burnt-in corner, evenly apart.
    ///
    /// # Errors
    /// When the codes of the scan cannot be taken as light.
    pub(super) fn light(&self, facts: &Facts) -> Result<Vec<Vec<f32>>, scan::Error> {
        /// What lies beyond the scanner's range prints as the paper's white.
        const BEYOND_RANGE: Density = Density::new(f64::INFINITY);
        let light = Light::of(facts, &self.settings)?;
        let bench = Densitometer::new(&light.encoding);
        let bench = match &self.calibration {
            Some(calibration) => bench.calibrated(calibration),
            None => bench,
        };
        let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - self.base);
        let most = self.edge_burn.most().value();
        let steps = (most / BURN_STEP).ceil();
        let exposed = |step: usize| {
            let print = self.print.burnt(Stops::new(most * step as f64 / steps.max(1.0)));
            per_code(|code| self.white.luminance(&print, net(code)) as f32)
        };
        Ok((0..=steps as usize).map(exposed).collect())
    }

    /// For each code of the neutral print, in 16 bits and the sRGB curve, the codes of the toned one; none where it
    /// stays neutral.
    pub(super) fn toned(&self) -> Option<Vec<[u16; 3]>> {
        let paper = self.print.curve().paper();
        let colour = |code: u16| {
            let y = Encoding::Srgb.decode(f64::from(code) / f64::from(u16::MAX));
            let rgb = self.tone.rgb(lightness(y), self.white.above_white(paper, y));
            rgb.map(|light| (f64::from(u16::MAX) * Encoding::Srgb.encode(light)).round() as u16)
        };
        (!self.tone.is_neutral()).then(|| per_code(colour))
    }

    /// Luminance of the print where the negative has this net density.
    pub(super) fn luminance(&self, net: Density) -> f32 {
        self.white.luminance(&self.print, net) as f32
    }
}

/// Exposures of an edge burn that are worked out, in stops: between them light is a straight line, on the hardest grade
/// off by 0.0003 D at most (computed).
const BURN_STEP: f64 = 1.0 / 64.0;

/// Amounts of sharpening: beyond twice every edge has a halo.
pub const SHARPEN: std::ops::RangeInclusive<f64> = 0.0..=2.0;

/// Spread of the blur that an unsharp mask is made from: one arc-minute at 30 cm, about the least that the eye tells
/// (published; computed: 300 mm tan 1/60 degree).
const SEEN: Millimetres = Millimetres::new(0.0873);

/// Resolutions of a print: a poster seen from across the street, and what no printer resolves.
pub const PPI: std::ops::RangeInclusive<f64> = 10.0..=10_000.0;
