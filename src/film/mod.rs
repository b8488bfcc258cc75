//! The negative measured: base, frames, ends, warnings. Knows no files.
//!
//! Bright levels of the overview are tried from the brightest: one that runs along straight edges around something
//! darker is open light or rebate; which of the two, the next level inside tells.

mod apart;
mod bed;
mod confidence;
#[cfg(test)]
mod drawn;
mod dust;
mod ends;
mod estimate;
mod extreme;
mod field;
mod film_edge;
mod fit;
mod fitted;
mod focus;
mod format;
mod found;
mod gravity;
mod known;
mod levels;
mod margin;
mod mask;
mod meeting;
mod nearest;
mod noise;
mod outline;
mod patch;
mod place;
mod rebate;
mod region;
mod ring;
mod spacing;
mod speck;
mod spot;
mod spread;
mod squares;
mod strip;
mod tones;
mod warning;
mod zone;
pub mod wedge;

pub use dust::Dust;
pub use ends::{BEYOND, Ends, ends};
pub use estimate::Estimate;
pub use extreme::extremes;
pub use focus::{Detail, Focus, Panes, Told};
pub use format::{Film, Piece, Run};
pub use found::{Base, Evidence, Found, FrameFound};
pub use gravity::gravity;
pub use mask::mask;
pub use meeting::{Nets, meeting};
pub use noise::{Noise, darkness};
pub use region::{Region, Regions};
pub use speck::Speck;
pub use spot::{Cell, Opening, SpotReading};
pub use spread::{CELLS, Spread};
pub use squares::{Evened, Squares};
pub use tones::{Tone, developed, shadow_shift};
pub use warning::Warning;
pub use zone::{Zone, ZoneTable};

use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::{Area, Overview, Quad};
use confidence::{base_warnings, clearness, read_base};
use field::Field;
use fitted::{Fitted, of_known_size};
use found::UNSURE;
use known::Known;
use outline::Seen;

/// Smallest overview that is searched, in pixels: a rebate needs several.
const LEAST_SIDE: u32 = 48;

/// What is known of a scan before it is looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Given {
    /// Resolution of the scan, the same across and down.
    pub ppi: Option<PixelsPerInch>,
    /// The film that lies in it.
    pub film: Film,
    /// How many frames it should show.
    pub frames: Option<usize>,
}

impl Given {
    fn known(&self, overview: &Overview) -> Known {
        let per_mm = self.ppi.map(|ppi| Millimetres::new(1.0).pixels(ppi) / overview.scale().0);
        Known { per_mm, film: self.film }
    }
}

/// Finds base and frames in an overview of a scan.
///
/// Light must be linear, 0 to 1 of full scale, averaged so that the long edge is some 1000 to 1600 pixels (smaller
/// scans as they are). Never fails: what cannot be found is missing, and a warning says so.
pub fn find(overview: &Overview, given: &Given) -> Found {
    let field = Field::of(overview);
    let known = given.known(overview);
    let pieces = bed::pieces(&field);
    let together = (!pieces.is_empty()).then(|| together(overview, &pieces, &known)).flatten();
    let mut found = together.unwrap_or_else(|| piece(overview, &field, &known));
    if let Some(expected) = given.frames.filter(|n| *n != found.frames.len()) {
        found.warnings.push(Warning::FrameCount { found: found.frames.len(), expected });
    }
    found
}

/// Several pieces of film, each for itself; `None` unless half of them show a base that is sure: else the gaps between
/// them are none.
fn together(overview: &Overview, areas: &[Area], known: &Known) -> Option<Found> {
    let (across, down) = overview.scale();
    let (mut all, mut sure): (Option<Found>, usize) = (None, 0);
    for area in areas {
        let part = overview.part(*area);
        let found = piece(&part, &Field::of(&part), known);
        sure += usize::from(found.base.is_some_and(|base| base.is_sure()));
        let found = found.moved(f64::from(area.x) * across, f64::from(area.y) * down);
        match &mut all {
            None => all = Some(found),
            Some(all) => all.join(found),
        }
    }
    all.filter(|_| 2 * sure >= areas.len())
}

