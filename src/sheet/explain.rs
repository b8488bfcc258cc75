//! A scan explained in one picture: what was taken for what, drawn over the scan.

use image::GrayImage;

use super::callout::{Shelf, routed};
use super::canvas::PixelArea;
use super::explain_page::ExplainPage;
use super::face::Face;
use super::hatch;
use super::legend::{Legend, Sign, ringed};
use super::lettering::SMALL;
use super::page::QUIET;
use super::pen::{BLACK, Pen, WHITE, length, points};
use super::ruler;
use super::stand::{Stand, size};
use crate::film::{Region, Regions};
use crate::plane::{Point, Quad};

/// Share of the scan's own tones that is left under a hatching.
const LEFT: f32 = 0.45;
/// Radius of what shows a mark, and of a frame's number; white around them included.
const MARK: f64 = 9.0;
const NUMBER: f64 = 18.0;
/// A leader that is nearer than this to a mark or a number touches it.
const TOUCHES: f64 = 4.0;

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
    /// Pixels of the scan to one of the picture, across and down.
    pub scale: (f64, f64),
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

impl Explained {
    /// Width and height of the scan in its own pixels.
    pub(super) fn scan_size(&self) -> (f64, f64) {
        let (width, height) = size(&self.picture);
        (width * self.scale.0, height * self.scale.1)
    }
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

/// Draws it; the long edge is about 1600 pixels, which print at 200 pixels an inch.
pub fn explain(of: &Explained) -> GrayImage {
    let legend = legend(of);
    let page = ExplainPage::of(of, &legend);
    let (stand, area) = (page.stand, page.stand.area(&of.picture));
    let mut pen = Pen::new(page.size.0, page.size.1);
    // 1. words, picture, what lies outside the frames
    page.head.draw(&mut pen, page.head_at.0, page.head_at.1, page.head_at.2);
    pen.picture(area, &of.picture);
    hatch_outside(&mut pen, of, stand, area);
    pen.border(area, 1.0, QUIET);
    ruler::draw(&mut pen, area, of.scan_size());
    // 2. over it the signs, leaders under all that they may cross
    for (middle, radius) in &of.dust {
        ringed(&mut pen, stand.of(*middle), ring(*radius, stand), 1.4);
    }
    if let Some(patch) = of.patch {
        outline(&mut pen, stand, patch, [false; 4], 1.5);
    }
    for frame in &of.frames {
        outline(&mut pen, stand, frame.corners, frame.unclear, 2.0);
        corners(&mut pen, stand, frame.corners);
    }
    let numbers: Vec<Point> = of.frames.iter().map(|frame| number_place(of, stand, frame)).collect();
    label(&mut pen, of, &page, &numbers);
    for (frame, middle) in of.frames.iter().zip(&numbers) {
        number(&mut pen, *middle, frame.number);
    }
    of.marks.iter().for_each(|mark| target(&mut pen, stand.of(mark.at)));
    legend.draw(&mut pen, page.legend_at.0, page.legend_at.1, page.legend_at.2);
    pen.into_image()
}

/// Radius of the ring around a speck.
fn ring(radius: f64, stand: Stand) -> f64 {
    (radius * stand.times + 2.5).max(5.0)
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

/// The middle of a frame's number: in a corner where no mark and no speck lies, at the left if there is one, as leaders
/// go to the right.
fn number_place(of: &Explained, stand: Stand, frame: &Outlined) -> Point {
    const INWARDS: [(f64, f64); 4] = [(32.0, 32.0), (-32.0, 32.0), (-32.0, -32.0), (32.0, -32.0)];
    let places: [Point; 4] = std::array::from_fn(|i| {
        let corner = stand.of(frame.corners.0[i]);
        Point { x: corner.x + INWARDS[i].0, y: corner.y + INWARDS[i].1 }
    });
    let marks = of.marks.iter().map(|mark| (stand.of(mark.at), MARK));
    let dust = of.dust.iter().map(|(at, radius)| (stand.of(*at), ring(*radius, stand)));
    let taken: Vec<(Point, f64)> = marks.chain(dust).collect();
    let free = |place: &Point| {
        let away = |at: Point| (at.x - place.x).hypot(at.y - place.y);
        taken.iter().all(|(at, radius)| away(*at) > radius + NUMBER + TOUCHES)
    };
    [places[0], places[3], places[1], places[2]].into_iter().find(free).unwrap_or(places[0])
}

fn number(pen: &mut Pen, middle: Point, number: usize) {
    pen.disc(middle, NUMBER, WHITE);
    pen.ring(middle, NUMBER - 1.0, 2.0, BLACK);
    let text = number.to_string();
    let left = middle.x - length(&text, Face::Medium, 8.0) / 2.0;
    pen.text(left, middle.y + points(8.0) * 0.36, 8.0, Face::Medium, BLACK, &text);
}

/// What shows a mark's place.
fn target(pen: &mut Pen, at: Point) {
    pen.disc(at, MARK, WHITE);
    pen.ring(at, MARK - 1.5, 2.0, BLACK);
    pen.disc(at, 2.5, BLACK);
}

/// Leaders from the marks to their words, clear of other marks and of the frames' numbers.
fn label(pen: &mut Pen, of: &Explained, page: &ExplainPage, numbers: &[Point]) {
    let (shelf, room) = page.shelf;
    let marks: Vec<Point> = of.marks.iter().map(|mark| page.stand.of(mark.at)).collect();
    let signs: Vec<(Point, f64)> = numbers.iter().map(|at| (*at, NUMBER + TOUCHES)).collect();
    let widest = of.marks.iter().map(|mark| length(&mark.words, Face::Medium, SMALL)).fold(0.0, f64::max);
    let size = match shelf {
        Shelf::Upright(_) => points(SMALL) * 1.4,
        Shelf::Level(_) => widest + points(SMALL) * 0.5,
    };
    let places = routed(&marks, MARK + TOUCHES, &signs, shelf, size, room);
    for ((mark, at), place) in of.marks.iter().zip(marks).zip(places) {
        let end = shelf.end(place);
        pen.line(at, end, 4.0, WHITE);
        pen.line(at, end, 1.4, BLACK);
        let (left, baseline) = match shelf {
            Shelf::Upright(x) => (x + 6.0, place + points(SMALL) * 0.36),
            Shelf::Level(y) => (place - length(&mark.words, Face::Medium, SMALL) / 2.0, y + points(SMALL) * 1.05),
        };
        pen.text(left, baseline, SMALL, Face::Medium, BLACK, &mark.words);
    }
}

/// The hatchings that occur, and the signs.
fn legend(of: &Explained) -> Legend {
    let regions = [
        (Region::Rebate, "rebate"),
        (Region::OpenLight, "open light"),
        (Region::Holder, "opaque"),
        (Region::OtherFilm, "other film"),
    ];
    let shown = regions.into_iter().filter(|(region, _)| shows(&of.regions, *region));
    let mut entries: Vec<_> = shown.map(|(region, words)| (Sign::Hatching(region), words)).collect();
    entries.push((Sign::Line, "frame"));
    if of.frames.iter().any(|frame| frame.unclear.contains(&true)) {
        entries.push((Sign::Dashes, "not clear"));
    }
    if !of.dust.is_empty() {
        entries.push((Sign::Ring, "dust"));
    }
    entries.push((Sign::Ruler, "pixels of the scan"));
    Legend::new(entries)
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
    use super::super::stand::MARGIN;
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
            scale: (1.0, 1.0),
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
        let rule = |y: &u32| (150..700).all(|x| page.get_pixel(x, *y).0[0] == QUIET.0);
        let (top, bottom) = ((0..page.height()).find(rule).unwrap(), (0..page.height()).rev().find(rule).unwrap());
        let found = f64::from(bottom + 1 - top) / 500.0;
        assert!(found < times, "there is room for words");
        Stand { left: MARGIN + ruler::room((400.0, 500.0)).0, top: f64::from(top), times: found }
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
        let end = stand.of(Point { x: 200.0, y: 250.0 });
        let beside = |off: u32| page.get_pixel(end.x as u32 + off, end.y as u32).0[0];
        assert!(beside(0) < 60 && beside(5) > 200 && beside(8) < 60, "the mark of an end: a dot, white, a ring");
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
    fn a_strip_fills_its_page_either_way_and_no_words_are_lost() {
        for (width, height) in [(1250, 200), (200, 1250), (60, 900)] {
            let size = Size { width, height };
            let overview = Overview::new(size, vec![0.5; size.pixels() as usize], size);
            let of = Explained {
                picture: GrayImage::new(width, height),
                regions: Regions::of(&overview, None, &[Quad::of(size.whole())]),
                frames: Vec::new(),
                marks: vec![Mark { at: Point { x: 30.0, y: 100.0 }, words: "thin 0.12".into() }],
                dust: Vec::new(),
                ..explained(false)
            };
            let page = explain(&of);
            let (wide, high) = (f64::from(page.width()), f64::from(page.height()));
            assert!(wide >= 840.0 && wide.max(high) <= 1601.0, "{wide} x {high}");
            let dark = |x: u32, y: u32| page.get_pixel(x, y).0[0] < 60;
            let row = |y: &u32| (0..page.width()).filter(|x| dark(*x, *y)).count() > 50;
            let column = |x: &u32| (0..page.height()).filter(|y| dark(*x, *y)).count() > 50;
            // A picture that is all black: the share of the page's long edge that it takes.
            let share = if width > height {
                (0..page.width()).filter(column).count() as f64 / wide
            } else {
                (0..page.height()).filter(row).count() as f64 / high
            };
            assert!(share > 0.88, "{width} x {height}: {share}");
        }
    }
}
