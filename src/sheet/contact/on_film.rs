//! One frame on its piece of film: picture, name, figures, and the box for a mark.

use super::super::area::Area;
use super::super::caption::{called, facts};
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

/// One frame on its piece of film: the picture in its true size, its name above, its figures and the box for a mark
/// below.
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
    write_above(items, above, frame);
    // The box is as large as a pencil needs where the film has room for it, and never over the picture: there a pencil
    // marks the picture.
    let side = BOX.min(band - KEEP * 2.0);
    let mark = Area { left: below.left + KEEP, top: below.bottom() - KEEP - side, width: side, height: side };
    items.push(Item::Outline { area: mark, weight: KEYLINE, ink: WORDS });
    items.extend(frame.mark.map(|pencil| pencil.draw(mark, WORDS)));
    let beside = mark.right() + APART;
    let lines = fitting(frame, lines_on(below), piece.right() - APART - beside);
    let in_parts = parted(below, lines.len());
    items.extend(lines.into_iter().zip(in_parts).map(|(facts, area)| text(beside, line(area), Face::Regular, facts)));
}

/// Lines of words that a band of film holds, two at most.
fn lines_on(band: Area) -> usize {
    if band.height >= BAND * 2.0 { 2 } else { 1 }
}

/// A band of film in so many lines.
fn parted(band: Area, lines: usize) -> impl Iterator<Item = Area> {
    let height = band.height / lines.max(1) as f64;
    (0..lines).map(move |line| Area { top: band.top + height * line as f64, height, ..band })
}

/// Baseline of a line in the middle of an area.
fn line(area: Area) -> Millimetres {
    area.top + (area.height + SMALL * (CAPITAL_HEIGHT - DESCENDER)) / 2.0
}

fn text(left: Millimetres, baseline: Millimetres, face: Face, text: String) -> Item {
    Item::Text(TextRun { left, baseline, size: SMALL, face, ink: WORDS, text })
}

/// Words are worth beginning in no less.
const LEAST: Millimetres = Millimetres::from_points(27.0);
/// Of one line a name leaves a third to what the picture is called, and that leaves half of it to what else is said.
const NAME_SHARE: f64 = 2.0 / 3.0;
const CALLED_SHARE: f64 = 0.5;

/// The name, what the picture is called, and what else is said of it: on one line, or where film is wide beside the
/// picture on two.
fn write_above(items: &mut Vec<Item>, above: Area, frame: &Frame) {
    let room = above.width - APART * 2.0;
    let aside = [frame.remark.as_deref().unwrap_or_default(), &frame.flags.join(", ")].join(" ");
    let aside = aside.trim();
    let is_called = !called(frame, room).is_empty();
    let is_titled = frame.called.as_deref().is_some_and(|title| !title.trim().is_empty());
    let mut lines = parted(above, if is_called { lines_on(above) } else { 1 });
    let (first, second) = (lines.next().unwrap_or(above), lines.next());
    let name = if frame.name.trim().is_empty() { "no name" } else { &frame.name };
    let shares = is_called && second.is_none();
    // What the flags say may not fit; that there are some always does.
    let flagged = if frame.flags.is_empty() { "" } else { " !" };
    let room_of_name = if shares { room * NAME_SHARE } else { room } - Face::Medium.length(flagged, SMALL);
    let name = shorten(name, Face::Medium, SMALL, room_of_name) + flagged;
    let mut at = above.left + APART;
    let end = at + room;
    items.push(text(at, line(first), Face::Medium, name.clone()));
    at += Face::Medium.length(&name, SMALL) + APART;
    // Writes words in a room, and gives where the next ones begin.
    let mut write = |at: Millimetres, area: Area, words: &str, room: Millimetres| {
        let words: Vec<&str> = words.split_whitespace().collect();
        wrap(&words, " ", 1, Face::Regular, SMALL, room).into_iter().fold(at, |at, words| {
            let next = at + Face::Regular.length(&words, SMALL) + APART;
            items.push(text(at, line(area), Face::Regular, words));
            next
        })
    };
    let room_of_called = match (second, aside) {
        (Some(_), _) => room,
        (None, "") => end - at,
        (None, aside) => {
            let aside = Face::Regular.length(aside, SMALL) + APART;
            (end - at - aside).max((end - at) * CALLED_SHARE).max((end - at).min(LEAST))
        }
    };
    // A date that does not fit is none.
    let is_worth = |words: &&String| is_titled || Face::Regular.length(words, SMALL) <= room_of_called;
    if let Some(words) = called(frame, room_of_called).first().filter(is_worth) {
        match second {
            Some(second) => _ = write(above.left + APART, second, words, room_of_called),
            None => at = write(at, first, words, room_of_called),
        }
    }
    if end - at > LEAST {
        write(at, first, aside, end - at);
    }
}

/// Of the facts as many as fit on so many lines: the grade is the last to be left out, and never cut off.
fn fitting(frame: &Frame, most: usize, room: Millimetres) -> Vec<String> {
    let without_base = Frame { base: None, ..frame.clone() };
    let grade_alone = Frame { range: None, ..without_base.clone() };
    let bare = Frame { printed: Vec::new(), ..grade_alone.clone() };
    let whole = |facts: &[String]| {
        let by_facts: Vec<&str> = facts.iter().map(String::as_str).collect();
        let by_words: Vec<&str> = facts.iter().flat_map(|fact| fact.split_whitespace()).collect();
        [(by_facts, "  "), (by_words, " ")].into_iter().find_map(|(pieces, gap)| {
            let lines = wrap(&pieces, gap, most, Face::Regular, SMALL, room);
            (lines.join(gap) == pieces.join(gap)).then_some(lines)
        })
    };
    [frame, &without_base, &grade_alone, &bare].iter().find_map(|frame| whole(&facts(frame))).unwrap_or_default()
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
