//! `dryside paper`: a paper's figures, and the plot of its curves.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::light::{Density, PixelsPerInch};
use crate::paper::{Fit, Grade, Stock};
use crate::plane::Size;
use crate::save;
use crate::sheet::{self, Family, Head, PICTURE_PPI, Sheet};

use super::key::is_free_for;
use super::settings::Settings;
use super::spared::spare_scans;
use super::stock;

/// A paper that is asked about.
#[derive(Clone, Debug)]
pub struct PaperOrder {
    /// Paper, table of grades, and grade.
    pub settings: Settings,
    /// A negative's range, net.
    pub range: Option<Density>,
    /// A file for the plot, ending in .svg or .png.
    pub plot: Option<PathBuf>,
    /// Replace another file that is there.
    pub force: bool,
}

/// A paper with its table, and the grade that is looked at.
#[derive(Clone, Debug)]
pub struct PaperAsked {
    /// Both.
    pub stock: Arc<Stock>,
    /// The one given, else the one that suits the range, else 2.
    pub grade: Grade,
    /// The negative's range, if one was given.
    pub range: Option<Density>,
}

/// Opens the paper, and draws its plot if one is asked for.
///
/// # Errors
/// When paper or table cannot be read, or the plot cannot be drawn or saved.
pub fn ask_paper(order: &PaperOrder) -> Result<PaperAsked, String> {
    let stock = stock::stock(&order.settings)?;
    let fitting = order.range.map(|range| Fit::choose(stock.table(), range).grade());
    let grade = order.settings.grade.or(fitting).unwrap_or(Grade::NORMAL);
    if let Some(path) = &order.plot {
        let bytes = plot(&stock, grade, order.range, path)?;
        put(path, &bytes, order.force)?;
    }
    Ok(PaperAsked { stock, grade, range: order.range })
}

fn plot(stock: &Stock, grade: Grade, range: Option<Density>, path: &Path) -> Result<Vec<u8>, String> {
    let r = stock.table().r(grade);
    let (range, range_is) = match range {
        Some(range) => (range, format!("on grade {grade}")),
        None => (Density::new(r / 100.0), format!("as grade {grade} holds it")),
    };
    let head = Head {
        title: format!("Paper: {}", stock.paper().name()),
        date: String::new(),
        kind: format!("Dmin {}, Dmax {}", stock.paper().white(), stock.paper().black()),
        paper_and_table: format!("grades after {} \u{b7} heavy line: grade {grade}, R {r}", stock.table().name()),
        ..Head::default()
    };
    drawn(&sheet::family(&Family { stock, grade, range, range_is }, &head), path)
}

/// The first page of a sheet as a file of the kind that `path` ends in.
///
/// # Errors
/// When it ends in another, or the page cannot be drawn.
pub(super) fn drawn(page: &Sheet, path: &Path) -> Result<Vec<u8>, String> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "svg" => page.svg(0).map(String::into_bytes).map_err(|e| e.to_string()),
        "png" => {
            let ppi = PixelsPerInch::new(PICTURE_PPI).expect("a plot has pixels");
            let page = page.raster(0, ppi).map_err(|e| e.to_string())?;
            let size = Size { width: page.width(), height: page.height() };
            save::grey_png(page.as_raw(), size, ppi).map_err(|e| e.to_string())
        }
        _ => Err(format!("{}: a plot is drawn as .svg or .png: end its name so", path.display())),
    }
}

/// Saves a file, but over another one only by force.
pub(super) fn put(path: &Path, bytes: &[u8], force: bool) -> Result<(), String> {
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let is_free = is_free_for(path, bytes).map_err(|e| wrong(&e))?;
    if !is_free && !force {
        return Err(wrong(&"it is there already and is another: move it away, give another name, or run with --force"));
    }
    if !is_free {
        spare_scans(path)?;
    }
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(|e| wrong(&e))?;
    }
    save::whole(path, |file| file.write_all(bytes)).map(drop).map_err(|e| wrong(&save::refusal(&e)))
}
