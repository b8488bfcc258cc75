//! `dryside wedge`: a scanned step tablet becomes a calibration file and its plot.

use std::path::{Path, PathBuf};
use std::{fs, io};

use crate::film::gravity;
use crate::film::wedge::{self, Refusal, Steps, Tablet};
use crate::light::{Densitometer, Density, PixelsPerInch};
use crate::notes::{self, WarningNote, WedgeFile, WedgeScan, WedgeStep};
use crate::plane::Size;
use crate::save;
use crate::scan;
use crate::sheet::{self, Head};

use super::find::PLOT;
use super::key::{Stamp, is_free_for};
use super::light::Light;
use super::reading;
use super::settings::Settings;
use super::steps;
use super::write::write;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct WedgeOrder {
    /// The scan of the tablet.
    pub scan: PathBuf,
    /// Which tablet; `None` lets the number of steps decide.
    pub tablet: Option<TabletNamed>,
    /// Where the files go; the current folder if not said.
    pub out: Option<PathBuf>,
    /// Replace other files that are there.
    pub force: bool,
    /// Channel and encoding.
    pub settings: Settings,
}

/// How a tablet is named.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TabletNamed {
    /// One of the known ones, by its number of steps.
    Steps(usize),
    /// A file with its densities.
    Densities(PathBuf),
}

/// A calibration, made.
#[derive(Clone, Debug)]
pub struct WedgeDone {
    /// As it was written.
    pub file: WedgeFile,
    /// The calibration file and the plot.
    pub files: [PathBuf; 2],
    /// What to know about the scan.
    pub warnings: Vec<WarningNote>,
}

/// Why none is made.
#[derive(Debug, thiserror::Error)]
pub enum WedgeError {
    /// The scan.
    #[error("{}: {error}", path.display())]
    Scan {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        error: scan::Error,
    },
    /// What is in the scan.
    #[error("{}: {refusal}", path.display())]
    Refused {
        /// The file.
        path: PathBuf,
        /// Why nothing is made of it.
        refusal: Refusal,
    },
    /// The tablet as it was named, or the place where the files would go.
    #[error("{0}")]
    Asked(String),
}

impl WedgeError {
    /// Whether there is no such scan.
    pub fn is_of_no_file(&self) -> bool {
        matches!(self, Self::Scan { error: scan::Error::Disk(e), .. } if e.kind() == io::ErrorKind::NotFound)
    }
}

/// Resolution of the plot: sharp on A4.
const PLOT_PPI: f64 = 200.0;

/// Reads the tablet and writes the plot, then the calibration: where a calibration is, its plot is too; a plot may be
/// left alone where writing the calibration failed.
///
/// # Errors
/// When the scan cannot be read, shows no tablet or not this one, or other files are in the way.
pub fn make_wedge(order: &WedgeOrder) -> Result<WedgeDone, WedgeError> {
    let path = &order.scan;
    let tablet = order.tablet.as_ref().map(named).transpose().map_err(WedgeError::Asked)?;
    let (file, steps, warnings) = read(path, &order.settings, tablet.as_ref())?;

    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let folder = order.out.clone().unwrap_or_default();
    let files = [folder.join(format!("{stem}.wedge.toml")), folder.join(format!("{stem}{PLOT}"))];
    let contents = [file.text().into_bytes(), plot(&file, &steps).map_err(WedgeError::Asked)?];
    // The calibration comes last.
    let both = files.iter().zip(&contents).rev();
    if !order.force {
        both.clone().try_for_each(|(path, bytes)| refuse_other(path, bytes))?;
    }
    for (path, bytes) in both {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|e| WedgeError::Asked(format!("{}: {e}", path.display())))?;
        }
        write(path, bytes).map_err(WedgeError::Asked)?;
    }
    Ok(WedgeDone { file, files, warnings })
}

