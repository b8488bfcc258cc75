//! One scan measured: opened, looked over, counted.

use crate::film::{self, BEYOND, Dust, Given, Spread, Squares, Warning, gravity};
use crate::light::{Calibration, Densitometer, Density, Encoding};
use crate::notes::WarningNote;
use crate::plane::{Across, Band, Down, Overview, Point, Quad, Shelf, Size};
use crate::scan::{self, Channel, Facts, Rows, Scan};

use super::benches::Benches;
use super::calibrated::Wedge;
use super::colour::masked;
use super::counting::{Counting, Counts};
use super::light::Light;
use super::settings::Settings;

/// Long edge of the overview in which base and frames are looked for: a 4x5 sheet at 10 pixels a millimetre.
const OVERVIEW_EDGE: u32 = 1250;

/// Sampled rows under each row of the overview, at least.
const ROWS_UNDER_ONE: u32 = 2;

/// What was measured of a scan. Densities are over the scanner's full scale, or true ones if there is a wedge: base is
/// not yet taken off.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reading {
    /// Size of the scan.
    pub size: Size,
    /// The rebate, if the scan shows any that can be read.
    pub rebate: Option<Rebate>,
    /// Frames in reading order.
    pub frames: Vec<FrameReading>,
    /// How the tones of each are spread; notes of an earlier program do not say it. No file is made by them, so they
    /// stand beside the frames, whose numbers decide what is up to date.
    pub tones: Vec<Option<Spread>>,
    /// BLAKE3 over the hashes of all rows, each of its codes as 16-bit little-endian numbers; hexadecimal.
    pub codes_blake3: String,
    /// What to look at.
    pub warnings: Vec<WarningNote>,
}

/// The base as the scan's own rebate shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rebate {
    /// Over the scanner's full scale, or true if there is a wedge.
    pub density: Density,
    /// Whether it is sure enough to speak for other scans.
    pub sure: bool,
    /// 0 to 1.
    pub confidence: f64,
    /// Sides of the frame on which it was read.
    pub sides: usize,
    /// Largest difference between two of them.
    pub spread: Density,
    /// Where most of it was read.
    pub patch: Quad,
}

impl Rebate {
    fn of(base: &film::Base, density: Density) -> Self {
        Self {
            density: density.noted(),
            sure: base.is_sure(),
            confidence: hundredth(base.confidence),
            sides: base.sides,
            spread: base.spread.noted(),
            patch: hundredths(base.patch),
        }
    }
}

/// A frame's own numbers. Densities over the scanner's full scale, or true ones if there is a wedge.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameReading {
    /// The exposed area.
    pub corners: Quad,
    /// How sure that is, 0 to 1.
    pub confidence: f64,
    /// How its sides are known, in words: top, right, bottom, left.
    pub sides: [String; 4],
    /// 0.1, 50 and 99.9 percentile.
    pub thin: Density,
    /// Half of the frame is thinner.
    pub median: Density,
    /// 99.9 percentile.
    pub dense: Density,
    /// Pixels counted.
    pub pixels: u64,
    /// Of them at full scale.
    pub at_full_scale: u64,
    /// Of them at code 0.
    pub at_zero: u64,
    /// Specks of dust and hairs that cannot be taken for picture.
    pub dust: u32,
    /// Share of the frame that they darken, 0 to 1.
    pub dust_share: f64,
}

