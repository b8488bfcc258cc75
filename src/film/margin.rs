//! A frame's margin: its soft edges do not count.

use crate::plane::Quad;

/// Share of the frame's shorter side: 0.24 mm on 24 mm, more than the shadow of a film gate and the blur of a lens.
const INSET: f64 = 0.01;

/// The frame without its margin.
pub(super) fn inset(frame: Quad) -> Quad {
    let (width, height) = frame.extent();
    let by = INSET * width.min(height);
    frame.drawn_in(by / width, by / height)
}
