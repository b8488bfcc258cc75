//! A scan explained in one picture: what was taken for what, drawn over the scan.

use image::GrayImage;

use super::callout::spread;
use super::canvas::PixelArea;
use super::face::Face;
use super::hatch;
use super::lettering::{Lettering, SMALL, line};
use super::page::QUIET;
use super::pen::{BLACK, Pen, WHITE, length, points};
use crate::film::{Region, Regions};
use crate::plane::{Point, Quad};

/// Long edge of the picture in pixels.
const LONG_EDGE: f64 = 1600.0;
/// White around everything.
const MARGIN: f64 = 44.0;
/// Room for labels beside the picture, and below a wide one.
const BESIDE: f64 = 190.0;
const BELOW: f64 = 60.0;
/// A scan this much wider than high has its labels below.
const WIDE: f64 = 1.6;
/// Least width of the page: a warning is not broken into crumbs, and the whole legend has room.
const LEAST_WIDTH: f64 = 1080.0;
/// A small scan is enlarged at most so often, but to so many pixels at least.
const MOST_TIMES: f64 = 4.0;
const LEAST_EDGE: f64 = 400.0;
/// Share of the scan's own tones that is left under a hatching.
const LEFT: f32 = 0.45;

/// What is drawn over a scan. Places are pixels of `picture`.
#[derive(Clone, Debug)]
pub struct Explained {
    /// The scan's name.
    pub title: String,
    /// What is known of it.
    pub facts: Vec<String>,
    /// What to look at.
    pub warnings: Vec<String>,
    /// The scan as it looks, 8-bit grey in the sRGB encoding.
    pub picture: GrayImage,
    /// What each of its pixels shows.
    pub regions: Regions,
    /// The frames in their order.
    pub frames: Vec<Outlined>,
    /// Where the base was read, if that is known.
    pub patch: Option<Quad>,
    /// Places that a number belongs to.
    pub marks: Vec<Mark>,
    /// Middle and radius of each speck of dust.
    pub dust: Vec<(Point, f64)>,
}

/// A frame's outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlined {
    /// Clockwise from top left.
    pub corners: Quad,
    /// 1 for the first.
    pub number: usize,
    /// Sides that are not clear: top, right, bottom, left.
    pub unclear: [bool; 4],
}

/// A place and what is said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Where.
    pub at: Point,
    /// A few words: "dense 1.31".
    pub words: String,
}

/// Where the picture stands on the page.
#[derive(Clone, Copy)]
struct Stand {
    left: f64,
    top: f64,
    times: f64,
}

impl Stand {
    fn of(self, place: Point) -> Point {
        Point { x: self.left + place.x * self.times, y: self.top + place.y * self.times }
    }
}

/// Draws it; the long edge is about 1600 pixels, which print at 200 pixels an inch.
pub fn explain(of: &Explained) -> GrayImage {
    let (width, height) = (f64::from(of.picture.width()), f64::from(of.picture.height()));
    let below = width > WIDE * height;
    let (beside, under) = if below { (0.0, BELOW) } else { (BESIDE, 0.0) };
    // 1. how large the picture can be: the width of the page decides how many lines the words take
    let legend_height = 2.4 * line();
    let room_across = LONG_EDGE - 2.0 * MARGIN - beside;
    let head =
        |width: f64| Lettering::new(&of.title, "overview of one scan", &of.facts, &of.warnings, width - 2.0 * MARGIN);
    let rest = |head: &Lettering| 2.0 * MARGIN + head.height() + under + legend_height;
    let room_down = LONG_EDGE - rest(&head(LEAST_WIDTH));
    let times = (room_across / width).min(room_down / height).min(MOST_TIMES.max(LEAST_EDGE / width.max(height)));
    let page_width = (2.0 * MARGIN + width * times + beside).max(LEAST_WIDTH).round();
    let head = head(page_width);
    let mut pen = Pen::new(page_width, rest(&head) + height * times);
    // 2. words, picture, what lies outside the frames, and over it all the marks
    head.draw(&mut pen, MARGIN, MARGIN, page_width - MARGIN);
    let stand = Stand { left: MARGIN, top: (MARGIN + head.height()).round(), times };
    let area = PixelArea {
        left: stand.left,
        top: stand.top,
        right: (stand.left + width * times).round(),
        bottom: (stand.top + height * times).round(),
    };
    pen.picture(area, &of.picture);
    hatch_outside(&mut pen, of, stand, area);
    pen.border(area, 1.0, QUIET);
    for (middle, radius) in &of.dust {
        let radius = (radius * times + 2.5).max(5.0);
        ringed(&mut pen, stand.of(*middle), radius);
    }
    if let Some(patch) = of.patch {
        outline(&mut pen, stand, patch, [false; 4], 1.5);
    }
    for frame in &of.frames {
        outline(&mut pen, stand, frame.corners, frame.unclear, 2.0);
        corners(&mut pen, stand, frame.corners);
        number(&mut pen, stand, frame, &of.marks);
    }
    if below {
        labels_below(&mut pen, &of.marks, stand, area);
    } else {
        labels_beside(&mut pen, &of.marks, stand, area);
    }
    legend(&mut pen, of, area.bottom + under + 1.4 * line());
    pen.into_image()
}