/// Measures a scan: rows here and there for the overview, then every pixel once. Base and frames are found in the
/// scanner's own light; with a `wedge` the densities read there are true ones.
///
/// `pictures` are the outlines of its frames where a person gave them; no others are looked for then.
///
/// # Errors
/// When the scan cannot be read, or three channels cannot be taken as one.
pub(super) fn read(
    scan: &Scan,
    settings: &Settings,
    pictures: &[Quad],
    wedge: Option<&Wedge>,
    benches: &Benches,
) -> Result<Reading, scan::Error> {
    let facts = scan.facts();
    let Light { encoding, warnings: of_light, .. } = Light::of(facts, settings)?;
    let bench = benches.of(&encoding, wedge.map(|wedge| &wedge.calibration));
    let uncalibrated = wedge.map(|_| benches.of(&encoding, None));
    let calibrated = |density| wedge.map_or(density, |wedge| wedge.calibration.density(density));
    let mut warnings = [warnings_of(facts), of_light].concat();
    warnings.extend(scan.unwritten()?.map(|rows| Warning::RowsUnwritten { from: rows.start, of: rows.end }));

    let channel = (facts.channels == 3).then(|| settings.channel.to_string());
    warnings.extend(wedge.and_then(|wedge| wedge.unlike(&encoding.to_string(), channel.as_deref())));
    warnings.extend(masked(scan, &bench)?);
    let overview = overview(scan, settings.channel, &bench)?;
    let square = facts.resolution.filter(|r| (r.x.value() / r.y.value() - 1.0).abs() < 0.01);
    let given = Given { ppi: square.map(|r| r.x), film: settings.film, frames: settings.frames };
    let (mut found, dust) = rayon::join(|| film::find(&overview, &given), || Dust::of(&overview));
    if !pictures.is_empty() {
        found.take(pictures);
    }
    warnings.extend(found.warnings.iter().map(|warning| match warning {
        Warning::BaseUnsure { density, confidence } => {
            Warning::BaseUnsure { density: calibrated(*density), confidence: *confidence }
        }
        Warning::BaseUnusual { density } => Warning::BaseUnusual { density: calibrated(*density) },
        other => other.clone(),
    }));

    let dark = film::darkness(&overview, &found.frames);
    let squares = found.frames.iter().map(|frame| Squares::of(frame, facts.size)).collect();
    let counting = Counting { frames: &found.frames, squares, dust, size: facts.size, light: bench.light() };
    let (counts, codes_blake3) = counting.count(scan, settings.channel)?;
    let step = if facts.bits < 16 { u16::MAX / ((1 << facts.bits) - 1) } else { 1 };
    let (mut frames, mut spread) = (Vec::new(), Vec::new());
    for (frame, Counts { histogram, evened, noise }) in found.frames.iter().zip(&counts) {
        let evened = evened.as_ref().and_then(|evened| evened.histogram(bench.light()));
        let tones = evened.as_ref().unwrap_or(histogram);
        let Some(ends) = film::ends(histogram, tones, bench.densities(), step, Density::default()) else {
            let what = "there is no picture in it, it is black all over: check the lamp and the holder, and scan again";
            return Err(scan::Error::Unsuited(what.into()));
        };
        if ends.looks_positive() {
            warnings.push(Warning::LooksPositive { frame: frames.len() + 1, range: ends.range() });
        }
        // The scanner's noise is told in the scanner's own densities.
        let (scanner, thin) = match &uncalibrated {
            None => (&bench, ends.thin),
            Some(scanner) => {
                let own = film::ends(histogram, tones, scanner.densities(), step, Density::default());
                (scanner, own.map_or(ends.thin, |own| own.thin))
            }
        };
        let unread = noise.hidden(histogram, scanner.densities(), thin, dark).max(ends.unread);
        if unread > BEYOND {
            warnings.push(Warning::DenseEndInNoise { frame: frames.len() + 1, unread });
        }
        let specks: Vec<_> = counting.dust.within(frame.corners).collect();
        let reach = wedge.map(|wedge| wedge.calibration.range().1);
        if let Some(reach) = reach.filter(|reach| ends.dense > *reach) {
            warnings.push(Warning::BeyondWedge { frame: frames.len() + 1, density: ends.dense, reach });
        }
        spread.push(Some(Spread::of(tones, bench.densities(), &ends)));
        frames.push(FrameReading {
            corners: hundredths(frame.corners),
            confidence: hundredth(frame.confidence),
            sides: frame.sides.map(|side| side.to_string()),
            thin: ends.thin.noted(),
            median: ends.median.noted(),
            dense: ends.dense.noted(),
            pixels: histogram.total(),
            at_full_scale: histogram.count(u16::MAX),
            at_zero: histogram.count(0),
            dust: specks.len() as u32,
            dust_share: millionths(specks.iter().map(|speck| speck.area).sum::<f64>() / frame.corners.area()),
        });
    }
    warnings.sort_by_key(|warning| gravity(warning.code()));
    Ok(Reading {
        size: facts.size,
        // A rebate at full scale tells nothing: the warning says so, and the batch's base is taken.
        rebate: found.base.filter(|base| !base.is_clipped()).map(|base| Rebate::of(&base, calibrated(base.density))),
        frames,
        tones: spread,
        codes_blake3,
        warnings: warnings.iter().map(WarningNote::from).collect(),
    })
}

