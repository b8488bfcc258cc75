//! A map of the dust on a scan: its frames as they print, dimmed, with every speck ringed and counted by sector.

use image::GrayImage;

use super::canvas::PixelArea;
use super::face::Face;
use super::legend::{Legend, Sign, boxed, ringed, tag};
use super::lettering::{Lettering, SMALL, line};
use super::page::{Ink, QUIET};
use super::pen::{BLACK, Pen, WHITE, length, points};
use super::sectors::{ALONE, SHARED, Sectors};
use super::stand::{LONG_EDGE, MARGIN, Stand, size, times};
use crate::plane::{Point, Quad};

/// Room for the letters and numbers of the sectors.
const RIM: f64 = 30.0;
/// White between two frames.
const APART: f64 = 24.0;
/// Least width of the map: words are not broken into crumbs.
const LEAST_WIDTH: f64 = 1000.0;
/// So many of the largest specks carry a number and stand in the list.
const NUMBERED: usize = 12;
/// Lines of the grid, on dimmed tones.
const GRID: Ink = Ink(255);

/// A scan's dust, to be mapped.
#[derive(Clone, Debug)]
pub struct Dusty {
    /// The scan's name.
    pub title: String,
    /// What is known of it.
    pub facts: Vec<String>,
    /// Its frames in their order, at least one; pictures of one scale.
    pub frames: Vec<DustyFrame>,
}

/// A frame and what lies on it. Places are pixels of `picture`.
#[derive(Clone, Debug)]
pub struct DustyFrame {
    /// 1 for the first.
    pub number: usize,
    /// As it prints, dimmed, white around it; 8-bit grey in the sRGB encoding.
    pub picture: GrayImage,
    /// Its outline.
    pub outline: Quad,
    /// The specks.
    pub specks: Vec<Spot>,
}

/// A speck on the map.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Its middle.
    pub at: Point,
    /// From there to what of it is farthest away.
    pub radius: f64,
    /// How large it is, in any unit.
    pub area: f64,
    /// The same in words, as in "0.21 mm²".
    pub words: String,
}

/// A frame on the map, in sectors of its own, with its specks and their places among all, 0 for the largest.
struct Mapped<'a> {
    frame: &'a DustyFrame,
    sectors: Sectors,
    specks: Vec<(usize, &'a Spot)>,
}

/// Draws the map; the long edge is about 1600 pixels, which print at 200 pixels an inch.
pub fn dust_map(of: &Dusty) -> GrayImage {
    let mapped = mapped(of);
    let several = mapped.len() > 1;
    let list = listed(&mapped);
    let head = |width: f64| Lettering::new(&of.title, "dust map, as it prints", &of.facts, &list, width - 2.0 * MARGIN);
    let legend = Legend::new(vec![
        (Sign::Ring, "speck or hair"),
        (Sign::White, "its place among the largest"),
        (Sign::Black, "how many the sector has"),
    ]);
    let foot = line() + legend.height(LEAST_WIDTH - 2.0 * MARGIN);
    let rest = |width: f64| 2.0 * MARGIN + head(width).height() + foot;
    // 1. how large the frames can be: in as many columns as make them largest
    let largest =
        mapped.iter().map(|m| size(&m.frame.picture)).fold((0.0f64, 0.0f64), |a, b| (a.0.max(b.0), a.1.max(b.1)));
    let rim = (RIM, RIM + if several { line() } else { 0.0 });
    let shape = |columns: usize| (columns as f64, mapped.len().div_ceil(columns) as f64);
    let taken = |(columns, rows): (f64, f64)| (columns * (rim.0 + APART) - APART, rows * (rim.1 + APART) - APART);
    let enlarged = |columns: usize| {
        let (cells, taken) = (shape(columns), taken(shape(columns)));
        let room = (LONG_EDGE - 2.0 * MARGIN - taken.0, LONG_EDGE - rest(LEAST_WIDTH) - taken.1);
        times(largest, (room.0 / cells.0, room.1 / cells.1))
    };
    let columns = (1..=mapped.len()).max_by(|a, b| enlarged(*a).total_cmp(&enlarged(*b))).unwrap_or(1);
    let (cells, taken, times) = (shape(columns), taken(shape(columns)), enlarged(columns));
    let width = (2.0 * MARGIN + taken.0 + cells.0 * largest.0 * times).max(LEAST_WIDTH).round();
    let height = rest(width) + taken.1 + cells.1 * largest.1 * times;
    let mut pen = Pen::new(width, height);
    // 2. words, frames, what the signs mean
    head(width).draw(&mut pen, MARGIN, MARGIN, width - MARGIN);
    let top = MARGIN + head(width).height();
    for (i, mapped) in mapped.iter().enumerate() {
        let (column, row) = ((i % columns) as f64, (i / columns) as f64);
        let left = (MARGIN + column * (rim.0 + largest.0 * times + APART) + rim.0).round();
        let top = (top + row * (rim.1 + largest.1 * times + APART) + rim.1).round();
        if several {
            let words = format!("frame {}", mapped.frame.number);
            pen.text(left, top - RIM - 4.0, SMALL, Face::Medium, BLACK, &words);
        }
        draw(&mut pen, mapped, Stand { left, top, times });
    }
    legend.draw(&mut pen, MARGIN, height - MARGIN - foot + line(), width - 2.0 * MARGIN);
    pen.into_image()
}

