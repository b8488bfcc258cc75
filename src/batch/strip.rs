//! `dryside strip`: a test strip of a frame, from the scan and its notes.

use std::path::{Path, PathBuf};

use crate::film::{Dust, Nets, meeting};
use crate::light::{Densitometer, Millimetres, PixelsPerInch, Stops};
use crate::paper::{Grade, PaperSize, Placing};
use crate::plane::{Area, Overview, Point, Size};
use crate::scan::{Facts, Halt, Scan};
use crate::sheet::{Head, Label, PageSize, STRIP_PPI, Strip, StripPage, StripPictures};

use super::each_frame::{Asked, Laid, each_frame};
use super::folders::{self, STRIP};
use super::frame::Decided;
use super::page_files;
use super::print::{Carrier, Lamp, Part, Trial, open};
use super::reading::overview;
use super::wishes::Wishes;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct StripOrder {
    /// Frames as a person named them.
    pub frames: Vec<PathBuf>,
    /// How they are placed on which paper, as settings; as their proofs if not said.
    pub graded: Wishes,
    /// Exposures, an odd number: the middle one is the print's.
    pub steps: u8,
    /// From one exposure to the next.
    pub step: Stops,
    /// The middle of the part that is shown in several grades, in pixels of the scan; found if not said.
    pub at: Option<Point>,
    /// Whether a frame that lies askew is set upright.
    pub straighten: bool,
    /// The page.
    pub page: PageSize,
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<PathBuf>,
    /// Where the strips go; `strip` in the folder of results if not said.
    pub out: Option<PathBuf>,
    /// Replace files of other hands.
    pub force: bool,
    /// Bytes of memory that may be used.
    pub memory: u64,
}

/// Numbers of exposures: three is the least strip, and in more than eleven nothing is seen any more.
pub const STRIP_STEPS: std::ops::RangeInclusive<u8> = 3..=11;

/// Steps of exposure, in stops: a quarter is about the least the eye tells (published), a tenth is for the finest
/// papers.
pub const STRIP_STEP: std::ops::RangeInclusive<f64> = 0.1..=2.0;

/// What became of all.
#[derive(Clone, Debug, Default)]
pub struct StripOutcome {
    /// Test strips.
    pub strips: Vec<StripMade>,
    /// What could not be made, and why.
    pub failures: Vec<String>,
    /// Whether nothing of what was typed is there: the failures say so.
    pub none_there: bool,
}

/// A test strip.
#[derive(Clone, Debug)]
pub struct StripMade {
    /// The frame.
    pub frame: String,
    /// The PDF, and the page as a picture.
    pub files: Vec<PathBuf>,
    /// What stands in the middle: the grade, or both grades of a split.
    pub grade: String,
    /// Its exposure.
    pub exposure: Stops,
    /// Middle of the grid's part, in pixels of the scan.
    pub at: Point,
    /// Width and height of the print of which the grid shows a part, in millimetres.
    pub print: (u32, u32),
    /// The paper and the table of grades.
    pub stock: String,
    /// What a person should know.
    pub advice: Vec<String>,
}

/// Makes test strips, until `halt` is asked. One that fails is told; the others go on. Meanwhile `tell` learns the name
/// of each frame.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub fn make_strips(order: &StripOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<StripOutcome, folders::Error> {
    let (scans, out) = (order.scans.as_deref(), order.out.as_deref());
    let asked = Asked { frames: &order.frames, scans, out, folder: STRIP, memory: order.memory, halt };
    let came = each_frame(&asked, tell, |laid, folder| one(laid, folder, order))?;
    Ok(StripOutcome { strips: came.done, failures: came.failures, none_there: came.none_there })
}

/// Grades that a grid shows: that of the print, and up to two on either side.
const ROWS: usize = 5;

