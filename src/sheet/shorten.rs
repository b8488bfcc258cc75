//! Names made to fit: the middle goes, both ends stay.

use super::face::Face;
use crate::light::Millimetres;

/// The text if it fits the length, else its beginning and end around an ellipsis.
///
/// Scans of one shelf differ at the end of their names ("... 014", "... 015"), so the end is kept as long as the
/// beginning. The ellipsis alone is the shortest answer.
pub(super) fn shorten(text: &str, face: Face, size: Millimetres, room: Millimetres) -> String {
    let glyphs = face.place(text);
    let length = |from: usize, to: usize| size * glyphs[from..to].iter().map(|glyph| glyph.advance).sum::<f64>();
    if length(0, glyphs.len()) <= room {
        return text.to_owned();
    }
    let left = room - face.length("…", size);
    let (mut head, mut tail) = (0, glyphs.len());
    let mut used = Millimetres::default();
    while head < tail {
        // The shorter end grows next, so that the two stay even.
        let grows_at_end = glyphs.len() - tail <= head;
        let next = if grows_at_end { tail - 1 } else { head };
        used += length(next, next + 1);
        if used > left {
            break;
        }
        if grows_at_end {
            tail -= 1;
        } else {
            head += 1;
        }
    }
    let start = glyphs.get(head).map_or(text.len(), |glyph| glyph.bytes.start);
    let end = glyphs.get(tail).map_or(text.len(), |glyph| glyph.bytes.start);
    format!("{}…{}", text[..start].trim_end(), text[end..].trim_start())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert, proptest};

    use super::{Face, Millimetres, shorten};

    const SIZE: Millimetres = Millimetres::from_points(7.5);

    #[test]
    fn a_name_that_fits_stays_as_it_is() {
        let room = Millimetres::new(60.0);
        assert_eq!(shorten("ropewalk-03", Face::Medium, SIZE, room), "ropewalk-03");
        assert_eq!(shorten("", Face::Medium, SIZE, Millimetres::default()), "");
    }

    #[test]
    fn a_long_name_keeps_both_ends() {
        let name = "ropewalk-store-room-east-window-morning-light-second-sheet-014";
        let short = shorten(name, Face::Medium, SIZE, Millimetres::new(30.0));
        assert!(short.starts_with("ropewalk"), "{short}");
        assert!(short.ends_with("-014"), "{short}");
        assert!(short.contains('…'), "{short}");
    }

    proptest! {
        #[test]
        fn a_shortened_name_fits_its_room(name in any::<String>(), room in 4.0..80.0f64) {
            let room = Millimetres::new(room);
            let short = shorten(&name, Face::Medium, SIZE, room);
            prop_assert!(Face::Medium.length(&short, SIZE) <= room);
        }
    }
}
