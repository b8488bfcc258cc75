//! Where a picture stands on a page that is drawn in pixels, and how large.

use image::GrayImage;

use super::canvas::PixelArea;
use crate::plane::Point;

/// Long edge of a page in pixels.
pub(super) const LONG_EDGE: f64 = 1600.0;
/// White around everything.
pub(super) const MARGIN: f64 = 44.0;
/// A small scan is enlarged at most so often, but to so many pixels at least.
const MOST_TIMES: f64 = 4.0;
const LEAST_EDGE: f64 = 400.0;

/// Where a picture stands on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stand {
    pub(super) left: f64,
    pub(super) top: f64,
    /// Pixels of the page to one of the picture.
    pub(super) times: f64,
}

impl Stand {
    /// Where a place of the picture lies on the page.
    pub(super) fn of(self, place: Point) -> Point {
        Point { x: self.left + place.x * self.times, y: self.top + place.y * self.times }
    }

    /// What the picture covers.
    pub(super) fn area(self, picture: &GrayImage) -> PixelArea {
        let (width, height) = size(picture);
        let right = (self.left + width * self.times).round();
        PixelArea { left: self.left, top: self.top, right, bottom: (self.top + height * self.times).round() }
    }
}

/// Width and height of a picture.
pub(super) fn size(picture: &GrayImage) -> (f64, f64) {
    (f64::from(picture.width()), f64::from(picture.height()))
}

/// How often a picture of a size is enlarged to fill a room, both width and height.
pub(super) fn times((width, height): (f64, f64), room: (f64, f64)) -> f64 {
    (room.0 / width).min(room.1 / height).min(MOST_TIMES.max(LEAST_EDGE / width.max(height)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_fills_its_room_and_a_small_one_is_not_blown_up() {
        assert_eq!(times((1000.0, 500.0), (800.0, 800.0)), 0.8);
        assert_eq!(times((500.0, 1000.0), (800.0, 800.0)), 0.8);
        assert_eq!(times((200.0, 200.0), (1600.0, 1600.0)), 4.0);
        assert_eq!(times((20.0, 10.0), (1600.0, 1600.0)), 20.0);
        let stand = Stand { left: 10.0, top: 20.0, times: 2.0 };
        assert_eq!(stand.of(Point { x: 3.0, y: 4.0 }), Point { x: 16.0, y: 28.0 });
    }
}