/// Frames in sectors, and their specks, largest first, with their places among all.
fn mapped(of: &Dusty) -> Vec<Mapped<'_>> {
    let along = if of.frames.len() > 1 { SHARED } else { ALONE };
    let sectors = |frame: &DustyFrame| Sectors::of(size(&frame.picture), along);
    let mut mapped: Vec<Mapped<'_>> =
        of.frames.iter().map(|frame| Mapped { frame, sectors: sectors(frame), specks: Vec::new() }).collect();
    let specks = of.frames.iter().enumerate().flat_map(|(i, frame)| frame.specks.iter().map(move |speck| (i, speck)));
    let mut specks: Vec<(usize, &Spot)> = specks.collect();
    specks.sort_by(|a, b| b.1.area.total_cmp(&a.1.area));
    for (place, (i, speck)) in specks.into_iter().enumerate() {
        mapped[i].specks.push((place, speck));
    }
    mapped
}

/// A frame with its sectors and specks.
fn draw(pen: &mut Pen, mapped: &Mapped<'_>, stand: Stand) {
    let area = stand.area(&mapped.frame.picture);
    pen.picture(area, &mapped.frame.picture);
    pen.border(area, 1.0, QUIET);
    let corners = mapped.frame.outline.0.map(|corner| stand.of(corner));
    (0..4).for_each(|i| pen.line(corners[i], corners[(i + 1) % 4], 1.5, BLACK));
    grid(pen, &mapped.sectors, area, stand.times);
    for (place, speck) in &mapped.specks {
        ringed(pen, stand.of(speck.at), radius(speck, stand.times), if *place < NUMBERED { 2.2 } else { 1.4 });
    }
    counts(pen, mapped, stand);
    for (place, speck) in mapped.specks.iter().filter(|(place, _)| *place < NUMBERED) {
        numbered(pen, stand.of(speck.at), radius(speck, stand.times), &(place + 1).to_string(), area);
    }
}

