//! `dryside batch`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{GatherOrder, Order, RemakeOrder, Share};

use super::work::WorkArgs;

#[derive(Debug, Group)]
pub(in crate::cli) struct BatchArgs {
    /// Folder of scans (TIFF, PNG, JPEG), with a dryside.toml if you keep settings there
    #[arg(required_unless_present = "gather")]
    scans: Option<PathBuf>,
    /// Folder for the results [default: beside the scans, with "-out"]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    #[command(flatten)]
    work: WorkArgs,
    /// Make again what is up to date
    #[arg(long)]
    force: bool,
    /// Only tell what would be done
    #[arg(long)]
    dry_run: bool,
    /// Only a share of the folder, as 3/16, for runs on several machines (docs/many-machines.md)
    #[arg(long, value_name = "K/N")]
    share: Option<Share>,
    /// First pass: only measure; when all shares are measured, run them again without it
    #[arg(long, requires = "share", conflicts_with_all = ["explain", "dust_map"])]
    measure_only: bool,
    /// Make again what is gone of the results, to the byte, by what their notes hold; tells what differs by now
    #[arg(long, conflicts_with_all = ["share", "measure_only", "explain", "dust_map"])]
    from_notes: bool,
    /// Gather the shares in these folders of results: one table, one proof sheet
    #[arg(long, value_name = "OUT", num_args = 1.., conflicts_with_all = NOT_GATHERED)]
    gather: Vec<PathBuf>,
}

/// What gathering shares does not ask for: it goes by what they were made with.
const NOT_GATHERED: [&str; 32] = [
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
    "photographer",
    "rights",
    "personal",
    "xmp",
    "page",
    "explain",
    "dust_map",
    "dry_run",
    "jobs",
    "memory",
    "share",
    "measure_only",
    "from_notes",
    "channel",
    "encoding",
    "base",
    "film",
    "frames",
    "wedge",
    "salvage",
];

/// What `batch` is to do.
pub(in crate::cli) enum Batch {
    /// Work through a folder, or a share of it.
    Run(Order),
    /// Make again what is gone.
    Remake(RemakeOrder),
    /// Gather shares.
    Gather(GatherOrder),
}

impl BatchArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<Batch, String> {
        let Some(scans) = self.scans else {
            let sheets = self.work.sheets();
            return Ok(Batch::Gather(GatherOrder { outs: self.gather, out: self.out, force: self.force, sheets }));
        };
        let order = Order {
            out: self.out,
            force: self.force,
            dry_run: self.dry_run,
            share: self.share,
            measure_only: self.measure_only,
            ..self.work.order(scans)?
        };
        if !self.from_notes {
            return Ok(Batch::Run(order));
        }
        let Order { scans, out, flags, force, dry_run, jobs, memory, sheets, .. } = order;
        Ok(Batch::Remake(RemakeOrder { scans, out, flags, force, dry_run, jobs, memory, sheets }))
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
            Batch::Gather(_) | Batch::Remake(_) => Err("no run".to_owned()),
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

    #[test]
    fn from_notes_nothing_is_measured_and_scans_are_worked_on_side_by_side() {
        let batch = |words: &[&str]| {
            let all = ["dryside", "batch", "scans", "--from-notes"].iter().chain(words);
            Args::try_parse_from(all).map(|args| args.task)
        };
        assert_eq!(batch(&["--measure-only"]).unwrap_err().kind(), ErrorKind::ArgumentConflict);
        let Task::Batch(args) = batch(&["--jobs", "3"]).unwrap() else { panic!("no batch") };
        let Batch::Remake(order) = args.settle().unwrap() else { panic!("nothing is remade") };
        assert_eq!(order.jobs, 3);
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
