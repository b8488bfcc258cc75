//! What is known of film before it is looked at: its kind, its scale, and so the sizes of its frames.

use super::format::{Film, Frame};
use super::outline::Outline;
use crate::plane::Size;

/// What is known of the film before it is looked at.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    /// Pixels of the field to a millimetre, where the scan tells its resolution.
    pub(super) per_mm: Option<f64>,
    /// The film.
    pub(super) film: Film,
}

impl Known {
    /// Whether film of a known size holds an outline of none that it should.
    pub(super) fn is_unlike(&self, outline: &Outline, film: &Outline, size: Size) -> bool {
        let sizes = self.sizes(Some(film.quad(size).extent()));
        let (width, height) = outline.quad(size).extent();
        !sizes.is_empty() && !sizes.iter().any(|size| size.is_wide(width) && size.is_high(height))
    }

    /// Whether an outline that is seen on all sides has the size of a frame.
    pub(super) fn is_frame(&self, outline: &Outline, size: Size) -> bool {
        let (width, height) = outline.quad(size).extent();
        let all_seen = outline.seen.iter().all(|seen| seen.well());
        all_seen && self.sizes(None).iter().any(|size| size.is_wide(width) && size.is_high(height))
    }

    /// All frames that a film of this extent in pixels may hold, upright and across.
    pub(super) fn sizes(&self, film: Option<(f64, f64)>) -> Vec<Nominal> {
        let Some(per_mm) = self.per_mm else { return Vec::new() };
        let fits = |frame: &Frame| {
            let mm = |(w, h): (f64, f64)| (w.min(h) / per_mm, w.max(h) / per_mm);
            film.map(mm).is_none_or(|(short, long)| frame.fits(short, long))
        };
        let both = |frame: Frame| {
            let (a, b) = (frame.across * per_mm, frame.along * per_mm);
            [(a, b), (b, a)].map(|(width, height)| Nominal { width, height, gate: frame.gate * per_mm })
        };
        self.film.frames().into_iter().filter(fits).flat_map(both).collect()
    }
}

/// A frame's size in pixels, and by how much its width and height may differ from that.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nominal {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) gate: f64,
}

impl Nominal {
    pub(super) fn is_wide(&self, width: f64) -> bool {
        (width - self.width).abs() <= self.gate
    }

    pub(super) fn is_high(&self, height: f64) -> bool {
        (height - self.height).abs() <= self.gate
    }
}
