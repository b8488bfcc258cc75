//! `dryside loupe`: a frame looked at pixel by pixel, and how sharply it is drawn.

mod behind;
mod flat;
mod focus;
mod found;
mod glass;
mod places;

use std::path::PathBuf;

use crate::film::Told;
use crate::light::PixelsPerInch;
use crate::plane::Point;
use crate::scan::Halt;
use crate::sheet::{Head, LOUPE_PPI, LoupePage, LoupePictures, LoupeWords, PageSize, Sheet};

use super::each_frame::{Asked, Laid, each_frame};
use super::folders::{self, LOUPE};
use super::page_files;
use found::table;
use glass::Glass;
use places::places;

pub(super) use behind::{Behind, look_behind, looked_at};
pub(super) use focus::focus;
pub use found::Found;
pub(super) use found::in_centimetres;

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
    /// Whether nothing of what was typed is there: the failures say so.
    pub none_there: bool,
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

/// Looks at frames, until `halt` is asked. One that fails is told; the others go on. Meanwhile `tell` learns the name
/// of each.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub fn look(order: &LoupeOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<LoupeOutcome, folders::Error> {
    let (scans, out) = (order.scans.as_deref(), order.out.as_deref());
    let asked = Asked { frames: &order.frames, scans, out, folder: LOUPE, memory: order.memory, halt };
    let came = each_frame(&asked, tell, |laid, folder| {
        let (sheet, found) = page(laid, &order.at, order.page)?;
        let files = page_files::save(&sheet, folder, &laid.name, ppi(LOUPE_PPI), order.force)?;
        Ok(LoupeMade { frame: laid.name.clone(), files, found })
    })?;
    Ok(LoupeOutcome { looks: came.done, failures: came.failures, none_there: came.none_there })
}

/// A frame's page, and what was told of it.
///
/// # Errors
/// When the page is too small, a place lies outside the frame, or the scan can no longer be read.
fn page(laid: &Laid<'_>, at: &[Point], size: PageSize) -> Result<(Sheet, Found), String> {
    let glass = Glass::over(laid)?;
    let words = LoupeWords { head: head(laid), table: table(&glass.found, glass.size), facts: facts(laid, &glass) };
    let page = LoupePage::new(&words, size).map_err(|e| e.to_string())?;
    let overview = glass.overview(page.overview_room(), ppi(LOUPE_PPI))?;
    if let Some(place) = at.iter().find(|place| !overview.shows(**place)) {
        let what = format!("--at {},{} lies outside its picture", place.x, place.y);
        return Err(format!("{what}: give a place within its corners, in pixels of the scan as stored"));
    }
    let frame = overview.area(laid.scan);
    let (side, each) = page.crop_pixels(frame.width.min(frame.height));
    let places = places(&glass.carrier, frame, side, at, glass.focus.as_ref());
    let crops = glass.crops(&places, &overview)?;
    let pictures = LoupePictures { overview: overview.print, marks: overview.marks, crops, each };
    Ok((page.finish(&pictures), glass.found))
}

fn ppi(value: f64) -> PixelsPerInch {
    PixelsPerInch::new(value).expect("a page has pixels")
}

fn facts(laid: &Laid<'_>, glass: &Glass<'_>) -> Vec<String> {
    let Some(focus) = &glass.focus else {
        return vec!["The frame is too small to tell its sharpness: it has fewer than 48 pixels one way.".to_owned()];
    };
    let all = focus.told().count();
    let told = focus.told().filter(|(_, told)| *told != Told::Nothing).count();
    let Some(edge) = glass.found.edge_words(laid.scan.facts().resolution.map(|resolution| resolution.x)) else {
        return vec![
            "There is nothing to focus on in this frame: no detail, or none that its own grain does not hide."
                .to_owned(),
        ];
    };
    vec![
        format!(
            "Where it is sharpest, an edge goes from dark to light within {edge}: the best tenth of {told} squares with \
             detail, of {all}. In a print of the size in the second row the finest detail that paper shows has a tenth of its \
             contrast left; a larger one looks soft from near."
        ),
        "It tells which parts are sharper than others, over this frame's own grain and whatever their contrast. It cannot tell \
         whether lens, movement or scanner made them soft, nor fine texture from fine dust: look at the crops, and make a \
         small test print of one before a large one."
            .to_owned(),
    ]
}

fn head(laid: &Laid<'_>) -> Head {
    let size = laid.scan.facts().size;
    Head {
        title: format!("loupe: {}", laid.name),
        date: jiff::ZonedDateTime::now().date().to_string(),
        kind: laid.noted.heading(),
        paper_and_table: format!(
            "{}, {} \u{d7} {} pixels; places are in its pixels as stored",
            laid.noted.notes.scan.file, size.width, size.height
        ),
        ..Head::default()
    }
}
