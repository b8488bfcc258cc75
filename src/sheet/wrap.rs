//! Words broken into lines.

use super::face::Face;
use super::shorten::shorten;
use crate::light::Millimetres;

/// Breaks words into at most `most` lines of a given length; what is left over ends in an ellipsis.
///
/// A piece is never broken: give "no base," as one word to keep it together. Pieces are joined by `gap`.
/// A piece longer than a line is shortened in its middle.
pub(super) fn wrap(
    pieces: &[&str],
    gap: &str,
    most: usize,
    face: Face,
    size: Millimetres,
    room: Millimetres,
) -> Vec<String> {
    let fits = |text: &str| face.length(text, size) <= room;
    let mut lines: Vec<String> = Vec::new();
    for piece in pieces.iter().filter(|piece| !piece.is_empty()) {
        if let Some(last) = lines.last_mut() {
            let longer = format!("{last}{gap}{piece}");
            if fits(&longer) {
                *last = longer;
                continue;
            }
            if lines.len() >= most {
                close(lines.last_mut(), &fits);
                return lines;
            }
        } else if most == 0 {
            return lines;
        }
        lines.push(shorten(piece, face, size, room));
    }
    lines
}

/// A text of facts between dots broken into at most `most` lines of even length: before a fact where that does, else
/// before a word, so that no word is left alone.
pub(super) fn even(text: &str, most: usize, face: Face, size: Millimetres, room: Millimetres) -> Vec<String> {
    let facts: Vec<&str> = text.split(DOT).collect();
    let words: Vec<&str> = text.split_whitespace().collect();
    let length = |text: &str| face.length(text, size);
    let longest =
        |pieces: &[&str]| pieces.iter().map(|piece| length(piece)).fold(Millimetres::default(), Millimetres::max);
    let set = |pieces: &[&str], gap: &str, room| wrap(pieces, gap, most, face, size, room);
    // By facts if all of them are there afterwards.
    let whole = |lines: &[String]| lines.join(DOT) == text;
    let by_facts = longest(&facts) <= room && whole(&set(&facts, DOT, room));
    let (pieces, gap) = if by_facts { (&facts, DOT) } else { (&words, " ") };
    let lines = set(pieces, gap, room);
    // The narrowest room that takes no more lines makes them even: halved often enough, it is known to a thousandth.
    let (mut narrow, mut wide) = (longest(pieces).min(room), room);
    for _ in 0..10 {
        let middle = (narrow + wide) / 2.0;
        if set(pieces, gap, middle).join(gap) == lines.join(gap) && set(pieces, gap, middle).len() == lines.len() {
            wide = middle;
        } else {
            narrow = middle;
        }
    }
    set(pieces, gap, wide)
}

/// Between two facts of a line.
const DOT: &str = " · ";

/// Ends a line with an ellipsis, giving up words for it where there is no room, and letters where there is one word.
fn close(line: Option<&mut String>, fits: &dyn Fn(&str) -> bool) {
    let Some(line) = line else { return };
    while !line.is_empty() && !fits(&format!("{line}…")) {
        match line.trim_end().rfind(' ') {
            Some(space) => line.truncate(space),
            None => {
                line.pop();
            }
        }
    }
    *line = format!("{}…", line.trim_end().trim_end_matches(','));
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert, proptest};

    use super::{Face, Millimetres, even, wrap};

    const SIZE: Millimetres = Millimetres::from_points(6.5);

    fn words(text: &str, most: usize, room: f64) -> Vec<String> {
        let pieces: Vec<&str> = text.split(' ').collect();
        wrap(&pieces, " ", most, Face::Regular, SIZE, Millimetres::new(room))
    }

    #[test]
    fn words_that_fit_stay_on_one_line_and_no_words_make_no_line() {
        assert_eq!(words("no base", 2, 40.0), ["no base"]);
        assert_eq!(words("", 2, 40.0), [] as [&str; 0]);
    }

    #[test]
    fn what_does_not_fit_the_lines_ends_in_an_ellipsis() {
        let lines = words("no base, dense end in noise, frame edge unsure, eight bits only", 2, 22.0);
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("no base,"), "{lines:?}");
        assert!(lines[1].ends_with('…'), "{lines:?}");
    }

    #[test]
    fn facts_are_broken_evenly_and_no_word_is_left_alone() {
        let set = |text: &str, room: f64| even(text, 2, Face::Regular, SIZE, Millimetres::new(room));
        let facts = "2026-11-25 · neutral glossy · grades after ANSI PH2.2-1966 band middles · scanner densities";
        let short = "2026-11-25 · neutral glossy";
        let rest = "grades after ANSI PH2.2-1966 band middles · scanner densities";
        assert_eq!(set(facts, 95.0), [short, rest]);
        assert_eq!(set(short, 95.0), [short]);
        let words =
            set("each frame in the grade under it, placed by its shadows, eight per cent less for dry-down", 92.0);
        assert_eq!(words.len(), 2);
        let length = |line: &str| Face::Regular.length(line, SIZE);
        assert!(length(&words[1]) / length(&words[0]) > 0.7, "{words:?}");
    }

    proptest! {
        #[test]
        fn every_even_line_fits(text in any::<String>(), most in 1..4usize, room in 8.0..80.0f64) {
            let lines = even(&text, most, Face::Regular, SIZE, Millimetres::new(room));
            prop_assert!(lines.len() <= most);
            for line in lines {
                prop_assert!(Face::Regular.length(&line, SIZE) <= Millimetres::new(room));
            }
        }

        #[test]
        fn every_line_fits(text in any::<String>(), most in 0..4usize, room in 8.0..80.0f64) {
            let lines = words(&text, most, room);
            prop_assert!(lines.len() <= most);
            for line in lines {
                prop_assert!(Face::Regular.length(&line, SIZE) <= Millimetres::new(room));
            }
        }
    }
}
