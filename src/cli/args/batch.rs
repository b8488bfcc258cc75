//! `dryside batch`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{GatherOrder, Order, Share};

use super::light::LightArgs;
use super::memory::MemoryArgs;
use super::wished::wishes;

#[derive(Debug, Group)]
pub(in crate::cli) struct BatchArgs {
    /// Folder of scans (TIFF, PNG, JPEG), with a dryside.toml if you keep settings there
    #[arg(required_unless_present = "gather")]
    scans: Option<PathBuf>,
    /// Folder for the results [default: beside the scans, with "-out"]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Ends of the tone scale: each, common, or match=NOTES of an earlier scan [default: each]
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
    /// What the exposure is found by: highlights, shadows, fixed (one for all), or X,Y=ZONE, as 512,300=VIII [default: highlights]
    #[arg(long, value_name = "HOW")]
    place: Option<String>,
    /// Exposure of the proofs in stops, as 0.5, -1/3 or "-1 1/2", more is darker [default: 0]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    exposure: Option<String>,
    /// Exposure taken away because prints get darker while they dry, as 8% [default: 0%]
    #[arg(long, value_name = "PERCENT")]
    dry_down: Option<String>,
    /// The exposure in two parts, a soft and a hard grade with their stops, as "00 -1, 5 -1 1/2", or none [default: none]
    #[arg(long, value_name = "PARTS")]
    split: Option<String>,
    /// Page of the proof sheet: a4, letter, 8x10 [default: a4]
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
    /// Make again what is up to date
    #[arg(long)]
    force: bool,
    /// Only tell what would be done
    #[arg(long)]
    dry_run: bool,
    /// Scans worked on side by side [default: one a core, at most 4]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=64))]
    jobs: Option<u8>,
    #[command(flatten)]
    memory: MemoryArgs,
    /// Only a share of the folder, as 3/16, for runs on several machines (docs/many-machines.md)
    #[arg(long, value_name = "K/N")]
    share: Option<Share>,
    /// First pass: only measure; when all shares are measured, run them again without it
    #[arg(long, requires = "share", conflicts_with_all = ["explain", "dust_map"])]
    measure_only: bool,
    /// Gather the shares in these folders of results: one table, one proof sheet
    #[arg(long, value_name = "OUT", num_args = 1.., conflicts_with_all = NOT_GATHERED)]
    gather: Vec<PathBuf>,
    #[command(flatten)]
    light: LightArgs,
}

/// What gathering shares does not ask for: it goes by what they were made with.
const NOT_GATHERED: [&str; 26] = [
    "scans",
    "ends",
    "crop",
    "out_encoding",
    "compression",
    "paper",
    "grades",
    "grade",
    "place",
    "exposure",
    "dry_down",
    "split",
    "page",
    "explain",
    "dust_map",
    "dry_run",
    "jobs",
    "memory",
    "share",
    "measure_only",
    "channel",
    "encoding",
    "base",
    "film",
    "frames",
    "wedge",
];

/// What `batch` is to do.
pub(in crate::cli) enum Batch {
    /// Work through a folder, or a share of it.
    Run(Order),
    /// Gather shares.
    Gather(GatherOrder),
}

/// Most scans worked on side by side unless told otherwise: each holds some tens of megabytes.
const MOST_JOBS: usize = 4;

impl BatchArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<Batch, String> {
        let Some(scans) = self.scans else {
            let sheets = !self.no_sheet;
            return Ok(Batch::Gather(GatherOrder { outs: self.gather, out: self.out, force: self.force, sheets }));
        };
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
            ("page", self.page),
        ];
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let jobs = self.jobs.map_or(cores.min(MOST_JOBS), usize::from);
        Ok(Batch::Run(Order {
            flags: wishes(own.into_iter().chain(self.light.words()))?,
            scans,
            out: self.out,
            force: self.force,
            dry_run: self.dry_run,
            jobs,
            memory: self.memory.settle(jobs),
            sheets: !self.no_sheet,
            explain: self.explain,
            dust_map: self.dust_map,
            share: self.share,
            measure_only: self.measure_only,
        }))
    }
}

#[cfg(test)]
mod tests {
    use clap::error::ErrorKind;
    use clap::{CommandFactory, Parser};

    use super::*;
    use crate::batch::{Settled, Wishes};
    use crate::cli::args::{Args, Task};

    fn batch(words: &[&str]) -> Result<Order, String> {
        let all = ["dryside", "batch", "scans"].iter().chain(words);
        let Task::Batch(args) = Args::try_parse_from(all).map_err(|e| e.to_string())?.task else {
            return Err("no batch".to_owned());
        };
        match args.settle()? {
            Batch::Run(order) => Ok(order),
            Batch::Gather(_) => Err("no run".to_owned()),
        }
    }

    #[test]
    fn gathering_asks_for_nothing_that_shares_were_made_with() {
        let all = |words: &[&str]| Args::try_parse_from(["dryside", "batch"].iter().chain(words)).map(drop);
        assert!(all(&["--gather", "a", "b", "--out", "c", "--no-sheet", "--force"]).is_ok());
        let command = Args::command();
        let of_batch = command.find_subcommand("batch").unwrap().get_arguments();
        let others = of_batch.filter(|arg| !["gather", "out", "no_sheet", "force"].contains(&arg.get_id().as_str()));
        for arg in others {
            let value = match arg.get_id().as_str() {
                "share" => "1/2",
                "memory" => "1GB",
                _ => "1",
            };
            let flag = arg.get_long().map(|long| format!("--{long}"));
            let words = [flag.as_deref(), arg.get_action().takes_values().then_some(value)];
            let words: Vec<_> = words.into_iter().flatten().chain(["--gather", "a"]).collect();
            assert_eq!(all(&words).unwrap_err().kind(), ErrorKind::ArgumentConflict, "{words:?}");
        }
    }

    #[test]
    fn a_share_is_named_by_its_number_and_of_how_many() {
        assert!(batch(&["--measure-only"]).is_err(), "of which share?");
        assert_eq!(batch(&["--share", "3/16"]).unwrap().share.map(|s| s.to_string()).as_deref(), Some("3/16"));
        assert!(batch(&["--share", "0/16"]).unwrap_err().contains("the first share is 1"));
    }

    fn stops(words: &[&str]) -> f64 {
        let flags = batch(words).unwrap().flags;
        Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings.exposure.value()
    }

    #[test]
    fn less_exposure_is_typed_as_it_is_said() {
        for (word, expected) in [("-1/2", -0.5), ("-1 1/2", -1.5), ("-1", -1.0), ("1/4", 0.25), ("-0.5", -0.5)] {
            assert_eq!(stops(&["--exposure", word]), expected, "{word}");
            assert_eq!(stops(&[&format!("--exposure={word}"), "--force"]), expected, "{word}");
        }
    }

    #[test]
    fn a_flag_is_no_exposure() {
        let told = batch(&["--exposure", "--force"]).unwrap_err();
        assert!(told.contains("--exposure: \"--force\": use a number from -6 to 6 (stops"), "{told}");
        assert!(batch(&["--exposure"]).is_err() && batch(&["-1/2"]).is_err());
    }
}
