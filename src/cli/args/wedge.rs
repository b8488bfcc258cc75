//! `dryside wedge`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{Settled, TabletNamed, WedgeOrder, Wishes};

use super::light::CodeArgs;
use super::wished::wishes;

#[derive(Debug, Group)]
pub(in crate::cli) struct WedgeArgs {
    /// Scan of a step tablet
    scan: PathBuf,
    /// The tablet by its steps: 21 (0.15 apart), 31 or 41 (0.10 apart) [default: as many as are found]
    #[arg(long, value_name = "N", conflicts_with = "densities")]
    steps: Option<usize>,
    /// The tablet by a list of its densities, one a line, thinnest or densest first
    #[arg(long, value_name = "FILE")]
    densities: Option<PathBuf>,
    /// Folder for the calibration and its plot [default: where you are]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace files of these names that are others
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    codes: CodeArgs,
}

impl WedgeArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<WedgeOrder, String> {
        let flags = wishes(self.codes.words())?;
        let listed = self.densities.map(TabletNamed::Densities);
        Ok(WedgeOrder {
            scan: self.scan,
            tablet: self.steps.map(TabletNamed::Steps).or(listed),
            out: self.out,
            force: self.force,
            settings: Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings,
        })
    }
}
