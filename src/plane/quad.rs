//! Four-cornered outlines that may be tilted.

use super::area::{Area, Size};

/// A place in a scan, in pixels from the top left corner of the first pixel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// A convex outline: four corners, clockwise from top left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quad(pub [Point; 4]);

impl Quad {
    /// The outline of an upright area.
    pub fn of(area: Area) -> Self {
        let (x0, y0) = (f64::from(area.x), f64::from(area.y));
        let (x1, y1) = (x0 + f64::from(area.width), y0 + f64::from(area.height));
        Self([Point { x: x0, y: y0 }, Point { x: x1, y: y0 }, Point { x: x1, y: y1 }, Point { x: x0, y: y1 }])
    }

    /// The outline with these corners, whichever comes first; `None` where one of them lies within the other three or
    /// on a line with two.
    pub fn around(mut corners: [Point; 4]) -> Option<Self> {
        let Point { x, y } = Self(corners).middle();
        // With y downwards a growing angle turns clockwise; it begins at the left.
        corners.sort_by(|a, b| (a.y - y).atan2(a.x - x).total_cmp(&(b.y - y).atan2(b.x - x)));
        let first = (0..4).min_by(|&i, &j| (corners[i].x + corners[i].y).total_cmp(&(corners[j].x + corners[j].y)))?;
        corners.rotate_left(first);
        let turn = |i: usize| {
            let [a, b, c] = [corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4]];
            (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)
        };
        (0..4).all(|i| turn(i) > 0.0).then_some(Self(corners))
    }

    /// The mean of its corners; it lies inside.
    pub fn middle(self) -> Point {
        let mean = |of: fn(&Point) -> f64| self.0.iter().map(of).sum::<f64>() / 4.0;
        Point { x: mean(|p| p.x), y: mean(|p| p.y) }
    }

    /// Mean width and height.
    pub fn extent(self) -> (f64, f64) {
        let length = |a: Point, b: Point| (a.x - b.x).hypot(a.y - b.y);
        let [a, b, c, d] = self.0;
        ((length(a, b) + length(d, c)) / 2.0, (length(a, d) + length(b, c)) / 2.0)
    }

    /// Drawn in towards its middle by shares of its width and height on each side.
    pub fn drawn_in(self, across: f64, down: f64) -> Self {
        let Point { x, y } = self.middle();
        let (across, down) = (1.0 - 2.0 * across, 1.0 - 2.0 * down);
        Self(self.0.map(|p| Point { x: x + (p.x - x) * across, y: y + (p.y - y) * down }))
    }

    /// The same outline in a picture scaled by `x` and `y`.
    pub fn scaled(self, x: f64, y: f64) -> Self {
        Self(self.0.map(|p| Point { x: p.x * x, y: p.y * y }))
    }

    /// The same outline moved to the right and down.
    pub fn moved(self, x: f64, y: f64) -> Self {
        Self(self.0.map(|p| Point { x: p.x + x, y: p.y + y }))
    }

    /// The smallest upright area of whole pixels that holds it, cut to a picture of `size`; at least one pixel.
    pub fn bounds(self, size: Size) -> Area {
        let span = |values: [f64; 4], limit: u32| {
            let low = values.into_iter().fold(f64::INFINITY, f64::min).floor().clamp(0.0, f64::from(limit - 1)) as u32;
            let high = values.into_iter().fold(f64::NEG_INFINITY, f64::max).ceil().clamp(0.0, f64::from(limit)) as u32;
            (low, high.max(low + 1) - low)
        };
        let (x, width) = span(self.0.map(|p| p.x), size.width);
        let (y, height) = span(self.0.map(|p| p.y), size.height);
        Area { x, y, width, height }
    }

    /// Whether a place lies inside; on an edge counts.
    pub fn holds(self, place: Point) -> bool {
        let mut turns = (0..4).map(|i| {
            let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
            (b.x - a.x) * (place.y - a.y) - (b.y - a.y) * (place.x - a.x)
        });
        turns.all(|turn| turn >= 0.0)
    }

    /// Pixels that it covers, by the shoelace formula.
    pub fn area(self) -> f64 {
        let crossed = (0..4).map(|i| (self.0[i], self.0[(i + 1) % 4])).map(|(a, b)| a.x * b.y - b.x * a.y);
        crossed.sum::<f64>().abs() / 2.0
    }

    /// The pixels of row `y` whose centres lie inside, as a range of columns below `width`; empty where none does.
    pub fn row_span(self, y: u32, width: u32) -> std::ops::Range<usize> {
        let middle = f64::from(y) + 0.5;
        let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
        for i in 0..4 {
            let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
            if (a.y <= middle) != (b.y <= middle) {
                let x = a.x + (b.x - a.x) * (middle - a.y) / (b.y - a.y);
                left = left.min(x);
                right = right.max(x);
            }
        }
        let column = |x: f64| (x - 0.5).ceil().clamp(0.0, f64::from(width)) as usize;
        if left < right { column(left)..column(right).max(column(left)) } else { 0..0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_upright_outline_holds_its_own_pixels() {
        let area = Area { x: 3, y: 2, width: 4, height: 5 };
        let quad = Quad::of(area);
        assert_eq!(quad.bounds(Size { width: 20, height: 20 }), area);
        assert_eq!(quad.row_span(2, 20), 3..7);
        assert_eq!(quad.row_span(6, 20), 3..7);
        assert_eq!(quad.row_span(7, 20), 0..0);
        assert_eq!(quad.middle(), Point { x: 5.0, y: 4.5 });
    }

    #[test]
    fn corners_in_any_order_make_the_same_outline_and_a_dented_one_is_none() {
        let corner = |x: f64, y: f64| Point { x, y };
        let (a, b, c, d) = (corner(2.0, 1.0), corner(90.0, 4.0), corner(88.0, 70.0), corner(0.0, 66.0));
        for corners in [[a, b, c, d], [c, a, d, b], [d, c, b, a]] {
            assert_eq!(Quad::around(corners), Some(Quad([a, b, c, d])));
        }
        assert_eq!(Quad::around([a, b, c, corner(80.0, 60.0)]), None);
        assert_eq!(Quad::around([a, a, c, d]), None);
    }

    /// Shoelace area against counted pixels.
    #[test]
    fn a_tilted_outline_holds_as_many_pixels_as_its_area() {
        let quad = Quad([(20.0, 10.0), (180.0, 14.0), (176.0, 230.0), (16.0, 226.0)].map(|(x, y)| Point { x, y }));
        let area = quad.area();
        let counted: usize = (0..240).map(|y| quad.row_span(y, 200).len()).sum();
        assert!((counted as f64 / area - 1.0).abs() < 0.003, "{counted} pixels for an area of {area}");
    }

    #[test]
    fn a_tilted_outline_holds_the_middles_of_the_pixels_of_its_rows() {
        let quad = Quad([(20.0, 10.0), (180.0, 14.0), (176.0, 230.0), (16.0, 226.0)].map(|(x, y)| Point { x, y }));
        for y in 0..240 {
            let held = |x: &usize| quad.holds(Point { x: *x as f64 + 0.5, y: f64::from(y) + 0.5 });
            assert!((0..200).filter(held).eq(quad.row_span(y, 200)), "row {y}");
        }
    }
}
