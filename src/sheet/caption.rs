//! The words under a picture.

use super::face::Face;
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

/// The lines under a frame, name, subject, facts (seldom more than two lines), flags (two at most); each fits the room.
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
    let subject = frame.subject.as_deref().unwrap_or_default();
    let words: Vec<&str> = subject.split_whitespace().collect();
    add(wrap(&words, " ", 1, Face::Regular, SMALL, room), Face::Regular, NAME_INK);
    add(fact_lines(frame, room), Face::Regular, QUIET);
    let flags = frame.flags.join(", ");
    let flags: Vec<&str> = flags.split_whitespace().collect();
    add(wrap(&flags, " ", 2, Face::Regular, SMALL, room), Face::Regular, NAME_INK);
    lines
}

/// Base, range and grade, each as far as it is known, on one line if the column has room for the longest usual figures;
/// else the grade stands below, in every frame alike, however short its own figures are.
fn fact_lines(frame: &Frame, room: Millimetres) -> Vec<String> {
    let density = |name: &str, value: Option<f64>| {
        value.filter(|value| value.is_finite()).map(|value| format!("{name} {}", two_places(value)))
    };
    let grade = frame
        .grade
        .as_deref()
        .filter(|grade| !grade.trim().is_empty())
        .map(|grade| format!("grade {}", with_halves(grade.trim())));
    let base_and_range = [density("base", frame.base), density("range", frame.range)];
    let one_line = Face::Regular.length("base 0.00  range 0.00  grade 0½", SMALL) <= room;
    let printed = frame.printed.iter().map(|words| Some(with_halves(words)));
    let print: Vec<_> = std::iter::once(grade).chain(printed).collect();
    let (above, below) = if one_line { (print, Vec::new()) } else { (Vec::new(), print) };
    let set = |facts: Vec<Option<String>>| {
        let facts: Vec<&str> = facts.iter().flatten().map(String::as_str).collect();
        wrap(&facts, "  ", 3, Face::Regular, SMALL, room)
    };
    let mut lines = set(base_and_range.into_iter().chain(above).collect());
    lines.extend(set(below));
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

/// "2 1/2" as "2½", and "about 1/2" as "about ½".
fn with_halves(grade: &str) -> String {
    let joined =
        ('0'..='9').fold(grade.to_owned(), |text, digit| text.replace(&format!("{digit} 1/2"), &format!("{digit}½")));
    joined.replace("1/2", "½")
}

#[cfg(test)]
mod tests {
    use super::{Frame, Millimetres, caption, two_places, with_halves};

    #[test]
    fn what_was_printed_otherwise_stands_after_the_grade() {
        let frame = Frame {
            range: Some(1.1818),
            grade: Some("about 1/2, +1/3 stop".into()),
            printed: vec!["split 00 -1, 5 -1 1/2".into(), "paper neutral matt".into()],
            ..Frame::default()
        };
        let printed = ["range 1.18  grade about ½, +1/3 stop  split 00 -1, 5 -1½", "paper neutral matt"];
        assert_eq!(texts(&frame, 62.0)[1..], printed);
    }

    fn texts(frame: &Frame, room: f64) -> Vec<String> {
        caption(frame, Millimetres::new(room)).into_iter().map(|line| line.text).collect()
    }

    #[test]
    fn a_caption_reads_name_then_subject_then_facts_then_flags() {
        let frame = Frame {
            name: "sheet-03".into(),
            subject: Some("Rope walk, looking east".into()),
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
    fn figures_are_set_with_true_minus_and_halves() {
        assert_eq!(two_places(-0.004), "0.00");
        assert_eq!(two_places(-0.126), "\u{2212}0.13");
        assert_eq!(with_halves("1/2"), "½");
        assert_eq!(with_halves("4 1/2"), "4½");
        assert_eq!(with_halves("about 1/2, +1 1/2 stop"), "about ½, +1½ stop");
        assert_eq!(with_halves("00"), "00");
    }
}
