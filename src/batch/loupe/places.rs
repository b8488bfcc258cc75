//! Parts of a frame that are worth a look: places that were given, the sharpest ones, the corners.

use crate::batch::print::Carrier;
use crate::film::Focus;
use crate::plane::{Area, Point, Quad, Size};
use crate::scan::Orientation;

/// The sharpest places that are shown.
const SHARP_PLACES: usize = 2;

/// A part of the scan that is shown, and what it is.
pub(super) struct Place {
    /// Where it lies.
    pub area: Area,
    /// What it is, and where.
    pub words: String,
}

/// The places: those that were given, the sharpest ones, the corners.
pub(super) fn places(carrier: &Carrier, frame: Area, side: u32, at: &[Point], focus: Option<&Focus>) -> Vec<Place> {
    let mut places: Vec<Place> = at.iter().map(|place| around(frame, side, *place, "given")).collect();
    places.extend(of_focus(frame, side, focus, SHARP_PLACES));
    let size = (side.min(frame.width), side.min(frame.height));
    // A frame that one crop shows has no corners of its own.
    if size != (frame.width, frame.height) {
        let corners = corners(carrier.lying.orientation, frame, size);
        places.extend(corners.map(|(at, words)| around(frame, side, at, &words)));
    } else if places.is_empty() {
        places.push(around(frame, side, middle(frame), "the whole frame"));
    }
    places
}

/// The sharpest ones alone, at most so many; where there is nothing to focus on, the middle of the frame.
pub(super) fn sharpest(frame: Area, side: u32, focus: Option<&Focus>, most: usize) -> Vec<Place> {
    let places = of_focus(frame, side, focus, most.min(SHARP_PLACES));
    if places.is_empty() { vec![around(frame, side, middle(frame), "the middle")] } else { places }
}

fn of_focus(frame: Area, side: u32, focus: Option<&Focus>, most: usize) -> Vec<Place> {
    let sharpest = focus.map(|focus| focus.sharpest(most, 1.5 * f64::from(side))).unwrap_or_default();
    let ranked = ["the sharpest place", "the next sharpest"];
    sharpest.into_iter().zip(ranked).map(|(place, words)| around(frame, side, place, words)).collect()
}

/// A part of a frame around a place, no larger than the frame and within it.
fn around(frame: Area, side: u32, place: Point, words: &str) -> Place {
    let (width, height) = (side.min(frame.width), side.min(frame.height));
    let first = |middle: f64, length: u32, from: u32, most: u32| {
        (middle - f64::from(length) / 2.0).round().clamp(f64::from(from), f64::from(from + most - length)) as u32
    };
    let (x, y) = (first(place.x, width, frame.x, frame.width), first(place.y, height, frame.y, frame.height));
    Place { area: Area { x, y, width, height }, words: format!("{words} \u{b7} {:.0},{:.0}", place.x, place.y) }
}

fn middle(frame: Area) -> Point {
    let at = |first: u32, length: u32| f64::from(first) + f64::from(length) / 2.0;
    Point { x: at(frame.x, frame.width), y: at(frame.y, frame.height) }
}

/// Middles of crops in the corners of a frame, named as it stands upright, in reading order.
fn corners(orientation: Orientation, frame: Area, (width, height): (u32, u32)) -> [(Point, String); 4] {
    let (x0, y0) = (f64::from(frame.x) + f64::from(width) / 2.0, f64::from(frame.y) + f64::from(height) / 2.0);
    let (x1, y1) = (x0 + f64::from(frame.width - width), y0 + f64::from(frame.height - height));
    let unit = Size { width: 1, height: 1 };
    let mut all =
        [(x0, y0, 0.0, 0.0), (x1, y0, 1.0, 0.0), (x0, y1, 0.0, 1.0), (x1, y1, 1.0, 1.0)].map(|(x, y, right, below)| {
            let upright = orientation.upright_place(Point { x: right, y: below }, unit);
            let (down, across) = (upright.y > 0.5, upright.x > 0.5);
            let name = format!("{} {}", if down { "bottom" } else { "top" }, if across { "right" } else { "left" });
            ((down, across), (Point { x, y }, name))
        });
    all.sort_by_key(|(order, _)| *order);
    all.map(|(_, named)| named)
}

/// The whole pixels inside an upright outline.
pub(super) fn within(Quad([a, _, c, _]): Quad, size: Size) -> Area {
    let span = |from: f64, to: f64, most: u32| {
        let low = from.min(to).ceil().clamp(0.0, f64::from(most - 1)) as u32;
        (low, (from.max(to).floor().min(f64::from(most)) as u32).max(low + 1) - low)
    };
    let ((x, width), (y, height)) = (span(a.x, c.x, size.width), span(a.y, c.y, size.height));
    Area { x, y, width, height }
}
