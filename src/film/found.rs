//! What is found on a scan, and how sure that is.

use std::fmt;
use std::ops::Range;

use super::confidence::{CLIPPED, UNEVEN, UNSURE};
use super::dust::Dust;
use super::rebate;
use super::warning::Warning;
use crate::light::Density;
use crate::plane::Quad;

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

    /// Adds what was found on another piece of film of the same scan. Frames count on; of two bases the surer is taken, and
    /// where they are not of one film neither is sure.
    pub(super) fn join(&mut self, other: Self) {
        let before = self.frames.len();
        let told = |w: &Warning| matches!(w, Warning::NoBase) && self.base.is_some();
        let others = other.warnings.into_iter().filter(|w| !told(w)).map(|warning| warning.counted_on(before));
        self.warnings.extend(others);
        self.frames.extend(other.frames);
        self.base = match (self.base, other.base) {
            (Some(a), Some(b)) => {
                let apart = (a.density - b.density).value().abs();
                let surer = if b.confidence > a.confidence { b } else { a };
                let spread = [a.spread.value(), b.spread.value(), apart].into_iter().fold(0.0, f64::max);
                let confidence = if apart > UNEVEN { TWO_FILMS } else { surer.confidence };
                if apart > UNEVEN {
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
    /// Share of the rebate at full scale, 0 to 1. Where [`is_clipped`](Self::is_clipped), the true base lies below `density`.
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

/// The frame without a narrow margin: soft edges of a frame do not count.
pub(super) fn inset(quad: Quad) -> Quad {
    /// Share of the frame's shorter side: 0.24 mm on 24 mm, more than the shadow of a film gate and the blur of a lens.
    const INSET: f64 = 0.01;
    let (width, height) = rebate::extent(&quad);
    let by = INSET * width.min(height);
    rebate::drawn_in(&quad, by / width, by / height)
}