/// The largest specks in words, with their numbers, sectors and, if there are several, frames.
fn listed(mapped: &[Mapped<'_>]) -> Vec<String> {
    let several = mapped.len() > 1;
    let each = mapped.iter().flat_map(|m| m.specks.iter().map(move |(place, speck)| (*place, m, *speck)));
    let mut largest: Vec<(usize, &Mapped<'_>, &Spot)> = each.filter(|(place, ..)| *place < NUMBERED).collect();
    largest.sort_by_key(|(place, ..)| *place);
    let one = |(place, m, speck): &(usize, &Mapped<'_>, &Spot)| {
        let frame = if several { format!(" of frame {}", m.frame.number) } else { String::new() };
        // No line ends within a piece.
        let piece = format!("{} in {}{frame}, {}", place + 1, m.sectors.name(speck.at), speck.words);
        piece.replace(' ', "\u{a0}")
    };
    let words: Vec<String> = largest.iter().map(one).collect();
    if words.is_empty() { Vec::new() } else { vec![format!("largest first: {}", words.join(" \u{b7} "))] }
}

/// Thin lines between sectors, letters above and numbers at the left.
fn grid(pen: &mut Pen, sectors: &Sectors, area: PixelArea, times: f64) {
    for column in 0..sectors.columns {
        let from = area.left + f64::from(column) * sectors.side.0 * times;
        let middle = from + sectors.side.0 * times / 2.0;
        let name = Sectors::letter(column).to_string();
        pen.text(middle - length(&name, Face::Medium, SMALL) / 2.0, area.top - 9.0, SMALL, Face::Medium, BLACK, &name);
        if column > 0 {
            rule(pen, Point { x: from, y: area.top }, Point { x: from, y: area.bottom });
        }
    }
    for row in 0..sectors.rows {
        let from = area.top + f64::from(row) * sectors.side.1 * times;
        let middle = from + sectors.side.1 * times / 2.0;
        let name = (row + 1).to_string();
        let left = area.left - 11.0 - length(&name, Face::Medium, SMALL);
        pen.text(left, middle + points(SMALL) * 0.36, SMALL, Face::Medium, BLACK, &name);
        if row > 0 {
            rule(pen, Point { x: area.left, y: from }, Point { x: area.right, y: from });
        }
    }
}

/// A line that shows on the picture and on the white around it.
fn rule(pen: &mut Pen, from: Point, to: Point) {
    pen.line(from, to, 2.5, GRID);
    pen.dashes(from, to, 4.0, 1.0, BLACK);
}

/// How many specks each sector has, in the first of its corners that no speck lies in; else in the lower right one.
fn counts(pen: &mut Pen, Mapped { sectors, specks, .. }: &Mapped<'_>, stand: Stand) {
    /// Distance from the sector's edges.
    const OFF: f64 = 4.0;
    let (across, down) = (sectors.side.0 * stand.times, sectors.side.1 * stand.times);
    for (column, row) in (0..sectors.rows).flat_map(|row| (0..sectors.columns).map(move |column| (column, row))) {
        let count = specks.iter().filter(|(_, speck)| sectors.holding(speck.at) == (column, row)).count();
        if count == 0 {
            continue;
        }
        let text = count.to_string();
        let size = boxed(&text);
        let (left, top) = (stand.left + f64::from(column) * across, stand.top + f64::from(row) * down);
        let (far, low) = (left + across - OFF - size.0, top + down - OFF - size.1);
        let corners = [(far, low), (left + OFF, low), (far, top + OFF), (left + OFF, top + OFF)];
        let free = |(x, y): &(f64, f64)| {
            let holds = |(_, speck): &(usize, &Spot)| {
                let (at, reach) = (stand.of(speck.at), radius(speck, stand.times));
                (-reach..size.0 + reach).contains(&(at.x - x)) && (-reach..size.1 + reach).contains(&(at.y - y))
            };
            !specks.iter().any(holds)
        };
        let (left, top) = corners.iter().copied().find(free).unwrap_or(corners[0]);
        tag(pen, left, top, BLACK, &text);
    }
}

/// A ring's radius on the map: a little more than the speck's, and never too small to be seen.
fn radius(speck: &Spot, times: f64) -> f64 {
    (speck.radius * times + 3.0).max(6.0)
}

/// A number at a ring's upper right, or on its other side where the picture ends.
fn numbered(pen: &mut Pen, middle: Point, radius: f64, text: &str, area: PixelArea) {
    let (width, height) = boxed(text);
    let beside = middle.x + radius * 0.75;
    let left = if beside + width > area.right { middle.x - radius * 0.75 - width } else { beside };
    let bottom = (middle.y - radius * 0.75).max(area.top + height);
    tag(pen, left, bottom - height, WHITE, text);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(x: f64, y: f64, area: f64) -> Spot {
        Spot { at: Point { x, y }, radius: 2.0, area, words: format!("{area:.2} mm\u{b2}") }
    }

    fn frame(number: usize, specks: Vec<Spot>) -> DustyFrame {
        // A frame without tilt: its outline lies on the picture's border.
        let corners = [(0.0, 0.0), (400.0, 0.0), (400.0, 500.0), (0.0, 500.0)];
        let picture = GrayImage::from_pixel(400, 500, image::Luma([120]));
        DustyFrame { number, picture, outline: Quad(corners.map(|(x, y)| Point { x, y })), specks }
    }

    fn dusty(frames: Vec<DustyFrame>) -> Dusty {
        Dusty { title: "coil.tif".into(), facts: vec!["3 specks".into()], frames }
    }

    #[test]
    fn the_largest_come_first_with_their_sectors() {
        let specks = vec![spot(10.0, 10.0, 0.1), spot(390.0, 490.0, 0.5), spot(10.0, 490.0, 0.3)];
        let words = |of: &Dusty| listed(&mapped(of)).concat().replace('\u{a0}', " ");
        let expected =
            "largest first: 1 in F8, 0.50 mm\u{b2} \u{b7} 2 in A8, 0.30 mm\u{b2} \u{b7} 3 in A1, 0.10 mm\u{b2}";
        assert_eq!(words(&dusty(vec![frame(1, specks.clone())])), expected);
        assert_eq!(words(&dusty(vec![frame(1, Vec::new())])), "");
        // Of several frames each has sectors of its own, and its specks their places among all.
        let two = dusty(vec![frame(1, specks), frame(2, vec![spot(390.0, 10.0, 0.4)])]);
        assert!(words(&two).starts_with("largest first: 1 in C4 of frame 1, 0.50 mm\u{b2} \u{b7} 2 in C1 of frame 2,"));
    }

    /// Where the frames' pictures begin and end on a page, from its columns and rows of their grey.
    fn found(page: &GrayImage) -> [u32; 4] {
        let grey = |x: u32, y: u32| page.get_pixel(x, y).0[0] == 120;
        let column = |x: &u32| (0..page.height()).filter(|y| grey(*x, *y)).count() > 100;
        let row = |y: &u32| (0..page.width()).filter(|x| grey(*x, *y)).count() > 100;
        let ends = |inside: Vec<u32>| (inside[0], inside[inside.len() - 1] + 1);
        let (left, right) = ends((0..page.width()).filter(column).collect());
        let (top, bottom) = ends((0..page.height()).filter(row).collect());
        [left, top, right, bottom]
    }

    /// Sectors are 66.7 by 62.5 pixels of the scan.
    #[test]
    fn a_speck_is_ringed_and_its_sector_counted() {
        let page = dust_map(&dusty(vec![frame(1, vec![spot(225.0, 290.0, 0.2)])]));
        let empty = dust_map(&dusty(vec![frame(1, Vec::new())]));
        let code = |page: &GrayImage, x: f64, y: f64| {
            let [left, top, right, _] = found(page).map(f64::from);
            let times = (right - left) / 400.0;
            page.get_pixel((left + x * times) as u32, (top + y * times) as u32).0[0]
        };
        let [left, _, right, _] = found(&page).map(f64::from);
        let ring = 2.0 + 3.0 * 400.0 / (right - left);
        assert!(code(&page, 225.0 + ring, 290.0) < 90 && code(&empty, 225.0 + ring, 290.0) == 120);
        // D5 ends at 266.7 and 312.5; its count stands there, white on black.
        assert!(code(&page, 263.0, 310.5) < 40 && code(&empty, 263.0, 310.5) == 120);
        assert_eq!(code(&page, 263.0, 248.0), 120, "the sector above has none");
    }

    #[test]
    fn frames_of_a_strip_stand_where_the_page_has_most_room_for_them() {
        let page = dust_map(&dusty((1..=5).map(|number| frame(number, Vec::new())).collect()));
        assert!(page.width().max(page.height()) <= 1601, "{} x {}", page.width(), page.height());
        let grey = page.pixels().filter(|pixel| pixel.0[0] == 120).count() as f64;
        let share = grey / f64::from(page.width() * page.height());
        // One below the other they would be 250 pixels high and fill a sixth of the least page.
        assert!(share > 0.4, "{share}");
    }
}
