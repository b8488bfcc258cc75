//! The scan of a printed step wedge: its patches read as readings of a paper.

use std::path::Path;

use crate::film::Warning;
use crate::film::wedge::{self, Patch};
use crate::light::{Densitometer, Density, LogExposure};
use crate::plane::{Point, Quad, Size};
use crate::scan::{self, Scan};

use super::light::Light;
use super::reading;
use super::settings::Settings;
use super::steps;

/// Steps that melt into paper white, and white itself, differ from the one before by no more than this, in D: those
/// that differ by half as much are found as steps.
const MELTED: f64 = 0.02;
/// Share of the lightest patch at full scale from which paper white is not known.
const CLIPPED: f64 = 0.02;
/// Places outwards of the lightest patch that are looked at. A soft paper fades by half from step to step: after so
/// many nothing is left.
const OUTWARDS: usize = 12;

/// Whether a file is a scan, and no table.
pub(super) fn scan_of(path: &Path) -> Option<Scan> {
    scan::open(path).ok()
}

/// What a scan was read as, and its patches.
pub(super) struct PrintedWedge {
    /// What its codes were taken for, and who said so: "srgb (assumed)".
    pub light: String,
    /// What to look at in that.
    pub warnings: Vec<Warning>,
    /// Log exposures and scanner densities.
    pub readings: Vec<(LogExposure, Density)>,
}

/// Log exposure and scanner density of each patch, lightest first. The wedge's steps are `apart`, so each darker patch
/// had that much more exposure; the first is given 0.
///
/// # Errors
/// When no row of patches is found, or paper white is at full scale.
pub(super) fn read(scan: &Scan, settings: &Settings, apart: Density) -> Result<PrintedWedge, String> {
    let light = Light::of(scan.facts(), settings).map_err(|e| e.to_string())?;
    let bench = Densitometer::new(&light.encoding);
    let overview = reading::overview(scan, settings.channel, &bench).map_err(|e| e.to_string())?;
    let found = wedge::find(&overview).ok_or(
        "no row of steps is found in it: scan the print straight, its steps filling most of the scan; of a hard paper read the \
         steps one by one and give a table",
    )?;
    let white = outwards(&found, scan.facts().size);
    let patches = [&white[..], &found].concat();
    let read = steps::read(scan, settings.channel, &bench, &patches).map_err(|e| e.to_string())?;
    let lightest = read[white.len()];
    if lightest.at_full_scale > CLIPPED {
        return Err("paper white is at the scanner's full scale: scan again, darker".to_owned());
    }
    // What does not fade there is the scanner's lid, or a mask.
    let fades = |i: &usize| {
        let (outer, inner) = (&read[*i], &read[*i + 1]);
        outer.at_full_scale <= CLIPPED && (outer.scanner - inner.scanner).value().abs() <= MELTED
    };
    let first = white.len() - (0..white.len()).rev().take_while(fades).count();
    let exposed = |i: usize| LogExposure::new(apart.value() * (i as f64 - white.len() as f64));
    Ok(PrintedWedge {
        light: format!("{} ({})", light.encoding, light.source),
        warnings: light.warnings,
        readings: (first..read.len()).map(|i| (exposed(i), read[i].scanner)).collect(),
    })
}

/// Where patches would lie outwards of the lightest, as far as the scan reaches; the outermost first.
fn outwards(patches: &[Patch], size: Size) -> Vec<Patch> {
    let [first, second, ..] = patches else { return Vec::new() };
    let step = |k: usize| {
        let by = k as f64;
        let moved = |i: usize| {
            let (at, next): (Point, Point) = (first.area.0[i], second.area.0[i]);
            Point { x: at.x - by * (next.x - at.x), y: at.y - by * (next.y - at.y) }
        };
        Quad([0, 1, 2, 3].map(moved))
    };
    let inside = |quad: &Quad| {
        let within = |at: f64, side: u32| (0.0..=f64::from(side)).contains(&at);
        quad.0.iter().all(|p| within(p.x, size.width) && within(p.y, size.height))
    };
    let areas = (1..=OUTWARDS).map(step).take_while(inside);
    let mut areas: Vec<Patch> = areas.map(|area| Patch { area, sure: false }).collect();
    areas.reverse();
    areas
}
