//! From what is written down back to what was measured.

use crate::film::{CELLS, Spread};
use crate::light::Density;
use crate::notes::{MeasuredFrame, MeasuredNotes, Notes, TonesNotes};
use crate::plane::{Point, Quad, Size};
use crate::scan::Torn;

use super::reading::{FrameReading, Reading, Rebate};
use super::settings::MOST_FRAMES;

/// What was measured of a scan of this size, as it was written down: the way back of [`super::record::measured`].
/// `None` when the numbers cannot be those of a scan, so that it is measured again.
pub(super) fn reading(size: Size, codes_blake3: &str, measured: &MeasuredNotes) -> Option<Reading> {
    let frames: Vec<_> = measured.frames.iter().map(|f| frame(f, measured.base)).collect();
    // A tilted frame that the scan cuts has corners outside it.
    let near = |at: f64, side: u32| (-CUT_OFF..=1.0 + CUT_OFF).contains(&(at / f64::from(side)));
    let inside = |p: &Point| near(p.x, size.width) && near(p.y, size.height);
    let sound = |f: &FrameReading| {
        [f.thin, f.median, f.dense].into_iter().all(is_of_film) && f.thin <= f.dense && f.corners.0.iter().all(inside)
    };
    let in_order = measured.frames.iter().zip(1..).all(|(f, number)| f.number == number);
    let rebate_sound = measured.rebate.is_none_or(|d| is_of_film(Density::new(d)))
        && measured.rebate.is_some() == measured.rebate_evidence.is_some();
    let frames_sound = (1..=MOST_FRAMES).contains(&frames.len()) && in_order && frames.iter().all(sound);
    (frames_sound && rebate_sound).then(|| Reading {
        size,
        rebate: rebate(measured),
        frames,
        tones: measured.frames.iter().map(|f| tones(f.tones.as_ref()?, measured.base)).collect(),
        codes_blake3: codes_blake3.to_owned(),
        warnings: measured.warnings.clone(),
    })
}

/// How far outside the scan a corner may lie, as a share of its side.
const CUT_OFF: f64 = 0.25;

/// Whether a density, net or over full scale, can be film's: no scanner reads beyond 5 D, and a wedge makes no more
/// than 8 of that.
pub(super) fn is_of_film(density: Density) -> bool {
    (-1.0..=8.0).contains(&density.value())
}

/// How the scan was opened that the notes tell of.
pub(super) fn torn(notes: &Notes) -> Torn {
    let salvage = notes.record.settings.get("salvage").is_some_and(|word| word == "yes");
    if salvage { Torn::Salvage } else { Torn::Refuse }
}

fn rebate(measured: &MeasuredNotes) -> Option<Rebate> {
    let evidence = measured.rebate_evidence.as_ref()?;
    Some(Rebate {
        density: Density::new(measured.rebate?),
        sure: evidence.sure,
        confidence: evidence.confidence,
        sides: evidence.sides,
        spread: Density::new(evidence.spread),
        patch: Quad(evidence.patch.map(|[x, y]| Point { x, y })),
    })
}

fn frame(f: &MeasuredFrame, base: f64) -> FrameReading {
    let over_full_scale = |net: f64| Density::new(net + base).noted();
    FrameReading {
        corners: Quad(f.corners.map(|[x, y]| Point { x, y })),
        confidence: f.confidence,
        sides: f.sides.clone(),
        thin: over_full_scale(f.thin),
        median: over_full_scale(f.median),
        dense: over_full_scale(f.dense),
        pixels: f.pixels,
        at_full_scale: f.at_full_scale,
        at_zero: f.at_zero,
        dust: f.dust,
        dust_share: f.dust_share,
    }
}

/// A histogram over full scale. One that cannot be a frame's is as good as none: nothing is made by it.
fn tones(noted: &TonesNotes, base: f64) -> Option<Spread> {
    let parts: [u16; CELLS] = noted.parts.clone().try_into().ok()?;
    let (from, step) = (Density::new(noted.from + base).noted(), Density::new(noted.step).noted());
    (is_of_film(from) && step.value() > 0.0 && is_of_film(step)).then_some(Spread { from, step, parts })
}
