//! Sizes of films and of the frames that cameras expose on them, in mm.

use std::fmt;
use std::str::FromStr;

use crate::light::Millimetres;

/// Film by the name on its box.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Film {
    /// Any of the others.
    #[default]
    Auto,
    /// Sheets of 4 x 5 in.
    Sheet4x5,
    /// Sheets of 5 x 7 in.
    Sheet5x7,
    /// Sheets of 8 x 10 in.
    Sheet8x10,
    /// Roll film 61 mm wide (ISO 732: 120 and 220).
    Roll120,
    /// Perforated film 35 mm wide (ISO 1007: 135).
    Small35,
}

/// Names of films, as they are written in settings.
const NAMES: [(&str, Film); 6] = [
    ("auto", Film::Auto),
    ("4x5", Film::Sheet4x5),
    ("5x7", Film::Sheet5x7),
    ("8x10", Film::Sheet8x10),
    ("120", Film::Roll120),
    ("35mm", Film::Small35),
];

impl FromStr for Film {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let names: Vec<_> = NAMES.iter().map(|(name, _)| *name).collect();
        let film = NAMES.iter().find(|(name, _)| *name == word).map(|(_, film)| *film);
        film.ok_or_else(|| format!("\"{word}\": use one of {}", names.join(", ")))
    }
}

impl fmt::Display for Film {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(NAMES.iter().find(|(_, film)| film == self).map_or("auto", |(name, _)| name))
    }
}

/// A frame on film whose length and position are the camera's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    /// Across a strip; the shorter side of a sheet's frame.
    pub(super) across: f64,
    /// Along a strip; the longer side of a sheet's frame.
    pub(super) along: f64,
    /// Frames differ from this size by so much: holders and gates of different makers.
    pub(super) gate: f64,
    /// Least and most film between two frames of a strip.
    pub(super) gap: (f64, f64),
    /// The film it lies on: its width, and its length where that is not a strip's.
    pub(super) film: (f64, Option<f64>),
}

impl Frame {
    /// Whether a strip of this width may hold it.
    pub(super) fn lies_on(&self, width: f64) -> bool {
        self.film.1.is_none() && (width - self.film.0).abs() <= ACCEPTED
    }

    /// Whether film of this shorter and longer side may hold it.
    pub(super) fn fits(&self, short: f64, long: f64) -> bool {
        let like = |is: f64, should: f64| (is - should).abs() <= ACCEPTED;
        let (width, length) = self.film;
        match length {
            Some(length) => like(short, width) && like(long, length),
            // A piece of a strip may be shorter than wide.
            None => like(short, width) || like(long, width),
        }
    }
}

const NONE: (f64, f64) = (0.0, 0.0);
const SHEET_GATE: f64 = 1.6;
/// Film is taken for one of these when it comes this close, in mm: it is cut to a tenth, and read to half of one.
const ACCEPTED: f64 = 1.5;
/// Frames of sheets: what a holder leaves free; makers differ by a millimetre (format tables, accepted to 3 mm).
const SHEETS: [(Film, Frame); 3] = [
    (Film::Sheet4x5, Frame { across: 95.5, along: 120.0, gate: SHEET_GATE, gap: NONE, film: (100.5, Some(125.5)) }),
    (Film::Sheet5x7, Frame { across: 121.0, along: 171.0, gate: SHEET_GATE, gap: NONE, film: (126.0, Some(176.5)) }),
    (Film::Sheet8x10, Frame { across: 196.0, along: 247.0, gate: SHEET_GATE, gap: NONE, film: (202.0, Some(252.5)) }),
];
/// Roll film frames, 56 mm across (format tables): gaps are the camera's winding.
const ROLL: [f64; 5] = [41.5, 56.0, 70.0, 77.0, 84.0];
const ROLL_GATE: f64 = 1.6;
const ROLL_ACROSS: f64 = 56.0;
const ROLL_WIDTH: f64 = 61.5;
const ROLL_GAP: (f64, f64) = (0.7, 14.0);
/// 35 mm: 24 x 36 at 8 perforations, 24 x 18 at 4 (ISO 1007: 4.75 mm a perforation); cameras keep that to half a
/// millimetre.
const SMALL: [(f64, f64); 2] = [(36.0, 2.0), (18.0, 1.0)];
const SMALL_GATE: f64 = 0.6;
const SMALL_ACROSS: f64 = 24.0;
const SMALL_WIDTH: f64 = 35.0;
const SMALL_GAP: f64 = 0.6;