/// Lightens what lies outside frames and hatches it by what it shows, with a line where two regions meet.
fn hatch_outside(pen: &mut Pen, of: &Explained, stand: Stand, area: PixelArea) {
    let size = of.regions.size();
    let region = |x: i64, y: i64| {
        let place = |at: f64, start: f64, most: u32| (((at + 0.5 - start) / stand.times) as u32).min(most - 1);
        of.regions.at(place(x as f64, stand.left, size.width), place(y as f64, stand.top, size.height))
    };
    for y in area.top.ceil() as i64..area.bottom.floor() as i64 {
        for x in area.left.ceil() as i64..area.right.floor() as i64 {
            let here = region(x, y);
            if here != Region::Picture {
                pen.touch(x, y, WHITE, 1.0 - LEFT);
                pen.touch(x, y, BLACK, hatch::ink(here, x, y));
            }
        }
    }
}

/// A black line between two white ones, so that it shows on any tone; dashes where a side is not clear.
fn outline(pen: &mut Pen, stand: Stand, corners: Quad, unclear: [bool; 4], weight: f64) {
    let at = corners.0.map(|corner| stand.of(corner));
    for (i, unclear) in unclear.into_iter().enumerate() {
        let (from, to) = (at[i], at[(i + 1) % 4]);
        pen.line(from, to, weight + 3.0, WHITE);
        if unclear {
            pen.dashes(from, to, 14.0, weight + 1.0, BLACK);
        } else {
            pen.line(from, to, weight, BLACK);
        }
    }
}

/// Heavy angles at a frame's corners.
fn corners(pen: &mut Pen, stand: Stand, corners: Quad) {
    const LONG: f64 = 26.0;
    let at = corners.0.map(|corner| stand.of(corner));
    for i in 0..4 {
        for other in [at[(i + 1) % 4], at[(i + 3) % 4]] {
            let (dx, dy) = (other.x - at[i].x, other.y - at[i].y);
            let share = (LONG / dx.hypot(dy).max(1.0)).min(0.3);
            pen.line(at[i], Point { x: at[i].x + share * dx, y: at[i].y + share * dy }, 5.0, BLACK);
        }
    }
}

/// A frame's number in a corner that no mark lies in, at the left if there is one: leaders go to the right.
fn number(pen: &mut Pen, stand: Stand, frame: &Outlined, marks: &[Mark]) {
    const INWARDS: [(f64, f64); 4] = [(32.0, 32.0), (-32.0, 32.0), (-32.0, -32.0), (32.0, -32.0)];
    let places: [Point; 4] = std::array::from_fn(|i| {
        let corner = stand.of(frame.corners.0[i]);
        Point { x: corner.x + INWARDS[i].0, y: corner.y + INWARDS[i].1 }
    });
    let free = |place: &Point| {
        let away = |mark: &Mark| (stand.of(mark.at).x - place.x).hypot(stand.of(mark.at).y - place.y);
        marks.iter().all(|mark| away(mark) > 30.0)
    };
    let middle = [places[0], places[3], places[1], places[2]].into_iter().find(free).unwrap_or(places[0]);
    pen.disc(middle, 18.0, WHITE);
    pen.ring(middle, 17.0, 2.0, BLACK);
    let text = frame.number.to_string();
    let left = middle.x - length(&text, Face::Medium, 8.0) / 2.0;
    pen.text(left, middle.y + points(8.0) * 0.36, 8.0, Face::Medium, BLACK, &text);
}

fn ringed(pen: &mut Pen, middle: Point, radius: f64) {
    pen.ring(middle, radius, 3.5, WHITE);
    pen.ring(middle, radius, 1.4, BLACK);
}

/// A target at a place, and a line from it to its label.
fn leader(pen: &mut Pen, at: Point, label: Point) {
    pen.line(at, label, 4.0, WHITE);
    pen.line(at, label, 1.4, BLACK);
    pen.disc(at, 9.0, WHITE);
    pen.ring(at, 7.5, 2.0, BLACK);
    pen.disc(at, 2.5, BLACK);
}