/// Base and frames on one piece of film.
fn piece(overview: &Overview, field: &Field, known: &Known) -> Found {
    let size = overview.size();
    if size.width.min(size.height) < LEAST_SIDE {
        return nothing_found(overview);
    }
    // 1. the level that is the rebate: the brightest, unless that is open light and another lies inside it
    let faint = || ring::faint(field, known);
    let Some(chosen) = ring::base_ring(field, known).or_else(faint) else {
        return nothing_found(overview);
    };
    let ring::Ring { level, mut outline, film } = chosen;
    match of_known_size(field, level, &outline, film.as_ref(), known) {
        Fitted::Moved(placed) => outline = placed,
        Fitted::Unlikely => return nothing_found(overview),
        Fitted::Stands => {}
    }
    fit::fit(overview, level, &mut outline, None);
    let tilt = outline.tangent();
    // 2. its density, and the frames inside it
    let base = read_base(field, overview, level, &outline, known);
    let scale = overview.scale();
    let mut warnings = base_warnings(base.as_ref());
    let mut frames = Vec::new();
    let mut strip = strip::frames(field, level, outline, film.as_ref(), *known);
    strip.fit(overview, level, tilt);
    if strip.blank > 0 {
        warnings.push(Warning::BlankFrames { room: strip.blank });
    }
    let lone = film.is_none() && strip.outlines.len() == 1;
    for (number, part) in (1..).zip(&strip.outlines) {
        let clear = clearness(part, size, lone);
        let confidence = clear.into_iter().fold(1.0, f64::min);
        if confidence < UNSURE {
            warnings.push(Warning::FrameUnsure { frame: number, confidence, sides: clear.map(|c| c < UNSURE) });
        }
        let sides = part.seen.map(Evidence::from);
        frames.push(FrameFound { corners: part.quad(size).scaled(scale.0, scale.1), confidence, sides });
    }
    Found { base, frames, warnings }
}

impl From<Seen> for Evidence {
    fn from(seen: Seen) -> Self {
        match seen {
            Seen::Edge { inside, .. } => Self::Edge(inside),
            Seen::Placed => Self::Size,
            Seen::ScanEdge => Self::Cut,
            Seen::Melted => Self::Melted,
        }
    }
}

/// No rebate: the whole scan is taken for the picture, and the warning says so.
fn nothing_found(overview: &Overview) -> Found {
    let scale = overview.scale();
    let size = overview.size();
    let whole = Area { x: 0, y: 0, width: size.width, height: size.height };
    let frame =
        FrameFound { corners: Quad::of(whole).scaled(scale.0, scale.1), confidence: 0.0, sides: [Evidence::None; 4] };
    Found { base: None, frames: vec![frame], warnings: vec![Warning::NoBase] }
}

#[cfg(test)]
mod tests {
    use super::drawn::{BASE, HOLDER_LIGHT, OPEN, SIZE, Sheet};
    use super::*;
    use crate::plane::Size;

    fn assert_found(sheet: &Sheet) {
        let found = find(&sheet.overview(), &Given::default());
        let base = found.base.expect("a base");
        assert!((base.density.value() - BASE).abs() < 0.003, "base {}", base.density.value());
        assert_eq!(found.warnings, []);
        assert_eq!(found.frames.len(), sheet.frames.len());
        for (i, frame) in found.frames.iter().enumerate() {
            for (got, truth) in frame.corners.0.iter().zip(sheet.corners(i)) {
                // In scan pixels: half a pixel of the overview.
                assert!((got.x - truth.x).abs() < 1.0 && (got.y - truth.y).abs() < 1.0, "{got:?} for {truth:?}");
            }
        }
    }

    #[test]
    fn a_sheet_in_a_holder_is_found() {
        assert_found(&Sheet::one(HOLDER_LIGHT, [40.0, 50.0, 320.0, 400.0], [48.0, 60.0, 304.0, 380.0], 0.0));
    }

    #[test]
    fn a_sheet_tilted_by_two_degrees_is_found() {
        assert_found(&Sheet::one(HOLDER_LIGHT, [40.0, 50.0, 320.0, 400.0], [48.0, 60.0, 304.0, 380.0], 2.0));
        assert_found(&Sheet::one(OPEN, [40.0, 50.0, 320.0, 400.0], [50.0, 62.0, 300.0, 376.0], -2.0));
    }

    #[test]
    fn a_sheet_scanned_edge_to_edge_is_found() {
        assert_found(&Sheet::one(OPEN, [-9.0, -9.0, 420.0, 520.0], [12.0, 10.0, 380.0, 481.0], 0.2));
    }

    #[test]
    fn open_light_around_a_sheet_is_not_its_base() {
        assert_found(&Sheet::one(OPEN, [40.0, 50.0, 320.0, 400.0], [50.0, 62.0, 300.0, 376.0], 0.7));
    }

