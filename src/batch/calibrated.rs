//! The calibration that the settings name.

use std::path::Path;

use crate::film::Warning;
use crate::light::{Calibration, Density};
use crate::notes::{WedgeFile, text_of};
use crate::scan;

use super::settings::Settings;

/// A calibration file, read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Wedge {
    /// Its name, without folders.
    pub file: String,
    /// BLAKE3 of it.
    pub blake3: String,
    /// What it says.
    pub calibration: Calibration,
    /// Encoding in which the tablet was read.
    encoding: String,
    /// Channel of three that was read.
    channel: Option<String>,
}

impl Wedge {
    /// Reads the one that `settings` name, if they name one.
    ///
    /// # Errors
    /// What is wrong with it, and where it is.
    pub(super) fn of(settings: &Settings) -> Result<Option<Self>, String> {
        settings.wedge.as_deref().map(Self::open).transpose()
    }

    fn open(path: &Path) -> Result<Self, String> {
        let wrong = |what: &dyn std::fmt::Display| format!("{}: {what}", path.display());
        let text = text_of(path).map_err(|e| match scan::open(path) {
            Ok(_) => wrong(&"this is a scan: give the .wedge.toml that dryside wedge makes from it"),
            Err(_) => wrong(&e),
        })?;
        let text = text.ok_or_else(|| wrong(&"no such calibration: give the .wedge.toml that dryside wedge wrote"))?;
        let file = WedgeFile::parse(&text).map_err(|e| wrong(&e))?;
        let steps: Vec<_> =
            file.steps.iter().map(|step| (Density::new(step.scanner), Density::new(step.density))).collect();
        let calibration = Calibration::through(&steps).map_err(|e| wrong(&e))?;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let blake3 = blake3::hash(text.as_bytes()).to_hex().to_string();
        Ok(Self { file: name, blake3, calibration, encoding: file.scan.encoding, channel: file.scan.channel })
    }

    /// The warning that a scan is read in another way than the tablet was.
    pub(super) fn unlike(&self, encoding: &str, channel: Option<&str>) -> Option<Warning> {
        let words = |encoding: &str, channel: Option<&str>| match channel {
            Some(channel) => format!("{encoding}, {channel}"),
            None => encoding.to_owned(),
        };
        // A grey scan has no channel to differ in.
        let same_channel = self.channel.as_deref().zip(channel).is_none_or(|(a, b)| a == b);
        (self.encoding != encoding || !same_channel).then(|| Warning::WedgeUnlikeScan {
            wedge: words(&self.encoding, self.channel.as_deref()),
            scan: words(encoding, channel),
        })
    }
}
