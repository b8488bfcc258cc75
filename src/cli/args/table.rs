//! `dryside table`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::light_table::TableOrder;
use crate::paper::PaperSize;

#[derive(Debug, Group)]
pub(in crate::cli) struct TableArgs {
    /// Folder of results
    #[arg(value_name = "OUT")]
    out: PathBuf,
    /// Sheet of the prints that are ordered on the page, if no other is chosen there, as 30x24cm or 12x9.5in; it is
    /// turned to suit the picture
    #[arg(long, default_value = "30x24cm")]
    size: PaperSize,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Port on this machine [default: one that is free]
    #[arg(long)]
    port: Option<u16>,
}

impl TableArgs {
    /// What is ordered.
    pub(in crate::cli) fn settle(self) -> TableOrder {
        TableOrder { out: self.out, scans: self.scans, size: self.size, port: self.port }
    }
}
