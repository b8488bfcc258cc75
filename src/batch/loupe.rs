//! `dryside loupe`: a frame looked at pixel by pixel, and how sharply it is drawn.

use std::path::PathBuf;

use rayon::prelude::*;

use crate::film::{Detail, Dust, Focus, Panes, Speck, Told};
use crate::flat::{self, Law};
use crate::light::{Densitometer, Density, Encoding, LengthUnit, Millimetres, PixelsPerInch};
use crate::paper::PaperSize;
use crate::plane::{Area, Band, Point, Quad, Size, Table};
use crate::scan::{self, Channel, Halt, Orientation, Rows, Scan};
use crate::sheet::{Crop, FocusMark, Head, LOUPE_PPI, LoupePage, LoupePictures, LoupeWords, PageSize, Pixels, Sheet};

use super::each_frame::{Asked, Laid, each_frame};
use super::folders::{self, LOUPE};
use super::page_files;
use super::print::{Carrier, GOOD, Lamp, Part, Trial};
use super::reading::overview;
use super::wishes::Wishes;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct LoupeOrder {
    /// Frames as a person named them.
    pub frames: Vec<PathBuf>,
    /// Places that are looked at beside the sharpest ones and the corners, in pixels of the scan.
    pub at: Vec<Point>,
    /// The page.
    pub page: PageSize,
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<PathBuf>,
    /// Where the pages go; `loupe` in the folder of results if not said.
    pub out: Option<PathBuf>,
    /// Replace files of other hands.
    pub force: bool,
    /// Bytes of memory that may be used.
    pub memory: u64,
}

/// What became of all.
#[derive(Clone, Debug, Default)]
pub struct LoupeOutcome {
    /// Frames looked at.
    pub looks: Vec<LoupeMade>,
    /// What could not be looked at, and why.
    pub failures: Vec<String>,
}

/// A frame looked at.
#[derive(Clone, Debug)]
pub struct LoupeMade {
    /// The frame.
    pub frame: String,
    /// The PDF, and its pages as pictures.
    pub files: Vec<PathBuf>,
    /// What was told of it.
    pub found: Found,
}

/// How sharp a frame is, and how large it can be printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Spread of the blur of its sharpest places, in pixels of the scan; nothing if there is nothing to focus on.
    pub blur: Option<f64>,
    /// Width and height of the largest print at 300 pixels an inch, by the pixels there are.
    pub by_pixels: (Millimetres, Millimetres),
    /// The same by what its sharpest places fill.
    pub by_sharpness: Option<(Millimetres, Millimetres)>,
}

/// Looks at frames, until `halt` is asked. One that fails is told; the others go on. Meanwhile `tell` learns the name of each.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub fn look(order: &LoupeOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<LoupeOutcome, folders::Error> {
    let (scans, out) = (order.scans.as_deref(), order.out.as_deref());
    let asked = Asked { frames: &order.frames, scans, out, folder: LOUPE, memory: order.memory, halt };
    let (looks, failures) = each_frame(&asked, tell, |laid| {
        let (sheet, found) = page(laid, &order.at, order.page)?;
        let files = page_files::save(&sheet, laid.folder, &laid.name, ppi(LOUPE_PPI), order.force)?;
        Ok(LoupeMade { frame: laid.name.clone(), files, found })
    })?;
    Ok(LoupeOutcome { looks, failures })
}

/// The sharpest places that are shown.
const SHARP_PLACES: usize = 2;

/// A frame's page, and what was told of it.
///
/// # Errors
/// When the page is too small, a place lies outside the frame, or the scan can no longer be read.
fn page(laid: &Laid<'_>, at: &[Point], size: PageSize) -> Result<(Sheet, Found), String> {
    let carrier = Carrier::of(&Wishes::default(), laid.noted, laid.number, laid.scan)?;
    let bench = carrier.read.bench(laid.scan.facts()).map_err(|e| e.to_string())?;
    let (width, height) =
        carrier.lying.upright(0.0).ok_or("the frame's outline holds no picture: put it right in the notes")?;
    let focus = focus(laid.scan, &carrier, &bench).map_err(|e| e.to_string())?;
    let found = Found::of(focus.as_ref(), (width, height));
    let words =
        LoupeWords { head: head(laid), table: table(&found, (width, height)), facts: facts(laid, focus.as_ref()) };
    let page = LoupePage::new(&words, size).map_err(|e| e.to_string())?;
    let whole = whole(laid.scan, &carrier, page.overview_room(), width / height)?;
    if let Some(place) = at.iter().find(|place| !whole.shows(**place)) {
        let what = format!("--at {},{} lies outside its picture", place.x, place.y);
        return Err(format!("{what}: give a place within its corners, in pixels of the scan as stored"));
    }
    let lamp = Lamp::of(&carrier.decided, &bench);
    let overview = whole.expose(&[Part { area: whole.size().whole(), lamp: &lamp }]).map_err(|e| e.to_string())?;
    let overview = overview.into_iter().next().expect("one picture for one part");

    let frame = within(whole.outline(), laid.scan.facts().size);
    let (side, each) = page.crop_pixels(frame.width.min(frame.height));
    let places = places(&carrier, frame, side, at, focus.as_ref());
    let flat = Flat::of(laid, &carrier, &bench)?;
    let crop = |(letter, place): (char, &Place)| -> Result<Crop, String> {
        Ok(Crop {
            letter: letter.to_string(),
            words: place.words.clone(),
            pixels: flat.pixels(place.area)?,
            area: in_overview(&whole, place.area),
        })
    };
    let crops = ('A'..='Z').cycle().zip(&places).map(crop).collect::<Result<_, _>>()?;
    let marks = focus.as_ref().map(|focus| marks(focus, &whole)).unwrap_or_default();
    Ok((page.finish(&LoupePictures { overview, marks, crops, each }), found))
}