fn labels_beside(pen: &mut Pen, marks: &[Mark], stand: Stand, area: PixelArea) {
    let wanted: Vec<f64> = marks.iter().map(|mark| stand.of(mark.at).y).collect();
    let places = spread(&wanted, points(SMALL) * 1.4, (area.top, area.bottom));
    for (mark, y) in marks.iter().zip(places) {
        let x = area.right + 22.0;
        leader(pen, stand.of(mark.at), Point { x, y });
        pen.text(x + 6.0, y + points(SMALL) * 0.36, SMALL, Face::Medium, BLACK, &mark.words);
    }
}

fn labels_below(pen: &mut Pen, marks: &[Mark], stand: Stand, area: PixelArea) {
    let wanted: Vec<f64> = marks.iter().map(|mark| stand.of(mark.at).x).collect();
    let widest = marks.iter().map(|mark| length(&mark.words, Face::Medium, SMALL)).fold(0.0, f64::max);
    let places = spread(&wanted, widest + points(SMALL) * 0.5, (area.left, area.right));
    for (mark, x) in marks.iter().zip(places) {
        let y = area.bottom + 26.0;
        leader(pen, stand.of(mark.at), Point { x, y });
        let left = x - length(&mark.words, Face::Medium, SMALL) / 2.0;
        pen.text(left, y + points(SMALL) * 1.05, SMALL, Face::Medium, BLACK, &mark.words);
    }
}

/// Swatches of the hatchings that occur, and the signs.
fn legend(pen: &mut Pen, of: &Explained, top: f64) {
    const SWATCH: (f64, f64) = (38.0, 26.0);
    let mut left = MARGIN;
    let baseline = top + SWATCH.1 / 2.0 + points(SMALL) * 0.36;
    let word = |pen: &mut Pen, left: f64, text: &str| {
        pen.text(left, baseline, SMALL, Face::Regular, BLACK, text);
        left + length(text, Face::Regular, SMALL) + 18.0
    };
    for (region, text) in [
        (Region::Rebate, "rebate"),
        (Region::OpenLight, "open light"),
        (Region::Holder, "opaque"),
        (Region::OtherFilm, "other film"),
    ] {
        if !shows(&of.regions, region) {
            continue;
        }
        let area = PixelArea { left, top, right: left + SWATCH.0, bottom: top + SWATCH.1 };
        for y in area.top as i64..area.bottom as i64 {
            for x in area.left as i64..area.right as i64 {
                pen.touch(x, y, BLACK, hatch::ink(region, x, y));
            }
        }
        pen.border(area, 1.0, QUIET);
        left = word(pen, area.right + 8.0, text);
    }
    let middle = top + SWATCH.1 / 2.0;
    let side = |x: f64| Point { x, y: middle };
    pen.line(side(left), side(left + SWATCH.0), 2.0, BLACK);
    left = word(pen, left + SWATCH.0 + 8.0, "frame");
    if of.frames.iter().any(|frame| frame.unclear.contains(&true)) {
        pen.dashes(side(left), side(left + SWATCH.0 + 24.0), 14.0, 3.0, BLACK);
        left = word(pen, left + SWATCH.0 + 32.0, "not clear");
    }
    if !of.dust.is_empty() {
        ringed(pen, side(left + 8.0), 7.0);
        word(pen, left + 24.0, "dust");
    }
}

