//! How scans are worked through: what batch and watch share.

use std::collections::BTreeSet;
use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::Order;

use super::light::LightArgs;
use super::memory::MemoryArgs;
use super::wished::wishes;

#[derive(Debug, Group)]
pub(super) struct WorkArgs {
    /// Ends of the tone scale: each, common, match=NOTES of an earlier scan, or match (negatives scanned again: as
    /// their first scan) [default: each]
    #[arg(long)]
    ends: Option<String>,
    /// What flat positives hold: frame or none (the whole scan) [default: frame]
    #[arg(long)]
    crop: Option<String>,
    /// Encoding of flat positives: gamma2.2, gamma1.8, srgb, lstar, linear [default: gamma2.2]
    #[arg(long, value_name = "CURVE")]
    out_encoding: Option<String>,
    /// Compression of flat positives: same, none, lzw, deflate, packbits [default: same as the scan]
    #[arg(long)]
    compression: Option<String>,
    /// Paper of the proofs: glossy, semi-matt, matt, or a file of your own (.toml) [default: glossy]
    #[arg(long)]
    paper: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: bands]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade of the proofs: 00, 0, 1/2, 1, "1 1/2" (with a blank in quotes) ... 5, or auto [default: auto]
    #[arg(long)]
    grade: Option<String>,
    /// What the exposure is found by: highlights, shadows, fixed (one for all), or X,Y=ZONE, as 512,300=VIII [default:
    /// highlights]
    #[arg(long, value_name = "HOW")]
    place: Option<String>,
    /// Exposure of the proofs in stops, as 0.5, -1/3 or "-1 1/2", more is darker [default: 0]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    exposure: Option<String>,
    /// Exposure taken away because prints get darker while they dry, as 8% [default: 0%]
    #[arg(long, value_name = "PERCENT")]
    dry_down: Option<String>,
    /// The exposure in two parts, a soft and a hard grade with their stops, as "00 -1, 5 -1 1/2", or none [default:
    /// none]
    #[arg(long, value_name = "PARTS")]
    split: Option<String>,
    /// Who made the pictures, for the files made from the scans; a scan's notes may name another [default: none]
    #[arg(long, value_name = "NAME")]
    photographer: Option<String>,
    /// Whose they are, in words, for the same [default: none]
    #[arg(long, value_name = "WORDS")]
    rights: Option<String>,
    /// What scans say of persons, places and machines (owner, GPS, serial numbers): drop it, or keep it in the files
    /// made from them [default: drop]
    #[arg(long, value_name = "HOW")]
    personal: Option<String>,
    /// What flat positives and proofs say of the picture also in NAME.xmp beside them: beside or none [default: none]
    #[arg(long, value_name = "WHERE", num_args = 0..=1, default_missing_value = "beside", require_equals = true)]
    xmp: Option<String>,
    /// Paper of the proof sheet: a4, letter, 8x10, a5, a3, a2, tabloid, 5x7, 11x14, 16x20, one of them with -landscape,
    /// or as 24x30cm [default: a4]
    #[arg(long)]
    page: Option<String>,
    /// Lay out no proof sheet
    #[arg(long)]
    no_sheet: bool,
    /// Draw an overview of each scan that shows what was taken for what
    #[arg(long)]
    explain: bool,
    /// Draw a map of the dust on each scan, for spotting
    #[arg(long)]
    dust_map: bool,
    /// Scans worked on side by side [default: one a core, at most 4]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=64))]
    jobs: Option<u8>,
    #[command(flatten)]
    memory: MemoryArgs,
    #[command(flatten)]
    light: LightArgs,
}

/// Most scans worked on side by side unless told otherwise: each holds some tens of megabytes.
const MOST_JOBS: usize = 4;

impl WorkArgs {
    /// Whether proof sheets are laid out.
    pub(super) fn sheets(&self) -> bool {
        !self.no_sheet
    }

    /// The folder worked through, all of it, with the results beside it.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(super) fn order(self, scans: PathBuf) -> Result<Order, String> {
        let own = [
            ("ends", self.ends),
            ("crop", self.crop),
            ("out-encoding", self.out_encoding),
            ("compression", self.compression),
            ("paper", self.paper),
            ("grades", self.grades),
            ("grade", self.grade),
            ("place", self.place),
            ("exposure", self.exposure),
            ("dry-down", self.dry_down),
            ("split", self.split),
            ("photographer", self.photographer),
            ("rights", self.rights),
            ("personal", self.personal),
            ("xmp", self.xmp),
            ("page", self.page),
        ];
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let jobs = self.jobs.map_or(cores.min(MOST_JOBS), usize::from);
        Ok(Order {
            flags: wishes(own.into_iter().chain(self.light.words()))?,
            scans,
            leave: BTreeSet::new(),
            out: None,
            force: false,
            dry_run: false,
            jobs,
            memory: self.memory.settle(jobs),
            sheets: !self.no_sheet,
            explain: self.explain,
            dust_map: self.dust_map,
            share: None,
            measure_only: false,
        })
    }
}
