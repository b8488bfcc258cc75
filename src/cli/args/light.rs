//! Options about what the codes of a scan mean, which several tasks share.

use clap::Args as Group;

#[derive(Debug, Group)]
pub(super) struct LightArgs {
    #[command(flatten)]
    codes: CodeArgs,
    /// Film base in D, instead of what is measured
    #[arg(long, value_name = "D")]
    base: Option<String>,
    /// Film in the scans: 4x5, 5x7, 8x10, 120, 35mm, auto [default: auto]
    #[arg(long)]
    film: Option<String>,
    /// Frames that a scan should show; another number is flagged [default: auto]
    #[arg(long, value_name = "N")]
    frames: Option<String>,
    /// Calibration of the scanner, a file that dryside wedge wrote, or none [default: none]
    #[arg(long, value_name = "FILE")]
    wedge: Option<String>,
    /// Take the rows that are there of a TIFF that was cut short
    #[arg(long)]
    salvage: bool,
}

#[derive(Debug, Group)]
pub(super) struct CodeArgs {
    /// Channel of colour scans: green, red, blue, mean [default: green]
    #[arg(long)]
    channel: Option<String>,
    /// Encoding of the scans: gamma2.2, gamma1.8, srgb, lstar, linear [default: their profile's, else srgb]
    #[arg(long, value_name = "CURVE")]
    encoding: Option<String>,
}

impl CodeArgs {
    pub(super) fn words(self) -> [(&'static str, Option<String>); 2] {
        [("channel", self.channel), ("encoding", self.encoding)]
    }
}

impl LightArgs {
    pub(super) fn words(self) -> impl Iterator<Item = (&'static str, Option<String>)> {
        self.codes.words().into_iter().chain([
            ("base", self.base),
            ("film", self.film),
            ("frames", self.frames),
            ("wedge", self.wedge),
            ("salvage", self.salvage.then(|| "yes".to_owned())),
        ])
    }
}
