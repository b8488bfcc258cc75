//! Sizes and upright areas in pixels.

/// Width and height in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Size {
    /// Number of pixels.
    pub fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// The whole as an area from the origin.
    pub fn whole(self) -> Area {
        Area { x: 0, y: 0, width: self.width, height: self.height }
    }

    /// The largest size of the same shape whose long edge is at most `long_edge`; never larger than this one.
    pub fn fitted(self, long_edge: u32) -> Self {
        let longest = self.width.max(self.height).max(1);
        if longest <= long_edge {
            return self;
        }
        let scale =
            |v: u32| ((u64::from(v) * u64::from(long_edge) + u64::from(longest) / 2) / u64::from(longest)) as u32;
        Self { width: scale(self.width).max(1), height: scale(self.height).max(1) }
    }
}

/// An upright rectangle of pixels inside a scan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Area {
    /// First column.
    pub x: u32,
    /// First row.
    pub y: u32,
    /// Columns, at least 1.
    pub width: u32,
    /// Rows, at least 1.
    pub height: u32,
}

impl Area {
    /// Its width and height.
    pub fn size(self) -> Size {
        Size { width: self.width, height: self.height }
    }

    /// The columns it covers, as indices into a row.
    pub fn columns(self) -> std::ops::Range<usize> {
        self.x as usize..(self.x + self.width) as usize
    }

    /// The rows it covers.
    pub fn rows(self) -> std::ops::Range<u32> {
        self.y..self.y + self.height
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fitting_keeps_the_shape_and_never_enlarges() {
        let sheet = Size { width: 9600, height: 12000 };
        assert_eq!(sheet.fitted(1600), Size { width: 1280, height: 1600 });
        assert_eq!(sheet.fitted(20000), sheet);
        assert_eq!(Size { width: 1, height: 9000 }.fitted(100), Size { width: 1, height: 100 });
    }
}