/// The whole pixels inside an upright outline.
fn within(Quad([a, _, c, _]): Quad, size: Size) -> Area {
    let span = |from: f64, to: f64, most: u32| {
        let low = from.min(to).ceil().clamp(0.0, f64::from(most - 1)) as u32;
        (low, (from.max(to).floor().min(f64::from(most)) as u32).max(low + 1) - low)
    };
    let ((x, width), (y, height)) = (span(a.x, c.x, size.width), span(a.y, c.y, size.height));
    Area { x, y, width, height }
}

fn ppi(value: f64) -> PixelsPerInch {
    PixelsPerInch::new(value).expect("a page has pixels")
}

/// The frame laid out as large as its overview on the page.
fn whole<'a>(scan: &'a Scan, carrier: &Carrier, (wide, high): (u32, u32), shape: f64) -> Result<Trial<'a>, String> {
    let width = f64::from(wide).min(f64::from(high) * shape);
    let whole = |length: f64| length.floor().max(10.0);
    let size = format!("{}x{}mm", whole(width), whole(width / shape));
    let size: PaperSize = size.parse().map_err(|e: crate::paper::UnknownPaperSize| e.to_string())?;
    Trial::lay(carrier, scan, size, ppi(LOUPE_PPI), 0.0)
}

/// Density beyond which nothing is told: no flatbed reads further (common practice).
const DENSEST: f64 = 5.0;
/// A speck of dust is left out with so many pixels of the overview around it.
const DUST_EDGE: f64 = 2.0;

/// Looks at every pane of the frame, a row of panes at a time; nothing where it is smaller than one.
fn focus(scan: &Scan, carrier: &Carrier, bench: &Densitometer) -> Result<Option<Focus>, scan::Error> {
    let (size, corners) = (scan.facts().size, carrier.lying.corners);
    let Some(panes) = Panes::of(corners, size) else { return Ok(None) };
    let channel = carrier.read.channel();
    let seen = overview(scan, channel, bench)?;
    let (dust, scale) = (Dust::of(&seen), seen.scale());
    let edge = (DUST_EDGE * scale.0, DUST_EDGE * scale.1);
    let densities: Vec<f32> = bench.densities().iter().map(|d| d.min(DENSEST) as f32).collect();
    let (left, width) = (panes.left as usize, (panes.across * panes.side) as usize);
    let row_of_panes = width * panes.side as usize;
    let mut details = Vec::new();
    let mut held: Vec<f32> = Vec::with_capacity(2 * row_of_panes);
    // Specks with their soft edges.
    let with_edge = |speck: &Speck| {
        let Quad([a, _, c, _]) = speck.bounds;
        let (a, c) = (Point { x: a.x - edge.0, y: a.y - edge.1 }, Point { x: c.x + edge.0, y: c.y + edge.1 });
        Quad([a, Point { x: c.x, y: a.y }, c, Point { x: a.x, y: c.y }]).bounds(size)
    };
    let specks: Vec<Area> = dust.within(corners).map(with_edge).collect();

    let read = |band: &Band<'_>| -> Vec<f32> {
        let mut seen = Vec::with_capacity(band.samples().len());
        for (y, row) in band.rows() {
            let start = seen.len();
            seen.extend(row[left..][..width].iter().map(|code| densities[usize::from(*code)]));
            // What is dark by dust: of what is as dark, the certain specks.
            for speck in specks.iter().filter(|speck| speck.rows().contains(&y)) {
                let in_row = |column: usize| column.saturating_sub(left).min(width);
                let mut from = speck.columns().start;
                for clear in dust.clear(y, speck.columns()) {
                    seen[start..][in_row(from)..in_row(clear.start)].fill(f32::NAN);
                    from = clear.end;
                }
                seen[start..][in_row(from)..in_row(speck.columns().end)].fill(f32::NAN);
            }
        }
        seen
    };
    let rows = Rows::Between { first: panes.top, end: panes.top + panes.down * panes.side };
    scan.read(channel, rows, read, |seen| -> Result<(), scan::Error> {
        held.extend_from_slice(&seen);
        while held.len() >= row_of_panes {
            let first = details.len();
            let look = |column: usize| {
                let area = panes.area(first + column);
                let at = |x: u32, y: u32| corners.holds(Point { x: f64::from(x), y: f64::from(y) });
                let (right, end) = (area.x + area.width, area.rows().end);
                let inside = at(area.x, area.y) && at(right, area.y) && at(right, end) && at(area.x, end);
                let side = panes.side as usize;
                let pane =
                    || held.chunks_exact(width).take(side).flat_map(|row| &row[column * side..][..side]).copied();
                if inside { Detail::of(&pane().collect::<Vec<f32>>(), &panes) } else { None }
            };
            let of_row: Vec<Option<Detail>> = (0..panes.across as usize).into_par_iter().map(look).collect();
            details.extend(of_row);
            held.drain(..row_of_panes);
        }
        Ok(())
    })?;
    Ok(Some(Focus::of(panes, &details, carrier.decided.reading.thin.value())))
}

