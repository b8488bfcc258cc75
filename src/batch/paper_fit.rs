//! `dryside paper fit`: readings of a printed wedge become a paper.

use std::path::PathBuf;

use crate::film::Warning;
use crate::light::{Density, LogExposure};
use crate::notes::{readings, text_of};
use crate::paper::{Paper, fitted, named, paper_text};
use crate::save;

use super::papers::put;
use super::printed_wedge;
use super::settings::Settings;

/// Readings of a print that are to become a paper.
#[derive(Clone, Debug)]
pub struct FitOrder {
    /// A table of log exposures and densities, or a scan of the print.
    pub readings: PathBuf,
    /// How far the wedge's steps are apart; a scan does not show it.
    pub apart: Option<Density>,
    /// Channel and encoding of the scan.
    pub settings: Settings,
    /// What the paper is to be called; by its file if not said.
    pub name: Option<String>,
    /// Where the paper's file goes; the current folder if not said.
    pub out: Option<PathBuf>,
    /// Replace another file that is there.
    pub force: bool,
}

/// What a scan's codes were taken for and who said so, and what to look at in that.
type ReadAs = (String, Vec<Warning>);

/// A paper of one's own, made.
#[derive(Clone, Debug)]
pub struct FitDone {
    /// The paper.
    pub paper: Paper,
    /// Its file.
    pub file: PathBuf,
    /// Of a scan what its codes were taken for and who said so, "srgb (assumed)", and what to look at in that.
    pub read_as: Option<ReadAs>,
}

/// Makes a paper of readings and writes its file, NAME.paper.toml after the file of the readings.
///
/// # Errors
/// When the readings cannot be read or make no paper, or another file is in the way.
pub fn fit_paper(order: &FitOrder) -> Result<FitDone, String> {
    let path = &order.readings;
    let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let (readings, read_as) = read(order).map_err(|e| wrong(&e))?;
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let file_name = path.file_name().unwrap_or_default().to_string_lossy();
    let name = order.name.clone().unwrap_or_else(|| stem.clone());
    named(&name).map_err(|e| format!("--name: {e}"))?;
    let of = match &read_as {
        Some((light, _)) => format!("scanner's readings, {light},"),
        None => "readings".to_owned(),
    };
    let source = format!("{} {of} of a printed wedge, {file_name}", readings.len());
    let paper = fitted(name, &readings, source).map_err(|e| wrong(&e))?;

    let file = order.out.clone().unwrap_or_default().join(format!("{stem}.paper.toml"));
    let text = paper_text(&paper, save::PROGRAM).expect("it was measured");
    put(&file, text.as_bytes(), order.force)?;
    Ok(FitDone { paper, file, read_as })
}

/// Log exposures and print densities.
type Readings = Vec<(LogExposure, Density)>;

/// The readings, and of a scan what it was read as.
fn read(order: &FitOrder) -> Result<(Readings, Option<ReadAs>), String> {
    match (printed_wedge::scan_of(&order.readings), order.apart) {
        (Some(scan), Some(apart)) => {
            let wedge = printed_wedge::read(&scan, &order.settings, apart)?;
            Ok((wedge.readings, Some((wedge.light, wedge.warnings))))
        }
        (Some(_), None) => {
            Err("a scan does not show how far the wedge's steps are apart: give --apart 0.15 (or 0.10)".to_owned())
        }
        (None, Some(_)) => Err("this is no scan: --apart is for scans of a printed wedge".to_owned()),
        (None, None) => {
            let text = text_of(&order.readings).map_err(|e| e.to_string())?;
            let text = text.ok_or("there are no such readings: check name and folder")?;
            Ok((readings(&text)?, None))
        }
    }
}
