//! From what is written down back to what was measured.

use crate::light::Density;
use crate::notes::{MeasuredFrame, Notes};
use crate::plane::{Point, Quad, Size};

use super::reading::{FrameReading, Reading};

/// What was measured, as the notes have it: the way back of [`super::record::notes`]. `None` when the numbers cannot be
/// those of a scan, so that it is measured again.
pub(super) fn reading(notes: &Notes) -> Option<Reading> {
    let measured = &notes.measured;
    let size = Size { width: notes.scan.width, height: notes.scan.height };
    let frames: Vec<_> = measured.frames.iter().map(|f| frame(f, measured.base)).collect();
    let sound = |f: &FrameReading| {
        [f.thin, f.median, f.dense].iter().all(|d| d.value().is_finite())
            && f.corners.0.iter().all(|p| p.x.is_finite() && p.y.is_finite())
    };
    let usable = size.width > 0 && size.height > 0 && !frames.is_empty() && frames.iter().all(sound);
    usable.then(|| Reading {
        size,
        rebate: measured.rebate.map(Density::new),
        rebate_sure: measured.rebate_sure,
        frames,
        codes_blake3: notes.scan.codes_blake3.clone(),
        warnings: measured.warnings.clone(),
    })
}

fn frame(f: &MeasuredFrame, base: f64) -> FrameReading {
    let over_full_scale = |net: f64| Density::new(net + base).noted();
    FrameReading {
        corners: Quad(f.corners.map(|[x, y]| Point { x, y })),
        thin: over_full_scale(f.thin),
        median: over_full_scale(f.median),
        dense: over_full_scale(f.dense),
        pixels: f.pixels,
        at_full_scale: f.at_full_scale,
        at_zero: f.at_zero,
    }
}