/// Whether enough of a region is there to be seen.
fn shows(regions: &Regions, region: Region) -> bool {
    /// Share of the scan.
    const SEEN: f64 = 0.002;
    let size = regions.size();
    let pixels = (0..size.height).flat_map(|y| (0..size.width).map(move |x| (x, y)));
    let count = pixels.filter(|(x, y)| regions.at(*x, *y) == region).count();
    count as f64 >= SEEN * size.pixels() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Density;
    use crate::plane::{Area, Overview, Size};

    /// A scan of 400 x 500: opaque around, a rebate, and one grey frame, drawn at a scale that the page decides.
    fn explained(unclear: bool) -> Explained {
        let size = Size { width: 400, height: 500 };
        let film = |x: u32, y: u32| (40..360).contains(&x) && (40..460).contains(&y);
        let frame = Quad::of(Area { x: 60, y: 60, width: 280, height: 380 });
        let light = (0..500).flat_map(|y| (0..400).map(move |x| if film(x, y) { 0.63 } else { 0.001 })).collect();
        let overview = Overview::new(size, light, size);
        Explained {
            title: "coil.tif".into(),
            facts: vec!["400 \u{d7} 500 pixels".into()],
            warnings: Vec::new(),
            picture: GrayImage::from_pixel(400, 500, image::Luma([150])),
            regions: Regions::of(&overview, Some(Density::new(0.2)), &[frame]),
            frames: vec![Outlined { corners: frame, number: 1, unclear: [unclear, false, false, false] }],
            patch: None,
            marks: vec![Mark { at: Point { x: 200.0, y: 250.0 }, words: "dense 1.31".into() }],
            dust: vec![(Point { x: 300.0, y: 400.0 }, 2.0)],
        }
    }

    /// Where on the page the scan's pixels lie, found from the upper and the lower rule of the picture's border.
    fn stand(page: &GrayImage) -> Stand {
        let times = (page.height() as f64).min(1600.0) / 500.0;
        let rule = |y: &u32| (50..700).all(|x| page.get_pixel(x, *y).0[0] == QUIET.0);
        let (top, bottom) = ((0..page.height()).find(rule).unwrap(), (0..page.height()).rev().find(rule).unwrap());
        let found = f64::from(bottom + 1 - top) / 500.0;
        assert!(found < times, "there is room for words");
        Stand { left: MARGIN, top: f64::from(top), times: found }
    }

    /// Share of ink in a square of the page around a place of the scan.
    fn ink(page: &GrayImage, at: Point, half: i64) -> f64 {
        let square = (-half..half).flat_map(|y| (-half..half).map(move |x| (x, y)));
        let codes = square.map(|(x, y)| page.get_pixel((at.x as i64 + x) as u32, (at.y as i64 + y) as u32).0[0]);
        codes.map(|code| 1.0 - f64::from(code) / 255.0).sum::<f64>() / (4 * half * half) as f64
    }

    #[test]
    fn regions_frame_ends_and_dust_are_drawn_where_they_lie() {
        let page = explain(&explained(false));
        assert!(page.width().max(page.height()).abs_diff(1600) < 3, "{} x {}", page.width(), page.height());
        let stand = stand(&page);
        let dark = |x: f64, y: f64, half| ink(&page, stand.of(Point { x, y }), half);
        let plain = dark(120.0, 200.0, 10);
        assert!((plain - 105.0 / 255.0).abs() < 0.01, "the picture's own tone, {plain}");
        let side = stand.of(Point { x: 200.0, y: 60.0 });
        let darkest = (-2..=2).map(|y| page.get_pixel(side.x as u32, (side.y as i64 + y) as u32).0[0]).min();
        assert!(darkest < Some(60), "the frame's upper side, {darkest:?}");
        let corner = stand.of(Point { x: 60.0, y: 60.0 });
        assert!(page.get_pixel(corner.x as u32 + 10, corner.y as u32).0[0] < 20, "its corner");
        assert!(page.get_pixel(corner.x as u32, corner.y as u32 + 10).0[0] < 20, "its corner");
        assert!((dark(200.0, 250.0, 8) - plain).abs() > 0.02, "the mark of an end");
        let speck = stand.of(Point { x: 300.0, y: 400.0 });
        let ring = page.get_pixel((speck.x + 2.0 * stand.times + 2.5) as u32, speck.y as u32).0[0];
        assert!(ring < 90, "the ring around the speck, {ring}");
        // A holder is hatched, not left black; and darker than the rebate.
        let (holder, rebate) = (dark(20.0, 250.0, 20), dark(50.0, 250.0, 10));
        assert!(holder > rebate + 0.1 && rebate > 0.1 && holder < 0.6, "{holder} and {rebate}");
    }

    #[test]
    fn a_side_that_is_not_clear_is_broken() {
        let along = |unclear| {
            let page = explain(&explained(unclear));
            let stand = stand(&page);
            let from = stand.of(Point { x: 100.0, y: 60.0 });
            let to = stand.of(Point { x: 300.0, y: 60.0 });
            (from.x as u32..to.x as u32).filter(|x| page.get_pixel(*x, from.y as u32).0[0] > 200).count()
        };
        assert_eq!(along(false), 0);
        assert!(along(true) > 100);
    }

    #[test]
    fn a_strip_has_its_labels_below_and_no_words_are_lost_on_a_narrow_scan() {
        for (width, height) in [(1250, 200), (60, 900)] {
            let size = Size { width, height };
            let overview = Overview::new(size, vec![0.5; size.pixels() as usize], size);
            let of = Explained {
                picture: GrayImage::new(width, height),
                regions: Regions::of(&overview, None, &[]),
                frames: Vec::new(),
                marks: vec![Mark { at: Point { x: 30.0, y: 100.0 }, words: "thin 0.12".into() }],
                dust: Vec::new(),
                ..explained(false)
            };
            let page = explain(&of);
            assert!(page.width() >= LEAST_WIDTH as u32 && page.width().max(page.height()) <= 1601);
        }
    }
}