impl Film {
    /// Frames on a strip of this film, along it.
    pub(super) fn on_strip(self) -> Vec<Frame> {
        let roll = ROLL.map(|along| Frame {
            across: ROLL_ACROSS,
            along,
            gate: ROLL_GATE,
            gap: ROLL_GAP,
            film: (ROLL_WIDTH, None),
        });
        let small = SMALL.map(|(along, gap)| Frame {
            across: SMALL_ACROSS,
            along,
            gate: SMALL_GATE,
            gap: (gap - SMALL_GAP, gap + SMALL_GAP),
            film: (SMALL_WIDTH, None),
        });
        match self {
            Self::Roll120 => roll.to_vec(),
            Self::Small35 => small.to_vec(),
            Self::Auto => [roll.as_slice(), &small].concat(),
            Self::Sheet4x5 | Self::Sheet5x7 | Self::Sheet8x10 => Vec::new(),
        }
    }

    /// Every frame of this film.
    pub(super) fn frames(self) -> Vec<Frame> {
        let sheets = SHEETS.iter().filter(|(film, _)| self == Self::Auto || *film == self).map(|(_, frame)| *frame);
        sheets.chain(self.on_strip()).collect()
    }
}

/// The piece of film that a frame takes up on a contact sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Its width and height, as the picture lies.
    pub size: (Millimetres, Millimetres),
    /// How frames follow one another on its film.
    pub run: Run,
}

/// How frames follow one another on film.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// From left to right.
    Across,
    /// From top to bottom.
    Down,
    /// Each has a sheet of its own.
    Alone,
}

/// A measured frame is taken for one of a known size when it comes this close, in mm (format tables, accepted to 3 mm).
const NEAR: f64 = 3.0;
/// Film around a frame of no known size, in mm: about what a rebate is on roll film.
const AROUND: f64 = 5.0;

impl Piece {
    /// That of a picture of a width and height on film: on roll film the distance from frame to frame, in the middle of
    /// what cameras wind, and the film's width; of a sheet all of it; of a size that no camera has, a rebate around it.
    pub fn holding(width: Millimetres, height: Millimetres) -> Self {
        let (w, h) = (width.value(), height.value());
        let off =
            |frame: &Frame, along: f64, across: f64| (frame.along - along).abs().max((frame.across - across).abs());
        let all = Film::Auto.frames();
        let lying = all.iter().map(|frame| (off(frame, w, h), frame, true));
        let upright = all.iter().map(|frame| (off(frame, h, w), frame, false));
        let nearest = lying.chain(upright).min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(off, ..)| *off <= NEAR);
        let Some((_, frame, lies)) = nearest else {
            let around = Millimetres::new(2.0 * AROUND);
            return Self { size: (width + around, height + around), run: Run::Alone };
        };
        let (across, sheet) = frame.film;
        let along = sheet.unwrap_or(frame.along + (frame.gap.0 + frame.gap.1) / 2.0);
        let (across, along) = (Millimetres::new(across), Millimetres::new(along));
        match (lies, sheet) {
            (true, None) => Self { size: (along, across), run: Run::Across },
            (false, None) => Self { size: (across, along), run: Run::Down },
            (true, Some(_)) => Self { size: (along, across), run: Run::Alone },
            (false, Some(_)) => Self { size: (across, along), run: Run::Alone },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_film_is_known_by_the_name_on_its_box_and_another_name_is_told_what_there_is() {
        for (name, film) in NAMES {
            assert_eq!(name.parse(), Ok(film));
            assert_eq!(film.to_string(), name);
        }
        assert!("4x5in".parse::<Film>().unwrap_err().contains("4x5, 5x7"));
    }

    /// 35 mm: 8 perforations of 4.75 mm are a pitch of 38.0 mm (ISO 1007, from memory).
    #[test]
    fn frame_and_gap_of_35_mm_make_its_pitch() {
        let frame = Film::Small35.on_strip()[0];
        assert!((frame.along + (frame.gap.0 + frame.gap.1) / 2.0 - 8.0 * 4.75).abs() < 1e-9);
    }

    /// 35 mm film: 38.0 from frame to frame and 35 wide (ISO 1007, from memory); 4x5 in: format tables.
    #[test]
    fn a_frame_by_contact_takes_up_its_piece_of_film() {
        let piece = |width, height| Piece::holding(Millimetres::new(width), Millimetres::new(height));
        let size = |width, height| (Millimetres::new(width), Millimetres::new(height));
        assert_eq!(piece(36.2, 24.1), Piece { size: size(38.0, 35.0), run: Run::Across });
        assert_eq!(piece(24.0, 36.0), Piece { size: size(35.0, 38.0), run: Run::Down });
        assert_eq!(piece(96.0, 120.5), Piece { size: size(100.5, 125.5), run: Run::Alone });
        let square = piece(56.0, 56.0);
        assert!((square.size.1.value() - 61.5).abs() < 1e-9 && square.run == Run::Across);
        let small = piece(41.5, 56.0);
        assert!((small.size.1.value() - 61.5).abs() < 1e-9 && small.run == Run::Across);
        assert_eq!(piece(200.0, 10.0), Piece { size: size(210.0, 20.0), run: Run::Alone });
    }
}
