//! The dust map of a scan: where the specks lie on the print, as it stands upright.

use image::{GrayImage, Luma};

use crate::film::Speck;
use crate::light::{Millimetres, lightness};
use crate::paper::Rendering;
use crate::plane::{Area, Point, Quad};
use crate::sheet::{self, Dusty, Spot};

use super::explain::grey;
use super::frame::Decided;
use super::pictures::{Seen, density};

/// The print's tones are drawn together between these L*, so that rings and numbers, black in white, show on all.
const DIMMED: (f64, f64) = (32.0, 80.0);

/// Draws it.
pub(super) fn picture(seen: &Seen<'_>) -> GrayImage {
    let frames = &seen.done.frames;
    let (size, scale, facts) = (seen.overview.size(), seen.overview.scale(), seen.scan.facts());
    let outline = |frame: &Decided| frame.reading.corners.scaled(1.0 / scale.0, 1.0 / scale.1);
    let area = around(frames.iter().map(|frame| outline(frame).bounds(size)));
    let upright = |p: Point| {
        let place = Point { x: p.x - f64::from(area.x), y: p.y - f64::from(area.y) };
        facts.orientation.upright_place(place, area.size())
    };
    let square_mm =
        facts.resolution.map(|r| Millimetres::of_pixels(1.0, r.x).value() * Millimetres::of_pixels(1.0, r.y).value());
    let words = |speck: &Speck| match square_mm {
        Some(each) => format!("{:.2} mm\u{b2}", speck.area * each),
        None => format!("{:.0} pixels", speck.area),
    };
    let specks: Vec<&Speck> = frames.iter().flat_map(|frame| seen.dust.within(frame.reading.corners)).collect();
    let spot = |speck: &&Speck| Spot {
        at: upright(Point { x: speck.middle.x / scale.0, y: speck.middle.y / scale.1 }),
        radius: speck.radius / scale.0,
        area: speck.area,
        words: words(speck),
    };
    sheet::dust_map(&Dusty {
        title: seen.entry.file.clone(),
        facts: vec![head(seen, &specks, square_mm)],
        picture: print(seen, area),
        frames: frames.iter().map(|frame| Quad(outline(frame).0.map(upright))).collect(),
        specks: specks.iter().map(spot).collect(),
    })
}

/// The smallest area that holds all.
fn around(areas: impl Iterator<Item = Area>) -> Area {
    let both = |a: Area, b: Area| {
        let (x, y) = (a.x.min(b.x), a.y.min(b.y));
        let (right, bottom) = ((a.x + a.width).max(b.x + b.width), (a.y + a.height).max(b.y + b.height));
        Area { x, y, width: right - x, height: bottom - y }
    };
    areas.reduce(both).expect("a scan that was made has a frame")
}

fn head(seen: &Seen<'_>, specks: &[&Speck], square_mm: Option<f64>) -> String {
    let area: f64 = specks.iter().map(|speck| speck.area).sum();
    let size = match square_mm {
        Some(each) => format!("{:.1} mm\u{b2} in all", area * each),
        None => format!("{area:.0} pixels of the scan in all"),
    };
    let several = seen.done.frames.len() > 1;
    let by_frame: Vec<String> =
        seen.done.frames.iter().map(|f| format!("frame {}: {}", f.number, f.reading.dust)).collect();
    let frames = if several { format!(" \u{b7} {}", by_frame.join(", ")) } else { String::new() };
    match specks.len() {
        0 => "no specks or hairs seen".to_owned(),
        1 => format!("1 speck or hair, {size}{frames}"),
        count => format!("{count} specks and hairs, {size}{frames}"),
    }
}

/// The frames as they print, dimmed, paper white between them; the part of the overview that holds them, turned upright.
fn print(seen: &Seen<'_>, area: Area) -> GrayImage {
    let (size, scale) = (seen.overview.size(), seen.overview.scale());
    let mut shown = GrayImage::from_pixel(size.width, size.height, Luma([255]));
    for frame in &seen.done.frames {
        let print = frame.print();
        let tones = grey(&seen.overview, |light| {
            let net = density(light) - frame.base;
            DIMMED.0 + (DIMMED.1 - DIMMED.0) / 100.0 * lightness(Rendering::Screen.luminance(&print, net))
        });
        let outline = frame.reading.corners.scaled(1.0 / scale.0, 1.0 / scale.1);
        for y in 0..size.height {
            for x in outline.row_span(y, size.width) {
                shown.put_pixel(x as u32, y, *tones.get_pixel(x as u32, y));
            }
        }
    }
    let orientation = seen.scan.facts().orientation;
    let upright = orientation.upright(area.size());
    GrayImage::from_fn(upright.width, upright.height, |x, y| {
        let (column, row) = orientation.stored(x, y, area.size());
        *shown.get_pixel(area.x + column, area.y + row)
    })
}
