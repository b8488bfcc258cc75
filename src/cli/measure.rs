//! The measuring task: scans in, report out, nothing written.

use std::path::{Path, PathBuf};

use crate::batch::{self, FrameReading, GRADES, Light, Reading, Settings};
use crate::light::Density;
use crate::notes::{
    ReportBase, ReportEncoding, ReportFacts, ReportFrame, ReportGrade, ReportNet, ReportScan, ScanReport, WarningNote,
};
use crate::scan::{self, Facts};

/// Measures each file in turn.
pub(super) fn all(files: &[PathBuf], settings: &Settings) -> Vec<ScanReport> {
    files.iter().map(|file| one(file, settings)).collect()
}

/// How many could not be measured.
pub(super) fn failed(reports: &[ScanReport]) -> usize {
    reports.iter().filter(|report| matches!(report, ScanReport::Failed { .. })).count()
}

fn one(path: &Path, settings: &Settings) -> ScanReport {
    let file = path.display().to_string();
    match measure(path, settings) {
        Ok((facts, light, reading)) => ScanReport::Measured(Box::new(report(file, &facts, &light, &reading, settings))),
        Err(error) => ScanReport::Failed { file, error: error.to_string() },
    }
}

fn measure(path: &Path, settings: &Settings) -> Result<(Facts, Light, Reading), scan::Error> {
    let scan = scan::open(path)?;
    let reading = batch::read(&scan, settings)?;
    Ok((scan.facts().clone(), Light::of(scan.facts(), settings)?, reading))
}

fn report(file: String, facts: &Facts, light: &Light, reading: &Reading, settings: &Settings) -> ReportScan {
    let base = match (settings.base, reading.rebate) {
        (Some(given), _) => Some((given, "given")),
        (None, Some(rebate)) => Some((rebate, "rebate")),
        (None, None) => None,
    };
    let taken_off = base.map_or_else(Density::default, |(density, _)| density);
    let mut warnings = reading.warnings.clone();
    let frames = (1..).zip(&reading.frames).map(|(number, frame)| {
        let (grade, warning) = batch::grade(settings, frame, number);
        warnings.extend(warning.as_ref().map(WarningNote::from));
        let grade = ReportGrade { name: grade.to_string(), r: GRADES.r(grade), table: GRADES.name().to_owned() };
        ReportFrame {
            number: number as u32,
            corners: frame.corners.0.map(|p| [p.x, p.y]),
            net: net(frame, taken_off),
            grade,
        }
    });
    ReportScan {
        file,
        scan: ReportFacts {
            width: facts.size.width,
            height: facts.size.height,
            bits: facts.bits,
            channels: facts.channels,
            ppi: facts.resolution.map(|r| r.x.value()),
            encoding: ReportEncoding { transfer: light.encoding.to_string(), source: light.source },
        },
        base: base.map(|(density, source)| ReportBase { density: density.value(), source }),
        frames: frames.collect(),
        warnings,
    }
}

fn net(frame: &FrameReading, base: Density) -> ReportNet {
    let plain = |density: Density| batch::plain(density - base);
    ReportNet {
        thin: plain(frame.thin),
        median: plain(frame.median),
        dense: plain(frame.dense),
        range: batch::plain(frame.dense - frame.thin),
    }
}
