//! One frame mounted in its place: picture or empty box, keyline, mark, caption.

use super::area::Area;
use super::caption::CaptionLine;
use super::face::{CAPITAL_HEIGHT, Face};
use super::frame::Frame;
use super::page::{Ink, Item, QUIET, TextRun};
use super::sizes::{INDENT, LINE, MARK, SMALL};
use super::stack::Place;
use super::wrap::wrap;
use crate::light::Millimetres;

/// Keyline around a picture and around the mark: 0.3 pt, the thinnest line office printers hold (common practice).
const KEYLINE: Millimetres = Millimetres::from_points(0.3);
const KEYLINE_INK: Ink = Ink(150);
const MARK_INK: Ink = Ink(110);
/// Marks are black, as of a soft pencil.
const PENCIL: Ink = Ink(0);

const REASON_INSET: Millimetres = Millimetres::from_points(6.0);

/// Adds one frame to a page: picture or empty box, keyline, mark, caption.
pub(super) fn mount(items: &mut Vec<Item>, place: Place, frame: &Frame, caption: Vec<CaptionLine>) {
    let area = place.picture;
    match frame.shown() {
        Some(picture) => items.push(Item::Picture { area, picture: picture.clone() }),
        None => write_reason(items, area, frame.failed.as_deref().unwrap_or("no picture")),
    }
    items.push(Item::Outline { area: area.grown(KEYLINE), weight: KEYLINE, ink: KEYLINE_INK });
    let mut baseline = place.baseline;
    for (number, line) in caption.into_iter().enumerate() {
        if number == 0 {
            let area = Area { left: area.left, top: baseline - line.size * CAPITAL_HEIGHT, width: MARK, height: MARK };
            items.push(Item::Outline { area, weight: KEYLINE, ink: MARK_INK });
            items.extend(frame.mark.map(|mark| mark.draw(area, PENCIL)));
        }
        items.push(Item::Text(TextRun {
            left: area.left + INDENT,
            baseline,
            size: line.size,
            face: line.face,
            ink: line.ink,
            text: line.text,
        }));
        baseline += LINE;
    }
}

/// Writes the reason for a missing picture into its box, as many lines as there is room for.
fn write_reason(items: &mut Vec<Item>, area: Area, reason: &str) {
    let words: Vec<&str> = reason.split_whitespace().collect();
    let room = area.width - REASON_INSET * 2.0;
    let most = ((area.height - REASON_INSET * 2.0) / LINE).max(0.0).floor() as usize;
    let lines = wrap(&words, " ", most, Face::Regular, SMALL, room);
    let mut baseline = area.top + REASON_INSET + SMALL * CAPITAL_HEIGHT;
    for text in lines {
        items.push(Item::Text(TextRun {
            left: area.left + REASON_INSET,
            baseline,
            size: SMALL,
            face: Face::Regular,
            ink: QUIET,
            text,
        }));
        baseline += LINE;
    }
}

#[cfg(test)]
mod tests {
    use super::super::pencil::Pencil;
    use super::{Area, CaptionLine, Face, Frame, Ink, Item, Millimetres, Place, mount};
    use crate::sheet::sizes::NAME;

    #[test]
    fn a_failed_scan_is_an_empty_box_with_its_reason_inside() {
        let frame =
            Frame { failed: Some("the file is cut short: copy it again from the scanner".into()), ..Frame::default() };
        let area = Area {
            left: Millimetres::new(20.0),
            top: Millimetres::new(30.0),
            width: Millimetres::new(40.0),
            height: Millimetres::new(50.0),
        };
        let place = Place { picture: area, baseline: Millimetres::new(84.0) };
        let mut items = Vec::new();
        mount(&mut items, place, &frame, Vec::new());
        let mut words = Vec::new();
        for item in &items {
            match item {
                Item::Text(run) => {
                    assert!(run.left > area.left && run.baseline > area.top);
                    assert!(run.left + run.face.length(&run.text, run.size) < area.right());
                    words.push(run.text.as_str());
                }
                Item::Outline { area: keyline, .. } => assert!(keyline.left < area.left),
                _ => panic!("nothing else is drawn"),
            }
        }
        assert_eq!(Some(words.join(" ")), frame.failed);
    }

    #[test]
    fn a_mark_of_the_notes_lies_inside_its_box() {
        let side = Millimetres::new(40.0);
        let area = Area { left: side, top: side, width: side, height: side };
        let name = CaptionLine { text: "coil".into(), face: Face::Medium, size: NAME, ink: Ink(0) };
        for mark in [Pencil::Ring, Pencil::Dot, Pencil::Stroke] {
            let frame = Frame { mark: Some(mark), ..Frame::default() };
            let mut items = Vec::new();
            mount(&mut items, Place { picture: area, baseline: side * 2.1 }, &frame, vec![name.clone()]);
            let mut outlines = items.iter().filter_map(|item| match item {
                Item::Outline { area, .. } => Some(*area),
                _ => None,
            });
            let boxed = outlines.next_back().expect("a box for marks");
            let inside = |(x, y): &(Millimetres, Millimetres), reach: Millimetres| {
                *x - reach >= boxed.left
                    && *x + reach <= boxed.right()
                    && *y - reach >= boxed.top
                    && *y + reach <= boxed.bottom()
            };
            let drawn = items.iter().any(|item| match item {
                Item::Line { through, weight, .. } => through.iter().all(|at| inside(at, *weight / 2.0)),
                _ => false,
            });
            assert!(drawn, "{mark:?}");
        }
    }
}
