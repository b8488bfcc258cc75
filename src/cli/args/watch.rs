//! `dryside watch`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::Order;

use super::work::WorkArgs;

#[derive(Debug, Group)]
pub(in crate::cli) struct WatchArgs {
    /// Folder that the scanner saves to, with a dryside.toml if you keep settings there
    scans: PathBuf,
    /// Folder for the results [default: beside the scans, with "-out"]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    #[command(flatten)]
    work: WorkArgs,
}

impl WatchArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<Order, String> {
        Ok(Order { out: self.out, ..self.work.order(self.scans)? })
    }
}
