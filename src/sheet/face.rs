//! The letters: Inter in two weights, and where each glyph of a line stands.

use std::ops::Range;
use std::sync::LazyLock;

use ab_glyph::{Font, FontRef, GlyphId};

use crate::light::Millimetres;

/// Inter 4.0 (SIL Open Font License 1.1, `font/OFL.txt`).
const REGULAR: &[u8] = include_bytes!("font/Inter-Regular.otf");
const MEDIUM: &[u8] = include_bytes!("font/Inter-Medium.otf");

static REGULAR_FONT: LazyLock<FontRef<'static>> = LazyLock::new(|| parse(REGULAR));
static MEDIUM_FONT: LazyLock<FontRef<'static>> = LazyLock::new(|| parse(MEDIUM));

/// Height of Inter's capitals, in ems (2048 of 2816 units; a test measures the font's H).
pub(super) const CAPITAL_HEIGHT: f64 = 2048.0 / 2816.0;

/// A weight of the sheet's one typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    Regular,
    Medium,
}

/// Letters that the sheets' typeface has not, each once; boxes stand for them.
pub fn lacking(text: &str) -> String {
    let mut lacking = String::new();
    for letter in text.chars().filter(|letter| Face::Regular.font().glyph_id(*letter) == GlyphId(0)) {
        if !lacking.contains(letter) && !letter.is_control() {
            lacking.push(letter);
        }
    }
    lacking
}

/// A glyph of a line; lengths in ems.
pub(super) struct PlacedGlyph {
    pub(super) id: GlyphId,
    /// From the line's start to the glyph's origin.
    pub(super) x: f64,
    /// How far the line moves on.
    pub(super) advance: f64,
    /// How far the glyph is lifted above the baseline.
    pub(super) lift: f64,
    /// The bytes of the text it stands for.
    pub(super) bytes: Range<usize>,
}

impl Face {
    /// The font file, for embedding.
    pub(super) fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => REGULAR,
            Self::Medium => MEDIUM,
        }
    }

    /// The parsed font, for outlines.
    pub(super) fn font(self) -> &'static FontRef<'static> {
        match self {
            Self::Regular => &REGULAR_FONT,
            Self::Medium => &MEDIUM_FONT,
        }
    }

    /// Units in an em.
    pub(super) fn units(self) -> f32 {
        self.font().units_per_em().expect("the built-in font has an em")
    }

    /// Places every character of a line, one glyph each; what the font lacks becomes an empty box.
    ///
    /// Both backends draw from this, so a page breaks and ends its lines alike in PDF and raster.
    pub(super) fn place(self, text: &str) -> Vec<PlacedGlyph> {
        let font = self.font();
        let em = f64::from(self.units());
        let mut glyphs: Vec<PlacedGlyph> = Vec::new();
        let mut x = 0.0;
        let mut base: Option<GlyphId> = None;
        for (at, letter) in text.char_indices() {
            let id = self.glyph(letter);
            let bytes = at..at + letter.len_utf8();
            let glyph = match base.filter(|_| is_combining(letter)) {
                // A mark takes no room: it stands over the middle of the letter before it.
                Some(base) => {
                    let (across, up) = self.over(base, id);
                    let start = x - f64::from(font.h_advance_unscaled(base)) / em;
                    PlacedGlyph { id, x: start + across, advance: 0.0, lift: up, bytes }
                }
                None => {
                    base = Some(id);
                    PlacedGlyph { id, x, advance: f64::from(font.h_advance_unscaled(id)) / em, lift: 0.0, bytes }
                }
            };
            x += glyph.advance;
            glyphs.push(glyph);
        }
        glyphs
    }

    /// Length of a line of text set at a body size.
    pub(super) fn length(self, text: &str, size: Millimetres) -> Millimetres {
        size * self.place(text).iter().map(|glyph| glyph.advance).sum::<f64>()
    }

    /// The glyph of a character, or a box: the font's own missing glyph, a stack of black bars, would shout.
    fn glyph(self, letter: char) -> GlyphId {
        let font = self.font();
        match font.glyph_id(letter) {
            GlyphId(0) => font.glyph_id('□'),
            known => known,
        }
    }

    /// Where a mark's origin goes, in ems from its letter's origin: across and up.
    fn over(self, letter: GlyphId, mark: GlyphId) -> (f64, f64) {
        let font = self.font();
        let em = f64::from(self.units());
        let (Some(letter), Some(mark), Some(plain)) =
            (font.outline(letter), font.outline(mark), font.outline(font.glyph_id('x')))
        else {
            return (0.0, 0.0);
        };
        let middle = |bounds: ab_glyph::Rect| f64::from(bounds.min.x + bounds.max.x) / 2.0;
        let across = middle(letter.bounds) - middle(mark.bounds);
        // An outline's upper edge is its `min.y` in font units, y up. Marks are drawn for lower-case letters;
        // one above the letter rises with it, one below stays.
        let above = mark.bounds.max.y > 0.0;
        let up = if above { f64::from(letter.bounds.min.y - plain.bounds.min.y).max(0.0) } else { 0.0 };
        (across / em, up / em)
    }
}

/// Combining diacritical marks (Unicode block U+0300 to U+036F), as decomposed file names have them.
fn is_combining(letter: char) -> bool {
    ('\u{300}'..='\u{36f}').contains(&letter)
}

fn parse(bytes: &'static [u8]) -> FontRef<'static> {
    FontRef::try_from_slice(bytes).expect("the built-in font is whole")
}

#[cfg(test)]
mod tests {
    use ab_glyph::{Font, GlyphId};

    use super::{CAPITAL_HEIGHT, Face, Millimetres, lacking};

    #[test]
    fn letters_that_the_type_has_not_are_told_once() {
        assert_eq!(lacking("縄の縄 Łódź ½, 20°\n"), "縄の");
    }

    #[test]
    fn a_line_twice_the_size_is_twice_as_long() {
        let small = Face::Regular.length("base 0.23", Millimetres::from_points(7.0));
        let large = Face::Regular.length("base 0.23", Millimetres::from_points(14.0));
        assert!((large / small - 2.0).abs() < 1e-12);
    }

    #[test]
    fn no_character_is_dropped_silently() {
        let text = "Zürich–Łódź ½ … 網 \u{7} \u{1f4f7}";
        let glyphs = Face::Medium.place(text);
        assert_eq!(glyphs.len(), text.chars().count());
        let square = Face::Medium.place("□")[0].id;
        assert_ne!(square, GlyphId(0));
        let missing = glyphs.iter().filter(|glyph| glyph.id == square).count();
        assert_eq!(missing, 3, "the ideograph, the bell and the camera");
    }

    #[test]
    fn capitals_are_as_high_as_the_layout_takes_them_to_be() {
        for face in [Face::Regular, Face::Medium] {
            let capital = face.font().glyph_id('H');
            let bounds = face.font().outline(capital).expect("has an outline").bounds;
            let height = f64::from(bounds.min.y) / f64::from(face.units());
            assert!((height - CAPITAL_HEIGHT).abs() < 1e-4);
        }
    }

    #[test]
    fn a_decomposed_letter_is_as_long_as_the_composed_one() {
        let size = Millimetres::new(3.0);
        let composed = Face::Regular.length("Zürich Übung", size);
        let decomposed = Face::Regular.length("Zu\u{308}rich U\u{308}bung", size);
        assert!((composed / decomposed - 1.0).abs() < 1e-9);
    }
}
