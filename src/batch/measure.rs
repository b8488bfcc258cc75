//! The measuring report: scans in, numbers out, nothing written.

use std::path::{Path, PathBuf};

use crate::light::Density;
use crate::notes::{
    ReportBase, ReportDust, ReportEncoding, ReportFacts, ReportFrame, ReportGrade, ReportNet, ReportRebate, ReportScan,
    ScanReport, WarningNote,
};
use crate::paper::{GradeTable, Stock};
use crate::scan::{self, Facts, Halt};

use super::calibrated::Wedge;
use super::frame::{grade, thinner};
use super::light::Light;
use super::reading::{self, FrameReading, Reading};
use super::room::Room;
use super::settings::Settings;
use super::spots::{self, Spots};
use super::stock::stock;
use super::wishes::{Settled, Wishes};
use super::{Error, settings_file};

/// Measures each file for itself, and the same spots in each: no scan takes the base of another.
///
/// # Errors
/// When the settings name a calibration that cannot be used.
pub fn measure(files: &[PathBuf], settings: &Settings, spots: &Spots, memory: u64) -> Result<Vec<ScanReport>, Error> {
    let wedge = Wedge::of(settings).map_err(Error::Wedge)?;
    let stock = stock(settings).map_err(Error::Stock)?;
    let room = Room::new(memory, 1, &Halt::default());
    Ok(files.iter().map(|file| one(file, settings, spots, (wedge.as_ref(), &stock), &room)).collect())
}

fn one(
    path: &Path,
    settings: &Settings,
    spots: &Spots,
    (wedge, stock): (Option<&Wedge>, &Stock),
    room: &Room,
) -> ScanReport {
    let file = path.display().to_string();
    let spots = match with_zones(path, spots) {
        Ok(spots) => spots,
        Err(error) => return ScanReport::Failed { file, error },
    };
    let measured = || -> Result<_, scan::Error> {
        let opened = room.open(path, settings.channel, settings.salvage)?;
        let scan = &opened.scan;
        let reading = reading::read(scan, settings, &[], wedge, &room.benches)?;
        let light = Light::of(scan.facts(), settings)?;
        let base = settings.base.or(reading.rebate.map(|rebate| rebate.density));
        let calibration = wedge.map(|wedge| &wedge.calibration);
        let bench = room.benches.of(&light.encoding, calibration);
        let spots = spots::read(scan, settings.channel, &bench, &spots, base, calibration)?;
        Ok((light, reading, scan.facts().clone(), spots))
    };
    match measured() {
        Ok((light, reading, facts, (spots, of_spots))) => {
            let mut report = report(file, &facts, &light, &reading, settings, stock.table());
            report.spots = spots;
            report.warnings.extend(of_spots.iter().map(WarningNote::from));
            report.warnings.sort_by_key(WarningNote::gravity);
            ScanReport::Measured(Box::new(report))
        }
        Err(error) => ScanReport::Failed { file, error: error.to_string() },
    }
}

/// The same with the zones of the settings beside the scan, unless others are asked for; without places nothing is
/// asked.
fn with_zones(path: &Path, spots: &Spots) -> Result<Spots, String> {
    let zones = match &spots.zones {
        None if !spots.at.is_empty() => {
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
            let in_file = settings_file(folder).map_err(|e| e.to_string())?;
            Some(Settled::settle(&Wishes::default(), &Wishes::default(), &in_file).settings.zones)
        }
        said => said.clone(),
    };
    Ok(Spots { zones, ..spots.clone() })
}

fn report(
    file: String,
    facts: &Facts,
    light: &Light,
    reading: &Reading,
    settings: &Settings,
    table: &GradeTable,
) -> ReportScan {
    let base = match (settings.base, reading.rebate) {
        (Some(given), _) => Some((given, "given")),
        (None, Some(rebate)) => Some((rebate.density, "rebate")),
        (None, None) => None,
    };
    let taken_off = base.map_or_else(Density::default, |(density, _)| density);
    let mut warnings = reading.warnings.clone();
    let frames = (1..).zip(&reading.frames).map(|(number, frame)| {
        let (grade, warning) = grade(settings, table, frame, number);
        warnings.extend(warning.iter().chain(&thinner(frame, taken_off, number)).map(WarningNote::from));
        ReportFrame {
            number: number as u32,
            corners: frame.corners.0.map(|p| [p.x, p.y]),
            confidence: frame.confidence,
            sides: frame.sides.clone(),
            net: net(frame, taken_off),
            dust: ReportDust { count: frame.dust, share: frame.dust_share },
            grade: ReportGrade { name: grade.to_string(), r: table.r(grade), table: table.name().to_owned() },
        }
    });
    let frames = frames.collect();
    warnings.sort_by_key(WarningNote::gravity);
    ReportScan {
        file,
        scan: ReportFacts {
            width: facts.size.width,
            height: facts.size.height,
            bits: facts.bits,
            channels: facts.channels,
            ppi: facts.resolution.map(|r| r.x.value()),
            encoding: ReportEncoding { transfer: light.encoding.to_string(), source: light.source },
            densities: if settings.wedge.is_some() { "wedge" } else { "scanner" },
        },
        base: base.map(|(density, source)| ReportBase { density: density.value(), source }),
        rebate: reading.rebate.map(|rebate| ReportRebate {
            density: rebate.density.value(),
            confidence: rebate.confidence,
            sides: rebate.sides,
            spread: rebate.spread.value(),
            patch: rebate.patch.0.map(|p| [p.x, p.y]),
        }),
        frames,
        spots: Vec::new(),
        warnings,
    }
}

fn net(frame: &FrameReading, base: Density) -> ReportNet {
    let net = |density: Density| (density - base).noted().value();
    let range = (frame.dense - frame.thin).noted().value();
    ReportNet { thin: net(frame.thin), median: net(frame.median), dense: net(frame.dense), range }
}
