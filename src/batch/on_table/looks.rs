//! Where a frame is sharp, and where dust lies on it.

use crate::batch::loupe::{Found, focus, in_centimetres};
use crate::batch::print::Carrier;
use crate::batch::reading::overview;
use crate::batch::wishes::Wishes;
use crate::film::{Dust, Told};
use crate::light::Millimetres;
use crate::plane::{Area, Point, Quad, Size};
use crate::scan::Orientation;

use super::{TableFrames, net};

/// A place in a frame: all as shares of its upright picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Left and top edge.
    pub at: (f64, f64),
    /// Width and height.
    pub size: (f64, f64),
}

/// Where a frame is sharp.
#[derive(Clone, Debug, Default)]
pub struct Sharp {
    /// Places and how sharp each is, 3 as the sharpest of the frame, 0 much less.
    pub places: Vec<(Spot, u8)>,
    /// What it means, in words.
    pub words: Vec<String>,
}

/// A place is of a rank if its edges are not wider than those of the sharpest by this factor (common practice: what is
/// twice as wide is seen to be soft).
const RANKS: [f64; 3] = [1.25, 1.6, 2.0];

impl TableFrames {
    /// Where a frame is sharp, relative to its own grain.
    ///
    /// # Errors
    /// When the scan is away, or cannot be read.
    pub fn sharp(&self, id: usize) -> Result<Sharp, String> {
        let (noted, number) = self.noted(id)?;
        let scan = self.scan(&noted)?;
        let carrier = Carrier::of(&Wishes::default(), &noted, number, &scan)?;
        let bench = carrier.read.bench(scan.facts()).map_err(|e| e.to_string())?;
        let Some(focus) = focus(&scan, &carrier, &bench).map_err(|e| e.to_string())? else {
            return Ok(Sharp { words: vec!["the frame is too small to be looked at".to_owned()], ..Sharp::default() });
        };
        let (area, orientation) = (self.area(&noted, number), net::orientation(&noted));
        let best = focus.best();
        let rank =
            |spread: f64| best.map_or(0, |best| RANKS.iter().filter(|times| spread <= best * **times).count() as u8);
        let place = |(pane, told)| match told {
            Told::Blur(spread) => Some((upright(pane, area, orientation), rank(spread))),
            _ => None,
        };
        let extent = carrier.lying.upright(0.0).unwrap_or_default();
        let found = Found::of(Some(&focus), extent);
        let size = |words: &str, size: (Millimetres, Millimetres)| format!("{words} {}", in_centimetres(size));
        let mut words = vec![size("largest print by its pixels", found.by_pixels)];
        words.extend(found.by_sharpness.map(|by| size("by its sharpest places", by)));
        Ok(Sharp { places: focus.told().filter_map(place).collect(), words })
    }

    /// Where dust lies on a frame.
    ///
    /// # Errors
    /// When the scan is away, or cannot be read.
    pub fn dust(&self, id: usize) -> Result<Vec<Spot>, String> {
        let (noted, number) = self.noted(id)?;
        let scan = self.scan(&noted)?;
        let read = net::read(&noted)?;
        let bench = read.bench(scan.facts()).map_err(|e| e.to_string())?;
        let overview = overview(&scan, read.channel(), &bench).map_err(|e| e.to_string())?;
        let (area, orientation) = (self.area(&noted, number), net::orientation(&noted));
        let size = noted.reading.size;
        let dust = Dust::of(&overview);
        let specks = dust.within(noted.reading.frames[number - 1].corners);
        Ok(specks.map(|speck| upright(speck.bounds.bounds(size), area, orientation)).collect())
    }
}

/// A part of the scan as shares of a frame that stands upright.
fn upright(part: Area, frame: Area, orientation: Orientation) -> Spot {
    let (width, height) = (f64::from(frame.width), f64::from(frame.height));
    let Quad([a, _, c, _]) = Quad::of(part);
    let share = |p: Point| Point { x: (p.x - f64::from(frame.x)) / width, y: (p.y - f64::from(frame.y)) / height };
    let turned = |p: Point| orientation.upright_place(share(p), Size { width: 1, height: 1 });
    let (a, c) = (turned(a), turned(c));
    Spot { at: (a.x.min(c.x), a.y.min(c.y)), size: ((a.x - c.x).abs(), (a.y - c.y).abs()) }
}
