//! A frame under the loupe: everything that its page, or its place on a proof sheet, goes by.

use image::GrayImage;

use super::flat::Flat;
use super::focus::focus;
use super::found::Found;
use super::places::{Place, within};
use crate::batch::each_frame::Laid;
use crate::batch::print::{Carrier, Lamp, Part, Trial};
use crate::batch::wishes::Wishes;
use crate::film::{Focus, Told};
use crate::light::{Densitometer, PixelsPerInch};
use crate::paper::PaperSize;
use crate::plane::{Area, Point};
use crate::scan::Scan;
use crate::sheet::{Crop, FocusMark};

/// A frame under the loupe.
pub(super) struct Glass<'a> {
    laid: &'a Laid<'a>,
    /// How it is printed.
    pub carrier: Carrier,
    bench: Densitometer,
    /// How sharp its parts are; nothing if it is too small to tell.
    pub focus: Option<Focus>,
    /// Its pixels, across and down, upright.
    pub size: (f64, f64),
    /// What was told of it.
    pub found: Found,
}

/// The whole frame as it prints, small.
pub(super) struct Overview<'a> {
    trial: Trial<'a>,
    /// Its pixels.
    pub print: GrayImage,
    /// The panes of which something is told.
    pub marks: Vec<FocusMark>,
}

impl<'a> Glass<'a> {
    /// Looks at all of a frame.
    ///
    /// # Errors
    /// When its notes are wrong, its outline holds no picture, or the scan can no longer be read.
    pub(super) fn over(laid: &'a Laid<'a>) -> Result<Self, String> {
        let carrier = Carrier::of(&Wishes::default(), laid.noted, laid.number, laid.scan)?;
        let bench = carrier.read.bench(laid.scan.facts()).map_err(|e| e.to_string())?;
        let size =
            carrier.lying.upright(0.0).ok_or("the frame's outline holds no picture: put it right in the notes")?;
        let focus = focus(laid.scan, &carrier, &bench).map_err(|e| e.to_string())?;
        let found = Found::of(focus.as_ref(), size);
        Ok(Self { laid, carrier, bench, focus, size, found })
    }

    /// The whole frame in a room of so many millimetres, at a resolution.
    ///
    /// # Errors
    /// When the scan can no longer be read.
    pub(super) fn overview(&self, room: (u32, u32), ppi: PixelsPerInch) -> Result<Overview<'a>, String> {
        let trial = whole(self.laid.scan, &self.carrier, room, self.size.0 / self.size.1, ppi)?;
        let lamp = Lamp::of(&self.carrier.decided, &self.bench);
        let print = trial.expose(&[Part { area: trial.size().whole(), lamp: &lamp }]).map_err(|e| e.to_string())?;
        let print = print.into_iter().next().expect("one picture for one part");
        let marks = self.focus.as_ref().map(|focus| marks(focus, &trial)).unwrap_or_default();
        Ok(Overview { trial, print, marks })
    }

    /// Parts of its flat positive pixel by pixel, lettered.
    ///
    /// # Errors
    /// When its notes tell of none, or the scan can no longer be read.
    pub(super) fn crops(&self, places: &[Place], on: &Overview<'_>) -> Result<Vec<Crop>, String> {
        let flat = Flat::of(self.laid, &self.carrier, &self.bench)?;
        let crop = |(letter, place): (char, &Place)| {
            let (letter, words) = (letter.to_string(), place.words.clone());
            Ok(Crop { letter, words, pixels: flat.pixels(place.area)?, area: in_overview(&on.trial, place.area) })
        };
        ('A'..='Z').cycle().zip(places).map(crop).collect()
    }
}

impl Overview<'_> {
    /// Whether a place of the scan shows.
    pub(super) fn shows(&self, place: Point) -> bool {
        self.trial.shows(place)
    }

    /// What of the scan shows, in whole pixels.
    pub(super) fn area(&self, scan: &Scan) -> Area {
        within(self.trial.outline(), scan.facts().size)
    }
}

/// The frame laid out as large as its overview on the page.
fn whole<'a>(
    scan: &'a Scan,
    carrier: &Carrier,
    (wide, high): (u32, u32),
    shape: f64,
    ppi: PixelsPerInch,
) -> Result<Trial<'a>, String> {
    let width = f64::from(wide).min(f64::from(high) * shape);
    let whole = |length: f64| length.floor().max(10.0);
    let size = format!("{}x{}mm", whole(width), whole(width / shape));
    let size: PaperSize = size.parse().map_err(|e: crate::paper::UnknownPaperSize| e.to_string())?;
    Trial::lay(carrier, scan, size, ppi, 0.0)
}

/// An area of the scan in pixels of the overview.
fn in_overview(whole: &Trial<'_>, area: Area) -> Area {
    let (x0, y0) = (f64::from(area.x), f64::from(area.y));
    let ends = [(x0, y0), (x0 + f64::from(area.width), y0 + f64::from(area.height))];
    let [a, b] = ends.map(|(x, y)| whole.place(Point { x, y }));
    let span = |a: f64, b: f64, most: u32| {
        let (low, high) = (a.min(b).round().max(0.0), a.max(b).round().min(f64::from(most)));
        (low as u32, (high - low).max(1.0) as u32)
    };
    let (x, width) = span(a.x, b.x, whole.size().width);
    let (y, height) = span(a.y, b.y, whole.size().height);
    Area { x, y, width, height }
}

/// The panes as the map shows them.
fn marks(focus: &Focus, whole: &Trial<'_>) -> Vec<FocusMark> {
    let Some(best) = focus.best() else { return Vec::new() };
    let (width, height) = (f64::from(whole.size().width), f64::from(whole.size().height));
    let mark = |(area, told): (Area, Told)| {
        let Told::Blur(spread) = told else { return None };
        let half = f64::from(area.width) / 2.0;
        let middle = whole.place(Point { x: f64::from(area.x) + half, y: f64::from(area.y) + half });
        let side = f64::from(area.width) / whole.scale() / width;
        Some(FocusMark { middle: (middle.x / width, middle.y / height), side, sharpness: (best / spread).min(1.0) })
    };
    focus.told().filter_map(mark).collect()
}