fn one(laid: &Laid<'_>, folder: &Path, order: &StripOrder) -> Result<StripMade, String> {
    let carrier = Carrier::of(&order.graded, laid.noted, laid.number, laid.scan)?;
    let bench = carrier.read.bench(laid.scan.facts()).map_err(|e| e.to_string())?;
    let tilt = if order.straighten { carrier.lying.tilt() } else { 0.0 };
    let (width, height) = carrier.lying.upright(tilt).ok_or(NO_PICTURE)?;

    let exposures = exposures(&carrier.decided, order);
    let (rows, chosen_row) = rows(&carrier.decided);
    let middle = exposures.len() / 2;
    let page = |about_grid: String| {
        let label = |(stops, factor): &(Stops, f64)| Label { what: stops.to_string(), much: times(*factor) };
        let columns: Vec<Label> = exposures.iter().map(label).collect();
        let strip = Strip {
            head: head(laid, &carrier.decided),
            shape: width / height,
            bands: columns.clone(),
            chosen_band: middle,
            rows: rows.iter().map(|row| row.label.clone()).collect(),
            columns,
            chosen: (chosen_row, middle),
            about_bands: about_bands(&carrier.decided, order),
            about_grid,
        };
        StripPage::new(strip, order.page).map_err(|e| e.to_string())
    };
    // Its words may take two lines, whatever they are.
    let room = page(about_grid(&carrier.decided, (999, 999)))?;

    let (wide, tall) = room.picture_room();
    let whole = lay(&carrier, laid.scan, (wide, tall), tilt)?;
    let patch = room.patch();
    let part = part(laid, &carrier, &bench, patch)?;
    let at = order.at.unwrap_or(part.0);
    if !whole.shows(at) {
        let what = format!("--at {},{} lies outside its picture", at.x, at.y);
        return Err(format!("{what}: give a place within its corners, in pixels of the scan as stored"));
    }
    // The print of which a patch shows the part.
    let large = f64::from(patch.width) * width / part.1;
    let millimetres = |pixels: f64| Millimetres::of_pixels(pixels, ppi()).value().round().max(10.0) as u32;
    let print = (millimetres(large), millimetres(large * height / width));
    let large = lay(&carrier, laid.scan, print, tilt)?;
    let shown = within(large.size(), large.place(at), patch);

    let lamps = lamps(&rows, &exposures, &bench);
    let bands = cut(whole.size(), exposures.len());
    let in_bands: Vec<Part<'_>> =
        bands.iter().zip(&lamps[chosen_row]).map(|(area, lamp)| Part { area: *area, lamp }).collect();
    let patches: Vec<Part<'_>> = lamps.iter().flatten().map(|lamp| Part { area: shown, lamp }).collect();
    let expose = |trial: &Trial<'_>, parts| trial.expose(parts).map_err(|e| e.to_string());
    let pictures = StripPictures {
        bands: expose(&whole, &in_bands)?,
        part: scaled(shown, large.size(), whole.size()),
        patches: expose(&large, &patches)?,
    };
    let sheet = page(about_grid(&carrier.decided, print))?.finish(pictures);
    let files = page_files::save(&sheet, folder, &laid.name, ppi(), order.force)?;
    let decided = &carrier.decided;
    let mut advice = carrier.advice.clone();
    if large.scale() < ENOUGH {
        let what = "the scan has fewer pixels than the patches: they look softer than a print";
        advice.push(what.to_owned());
    }
    Ok(StripMade {
        frame: laid.name.clone(),
        files,
        grade: decided.split.map_or_else(|| decided.grade.to_string(), |split| split.to_string()),
        exposure: decided.exposure,
        at: Point { x: at.x.round(), y: at.y.round() },
        print,
        stock: decided.stock.to_string(),
        advice,
    })
}

/// Pixels of the scan for one of a patch, below which it is blown up: rounding costs a little.
const ENOUGH: f64 = 0.99;

const NO_PICTURE: &str = "the frame's outline holds no picture: put it right in the notes";

fn ppi() -> PixelsPerInch {
    PixelsPerInch::new(STRIP_PPI).expect("a page has pixels")
}

fn lay<'a>(carrier: &Carrier, scan: &'a Scan, mm: (u32, u32), tilt: f64) -> Result<Trial<'a>, String> {
    let size: PaperSize = format!("{}x{}mm", mm.0, mm.1).parse().map_err(|_| NO_PICTURE.to_owned())?;
    Trial::lay(carrier, scan, size, ppi(), tilt)
}

/// The exposures, each with its multiple of the chosen time: t = t0 2^(i s) (published).
fn exposures(decided: &Decided, order: &StripOrder) -> Vec<(Stops, f64)> {
    let middle = f64::from(order.steps / 2);
    let at = |i: u8| {
        let more = (f64::from(i) - middle) * order.step.value();
        (rounded(decided.exposure.value() + more), 2f64.powf(more))
    };
    (0..order.steps).map(at).collect()
}

/// Stops without the last bits of their sums.
fn rounded(stops: f64) -> Stops {
    Stops::new((stops * 1e12).round() / 1e12 + 0.0)
}