/// A share to a millionth, as it is written down.
fn millionths(share: f64) -> f64 {
    // An empty sum is -0.0; adding zero makes it plain.
    (share * 1e6).round() / 1e6 + 0.0
}

/// Corners to a hundredth of a pixel, as they are written down.
fn hundredths(Quad(corners): Quad) -> Quad {
    Quad(corners.map(|p| Point { x: hundredth(p.x), y: hundredth(p.y) }))
}

fn hundredth(v: f64) -> f64 {
    (v * 1e2).round() / 1e2 + 0.0
}

pub(super) fn warnings_of(facts: &Facts) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if facts.bits == 8 {
        warnings.push(Warning::EightBit);
    }
    if facts.rows_lost > 0 {
        let rows = facts.size.height;
        warnings.push(Warning::CutShort { rows, of: rows + facts.rows_lost });
    }
    if facts.compression.is_lossy() {
        warnings.push(Warning::LossySource { compression: facts.compression.to_string() });
    }
    if facts.resolution.is_none() {
        warnings.push(Warning::NoResolution);
    }
    if facts.extra_channels > 0 {
        warnings.push(Warning::ExtraChannel);
    }
    if facts.pages > 1 {
        warnings.push(Warning::SeveralPages { pages: facts.pages as usize });
    }
    warnings
}

/// What the codes of a scan are in density: the scanner's, or true ones by a `wedge`.
pub(super) fn bench(encoding: &Encoding, calibration: Option<&Calibration>) -> Densitometer {
    let bench = Densitometer::new(encoding);
    match calibration {
        Some(calibration) => bench.calibrated(calibration),
        None => bench,
    }
}

/// The scan as a small picture in the scanner's own linear light: rows here and there, reduced.
///
/// # Errors
/// When the scan cannot be read.
pub(super) fn overview(scan: &Scan, channel: Channel, bench: &Densitometer) -> Result<Overview, scan::Error> {
    let size = scan.facts().size;
    let small = size.fitted(OVERVIEW_EDGE);
    let step = (size.height / (small.height * ROWS_UNDER_ONE)).max(1);
    let sampled = Size { width: size.width, height: (size.height - step / 2).div_ceil(step) };
    let (across, mut down) = (Across::new(sampled.width, small.width), Down::new(sampled, small));
    let spare = Shelf::default();
    let reduced = |band: &Band<'_>| {
        let mut narrow: Vec<f32> = spare.take().unwrap_or_default();
        narrow.clear();
        band.rows().for_each(|(_, row)| across.row(row, bench.light(), &mut narrow));
        narrow
    };
    let mut light = Vec::with_capacity(small.pixels() as usize);
    scan.read(channel, Rows::EveryNth(step), reduced, |rows| -> Result<(), scan::Error> {
        let rows_of_band = rows.chunks_exact(small.width as usize);
        rows_of_band.for_each(|row| down.row(row, |done| light.extend_from_slice(done)));
        spare.put(rows);
        Ok(())
    })?;
    down.finish(|done| light.extend_from_slice(done));
    Ok(Overview::new(small, light, size))
}
