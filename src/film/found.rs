//! What is found on a scan, and how sure that is.

use std::fmt;
use std::ops::Range;

use super::dust::Dust;
use super::margin::inset;
use super::warning::Warning;
use crate::light::Density;
use crate::plane::Quad;

/// Below this confidence a base or a frame carries a warning.
pub(super) const UNSURE: f64 = 0.5;
/// Sides whose readings differ by more are not all rebate, in D: twice what a lamp commonly varies.
pub(super) const UNEVEN: f64 = 0.03;
/// Share of the rebate at full scale from which its reading is worth nothing.
const CLIPPED: f64 = 0.05;
/// Confidence in a base where pieces of film differ in theirs.
const TWO_FILMS: f64 = 0.4;

/// What an overview shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The film's base, unless no rebate is in the scan.
    pub base: Option<Base>,
    /// Frames in reading order; the whole scan where no edge was found.
    pub frames: Vec<FrameFound>,
    /// What to check.
    pub warnings: Vec<Warning>,
}

impl Found {
    /// The same on a scan in which it lies further to the right and down, in scan pixels.
    pub(super) fn moved(mut self, x: f64, y: f64) -> Self {
        self.base = self.base.map(|base| Base { patch: base.patch.moved(x, y), ..base });
        self.frames = self.frames.into_iter().map(|f| FrameFound { corners: f.corners.moved(x, y), ..f }).collect();
        self
    }

    /// Adds what was found on another piece of film of the same scan. Frames count on; of two bases the surer is taken,
    /// and where they are not of one film neither is sure.
    pub(super) fn join(&mut self, other: Self) {
        let before = self.frames.len();
        let told = |w: &Warning| matches!(w, Warning::NoBase) && self.base.is_some();
        let others = other.warnings.into_iter().filter(|w| !told(w)).map(|warning| warning.counted_on(before));
        self.warnings.extend(others);
        self.frames.extend(other.frames);
        self.base = match (self.base, other.base) {
            (Some(a), Some(b)) => {
                let surer = if b.confidence > a.confidence { b } else { a };
                let apart = (a.density - b.density).value().abs();
                let spread = [a.spread.value(), b.spread.value(), apart].into_iter().fold(0.0, f64::max);
                let confidence = if spread > UNEVEN { TWO_FILMS } else { surer.confidence };
                let told = self.warnings.iter().any(|w| matches!(w, Warning::BaseUnsure { .. }));
                if spread > UNEVEN && !told {
                    self.warnings.push(Warning::BaseUnsure { density: surer.density, confidence });
                }
                Some(Base { confidence, spread: Density::new(spread), ..surer })
            }
            (a, b) => a.or(b),
        };
    }

    /// Takes the frames that a person gave instead of those that were found; what there was to say of these is gone.
    pub fn take(&mut self, pictures: &[Quad]) {
        self.frames = pictures.iter().copied().map(FrameFound::given).collect();
        let of_frames =
            |w: &Warning| w.frame().is_some() || matches!(w, Warning::BlankFrames { .. } | Warning::FrameCount { .. });
        self.warnings.retain(|w| !of_frames(w));
    }
}

/// The base as read from the rebate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Base {
    /// Density over the scanner's full scale.
    pub density: Density,
    /// 0 to 1.
    pub confidence: f64,
    /// Sides of the frame on which it was read, 1 to 4.
    pub sides: usize,
    /// Largest difference between two sides: lamp and fog.
    pub spread: Density,
    /// Share of the rebate at full scale, 0 to 1. Where [`is_clipped`](Self::is_clipped), the true base lies below
    /// `density`.
    pub clipped: f64,
    /// Where most of it was read, in scan pixels.
    pub patch: Quad,
}

impl Base {
    /// Whether it may be trusted, and speak for scans that show no base.
    pub fn is_sure(&self) -> bool {
        self.confidence >= UNSURE && !self.is_clipped()
    }

    /// The rebate is at full scale: its density is not known.
    pub fn is_clipped(&self) -> bool {
        self.clipped >= CLIPPED
    }
}

/// One exposed picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrameFound {
    /// Corners of the exposed area in scan pixels, clockwise from top left.
    pub corners: Quad,
    /// 0 to 1: that of its least clear side.
    pub confidence: f64,
    /// How each side is known: top, right, bottom, left.
    pub sides: [Evidence; 4],
}

/// How a side of a frame is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evidence {
    /// Rebate ends and picture begins along this share of it, 0 to 1.
    Edge(f64),
    /// No edge shows, but a frame of a known size, or of its neighbours' length, ends there.
    Size,
    /// The picture runs off the scan.
    Cut,
    /// Picture and rebate melt into each other.
    Melted,
    /// A person gave it.
    Given,
    /// No rebate was found: the scan's own edge.
    None,
}

impl fmt::Display for Evidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Edge(share) => write!(f, "edge {share:.2}"),
            Self::Size => f.write_str("size"),
            Self::Cut => f.write_str("cut"),
            Self::Melted => f.write_str("melted"),
            Self::Given => f.write_str("given"),
            Self::None => f.write_str("none"),
        }
    }
}

impl FrameFound {
    /// One whose corners a person gave.
    pub(super) fn given(corners: Quad) -> Self {
        Self { corners, confidence: 1.0, sides: [Evidence::Given; 4] }
    }

    /// Columns of row `y` (of a scan `width` pixels wide) that belong to the picture, its soft edges and dust left out.
    pub fn spans<'a>(&self, y: u32, width: u32, dust: &'a Dust) -> impl Iterator<Item = Range<usize>> + 'a {
        dust.clear(y, inset(self.corners).row_span(y, width))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::{Area, Size};

    fn piece(base: f64) -> Found {
        let patch = Quad::of(Size { width: 9, height: 9 }.whole());
        let (density, spread) = (Density::new(base), Density::default());
        let base = Base { density, confidence: 1.0, sides: 4, spread, clipped: 0.0, patch };
        let frame = FrameFound::given(Quad::of(Area { x: 1, y: 1, width: 7, height: 7 }));
        Found { base: Some(base), frames: vec![frame], warnings: Vec::new() }
    }

    #[test]
    fn a_base_of_two_films_stays_unsure_whatever_lies_beside_them() {
        let mut found = piece(0.2);
        for base in [0.3, 0.2, 0.3] {
            found.join(piece(base));
        }
        assert_eq!(found.frames.len(), 4);
        assert!(!found.base.unwrap().is_sure());
        assert_eq!(found.warnings.iter().map(Warning::code).collect::<Vec<_>>(), ["base-unsure"]);
    }

    #[test]
    fn pieces_of_one_film_keep_its_base() {
        let mut found = piece(0.2);
        found.join(piece(0.21));
        assert!(found.base.unwrap().is_sure() && found.warnings.is_empty());
    }
}
