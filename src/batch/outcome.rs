//! What became of a batch.

use std::path::PathBuf;
use std::sync::Arc;

use crate::light::Density;
use crate::notes::WarningNote;
use crate::paper::Stock;

use super::frame::Decided;
use super::moved::Moved;
use super::share::Share;

/// What became of a scan.
#[derive(Clone, Debug)]
pub struct Done {
    /// File name of the scan.
    pub file: String,
    /// What came of it, or why nothing did.
    pub result: Result<DoneScan, String>,
}

/// A scan that went well.
#[derive(Clone, Debug)]
pub struct DoneScan {
    /// How far it was taken.
    pub state: State,
    /// What its files depend on, as a short name; empty before that is decided.
    pub key: String,
    /// What was decided for each frame; empty before the scan is measured.
    pub frames: Vec<Decided>,
    /// Where the base came from: rebate, batch, given, assumed.
    pub base_source: &'static str,
    /// Warnings: code and message.
    pub warnings: Vec<WarningNote>,
}

/// How far a scan was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Measuring pass: it was measured, or had been.
    Measured,
    /// Dry run: it would be measured and made.
    ToMeasure,
    /// Dry run: it would be made.
    ToMake,
    /// Its files were made.
    Made,
    /// Its files were there already, as they would be made.
    UpToDate,
    /// The same, but other hands changed one since.
    Kept,
}

/// What became of a batch, or of a share of one.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The share, if it is one.
    pub share: Option<Share>,
    /// The scans in name order.
    pub scans: Vec<Done>,
    /// Those of them that have another name than at the run before.
    pub moved: Vec<Moved>,
    /// Where results are.
    pub out: PathBuf,
    /// The ends that all flat positives were placed by, if they are common: net, thin and dense.
    pub common: Option<(Density, Density)>,
    /// The calibration that the settings of the batch name, if they name one.
    pub wedge: Option<String>,
    /// The paper and the table of grades that the settings of the batch name.
    pub stock: Arc<Stock>,
    /// Files of the proof sheet.
    pub sheets: Vec<PathBuf>,
    /// The page of all frames, if there is one.
    pub page: Option<PathBuf>,
    /// Folders of the pictures that were drawn: overviews, dust maps.
    pub pictures: Vec<PathBuf>,
    /// What went wrong beside the scans: the table, the sheet or a picture could not be saved.
    pub troubles: Vec<String>,
}

impl Outcome {
    /// Papers and tables of all frames, that of the batch first, each once.
    pub fn stocks(&self) -> Vec<&Stock> {
        let frames = self.scans.iter().filter_map(|scan| scan.result.as_ref().ok()).flat_map(|of| &of.frames);
        let mut stocks: Vec<&Stock> = vec![&self.stock];
        for stock in frames.map(|frame| &*frame.stock) {
            if !stocks.contains(&stock) {
                stocks.push(stock);
            }
        }
        stocks
    }

    /// Scans that failed.
    pub fn failed(&self) -> usize {
        self.scans.iter().filter(|scan| scan.result.is_err()).count()
    }

    /// Whether everything went well.
    pub fn all_well(&self) -> bool {
        self.failed() == 0 && self.troubles.is_empty()
    }
}