/// A row of the grid.
struct Row {
    label: Label,
    decided: Decided,
}

/// The rows, softest first, and which is the chosen one: grades around the chosen one as far as the table has them; of
/// a split exposure its hard part in thirds of a stop.
fn rows(decided: &Decided) -> (Vec<Row>, usize) {
    if let Some(split) = decided.split {
        let row = |third: i32| {
            let split = split.harder(rounded(f64::from(third) / 3.0));
            let decided = Decided { split: Some(split), ..decided.clone() };
            let near = decided.equivalent().map(|(grade, _)| format!("about {grade}")).unwrap_or_default();
            Row { label: Label { what: split.to_string(), much: near }, decided }
        };
        return ((-2..=2).map(row).collect(), 2);
    }
    let all: Vec<Grade> = Grade::all().collect();
    let at = all.iter().position(|grade| *grade == decided.grade).unwrap_or_default();
    let first = at.saturating_sub(ROWS / 2).min(all.len() - ROWS);
    let time = |of: &Decided| of.stock.shared(of.grade, open(of));
    let row = |grade: &Grade| {
        let own = Decided { grade: *grade, ..decided.clone() };
        let factor = 10f64.powf(time(&own) - time(decided));
        let much = format!("R {} \u{b7} {}", own.r(), times(factor));
        Row { label: Label { what: format!("grade {grade}"), much }, decided: own }
    };
    (all[first..first + ROWS].iter().map(row).collect(), at - first)
}

fn times(factor: f64) -> String {
    format!("\u{d7}\u{a0}{factor:.2}")
}

/// What each patch prints, row by row.
fn lamps(rows: &[Row], exposures: &[(Stops, f64)], bench: &Densitometer) -> Vec<Vec<Lamp>> {
    let lamp = |row: &Row, exposure: Stops| Lamp::of(&Decided { exposure, ..row.decided.clone() }, bench);
    rows.iter().map(|row| exposures.iter().map(|(stops, _)| lamp(row, *stops)).collect()).collect()
}

/// The picture cut across its longer side into so many bands.
fn cut(size: Size, bands: usize) -> Vec<Area> {
    let stands = size.width >= size.height;
    let long = if stands { size.width } else { size.height };
    let edge = |i: usize| (f64::from(long) * i as f64 / bands as f64).round() as u32;
    let band = |i: usize| {
        let (from, length) = (edge(i), edge(i + 1) - edge(i));
        match stands {
            true => Area { x: from, y: 0, width: length, height: size.height },
            false => Area { x: 0, y: from, width: size.width, height: length },
        }
    };
    (0..bands).map(band).collect()
}

/// An area of this size around a place, moved into the picture.
fn within(picture: Size, middle: Point, patch: Size) -> Area {
    let span = |middle: f64, length: u32, most: u32| {
        let length = length.min(most);
        ((middle - f64::from(length) / 2.0).round().clamp(0.0, f64::from(most - length)) as u32, length)
    };
    let (x, width) = span(middle.x, patch.width, picture.width);
    let (y, height) = span(middle.y, patch.height, picture.height);
    Area { x, y, width, height }
}

/// The same area in the picture at another size.
fn scaled(area: Area, from: Size, to: Size) -> Area {
    let (across, down) = (f64::from(to.width) / f64::from(from.width), f64::from(to.height) / f64::from(from.height));
    let length = |length: u32, scale: f64| (f64::from(length) * scale).round() as u32;
    Area {
        x: length(area.x, across),
        y: length(area.y, down),
        width: length(area.width, across).max(1),
        height: length(area.height, down).max(1),
    }
}

/// The part of a frame that holds both its ends: its middle in the scan, and its width upright, in widths of the scan's
/// pixels.
fn part(laid: &Laid<'_>, carrier: &Carrier, bench: &Densitometer, patch: Size) -> Result<(Point, f64), String> {
    let facts = laid.scan.facts();
    let seen = overview(laid.scan, carrier.read.channel(), bench).map_err(|e| e.to_string())?;
    let scale = seen.scale();
    let corners = carrier.lying.corners.scaled(1.0 / scale.0, 1.0 / scale.1);
    let area = corners.bounds(seen.size());
    let net = nets(&seen, area, carrier, bench);
    let decided = &carrier.decided;
    // Of a patch as it lies in the overview.
    let upright = f64::from(patch.width) / f64::from(patch.height);
    let shape = if facts.orientation.swaps_axes() { 1.0 / upright } else { upright };
    let shape = shape / pixel_shape(facts);
    let window = meeting(&Nets { size: area.size(), net: &net }, decided.thin(), decided.dense(), shape);
    let middle = |first: u32, window: u32, length: u32| f64::from(first + window) + f64::from(length) / 2.0;
    let at = Point {
        x: middle(area.x, window.x, window.width) * scale.0,
        y: middle(area.y, window.y, window.height) * scale.1,
    };
    let wide = match facts.orientation.swaps_axes() {
        false => f64::from(window.width) * scale.0,
        true => f64::from(window.height) * scale.1 * pixel_shape(facts),
    };
    Ok((at, wide))
}