fn named(tablet: &TabletNamed) -> Result<Tablet, String> {
    match tablet {
        TabletNamed::Steps(steps) => Tablet::of_steps(*steps).map_err(|e| format!("--steps: {e}")),
        TabletNamed::Densities(path) => {
            let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
            let text = notes::text_of(path).map_err(|e| wrong(&e))?;
            let text = text.ok_or_else(|| wrong(&"there is no such list: check its name and folder"))?;
            let densities = notes::densities(&text).map_err(|e| wrong(&e))?;
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            Tablet::listed(&name, densities).map_err(|e| wrong(&e))
        }
    }
}

fn read(
    path: &Path,
    settings: &Settings,
    tablet: Option<&Tablet>,
) -> Result<(WedgeFile, Steps, Vec<WarningNote>), WedgeError> {
    let broken = |error| WedgeError::Scan { path: path.to_owned(), error };
    let refused = |refusal| WedgeError::Refused { path: path.to_owned(), refusal };
    let scan = scan::open(path).map_err(broken)?;
    let light = Light::of(scan.facts(), settings).map_err(broken)?;
    let bench = Densitometer::new(&light.encoding);
    let overview = reading::overview(&scan, settings.channel, &bench).map_err(broken)?;
    let patches = wedge::find(&overview).ok_or(Refusal::NoRow).map_err(refused)?;
    let readings = steps::read(&scan, settings.channel, &bench, &patches).map_err(broken)?;
    let steps = wedge::steps(&readings, tablet).map_err(refused)?;

    let stamp = Stamp::of(path).map_err(|e| broken(scan::Error::Disk(e)))?;
    let step = |step: &wedge::Step| WedgeStep {
        scanner: step.scanner.value(),
        density: step.density.value(),
        residual: step.residual.map(|r| Density::new(r).noted().value()),
    };
    let file = WedgeFile {
        program: save::PROGRAM.to_owned(),
        scan: WedgeScan {
            file: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
            modified: stamp.modified,
            channel: (scan.facts().channels == 3).then(|| settings.channel.to_string()),
            encoding: light.encoding.to_string(),
            encoding_source: light.source.to_owned(),
        },
        tablet: (steps.tablet.name().to_owned(), steps.tablet.densities().len()),
        steps: steps.steps.iter().map(step).collect(),
    };
    let mut warnings = [reading::warnings_of(scan.facts()), light.warnings].concat();
    warnings.sort_by_key(|warning| gravity(warning.code()));
    Ok((file, steps, warnings.iter().map(WarningNote::from).collect()))
}

fn plot(file: &WedgeFile, steps: &Steps) -> Result<Vec<u8>, String> {
    let (median, largest) = file.residuals();
    let (thin, dense) = steps.calibration.range();
    let scan = &file.scan;
    let channel = scan.channel.as_ref().map_or_else(String::new, |c| format!("{c}, "));
    let head = Head {
        title: format!("Scanner calibration: {}", scan.file),
        date: format!("scan of {}", scan.modified.get(..10).unwrap_or("unknown date")),
        kind: format!("tablet {}, {} of {} steps told apart", file.tablet.0, file.steps.len(), file.tablet.1),
        paper_and_table: format!(
            "{channel}{} ({}) \u{b7} true densities from {thin} to {dense} \u{b7} residuals: median {median:.3}, largest {largest:.3}",
            scan.encoding, scan.encoding_source
        ),
        ..Head::default()
    };
    let ppi = PixelsPerInch::new(PLOT_PPI).expect("a plot has pixels");
    let page = sheet::wedge(&steps.calibration, &head).raster(0, ppi).map_err(|e| e.to_string())?;
    let size = Size { width: page.width(), height: page.height() };
    save::grey_png(page.as_raw(), size, ppi).map_err(|e| e.to_string())
}

/// A file that is there already must be the one that would be written.
fn refuse_other(path: &Path, bytes: &[u8]) -> Result<(), WedgeError> {
    let told = |what: &dyn std::fmt::Display| WedgeError::Asked(format!("{}: {what}", path.display()));
    let what = "it is there already and is another: move it away, give another folder with --out, or run with --force";
    if is_free_for(path, bytes).map_err(|e| told(&e))? { Ok(()) } else { Err(told(&what)) }
}