/// A part of the scan that is shown, and what it is.
struct Place {
    area: Area,
    words: String,
}

/// The places: those that were given, the sharpest ones, the corners.
fn places(carrier: &Carrier, frame: Area, side: u32, at: &[Point], focus: Option<&Focus>) -> Vec<Place> {
    let (width, height) = (side.min(frame.width), side.min(frame.height));
    let around = |place: Point, words: String| {
        let first = |middle: f64, length: u32, from: u32, most: u32| {
            (middle - f64::from(length) / 2.0).round().clamp(f64::from(from), f64::from(from + most - length)) as u32
        };
        let (x, y) = (first(place.x, width, frame.x, frame.width), first(place.y, height, frame.y, frame.height));
        Place { area: Area { x, y, width, height }, words: format!("{words} \u{b7} {:.0},{:.0}", place.x, place.y) }
    };
    let mut places: Vec<Place> = at.iter().map(|place| around(*place, "given".to_owned())).collect();
    let sharpest = focus.map(|focus| focus.sharpest(SHARP_PLACES, 1.5 * f64::from(side))).unwrap_or_default();
    let ranked = ["the sharpest place", "next to it in sharpness"];
    places.extend(sharpest.into_iter().zip(ranked).map(|(place, words)| around(place, words.to_owned())));
    // A frame that one crop shows has no corners of its own.
    if (width, height) != (frame.width, frame.height) {
        places.extend(corners(carrier.lying.orientation, frame, (width, height)).map(|(at, words)| around(at, words)));
    } else if places.is_empty() {
        let middle =
            Point { x: f64::from(frame.x) + f64::from(width) / 2.0, y: f64::from(frame.y) + f64::from(height) / 2.0 };
        places.push(around(middle, "the whole frame".to_owned()));
    }
    places
}

/// Middles of crops in the corners of a frame, named as it stands upright, in reading order.
fn corners(orientation: Orientation, frame: Area, (width, height): (u32, u32)) -> [(Point, String); 4] {
    let (x0, y0) = (f64::from(frame.x) + f64::from(width) / 2.0, f64::from(frame.y) + f64::from(height) / 2.0);
    let (x1, y1) = (x0 + f64::from(frame.width - width), y0 + f64::from(frame.height - height));
    let unit = Size { width: 1, height: 1 };
    let mut all =
        [(x0, y0, 0.0, 0.0), (x1, y0, 1.0, 0.0), (x0, y1, 0.0, 1.0), (x1, y1, 1.0, 1.0)].map(|(x, y, right, below)| {
            let upright = orientation.upright_place(Point { x: right, y: below }, unit);
            let (down, across) = (upright.y > 0.5, upright.x > 0.5);
            let name = format!("{} {}", if down { "bottom" } else { "top" }, if across { "right" } else { "left" });
            ((down, across), (Point { x, y }, name))
        });
    all.sort_by_key(|(order, _)| *order);
    all.map(|(_, named)| named)
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

/// The flat positive, as its file has it.
struct Flat<'a> {
    scan: &'a Scan,
    channel: Channel,
    table: Table,
    encoding: Encoding,
}

