//! The dust map of a scan: where the specks lie on the print, as it stands upright.

use image::{GrayImage, Luma};

use crate::film::Speck;
use crate::light::{Millimetres, lightness};
use crate::paper::Rendering;
use crate::plane::{Area, Point, Quad};
use crate::sheet::{self, Dusty, DustyFrame, Spot};

use super::explain::grey;
use super::frame::Decided;
use super::pictures::{Seen, density};

/// The print's tones are drawn together between these L*, so that rings and numbers, black in white, show on all.
const DIMMED: (f64, f64) = (32.0, 80.0);

/// Draws it.
pub(super) fn picture(seen: &Seen<'_>) -> GrayImage {
    let resolution = seen.scan.facts().resolution;
    let each = resolution.map(|r| Millimetres::of_pixels(1.0, r.x).value() * Millimetres::of_pixels(1.0, r.y).value());
    let frames = seen.done.frames.iter();
    sheet::dust_map(&Dusty {
        title: seen.entry.file.clone(),
        facts: vec![head(seen, each)],
        frames: frames.map(|frame| mapped(seen, frame, each)).collect(),
    })
}

/// A frame, upright, and the specks on it; `each` is what a pixel of the scan covers in mm².
fn mapped(seen: &Seen<'_>, frame: &Decided, each: Option<f64>) -> DustyFrame {
    let (size, scale) = (seen.overview.size(), seen.overview.scale());
    let outline = frame.reading.corners.scaled(1.0 / scale.0, 1.0 / scale.1);
    let area = outline.bounds(size);
    let upright = |p: Point| {
        let place = Point { x: p.x - f64::from(area.x), y: p.y - f64::from(area.y) };
        seen.scan.facts().orientation.upright_place(place, area.size())
    };
    let words = |speck: &Speck| match each {
        Some(each) => format!("{:.2} mm\u{b2}", speck.area * each),
        None => format!("{:.0} pixels", speck.area),
    };
    let spot = |speck: &Speck| Spot {
        at: upright(Point { x: speck.middle.x / scale.0, y: speck.middle.y / scale.1 }),
        radius: speck.radius / scale.0,
        area: speck.area,
        words: words(speck),
    };
    DustyFrame {
        number: frame.number,
        picture: print(seen, frame, outline, area),
        outline: Quad(outline.0.map(upright)),
        specks: seen.dust.within(frame.reading.corners).map(spot).collect(),
    }
}

fn head(seen: &Seen<'_>, each: Option<f64>) -> String {
    let frames = &seen.done.frames;
    let specks = frames.iter().flat_map(|frame| seen.dust.within(frame.reading.corners));
    let (count, area) = specks.fold((0, 0.0), |(count, area), speck| (count + 1, area + speck.area));
    let size = match each {
        Some(each) => format!("{:.1}\u{a0}mm\u{b2} in all", area * each),
        None => format!("{area:.0} pixels of the scan in all"),
    };
    let by_frame: Vec<String> = frames.iter().map(|f| format!("frame {}: {}", f.number, f.reading.dust)).collect();
    let by_frame = if frames.len() > 1 { format!(" \u{b7} {}", by_frame.join(", ")) } else { String::new() };
    let found = match count {
        0 => "no specks or hairs found".to_owned(),
        1 => format!("1 speck or hair found, {size}{by_frame}"),
        count => format!("{count} specks and hairs found, {size}{by_frame}"),
    };
    format!("{found} \u{b7} faint ones and threads may be missed")
}

/// A frame as it prints, dimmed and turned upright, paper white around it within `area`; all in pixels of the overview.
fn print(seen: &Seen<'_>, frame: &Decided, outline: Quad, area: Area) -> GrayImage {
    let print = frame.print();
    let tones = grey(&seen.overview.part(area), |light| {
        let net = density(light) - frame.base;
        DIMMED.0 + (DIMMED.1 - DIMMED.0) / 100.0 * lightness(Rendering::Screen.luminance(&print, net))
    });
    let mut shown = GrayImage::from_pixel(area.width, area.height, Luma([255]));
    let outline = outline.moved(-f64::from(area.x), -f64::from(area.y));
    for y in 0..area.height {
        for x in outline.row_span(y, area.width) {
            shown.put_pixel(x as u32, y, *tones.get_pixel(x as u32, y));
        }
    }
    let orientation = seen.scan.facts().orientation;
    let upright = orientation.upright(area.size());
    GrayImage::from_fn(upright.width, upright.height, |x, y| {
        let (column, row) = orientation.stored(x, y, area.size());
        *shown.get_pixel(column, row)
    })
}
