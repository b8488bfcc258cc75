//! One frame on its piece of film: picture, name, figures, and the box for a mark.

use super::super::area::Area;
use super::super::caption::facts;
use super::super::face::{CAPITAL_HEIGHT, Face};
use super::super::frame::Frame;
use super::super::page::{Ink, Item, TextRun};
use super::super::shorten::shorten;
use super::super::sizes::{LINE, SMALL};
use super::super::wrap::wrap;
use crate::light::Millimetres;

/// Film without density prints black, and words on it are white.
pub(super) const FILM: Ink = Ink(0);
const WORDS: Ink = Ink(255);

/// A band of film that words stand on: their capitals, what hangs below the line, and a little on both sides.
const BAND: Millimetres = Millimetres::new(2.6);
/// From the edge of a piece of film to its words, and between two of them.
const APART: Millimetres = Millimetres::new(1.5);
/// Side of the box for a mark, and the film around it.
const BOX: Millimetres = Millimetres::new(3.8);
const KEEP: Millimetres = Millimetres::new(0.4);
const KEYLINE: Millimetres = Millimetres::from_points(0.3);
/// How far letters hang below the line, in ems (Inter, measured on "p").
const DESCENDER: f64 = 0.21;
/// Lengths that differ by less are one: a micrometre.
const SAME: Millimetres = Millimetres::new(0.001);

/// One frame on its piece of film: the picture in its true size, its name above, its figures and the box for a mark below.
pub(super) fn lay_frame(items: &mut Vec<Item>, piece: Area, frame: &Frame) {
    let (width, height) = frame.on_film.map_or((piece.width * 0.9, piece.height * 0.7), |on_film| on_film.picture);
    let picture = Area {
        left: piece.left + (piece.width - width) / 2.0,
        top: piece.top + (piece.height - height) / 2.0,
        width,
        height,
    };
    match frame.shown() {
        Some(shown) => items.push(Item::Picture { area: picture, picture: shown.clone() }),
        None => write_reason(items, picture, frame.failed.as_deref().unwrap_or("no picture")),
    }
    // A frame that leaves less film than words need lends a little of its edge.
    let band = (picture.top - piece.top).max(BAND);
    let above = Area { height: band, ..piece };
    let below = Area { top: piece.bottom() - band, height: band, ..piece };
    if band > picture.top - piece.top + SAME {
        items.extend([above, below].map(|area| Item::Fill { area, ink: FILM }));
    }
    let line = |area: Area| area.top + (area.height + SMALL * (CAPITAL_HEIGHT - DESCENDER)) / 2.0;
    let text = |left, baseline, face, text| Item::Text(TextRun { left, baseline, size: SMALL, face, ink: WORDS, text });
    let room = piece.width - APART * 2.0;
    let name = if frame.name.trim().is_empty() { "no name" } else { &frame.name };
    let name = shorten(name, Face::Medium, SMALL, room);
    let behind = Face::Medium.length(&name, SMALL) + APART;
    items.push(text(above.left + APART, line(above), Face::Medium, name));
    let aside = [frame.remark.as_deref().unwrap_or_default(), &frame.flags.join(", ")].join(" ");
    let words: Vec<&str> = aside.split_whitespace().collect();
    if room - behind > LINE * 3.0 {
        let aside = wrap(&words, " ", 1, Face::Regular, SMALL, room - behind);
        items.extend(
            aside.into_iter().map(|words| text(above.left + APART + behind, line(above), Face::Regular, words)),
        );
    }
    // The box is as large as a pencil needs where the film has room for it, and never over the picture: there a pencil marks the picture.
    let side = BOX.min(band - KEEP * 2.0);
    let mark = Area { left: below.left + KEEP, top: below.bottom() - KEEP - side, width: side, height: side };
    items.push(Item::Outline { area: mark, weight: KEYLINE, ink: WORDS });
    items.extend(frame.mark.map(|pencil| pencil.draw(mark, WORDS)));
    let beside = mark.right() + APART;
    let room = piece.right() - APART - beside;
    items.extend(fitting(frame, room).map(|facts| text(beside, line(below), Face::Regular, facts)));
}

/// Of the facts as many as fit on a line: the grade is the last to be left out, and never cut off.
fn fitting(frame: &Frame, room: Millimetres) -> Option<String> {
    let without_base = Frame { base: None, ..frame.clone() };
    let grade_alone = Frame { range: None, ..without_base.clone() };
    let bare = Frame { printed: Vec::new(), ..grade_alone.clone() };
    let all = [frame, &without_base, &grade_alone, &bare].map(|frame| facts(frame).join("  "));
    all.into_iter().find(|facts| Face::Regular.length(facts, SMALL) <= room).filter(|facts| !facts.is_empty())
}

fn write_reason(items: &mut Vec<Item>, area: Area, reason: &str) {
    let words: Vec<&str> = reason.split_whitespace().collect();
    let room = area.width - APART * 2.0;
    let most = ((area.height - APART * 2.0) / LINE).max(0.0).floor() as usize;
    let lines = wrap(&words, " ", most, Face::Regular, SMALL, room);
    items.extend((1..).zip(lines).map(|(number, text)| {
        let baseline = area.top + APART + LINE * f64::from(number) - LINE * 0.25;
        Item::Text(TextRun { left: area.left + APART, baseline, size: SMALL, face: Face::Regular, ink: WORDS, text })
    }));
}
