//! The words under a picture.

use super::face::Face;
use super::fractions::with_fractions;
use super::frame::Frame;
use super::page::{Ink, QUIET};
use super::shorten::shorten;
use super::sizes::{NAME, SMALL};
use super::wrap::wrap;
use crate::light::Millimetres;

const NAME_INK: Ink = Ink(0);

/// A line of a caption, not yet placed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CaptionLine {
    pub(super) text: String,
    pub(super) face: Face,
    pub(super) size: Millimetres,
    pub(super) ink: Ink,
}

/// Lines of facts, at most: a frame that was printed on another paper, in two parts and placed otherwise takes as many
/// in the narrowest column.
const MOST_FACTS: usize = 8;

/// The lines under a frame, name, what it is called and date, what was written beside its mark (two at most), facts
/// (seldom more than two lines), flags (two at most); each fits the room.
pub(super) fn caption(frame: &Frame, room: Millimetres) -> Vec<CaptionLine> {
    let name = if frame.name.trim().is_empty() { "no name" } else { &frame.name };
    let mut lines = vec![CaptionLine {
        text: shorten(name, Face::Medium, NAME, room),
        face: Face::Medium,
        size: NAME,
        ink: NAME_INK,
    }];
    let mut add = |texts: Vec<String>, face: Face, ink: Ink| {
        lines.extend(texts.into_iter().map(|text| CaptionLine { text, face, size: SMALL, ink }));
    };
    let called = called(frame, room).into_iter().flat_map(|line| set(&line, 1, room)).collect();
    add(called, Face::Regular, NAME_INK);
    add(set(frame.remark.as_deref().unwrap_or_default(), 2, room), Face::Regular, NAME_INK);
    add(fact_lines(frame, room), Face::Regular, QUIET);
    add(set(&frame.flags.join(", "), 2, room), Face::Regular, NAME_INK);
    lines
}

/// What a picture is called and when it was taken: on one line if both fit, else a line for each. They may still be
/// longer than the room.
pub(super) fn called(frame: &Frame, room: Millimetres) -> Vec<String> {
    let words = |text: &Option<String>| {
        let words = text.as_deref().unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ");
        Some(words).filter(|words| !words.is_empty())
    };
    let lines: Vec<String> = [&frame.called, &frame.date].into_iter().filter_map(words).collect();
    let both = lines.join(", ");
    if lines.len() == 2 && Face::Regular.length(&both, SMALL) <= room { vec![both] } else { lines }
}

/// Words in at most so many lines.
fn set(text: &str, most: usize, room: Millimetres) -> Vec<String> {
    wrap(&text.split_whitespace().collect::<Vec<_>>(), " ", most, Face::Regular, SMALL, room)
}

/// Base, range and grade, each as far as it is known, and how else it was printed.
pub(super) fn facts(frame: &Frame) -> Vec<String> {
    let [base_and_range, print] = measured_and_printed(frame);
    [base_and_range, print].concat()
}

/// Base and range as far as they are known; grade and how else it was printed.
fn measured_and_printed(frame: &Frame) -> [Vec<String>; 2] {
    let density = |name: &str, value: Option<f64>| {
        value.filter(|value| value.is_finite()).map(|value| format!("{name} {}", two_places(value)))
    };
    let grade = frame.grade.as_deref().map(str::trim).filter(|grade| !grade.is_empty());
    let grade = grade.map(|grade| format!("grade {}", with_fractions(grade)));
    let measured = [density("base", frame.base), density("range", frame.range)].into_iter().flatten();
    [measured.collect(), grade.into_iter().chain(frame.printed.iter().map(|words| with_fractions(words))).collect()]
}

/// All facts on one line if the column has room for the longest usual figures; else the grade stands below, in every
/// frame alike, however short its own figures are.
fn fact_lines(frame: &Frame, room: Millimetres) -> Vec<String> {
    let [mut above, mut below] = measured_and_printed(frame);
    if Face::Regular.length("base 0.00  range 0.00  grade 0½", SMALL) <= room {
        above.append(&mut below);
    }
    let mut lines = fact_by_fact(above, room);
    lines.extend(fact_by_fact(below, room));
    lines.truncate(MOST_FACTS);
    lines
}

