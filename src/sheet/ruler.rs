//! A ruler along the upper and the left edge of a picture: places of the scan in its own pixels.

use super::canvas::PixelArea;
use super::face::Face;
use super::page::QUIET;
use super::pen::{Pen, length, points};
use crate::plane::Point;

/// Size of the numbers in points.
const NUMBER: f64 = 5.5;
/// Lengths of the strokes, and white before the numbers.
const LONG: f64 = 9.0;
const SHORT: f64 = 5.0;
const OFF: f64 = 4.0;
const WEIGHT: f64 = 1.2;
/// From number to number at least.
const APART: f64 = 80.0;

/// What the rulers of a scan of this size take at the left of a picture and above it.
pub(super) fn room((width, height): (f64, f64)) -> (f64, f64) {
    let widest = length(&format!("{:.0}", width.max(height)), Face::Regular, NUMBER);
    ((LONG + OFF + widest + OFF).ceil(), (LONG + OFF + points(NUMBER)).ceil())
}

/// Pixels of the scan from number to number, a round count, and how many short strokes part them; `each` is a scan
/// pixel on the page.
fn steps(each: f64) -> (f64, u32) {
    let rounds = (0..8)
        .flat_map(|power| [(1.0, 5), (2.0, 4), (5.0, 5)].map(|(digit, parts)| (digit * 10f64.powi(power), parts)));
    rounds.into_iter().find(|(step, _)| step * each >= APART).unwrap_or((1e8, 5))
}

/// Draws both; `scan` is the size that the picture stands for, in pixels.
pub(super) fn draw(pen: &mut Pen, area: PixelArea, scan: (f64, f64)) {
    let each = ((area.right - area.left) / scan.0, (area.bottom - area.top) / scan.1);
    let (step, parts) = steps(each.0.min(each.1));
    let strokes = |most: f64| {
        let short = step / f64::from(parts);
        // Numbers stand at every long stroke.
        (0..=(most / short + 1e-9) as u32).map(move |i| (f64::from(i) * short, i % parts == 0))
    };
    for (at, long) in strokes(scan.0) {
        let x = area.left + at * each.0;
        let end = area.top - if long { LONG } else { SHORT };
        pen.line(Point { x, y: area.top }, Point { x, y: end }, WEIGHT, QUIET);
        if long {
            let text = format!("{at:.0}");
            pen.text(x - length(&text, Face::Regular, NUMBER) / 2.0, end - OFF, NUMBER, Face::Regular, QUIET, &text);
        }
    }
    for (at, long) in strokes(scan.1) {
        let y = area.top + at * each.1;
        let end = area.left - if long { LONG } else { SHORT };
        pen.line(Point { x: area.left, y }, Point { x: end, y }, WEIGHT, QUIET);
        if long {
            let text = format!("{at:.0}");
            let left = end - OFF - length(&text, Face::Regular, NUMBER);
            pen.text(left, y + points(NUMBER) * 0.36, NUMBER, Face::Regular, QUIET, &text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_round_and_far_enough_apart_to_be_read() {
        assert_eq!(steps(1.2), (100.0, 5));
        assert_eq!(steps(0.45), (200.0, 4));
        assert_eq!(steps(0.12), (1000.0, 5));
        assert_eq!(steps(100.0), (1.0, 5));
    }

    /// A scan of 4000 x 2000 pixels drawn 800 pixels wide: numbers every 500, and four short strokes between them.
    #[test]
    fn strokes_stand_where_the_pixels_lie() {
        let mut pen = Pen::new(1000.0, 600.0);
        let area = PixelArea { left: 100.0, top: 100.0, right: 900.0, bottom: 500.0 };
        draw(&mut pen, area, (4000.0, 2000.0));
        let page = pen.into_image();
        let along = |y: u32| (100..=900).filter(|x| page.get_pixel(*x, y).0[0] < 220).count();
        let dark = |x: u32, y: u32| page.get_pixel(x, y).0[0] < 220 || page.get_pixel(x - 1, y).0[0] < 220;
        for at in [0, 500, 2500, 4000] {
            assert!(dark(100 + at / 5, 93), "{at} across");
        }
        assert!(dark(100 + 600 / 5, 97) && !dark(100 + 600 / 5, 93) && !dark(100 + 550 / 5, 97));
        assert!((9..=18).contains(&along(93)) && (41..=82).contains(&along(97)), "{} and {}", along(93), along(97));
        assert!(page.get_pixel(93, 300).0[0] < 220 || page.get_pixel(93, 299).0[0] < 220, "1000 down");
        assert!((100..500).all(|y| page.get_pixel(150, y).0[0] == 255), "nothing is drawn on the picture");
    }
}
