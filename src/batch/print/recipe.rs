//! The decisions of a print: taken from what is asked and what the notes say, written down, and read back. Every print
//! is made from what is written down, the first as well as those after it.

use std::fmt::Display;
use std::str::FromStr;

use rayon::prelude::*;

use crate::batch::settings::{Beside, EXPOSURE};
use crate::batch::wishes::Wishes;
use crate::light::{Density, Encoding, Millimetres, PixelsPerInch, Stops, lightness};
use crate::notes::{FileNotes, PrintRecord};
use crate::paper::{DryDown, EdgeBurn, PaperSize, Rendering, Tone};
use crate::plane::{Point, Quad, Unsharp, per_code};
use crate::save::{PROGRAM, PictureKind};
use crate::scan::{self, Channel, Facts, Orientation, Scan};

use super::GOOD;
use super::carrier::{Carrier, lying, open};
use super::easel::{Easel, Lying, Meeting};
use super::placed::Placed;
use super::read_as::Read;
use crate::batch::noted::Noted;

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
    /// Whether what it says of the picture also stands in a file beside it.
    pub xmp: bool,
    /// How it is placed on which paper, as settings; as the proof if not said.
    pub graded: Wishes,
}

impl PrintWishes {
    /// A print of this size, as its proof and with nothing done to it.
    pub fn plain(size: PaperSize) -> Self {
        Self {
            size,
            ppi: PixelsPerInch::new(GOOD).expect("a print has a resolution"),
            meeting: Meeting::Fit,
            border: Millimetres::default(),
            straighten: false,
            sharpen: 0.0,
            edge_burn: EdgeBurn::default(),
            tone: Tone::default(),
            white: Rendering::Screen,
            kind: PictureKind::Tiff,
            upsampling: false,
            xmp: false,
            graded: Wishes::default(),
        }
    }
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
    placed: Placed,
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
    read_as: Read,
}

/// Decides how a frame is printed, and notes it; the file's name is still open. Also told is what a person should know.
///
/// # Errors
/// Those of [`Carrier::of`].
pub(super) fn decide(
    asked: &PrintWishes,
    noted: &Noted,
    number: usize,
    scan: &Scan,
) -> Result<(PrintRecord, Vec<String>), String> {
    let notes = &noted.notes;
    let Carrier { decided, advice, lying, channel, encoding, files: [paper_file, table_file], .. } =
        Carrier::of(&asked.graded, noted, number, scan)?;
    let equivalent = decided.equivalent();
    // As the batch did, unless it is asked for.
    let beside = notes.record.settings.get("xmp").is_some_and(|word| word.parse() == Ok(Beside::Beside));
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
        paper: decided.stock.paper().name().to_owned(),
        table: decided.stock.table().name().to_owned(),
        grade: decided.grade.to_string(),
        r: decided.r(),
        place: decided.placing.to_string(),
        spot: decided.spot.map(|net| net.noted().value()),
        exposure: decided.exposure.value(),
        dry_down: decided.dry_down.percent(),
        split: decided.split.map(|split| split.to_string()),
        split_grade: equivalent.map(|(grade, _)| grade.to_string()),
        split_r: equivalent.map(|(_, r)| (r * 100.0).round() / 100.0),
        edge_burn: asked.edge_burn.amount().value(),
        x0: open(&decided).value(),
        base: decided.base.value(),
        corners: lying.corners.0.map(|p| [p.x, p.y]),
        orientation: lying.orientation.value(),
        channel,
        encoding,
        wedge: notes.scan.wedge.as_ref().map(|wedge| wedge.blake3.clone()),
        codes_blake3: notes.scan.codes_blake3.clone(),
        said: String::new(),
        paper_file,
        table_file,
        xmp: (asked.xmp || beside).then(FileNotes::default),
    };
    Ok((record, advice))
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
        let (number, frames) = (record.frame as usize, noted.reading.frames.len());
        if !(1..=frames).contains(&number) {
            return Err(format!("it is of frame {number}, and the scan has {frames} by now: print it anew"));
        }
        if record.codes_blake3 != noted.notes.scan.codes_blake3 {
            return Err("its scan has been made anew since: print the frame anew".to_owned());
        }
        let wedge = noted.notes.scan.wedge.as_ref();
        if record.wedge.as_ref() != wedge.map(|wedge| &wedge.blake3) {
            let what = "its scan has since been measured with another calibration, or without one";
            return Err(format!("{what}: print the frame anew"));
        }
        let read_as = Read::of(&record.encoding, &record.channel, &noted.notes)?;
        let ppi = PixelsPerInch::new(within("ppi", record.ppi, *PPI.start(), *PPI.end())?);
        let ppi = ppi.ok_or("it has no resolution")?;
        let sharpen = within("sharpen", record.sharpen, *SHARPEN.start(), *SHARPEN.end())?;
        // The print is made by x0; what it says of itself is held to the bounds of what is asked.
        within("exposure", record.exposure, *EXPOSURE.start(), *EXPOSURE.end())?;
        within("dry_down", record.dry_down, *DryDown::PERCENT.start(), *DryDown::PERCENT.end())?;
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
            placed: Placed::of(record)?,
            sharpening: (sharpen > 0.0).then(|| Unsharp::new(sharpen, SEEN.pixels(ppi))),
            edge_burn: EdgeBurn::new(Stops::new(record.edge_burn))
                .ok_or_else(|| format!("edge_burn {} is not from 0 to 2", record.edge_burn))?,
            tone: read::<Tone>(&record.tone)?,
            white: read::<Rendering>(&record.white)?,
            base: Density::new(within("base", record.base, -1.0, 8.0)?),
            kind: read::<PictureKind>(&record.kind)?,
            read_as,
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
        let bench = self.read_as.bench(facts)?;
        let net = |code| bench.density(code).map_or(BEYOND_RANGE, |d| d - self.base);
        let most = self.edge_burn.most().value();
        let steps = (most / BURN_STEP).ceil();
        let exposed = |step: usize| {
            let print = self.placed.print(Stops::new(most * step as f64 / steps.max(1.0)));
            let luminance = self.white.luminances(&print);
            per_code(|code| luminance(net(code)) as f32)
        };
        Ok((0..=steps as usize).into_par_iter().map(exposed).collect())
    }

    /// For each code of the neutral print, in 16 bits and the sRGB curve, the codes of the toned one; none where it
    /// stays neutral.
    pub(super) fn toned(&self) -> Option<Vec<[u16; 3]>> {
        let paper = self.placed.paper();
        let colour = |code: u16| {
            let y = Encoding::Srgb.decode(f64::from(code) / f64::from(u16::MAX));
            let rgb = self.tone.rgb(lightness(y), self.white.above_white(paper, y));
            rgb.map(|light| (f64::from(u16::MAX) * Encoding::Srgb.encode(light)).round() as u16)
        };
        (!self.tone.is_neutral()).then(|| per_code(colour))
    }

    /// Which channel of the scan is read.
    pub(super) fn channel(&self) -> Channel {
        self.read_as.channel()
    }

    /// Luminance of the print where the negative has this net density.
    pub(super) fn luminance(&self, net: Density) -> f32 {
        self.white.luminance(&self.placed.print(Stops::default()), net) as f32
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