    #[test]
    fn a_strip_is_parted_into_its_frames() {
        // 24 x 36 on a strip without perforations: 140 along the film, 93 across it.
        let frames = [30.0, 178.0, 326.0].map(|y| [140.0, y, 93.0, 140.0]).to_vec();
        assert_found(&Sheet {
            around: HOLDER_LIGHT,
            film: [130.0, 12.0, 113.0, 476.0],
            frames,
            degrees: 0.5,
            night: false,
        });
    }

    /// 35 mm film as ISO 1007 has it, at 3.2 pixels a millimetre of the overview; the third frame is a night.
    #[test]
    fn a_frame_that_melts_is_placed_by_the_length_of_its_neighbours() {
        let (left, top) = (150.0, 20.0);
        let frames: Vec<_> = (0..3)
            .map(|i| [left + 5.5 * 3.2, top + (2.0 + 38.0 * f64::from(i)) * 3.2, 24.0 * 3.2, 36.0 * 3.2])
            .collect();
        let mut strip =
            Sheet { around: OPEN, film: [left, top, 35.0 * 3.2, 118.0 * 3.2], frames, degrees: -0.6, night: false };
        let whole = strip.overview();
        strip.night = true;
        let night = strip.overview();
        let from = 2.0 * (top + 77.0 * 3.2) / 2.0;
        let light = (0..whole.light().len()).map(|i| {
            let below = (i / SIZE.width as usize) as f64 > from;
            (if below { &night } else { &whole }).light()[i]
        });
        let mixed = Overview::new(SIZE, light.collect(), Size { width: 2 * SIZE.width, height: 2 * SIZE.height });
        let ppi = Some(PixelsPerInch::new(2.0 * 3.2 * 25.4).expect("a resolution"));
        let found = find(&mixed, &Given { ppi, frames: Some(3), ..Given::default() });
        assert_eq!(found.frames.len(), 3, "{:?}", found.warnings);
        for (got, truth) in found.frames[2].corners.0.iter().zip(strip.corners(2)) {
            // A third of a millimetre.
            assert!((got.x - truth.x).abs() < 2.2 && (got.y - truth.y).abs() < 2.2, "{got:?} for {truth:?}");
        }
        assert!(!found.warnings.iter().any(|w| w.code() == "frame-count"));
        let expected = find(&mixed, &Given { ppi, frames: Some(4), ..Given::default() });
        assert!(expected.warnings.iter().any(|w| w.code() == "frame-count"));
    }

    /// A 4 x 5 in sheet (96 x 120 mm on 100.5 x 125.5 mm, format tables) scanned inside its edges at 3.9 pixels a
    /// millimetre.
    #[test]
    fn a_night_is_placed_by_the_size_of_its_frame() {
        let frame = [12.0, 14.0, 95.5 * 3.9, 120.0 * 3.9];
        let mut sheet = Sheet::one(OPEN, [-50.0, -50.0, 500.0, 600.0], frame, 0.3);
        sheet.night = true;
        let ppi = Some(PixelsPerInch::new(2.0 * 3.9 * 25.4).expect("a resolution"));
        let found = find(&sheet.overview(), &Given { ppi, ..Given::default() });
        let base = found.base.expect("a base").density.value();
        assert!((base - BASE).abs() < 0.003, "base {base}");
        for (got, truth) in found.frames[0].corners.0.iter().zip(sheet.corners(0)) {
            assert!((got.x - truth.x).abs() < 8.0 && (got.y - truth.y).abs() < 8.0, "{got:?} for {truth:?}");
        }
    }

