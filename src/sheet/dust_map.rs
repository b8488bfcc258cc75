//! A map of the dust on a scan: the picture as it prints, dimmed, with every speck ringed and counted by sector.

use image::GrayImage;

use super::canvas::PixelArea;
use super::face::Face;
use super::lettering::{Lettering, SMALL};
use super::page::{Ink, QUIET};
use super::pen::{BLACK, Pen, WHITE, length, points};
use super::sectors::Sectors;
use crate::plane::{Point, Quad};

/// Long edge of the map in pixels, and the white around it.
const LONG_EDGE: f64 = 1600.0;
const MARGIN: f64 = 44.0;
/// Room for the letters and numbers of the sectors.
const RIM: f64 = 30.0;
/// Least width of the map: words are not broken into crumbs.
const LEAST_WIDTH: f64 = 1000.0;
/// A small scan is enlarged at most so often, but to so many pixels at least.
const MOST_TIMES: f64 = 4.0;
const LEAST_EDGE: f64 = 400.0;
/// So many of the largest specks carry a number and stand in the list.
const NUMBERED: usize = 12;
/// Lines of the grid, on dimmed tones.
const GRID: Ink = Ink(255);

/// A scan's dust, to be mapped. Places are pixels of `picture`.
#[derive(Clone, Debug)]
pub struct Dusty {
    /// The scan's name.
    pub title: String,
    /// What is known of it.
    pub facts: Vec<String>,
    /// The frames as they print, dimmed, white around them; 8-bit grey in the sRGB encoding.
    pub picture: GrayImage,
    /// Outlines of the frames.
    pub frames: Vec<Quad>,
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

/// Draws the map; the long edge is about 1600 pixels, which print at 200 pixels an inch.
pub fn dust_map(of: &Dusty) -> GrayImage {
    let (width, height) = (f64::from(of.picture.width()), f64::from(of.picture.height()));
    let sectors = Sectors::of(width, height);
    let mut specks: Vec<&Spot> = of.specks.iter().collect();
    specks.sort_by(|a, b| b.area.total_cmp(&a.area));
    // 1. how large it can be
    let listed = listed(&specks, &sectors);
    let head =
        |width: f64| Lettering::new(&of.title, "dust map, as it prints", &of.facts, &listed, width - 2.0 * MARGIN);
    let rest = |head: &Lettering| 2.0 * MARGIN + head.height() + RIM;
    let room_down = LONG_EDGE - rest(&head(LEAST_WIDTH));
    let times = ((LONG_EDGE - 2.0 * MARGIN - RIM) / width)
        .min(room_down / height)
        .min(MOST_TIMES.max(LEAST_EDGE / width.max(height)));
    let page_width = (2.0 * MARGIN + RIM + width * times).max(LEAST_WIDTH).round();
    let head = head(page_width);
    let mut pen = Pen::new(page_width, rest(&head) + height * times);
    // 2. words, picture, sectors, specks
    head.draw(&mut pen, MARGIN, MARGIN, page_width - MARGIN);
    let (left, top) = (MARGIN + RIM, (MARGIN + head.height() + RIM).round());
    let area = PixelArea { left, top, right: (left + width * times).round(), bottom: (top + height * times).round() };
    let place = |p: Point| Point { x: left + p.x * times, y: top + p.y * times };
    pen.picture(area, &of.picture);
    pen.border(area, 1.0, QUIET);
    for frame in &of.frames {
        let corners = frame.0.map(place);
        (0..4).for_each(|i| pen.line(corners[i], corners[(i + 1) % 4], 1.5, BLACK));
    }
    grid(&mut pen, &sectors, area, times);
    for (i, speck) in specks.iter().enumerate() {
        let (at, radius) = (place(speck.at), radius(speck, times));
        pen.ring(at, radius, 4.0, WHITE);
        pen.ring(at, radius, if i < NUMBERED { 2.2 } else { 1.4 }, BLACK);
    }
    counts(&mut pen, &sectors, &specks, area, times);
    for (i, speck) in specks.iter().take(NUMBERED).enumerate() {
        tag(&mut pen, place(speck.at), radius(speck, times), &(i + 1).to_string(), area);
    }
    pen.into_image()
}

/// The largest specks in words, with their numbers and sectors.
fn listed(specks: &[&Spot], sectors: &Sectors) -> Vec<String> {
    let one = |(i, speck): (usize, &&Spot)| {
        // No line ends within a piece.
        let piece = format!("{} in {}, {}", i + 1, sectors.name(speck.at), speck.words);
        piece.replace(' ', "\u{a0}")
    };
    let words: Vec<String> = specks.iter().take(NUMBERED).enumerate().map(one).collect();
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
fn counts(pen: &mut Pen, sectors: &Sectors, specks: &[&Spot], area: PixelArea, times: f64) {
    /// Distance from the sector's edges.
    const OFF: f64 = 4.0;
    let (across, down) = (sectors.side.0 * times, sectors.side.1 * times);
    for (column, row) in (0..sectors.rows).flat_map(|row| (0..sectors.columns).map(move |column| (column, row))) {
        let count = specks.iter().filter(|speck| sectors.holding(speck.at) == (column, row)).count();
        if count == 0 {
            continue;
        }
        let text = count.to_string();
        let size = (length(&text, Face::Medium, SMALL) + 10.0, points(SMALL) * 1.15);
        let (left, top) = (area.left + f64::from(column) * across, area.top + f64::from(row) * down);
        let (far, low) = (left + across - OFF - size.0, top + down - OFF - size.1);
        let corners = [(far, low), (left + OFF, low), (far, top + OFF), (left + OFF, top + OFF)];
        let free = |(x, y): &(f64, f64)| {
            let holds = |speck: &&Spot| {
                let (u, v) = (area.left + speck.at.x * times - x, area.top + speck.at.y * times - y);
                let reach = radius(speck, times);
                (-reach..size.0 + reach).contains(&u) && (-reach..size.1 + reach).contains(&v)
            };
            !specks.iter().any(holds)
        };
        let (left, top) = corners.iter().copied().find(free).unwrap_or(corners[0]);
        pen.fill(PixelArea { left, top, right: left + size.0, bottom: top + size.1 }, BLACK);
        pen.text(left + 5.0, top + size.1 - points(SMALL) * 0.22, SMALL, Face::Medium, WHITE, &text);
    }
}

/// A ring's radius on the map: a little more than the speck's, and never too small to be seen.
fn radius(speck: &Spot, times: f64) -> f64 {
    (speck.radius * times + 3.0).max(6.0)
}

/// A number at a ring's upper right, or on its other side where the picture ends.
fn tag(pen: &mut Pen, middle: Point, radius: f64, text: &str, area: PixelArea) {
    let size = (length(text, Face::Medium, SMALL) + 8.0, points(SMALL) * 1.1);
    let beside = middle.x + radius * 0.75;
    let left = if beside + size.0 > area.right { middle.x - radius * 0.75 - size.0 } else { beside };
    let bottom = (middle.y - radius * 0.75).max(area.top + size.1);
    let ground = PixelArea { left, top: bottom - size.1, right: left + size.0, bottom };
    pen.fill(ground, WHITE);
    pen.border(ground, 1.0, BLACK);
    pen.text(left + 4.0, bottom - points(SMALL) * 0.2, SMALL, Face::Medium, BLACK, text);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(x: f64, y: f64, area: f64) -> Spot {
        Spot { at: Point { x, y }, radius: 2.0, area, words: format!("{area:.2} mm\u{b2}") }
    }

    fn mapped(specks: Vec<Spot>) -> Dusty {
        Dusty {
            title: "coil.tif".into(),
            facts: vec!["3 specks".into()],
            picture: GrayImage::from_pixel(400, 500, image::Luma([120])),
            frames: Vec::new(),
            specks,
        }
    }

    #[test]
    fn the_largest_come_first_with_their_sectors() {
        let specks = [spot(10.0, 10.0, 0.1), spot(390.0, 490.0, 0.5), spot(10.0, 490.0, 0.3)];
        let mut sorted: Vec<&Spot> = specks.iter().collect();
        sorted.sort_by(|a, b| b.area.total_cmp(&a.area));
        let words = listed(&sorted, &Sectors::of(400.0, 500.0)).concat().replace('\u{a0}', " ");
        let expected =
            "largest first: 1 in F8, 0.50 mm\u{b2} \u{b7} 2 in A8, 0.30 mm\u{b2} \u{b7} 3 in A1, 0.10 mm\u{b2}";
        assert_eq!(words, expected);
        assert!(listed(&[], &Sectors::of(400.0, 500.0)).is_empty());
    }

    /// Found from below, where the picture ends: sectors are 66.7 by 62.5 pixels of the scan.
    #[test]
    fn a_speck_is_ringed_and_its_sector_counted() {
        let page = dust_map(&mapped(vec![spot(225.0, 290.0, 0.2)]));
        let empty = dust_map(&mapped(Vec::new()));
        let bottom = |page: &GrayImage| f64::from(page.height()) - MARGIN;
        let times = |page: &GrayImage| {
            let rule = |y: &u32| (80..130).all(|x| page.get_pixel(x, *y).0[0] == QUIET.0);
            let rows: Vec<u32> = (0..page.height()).filter(rule).collect();
            f64::from(rows[rows.len() - 1] + 1 - rows[0]) / 500.0
        };
        let code = |page: &GrayImage, x: f64, y: f64| {
            let times = times(page);
            let (x, y) = (MARGIN + RIM + x * times, bottom(page) - (500.0 - y) * times);
            page.get_pixel(x as u32, y as u32).0[0]
        };
        let ring = 2.0 + 3.0 / times(&page);
        assert!(code(&page, 225.0 + ring, 290.0) < 90 && code(&empty, 225.0 + ring, 290.0) == 120);
        // D5 ends at 266.7 and 312.5; its count stands there, white on black.
        assert!(code(&page, 263.0, 310.5) < 40 && code(&empty, 263.0, 310.5) == 120);
        assert_eq!(code(&page, 263.0, 248.0), 120, "the sector above has none");
    }
}
