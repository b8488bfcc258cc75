//! How sure a base and a frame's sides are.
//!
//! Confidences are house values: they put cases in order and say which side of "unsure" they fall on, no more.

use super::field::{Field, Ground, Side};
use super::found::{Base, UNEVEN, UNSURE};
use super::known::Known;
use super::outline::{self, OPEN_LIGHT, Outline, Seen};
use super::rebate;
use super::warning::Warning;
use crate::light::Density;
use crate::plane::{Overview, Quad, Size};

/// Light from here on is full scale: the last codes of 65,535 after averaging.
const FULL_SCALE: f32 = 0.9995;

/// Densest usual base: base + fog of 0.45 (handbooks, from memory), and a scanner that is set 0.1 below full scale, in
/// D.
const USUAL: f64 = 0.55;

/// The base as the rebate around an outline shows it.
pub(super) fn read_base(
    field: &Field,
    overview: &Overview,
    level: f32,
    outline: &Outline,
    known: &Known,
) -> Option<Base> {
    let reading = rebate::read(field, level, outline)?;
    let scale = overview.scale();
    let clipped = share_at_full_scale(overview, &reading.patch);
    // A rebate along four edges is certain, on one side or without an edge a guess; sides that disagree are not all
    // rebate; a base as clear as open light at the scan's edges may be just that.
    let around = match (reading.edges, reading.sides) {
        (_, 0 | 1) => 0.3,
        (0, _) => 0.4,
        (1, _) => 0.6,
        (2, _) => 0.8,
        (3, _) => 0.9,
        _ => 1.0,
    };
    let even = if reading.spread > UNEVEN { 0.4 } else { 1.0 };
    let at_border = Side::ALL.iter().filter(|side| outline::runs_along(field, Ground::Level(level), **side)).count();
    let may_be_open = level < OPEN_LIGHT && at_border >= 2 && !known.is_frame(outline, field.size);
    let clear = if may_be_open { 0.4 } else { 1.0 };
    Some(Base {
        density: Density::new(reading.density),
        confidence: f64::min(around, clear).min(even),
        sides: reading.sides,
        spread: Density::new(reading.spread),
        clipped,
        patch: reading.patch.scaled(scale.0, scale.1),
    })
}

fn share_at_full_scale(overview: &Overview, patch: &Quad) -> f64 {
    let Size { width, height } = overview.size();
    let (mut full, mut all) = (0u32, 0u32);
    for y in 0..height {
        for x in patch.row_span(y, width) {
            all += 1;
            full += u32::from(overview.at(x as u32, y) >= FULL_SCALE);
        }
    }
    f64::from(full) / f64::from(all.max(1))
}

/// What to check of a base.
pub(super) fn base_warnings(base: Option<&Base>) -> Vec<Warning> {
    match base {
        None => vec![Warning::NoBase],
        Some(base) if base.is_clipped() => vec![Warning::BaseClipped { share: base.clipped }],
        Some(base) if base.confidence < UNSURE => {
            vec![Warning::BaseUnsure { density: base.density, confidence: base.confidence }]
        }
        Some(base) if base.density.value() > USUAL => vec![Warning::BaseUnusual { density: base.density }],
        Some(_) => Vec::new(),
    }
}

/// How clear each side is, 0 to 1 (house values, as for the base). `lone`: a single frame whose film shows no edge, so
/// that only its margins tell.
pub(super) fn clearness(outline: &Outline, size: Size, lone: bool) -> [f64; 4] {
    /// A margin of rebate this much wider than the opposite one, and this share of the frame's shorter side, may be
    /// picture that has melted: film is exposed nearly in its middle.
    const LOPSIDED: f64 = 3.0;
    const WIDE: f64 = 0.06;
    let (width, height) = outline.quad(size).extent();
    let margin = |i: usize| outline.lines[i].middle;
    std::array::from_fn(|i| match outline.seen[i] {
        Seen::Edge { .. }
            if lone && margin(i) > WIDE * width.min(height) && margin(i) > LOPSIDED * margin((i + 2) % 4) =>
        {
            0.4
        }
        // Half of the side against darker film is plenty; the rest may be deep shadow.
        Seen::Edge { outside, inside } => outside * (inside / 0.5).min(1.0),
        // The picture runs off the scan: taken as it is, but worth a look.
        Seen::ScanEdge => 0.4,
        // Between an edge and a known size there is little doubt.
        Seen::Placed => match outline.seen[(i + 2) % 4] {
            Seen::Edge { .. } => 0.6,
            _ => 0.3,
        },
        Seen::Melted => 0.2,
    })
}