impl<'a> Flat<'a> {
    fn of(laid: &Laid<'a>, carrier: &Carrier, bench: &Densitometer) -> Result<Self, String> {
        let notes = &laid.noted.notes.flat;
        let placed = notes.frames.iter().find(|frame| frame.number as usize == laid.number);
        let placed = placed.ok_or("its notes tell of no flat positive: run dryside batch on the scans first")?;
        let encoding: Encoding = notes.encoding.parse().map_err(|e: crate::light::UnknownEncoding| e.to_string())?;
        let law = Law::between(Density::new(placed.thin), Density::new(placed.dense));
        let table = flat::table(bench, carrier.decided.base, &law, &encoding);
        Ok(Self { scan: laid.scan, channel: carrier.read.channel(), table, encoding })
    }

    /// The pixels of an area, upright.
    fn pixels(&self, area: Area) -> Result<Pixels, String> {
        let mut codes = Vec::with_capacity(area.size().pixels() as usize);
        let rows = Rows::Between { first: area.y, end: area.rows().end };
        let cut = |band: &Band<'_>| {
            let mut flat = Vec::new();
            band.rows().for_each(|(_, row)| self.table.extend(&row[area.columns()], &mut flat));
            flat
        };
        let taken = self.scan.read(self.channel, rows, cut, |part| -> Result<(), scan::Error> {
            codes.extend_from_slice(&part);
            Ok(())
        });
        taken.map_err(|e| e.to_string())?;
        let orientation = self.scan.facts().orientation;
        let upright = orientation.upright(area.size());
        let stored = |x: u32, y: u32| {
            let (column, row) = orientation.stored(x, y, area.size());
            codes[row as usize * area.width as usize + column as usize]
        };
        let turned: Vec<u16> = (0..upright.height)
            .flat_map(|y| (0..upright.width).map(move |x| (x, y)))
            .map(|(x, y)| stored(x, y))
            .collect();
        Ok(Pixels::deep(upright, &turned, &self.encoding))
    }
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

impl Found {
    fn of(focus: Option<&Focus>, (width, height): (f64, f64)) -> Self {
        let at = |share: f64| {
            let length = |pixels: f64| Millimetres::of_pixels(pixels * share, ppi(GOOD));
            (length(width), length(height))
        };
        let carried = focus.and_then(Focus::carried);
        Self { blur: focus.and_then(Focus::best), by_pixels: at(1.0), by_sharpness: carried.map(at) }
    }
}

/// The other resolution that prints are made at: many ink printers' own, two thirds of 360 (common practice).
const FAIR: f64 = 240.0;

fn table(found: &Found, (width, height): (f64, f64)) -> Vec<[String; 3]> {
    let at = |size: (Millimetres, Millimetres), resolution: f64| {
        let in_unit = |unit: LengthUnit| {
            let length = |length: Millimetres| unit.count(length * (GOOD / resolution));
            format!("{:.1} \u{d7} {:.1} {}", length(size.0), length(size.1), unit.name())
        };
        format!("{} ({})", in_unit(LengthUnit::Centimetre), in_unit(LengthUnit::Inch))
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

fn facts(laid: &Laid<'_>, focus: Option<&Focus>) -> Vec<String> {
    let Some(focus) = focus else {
        return vec!["The frame is too small to tell its sharpness: it has fewer than 48 pixels one way.".to_owned()];
    };
    let all = focus.told().count();
    let told = focus.told().filter(|(_, told)| *told != Told::Nothing).count();
    let Some(blur) = focus.best() else {
        return vec![
            "There is nothing to focus on in this frame: no detail, or none that its own grain does not hide."
                .to_owned(),
        ];
    };
    let on_film = laid.scan.facts().resolution.map_or_else(String::new, |resolution| {
        let film = Millimetres::of_pixels(blur, resolution.x);
        format!(", {:.0}\u{a0}\u{b5}m on the film", 1000.0 * film.value())
    });
    vec![
        format!(
            "The sharpest tenth of {told} squares with detail, of {all}: an edge is blurred by a bell of {blur:.1}\u{a0}pixels{on_film}. \
             At the size of the second row, a tenth of the contrast is left in the finest detail that a print can hold."
        ),
        "It tells which parts are sharper than others, over this frame's own grain and whatever their contrast. It cannot tell \
         whether lens, movement or scanner made them soft, nor fine texture from fine dust: look at the crops, and make a \
         small test print of one before a large one."
            .to_owned(),
    ]
}

fn head(laid: &Laid<'_>) -> Head {
    let subject = laid.noted.shot().subject.unwrap_or_default();
    let size = laid.scan.facts().size;
    Head {
        title: format!("loupe: {}", laid.name),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: subject,
        paper_and_table: format!(
            "{}, {} \u{d7} {} pixels; places are in its pixels as stored",
            laid.noted.notes.scan.file, size.width, size.height
        ),
    }
}