/// Height of the scan's pixels over their width.
fn pixel_shape(facts: &Facts) -> f64 {
    facts.resolution.map_or(1.0, |r| r.x.value() / r.y.value())
}

/// Net densities of an area of the overview: no number where dust lies, or outside the frame.
fn nets(seen: &Overview, area: Area, carrier: &Carrier, bench: &Densitometer) -> Vec<f32> {
    let (scale, dust) = (seen.scale(), Dust::of(seen));
    let corners = carrier.lying.corners.scaled(1.0 / scale.0, 1.0 / scale.1);
    let base = carrier.decided.base.value();
    let density = |light: f32| {
        let code = bench.light().partition_point(|l| *l < light).min(bench.densities().len() - 1);
        (bench.densities()[code] - base) as f32
    };
    let mut net = vec![f32::NAN; area.size().pixels() as usize];
    for (row, y) in net.chunks_exact_mut(area.width as usize).zip(area.rows()) {
        let inside = corners.row_span(y, seen.size().width);
        let in_scan = |column: usize| (column as f64 * scale.0).round() as usize;
        let of_scan = ((f64::from(y) + 0.5) * scale.1) as u32;
        for clear in dust.clear(of_scan, in_scan(inside.start)..in_scan(inside.end)) {
            let columns = (clear.start as f64 / scale.0).ceil() as usize..(clear.end as f64 / scale.0).floor() as usize;
            for x in columns.start.max(area.x as usize)..columns.end.min(area.columns().end) {
                row[x - area.x as usize] = density(seen.at(x as u32, y));
            }
        }
    }
    net
}

fn head(laid: &Laid<'_>, decided: &Decided) -> Head {
    let dry_down = match decided.dry_down.percent() {
        0.0 => String::new(),
        _ => format!(", {} less for dry-down", decided.dry_down),
    };
    Head {
        title: format!("test strip: {}", laid.name),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: laid.noted.heading(),
        paper_and_table: format!("paper {}{dry_down}", decided.stock),
        ..Head::default()
    }
}

fn in_words(decided: &Decided) -> String {
    match decided.split {
        Some(split) => format!("split {split}"),
        None => format!("grade {}", decided.grade),
    }
}

/// A third of a stop, as stops are told.
const THIRD: &str = "+1/3";

fn about_bands(decided: &Decided, order: &StripOrder) -> String {
    let (grade, step) = (in_words(decided), order.step.to_string());
    let example = if order.step.to_string() == THIRD { ": \u{d7}\u{a0}1.26 is a quarter longer" } else { "" };
    format!(
        "Bands: the whole frame in {grade}, {} stop from one to the next. The bar marks the print as it is decided now. The \
         stops say how much more light each band got, more is darker; under them stands the time, as a multiple of that at the \
         bar{example}.",
        step.trim_start_matches('+')
    )
}

fn about_grid(decided: &Decided, print: (u32, u32)) -> String {
    let down = match (decided.split, decided.placing) {
        (Some(_), _) => "the hard part in thirds of a stop, both parts placed together",
        (None, Placing::Highlights) => "grades, each placed so that the dense end prints as the lightest tone",
        (None, Placing::Shadows) => "grades, each placed so that the thin end prints as black",
        (None, Placing::Fixed) => "grades, all with the same light",
        (None, Placing::Spot { .. }) => "grades, each placed by the same spot",
    };
    let times = if decided.split.is_some() { "" } else { ", with the time they take against the marked one" };
    format!(
        "Grid: the framed part as in a print of {} \u{d7} {} mm. Across: exposure, as above. Down: {down}{times}. The heavy \
         frame marks the same print.",
        print.0, print.1
    )
}
