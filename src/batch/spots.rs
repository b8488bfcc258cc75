//! Spots: places of a scan read as a bench densitometer reads them.

use std::str::FromStr;

use crate::film::{Cell, Dust, Opening, SpotReading, Warning, ZoneTable};
use crate::light::{Calibration, Densitometer, Density, Millimetres, PixelsPerInch};
use crate::notes::ReportSpot;
use crate::plane::{Band, Point};
use crate::scan::{self, Channel, Facts, Rows, Scan};

use super::reading::overview;

/// Share of a spot at full scale from which its reading is worth nothing; the same as of a rebate.
const CLIPPED: f64 = 0.05;

/// Where to read, and through what.
#[derive(Clone, Debug, PartialEq)]
pub struct Spots {
    /// Places in pixels of the scan as stored, from its top left corner.
    pub at: Vec<Point>,
    /// The opening.
    pub aperture: Aperture,
    /// What zones are; those of the settings beside the scan, if not said.
    pub zones: Option<ZoneTable>,
}

/// Diameter of the round opening of a densitometer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aperture {
    /// On the film.
    OnFilm(Millimetres),
    /// In pixels of the scan, across.
    Pixels(f64),
}

impl Default for Aperture {
    /// 3 mm, the usual one of bench densitometers (common practice).
    fn default() -> Self {
        Self::OnFilm(Millimetres::new(3.0))
    }
}

impl FromStr for Aperture {
    type Err = String;

    /// `3mm`, `0.1in` or `40px`.
    fn from_str(word: &str) -> Result<Self, String> {
        let wrong = || format!("\"{word}\" is no opening: use a diameter, as 3mm, 0.1in or 40px");
        match word.trim().strip_suffix("px").map(|number| number.trim_end().parse::<f64>()) {
            Some(pixels) => pixels.ok().filter(|p| p.is_finite() && *p > 0.0).map(Self::Pixels).ok_or_else(wrong),
            None => word.parse().map(Self::OnFilm).map_err(|_| wrong()),
        }
    }
}

impl Aperture {
    /// Its width and height in pixels of a scan.
    ///
    /// # Errors
    /// When it is given on the film and the scan does not say its resolution.
    fn pixels(self, facts: &Facts) -> Result<(f64, f64), scan::Error> {
        match (self, facts.resolution) {
            (Self::OnFilm(mm), Some(ppi)) => Ok((mm.pixels(ppi.x), mm.pixels(ppi.y))),
            (Self::Pixels(across), Some(ppi)) => Ok((across, across * ppi.y.value() / ppi.x.value())),
            (Self::Pixels(across), None) => Ok((across, across)),
            (Self::OnFilm(_), None) => {
                let what = "the scan does not say its resolution, so the size of the opening is not known";
                Err(scan::Error::Unsuited(format!("{what}: give it in pixels, as --aperture 40px").into()))
            }
        }
    }
}

/// Reads the spots of a scan, net of `base` where there is one; and what to look at.
///
/// # Errors
/// When the scan cannot be read, or the opening has no size in its pixels.
pub(super) fn read(
    scan: &Scan,
    channel: Channel,
    bench: &Densitometer,
    spots: &Spots,
    base: Option<Density>,
    calibration: Option<&Calibration>,
) -> Result<(Vec<ReportSpot>, Vec<Warning>), scan::Error> {
    if spots.at.is_empty() {
        return Ok((Vec::new(), Vec::new()));
    }
    let facts = scan.facts();
    let zones = spots.zones.clone().unwrap_or_default();
    let (width, height) = spots.aperture.pixels(facts)?;
    let dust = Dust::of(&overview(scan, channel, bench)?);
    let (mut reports, mut warnings) = (Vec::new(), Vec::new());
    for at in &spots.at {
        let opening = Opening { middle: *at, width, height };
        let read = one(scan, channel, bench, &dust, opening)?;
        let read = read.map(|read| calibration.map_or(read, |calibration| calibrated(read, calibration)));
        warnings.extend(warning(facts, opening, read.as_ref()));
        reports.push(report(facts, (*at, width), read.as_ref(), base, &zones));
    }
    Ok((reports, warnings))
}

/// The opening through which a place is read that an exposure is found by, where the scan does not say its resolution.
pub(super) const WITHOUT_RESOLUTION: Aperture = Aperture::Pixels(40.0);

