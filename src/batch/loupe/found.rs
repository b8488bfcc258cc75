//! What a look tells: how sharp the frame is, and how large it can be printed.

use crate::batch::print::GOOD;
use crate::film::Focus;
use crate::light::{LengthUnit, Millimetres, PixelsPerInch};

/// How sharp a frame is, and how large it can be printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Width of an edge in its sharpest places, from a tenth of its way to nine tenths, in pixels of the scan; nothing
    /// if there is nothing to focus on.
    pub edge: Option<f64>,
    /// Width and height of the largest print at 300 pixels an inch, by the pixels there are.
    pub by_pixels: (Millimetres, Millimetres),
    /// The same by what its sharpest places fill.
    pub by_sharpness: Option<(Millimetres, Millimetres)>,
}

/// From a tenth of its way to nine tenths an edge blurred by a bell of spread 1 takes so much: twice the bell's 90th
/// percentile, 1.28155 (tables of the normal distribution).
const EDGE: f64 = 2.5631;

impl Found {
    /// By the focus of a frame of so many pixels.
    pub(in crate::batch) fn of(focus: Option<&Focus>, (width, height): (f64, f64)) -> Self {
        let at = |share: f64| {
            let good = PixelsPerInch::new(GOOD).expect("prints have pixels");
            let length = |pixels: f64| Millimetres::of_pixels(pixels * share, good);
            (length(width), length(height))
        };
        let carried = focus.and_then(Focus::carried);
        Self {
            edge: focus.and_then(Focus::best).map(|spread| EDGE * spread),
            by_pixels: at(1.0),
            by_sharpness: carried.map(at),
        }
    }

    /// The width of an edge in words, on the film, too, if the scan's resolution is known.
    pub(super) fn edge_words(&self, scan: Option<PixelsPerInch>) -> Option<String> {
        let on_film = |edge| {
            let on_film =
                |ppi| format!(", {:.0}\u{a0}\u{b5}m on the film", 1000.0 * Millimetres::of_pixels(edge, ppi).value());
            scan.map_or_else(String::new, on_film)
        };
        self.edge.map(|edge| format!("{edge:.1}\u{a0}pixels{}", on_film(edge)))
    }
}

/// A print's width and height in centimetres: "30.5 × 24.1 cm".
pub(in crate::batch) fn in_centimetres(size: (Millimetres, Millimetres)) -> String {
    in_unit(size, LengthUnit::Centimetre)
}

fn in_unit((width, height): (Millimetres, Millimetres), unit: LengthUnit) -> String {
    format!("{:.1} \u{d7} {:.1} {}", unit.count(width), unit.count(height), unit.name())
}

/// The other resolution that prints are made at: many ink printers' own, two thirds of 360 (common practice).
const FAIR: f64 = 240.0;

/// The largest prints, by pixels and by sharpness, at two resolutions.
pub(super) fn table(found: &Found, (width, height): (f64, f64)) -> Vec<[String; 3]> {
    let at = |size: (Millimetres, Millimetres), resolution: f64| {
        let size = (size.0 * (GOOD / resolution), size.1 * (GOOD / resolution));
        format!("{} ({})", in_centimetres(size), in_unit(size, LengthUnit::Inch))
    };
    let row = |words: String, size: Option<(Millimetres, Millimetres)>| {
        let of = |resolution| size.map_or_else(|| "not told".to_owned(), |size| at(size, resolution));
        [words, of(GOOD), of(FAIR)]
    };
    vec![
        ["largest print".to_owned(), format!("at {GOOD} pixels an inch"), format!("at {FAIR} pixels an inch")],
        row(format!("by its {width:.0} \u{d7} {height:.0} pixels"), Some(found.by_pixels)),
        row("by its sharpest places".to_owned(), found.by_sharpness),
    ]
}
