//! `dryside measure`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{Aperture, Settings, Settled, Spots, Wishes};
use crate::film::ZoneTable;
use crate::plane::Point;

use super::light::LightArgs;
use super::memory::MemoryArgs;
use super::place::place;
use super::wished::wishes;

#[derive(Debug, Group)]
pub(in crate::cli) struct MeasureArgs {
    /// Scans
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Print the report as JSON
    #[arg(long)]
    pub(in crate::cli) json: bool,
    /// Read the density of a place, X,Y in pixels of the scan as stored; may be given several times
    #[arg(long, value_name = "X,Y", value_parser = place)]
    at: Vec<Point>,
    /// Diameter of the round opening for --at: 3mm, 0.1in, 40px [default: 3mm]
    #[arg(long, value_name = "LENGTH", requires = "at", value_parser = aperture)]
    aperture: Option<Aperture>,
    /// What zones are, for --at: condenser, or nine net densities, I to IX [default: dryside.toml beside the scan, else
    /// condenser]
    #[arg(long, value_name = "DENSITIES", requires = "at")]
    zones: Option<ZoneTable>,
    #[command(flatten)]
    memory: MemoryArgs,
    #[command(flatten)]
    light: LightArgs,
}

impl MeasureArgs {
    /// Settings, spots, files and memory.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<(Settings, Spots, Vec<PathBuf>, u64), String> {
        let flags = wishes(self.light.words())?;
        let settings = Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings;
        Ok((
            settings,
            Spots { at: self.at, aperture: self.aperture.unwrap_or_default(), zones: self.zones },
            self.files,
            self.memory.settle(2),
        ))
    }
}

/// An opening, in whatever case its unit is written.
fn aperture(word: &str) -> Result<Aperture, String> {
    word.to_lowercase().parse()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_opening_is_read_in_either_case() {
        assert_eq!(aperture("3MM"), Ok(Aperture::default()));
        assert!(aperture("3 cubits").unwrap_err().contains("3mm, 0.1in or 40px"));
    }
}