    /// Two sheets of 6 x 6 in a holder, one above the other, and two strips side by side on open light: frames count
    /// from the top, then from the left.
    #[test]
    fn pieces_of_film_side_by_side_are_found_each_for_itself_in_reading_order() {
        let (across, down) = ((400.0, 250.0), (200.0, 500.0));
        for (around, apart, film, frame) in [
            (HOLDER_LIGHT, (0.0, down.1 / 2.0), [90.0, 30.0, 220.0, 200.0], [100.0, 40.0, 200.0, 180.0]),
            (OPEN, (across.0 / 2.0, 0.0), [30.0, 60.0, 120.0, 170.0], [42.0, 72.0, 96.0, 146.0]),
        ] {
            let one = Sheet::one(around, film, frame, 0.4);
            let moved = |r: [f64; 4]| [r[0] + apart.0, r[1] + apart.1, r[2], r[3]];
            let other = Sheet::one(around, moved(film), moved(frame), 0.4);
            let (first, second) = (one.overview(), other.overview());
            let light = first.light().iter().zip(second.light()).enumerate().map(|(i, (a, b))| {
                let (x, y) = ((i as u32 % SIZE.width) as f64, (i as u32 / SIZE.width) as f64);
                let in_second = (apart.0 > 0.0 && x >= down.0) || (apart.1 > 0.0 && y >= across.1);
                if in_second { *b } else { *a }
            });
            let both = Overview::new(SIZE, light.collect(), Size { width: 2 * SIZE.width, height: 2 * SIZE.height });
            let found = find(&both, &Given::default());
            assert_eq!(found.frames.len(), 2, "{:?}", found.warnings);
            for (frame, sheet) in found.frames.iter().zip([&one, &other]) {
                for (got, truth) in frame.corners.0.iter().zip(sheet.corners(0)) {
                    assert!((got.x - truth.x).abs() < 2.0 && (got.y - truth.y).abs() < 2.0, "{got:?} for {truth:?}");
                }
            }
            assert!((found.base.expect("a base").density.value() - BASE).abs() < 0.003);
        }
    }

    #[test]
    fn a_picture_without_rebate_gives_no_base() {
        let found = find(
            &Sheet::one(OPEN, [-80.0, -80.0, 600.0, 700.0], [-50.0, -50.0, 500.0, 600.0], 0.0).overview(),
            &Given::default(),
        );
        assert_eq!(found.base, None);
        assert_eq!(found.warnings, [Warning::NoBase]);
        assert_eq!(found.frames[0].corners.bounds(Size { width: 800, height: 1000 }).width, 800);
    }

    #[test]
    fn a_rebate_at_full_scale_is_said_to_be_clipped() {
        let sheet = Sheet::one(HOLDER_LIGHT, [40.0, 50.0, 320.0, 400.0], [48.0, 60.0, 304.0, 380.0], 0.0);
        let dimmer = sheet.overview();
        let light = dimmer.light().iter().map(|l| (l * 2.0).min(1.0)).collect();
        let found = find(&Overview::new(SIZE, light, SIZE), &Given::default());
        assert!(found.base.is_some_and(|base| base.is_clipped()));
        assert_eq!(found.warnings[0].code(), "base-clipped");
    }

    #[test]
    fn a_side_that_melts_into_the_rebate_is_not_passed_in_silence() {
        // The right half of the frame is as thin as the rebate.
        let sheet = Sheet::one(OPEN, [-9.0, -9.0, 420.0, 520.0], [12.0, 10.0, 190.0, 481.0], 0.0);
        let found = find(&sheet.overview(), &Given::default());
        assert!((found.base.expect("a base").density.value() - BASE).abs() < 0.003);
        assert_eq!(found.warnings[0].code(), "frame-unsure");
    }

    #[test]
    fn scans_of_nothing_never_panic_and_say_so() {
        for (width, height) in [(1, 1), (1, 300), (48, 48), (300, 60)] {
            let size = Size { width, height };
            for value in [0.0, 0.5, 1.0] {
                let found = find(&Overview::new(size, vec![value; (width * height) as usize], size), &Given::default());
                assert_eq!(found.base, None, "{width} x {height} of {value}");
                assert_eq!(found.warnings, [Warning::NoBase]);
                assert_eq!(found.frames.len(), 1);
            }
            let noise = (0..width * height).map(|i| (i.wrapping_mul(2_654_435_761) >> 8) as f32 / (1 << 24) as f32);
            assert_eq!(find(&Overview::new(size, noise.collect(), size), &Given::default()).base, None);
        }
    }

    #[test]
    fn a_frames_spans_leave_out_its_margin_and_its_dust() {
        let sheet = Sheet::one(HOLDER_LIGHT, [40.0, 50.0, 320.0, 400.0], [48.0, 60.0, 304.0, 380.0], 0.0);
        let clean = sheet.overview();
        let mut light = clean.light().to_vec();
        light[250 * 400 + 200] = 0.0005;
        let dusty = Overview::new(SIZE, light, Size { width: 800, height: 1000 });
        let frame = find(&dusty, &Given::default()).frames[0];
        let spans: Vec<_> = frame.spans(500, 800, &Dust::of(&dusty)).collect();
        assert!(spans.iter().all(|span| span.start >= 100 && span.end <= 700), "{spans:?}");
        assert!(spans.iter().all(|span| !span.contains(&401)) && spans.len() == 2, "{spans:?}");
    }
}
