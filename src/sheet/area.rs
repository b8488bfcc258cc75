//! Places on a page.

use crate::light::Millimetres;

/// An upright rectangle on a page; the origin is the page's top left corner, y runs down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) left: Millimetres,
    pub(super) top: Millimetres,
    pub(super) width: Millimetres,
    pub(super) height: Millimetres,
}

impl Area {
    pub(super) fn right(self) -> Millimetres {
        self.left + self.width
    }

    pub(super) fn bottom(self) -> Millimetres {
        self.top + self.height
    }

    /// Whether the two have a part in common.
    pub(super) fn meets(self, other: Self) -> bool {
        self.left < other.right() && other.left < self.right() && self.top < other.bottom() && other.top < self.bottom()
    }

    /// The area grown on every side.
    pub(super) fn grown(self, by: Millimetres) -> Self {
        Self { left: self.left - by, top: self.top - by, width: self.width + by * 2.0, height: self.height + by * 2.0 }
    }
}