/// Facts side by side as far as they fit; one that is longer than a line is broken between its words.
fn fact_by_fact(facts: Vec<String>, room: Millimetres) -> Vec<String> {
    let fits = |fact: &&String| Face::Regular.length(fact, SMALL) <= room;
    let mut lines = Vec::new();
    for facts in facts.chunk_by(|a, b| fits(&a) && fits(&b)) {
        let (pieces, gap): (Vec<&str>, _) = match facts {
            [long] if !fits(&long) => (long.split_whitespace().collect(), " "),
            facts => (facts.iter().map(String::as_str).collect(), "  "),
        };
        lines.extend(wrap(&pieces, gap, MOST_FACTS, Face::Regular, SMALL, room));
    }
    lines
}

/// A density to two places, with a true minus sign and no minus before zero.
fn two_places(density: f64) -> String {
    let text = format!("{density:.2}");
    match text.strip_prefix('-') {
        Some("0.00") => "0.00".to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::{Frame, Millimetres, caption, two_places};

    #[test]
    fn what_was_printed_otherwise_stands_after_the_grade() {
        let frame = Frame {
            range: Some(1.1818),
            grade: Some("about 1/2, +1/3 stop".into()),
            printed: vec!["split 00 -1, 5 -1 1/2".into(), "paper neutral matt".into()],
            ..Frame::default()
        };
        let printed = ["range 1.18  grade about ½, +¹\u{2044}₃ stop  split 00 −1, 5 −1½", "paper neutral matt"];
        assert_eq!(texts(&frame, 62.0)[1..], printed);
    }

    #[test]
    fn in_a_narrow_column_it_still_says_how_it_was_printed() {
        let frame = Frame {
            name: "sheet-03".into(),
            base: Some(0.23),
            range: Some(1.18),
            grade: Some("2, +1/3 stop".into()),
            printed: vec!["split 00 -1, 5 -1 1/2".into(), "grades after ANSI PH2.2-1966 band middles".into()],
            ..Frame::default()
        };
        let all = texts(&frame, 32.0).join(" ");
        for said in ["range 1.18", "+¹\u{2044}₃ stop", "5 −1½", "band middles"] {
            assert!(all.contains(said), "{all}");
        }
    }

    #[test]
    fn the_date_stands_behind_the_subject_or_below_it() {
        let frame = Frame {
            name: "sheet-03".into(),
            called: Some("Rope walk, looking east".into()),
            date: Some("2026-11-25".into()),
            remark: Some("burn in the window".into()),
            ..Frame::default()
        };
        assert_eq!(texts(&frame, 60.0)[1..], ["Rope walk, looking east, 2026-11-25", "burn in the window"]);
        assert_eq!(texts(&frame, 30.0)[1..], ["Rope walk, looking east", "2026-11-25", "burn in the window"]);
        assert_eq!(texts(&Frame { called: None, remark: None, ..frame }, 30.0)[1..], ["2026-11-25"]);
    }

    fn texts(frame: &Frame, room: f64) -> Vec<String> {
        caption(frame, Millimetres::new(room)).into_iter().map(|line| line.text).collect()
    }

    #[test]
    fn a_caption_reads_name_then_subject_then_facts_then_flags() {
        let frame = Frame {
            name: "sheet-03".into(),
            called: Some("Rope walk, looking east".into()),
            base: Some(0.2343),
            range: Some(1.1818),
            grade: Some("2 1/2".into()),
            flags: vec!["base unlike batch".into(), "dense end in noise".into()],
            ..Frame::default()
        };
        assert_eq!(
            texts(&frame, 60.0),
            [
                "sheet-03",
                "Rope walk, looking east",
                "base 0.23  range 1.18  grade 2½",
                "base unlike batch, dense end in noise"
            ]
        );
    }

    #[test]
    fn in_a_narrow_cell_facts_break_between_figures_never_inside_one() {
        let frame = Frame {
            name: "sheet-03".into(),
            base: Some(0.23),
            range: Some(1.18),
            grade: Some("2 1/2".into()),
            ..Frame::default()
        };
        assert_eq!(texts(&frame, 28.0)[1..], ["base 0.23  range 1.18", "grade 2½"]);
    }

    #[test]
    fn what_is_not_known_is_left_out() {
        let frame = Frame { range: Some(f64::NAN), grade: Some(String::new()), ..Frame::default() };
        assert_eq!(texts(&frame, 40.0), ["no name"]);
    }

    #[test]
    fn figures_are_set_with_a_true_minus() {
        assert_eq!(two_places(-0.004), "0.00");
        assert_eq!(two_places(-0.126), "\u{2212}0.13");
    }
}