/// The density of one place: through 3 mm of film, as a densitometer reads it.
///
/// # Errors
/// When the scan cannot be read, or the place cannot.
pub(super) fn density(
    scan: &Scan,
    channel: Channel,
    bench: &Densitometer,
    at: Point,
    calibration: Option<&Calibration>,
) -> Result<Density, String> {
    let aperture = if scan.facts().resolution.is_some() { Aperture::default() } else { WITHOUT_RESOLUTION };
    let spots = Spots { at: vec![at], aperture, zones: None };
    let (read, warnings) = read(scan, channel, bench, &spots, None, calibration).map_err(|e| e.to_string())?;
    // What is no more than a doubt elsewhere would place the whole print here.
    if let Some(warning) = warnings.first() {
        return Err(format!("place: {warning}"));
    }
    read.first()
        .and_then(|spot| spot.density)
        .map(Density::new)
        .ok_or_else(|| "place: nothing can be read there".to_owned())
}

/// A reading put right by a calibration, and what is unsure of it stretched as the curve is there.
fn calibrated(read: SpotReading, calibration: &Calibration) -> SpotReading {
    let by = |density: Density| calibration.density(density);
    let uncertainty = read.density.zip(read.uncertainty).map(|(density, unsure)| {
        let (low, high) = (density - unsure, density + unsure);
        Density::new((by(high) - by(low)).value() / 2.0)
    });
    SpotReading { density: read.density.map(by), uncertainty, ..read }
}

/// The rows under the opening, dust left out. Nothing for an opening that reaches outside, or
/// with dust alone in it.
fn one(
    scan: &Scan,
    channel: Channel,
    bench: &Densitometer,
    dust: &Dust,
    opening: Opening,
) -> Result<Option<SpotReading>, scan::Error> {
    let size = scan.facts().size;
    if !inside(scan.facts(), opening) {
        return Ok(None);
    }
    let rows = opening.rows(size.height);
    let mut cell = Cell::behind(opening);
    let spans = |y| dust.clear(y, opening.row_span(y, size.width));
    let under = |band: &Band<'_>| -> Vec<_> {
        band.rows().flat_map(|(y, row)| spans(y).map(move |span| (y, span.start, row[span].to_vec()))).collect()
    };
    let rows = Rows::Between { first: rows.start, end: rows.end };
    scan.read(channel, rows, under, |parts| -> Result<(), scan::Error> {
        parts.iter().for_each(|(y, from, codes)| cell.take(*y, *from, codes, bench.light()));
        Ok(())
    })?;
    Ok(cell.reading())
}

/// The whole opening lies in the scan.
fn inside(facts: &Facts, opening: Opening) -> bool {
    let within = |at: f64, wide: f64, side: u32| at - wide / 2.0 >= 0.0 && at + wide / 2.0 <= f64::from(side);
    let Opening { middle, width, height } = opening;
    within(middle.x, width, facts.size.width) && within(middle.y, height, facts.size.height)
}

fn warning(facts: &Facts, opening: Opening, read: Option<&SpotReading>) -> Option<Warning> {
    let at = opening.middle;
    match read {
        None if !inside(facts, opening) => Some(Warning::SpotOutside { at, size: facts.size }),
        None => Some(Warning::SpotUnread { at, dark: false }),
        Some(read) if read.density.is_none() => Some(Warning::SpotUnread { at, dark: true }),
        Some(read) => (read.at_full_scale >= CLIPPED).then_some(Warning::SpotClipped { at, share: read.at_full_scale }),
    }
}

fn report(
    facts: &Facts,
    (at, width): (Point, f64),
    read: Option<&SpotReading>,
    base: Option<Density>,
    zones: &ZoneTable,
) -> ReportSpot {
    let density = read.and_then(|r| r.density).map(Density::noted);
    let net = density.zip(base).map(|(density, base)| (density - base).noted());
    ReportSpot {
        at: [at.x, at.y],
        aperture_mm: facts.resolution.map(|ppi| in_millimetres(width, ppi.x)),
        aperture_px: (width * 1e2).round() / 1e2,
        density: density.map(Density::value),
        net: net.map(Density::value),
        zone: net.map(|net| zones.zone(net).to_string()),
        table: zones.name().to_owned(),
        uncertainty: read.and_then(|r| r.uncertainty).map(|u| u.noted().value()),
    }
}

fn in_millimetres(pixels: f64, ppi: PixelsPerInch) -> f64 {
    // To a thousandth: 3 mm given come back as 3 mm.
    (pixels / Millimetres::new(1.0).pixels(ppi) * 1e3).round() / 1e3
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn openings_are_read_in_three_units() {
        assert_eq!("3mm".parse(), Ok(Aperture::default()));
        assert_eq!("0.1in".parse(), Ok(Aperture::OnFilm(Millimetres::new(2.54))));
        assert_eq!("40px".parse(), Ok(Aperture::Pixels(40.0)));
        for wrong in ["3", "-2px", "px", "0mm", "a dot"] {
            assert!(wrong.parse::<Aperture>().is_err_and(|e| e.contains("3mm")), "{wrong}");
        }
    }
}
