//! `dryside paper`.

use std::path::PathBuf;

use clap::{Args as Group, Subcommand};

use crate::batch::{FitOrder, PaperOrder, Settled, Wishes};
use crate::light::Density;

use super::light::CodeArgs;
use super::wished::wishes;

#[derive(Debug, Subcommand)]
pub(in crate::cli) enum PaperTask {
    /// Make a paper from readings of a printed wedge.
    ///
    /// Writes NAME.paper.toml, to be named as paper. The readings are a table (CSV) with the columns log_exposure and
    /// density, from paper white to full black; or a flatbed's scan of the print, which is less true in the blacks.
    Fit(FitArgs),
}

#[derive(Debug, Group)]
#[command(args_conflicts_with_subcommands = true)]
pub(in crate::cli) struct PaperArgs {
    #[command(subcommand)]
    pub(in crate::cli) task: Option<PaperTask>,
    /// Paper: glossy, semi-matt, matt, or a file of your own (.toml)
    name: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: bands]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade that is looked at [default: the one that suits --range, else 2]
    #[arg(long)]
    grade: Option<String>,
    /// Print the grade's curve as log_exposure,density
    #[arg(long, conflicts_with = "plot")]
    pub(in crate::cli) csv: bool,
    /// Draw the curves of all grades: a file that ends in .svg or .png
    #[arg(long, value_name = "FILE")]
    plot: Option<PathBuf>,
    /// A negative's range in D, to be drawn under the curves
    #[arg(long, value_name = "D", value_parser = range)]
    range: Option<Density>,
    /// Replace another file of the plot's name
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Group)]
pub(in crate::cli) struct FitArgs {
    /// Table of readings (CSV), or a scan of the print
    readings: PathBuf,
    /// For a scan: how far the steps of the wedge are apart, in D: 0.15 (21 steps), 0.10 (31 or 41)
    #[arg(long, value_name = "D", value_parser = apart)]
    apart: Option<Density>,
    /// What the paper is called [default: as the file of the readings]
    #[arg(long)]
    name: Option<String>,
    /// Folder for the paper's file [default: where you are]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace another file of its name
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    codes: CodeArgs,
}

impl PaperArgs {
    /// What is asked; nothing if no paper is named and nothing else.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<Option<PaperOrder>, String> {
        let any = self.csv || self.plot.is_some() || self.grade.is_some() || self.grades.is_some();
        if self.name.is_none() && !any && self.range.is_none() {
            return Ok(None);
        }
        let mut flags = wishes([("grades", self.grades), ("grade", self.grade)])?;
        if let Some(name) = self.name {
            flags.add("paper", &name).map_err(|e| e.to_string())?;
        }
        let settings = Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings;
        Ok(Some(PaperOrder { settings, range: self.range, plot: self.plot, force: self.force }))
    }
}

impl FitArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<FitOrder, String> {
        let flags = wishes(self.codes.words())?;
        Ok(FitOrder {
            readings: self.readings,
            apart: self.apart,
            settings: Settled::settle(&flags, &Wishes::default(), &Wishes::default()).settings,
            name: self.name,
            out: self.out,
            force: self.force,
        })
    }
}

/// A range of densities that a negative can have.
fn range(word: &str) -> Result<Density, String> {
    let range = word.trim().parse().ok().filter(|d| (0.1..=4.0).contains(d));
    range.map(Density::new).ok_or_else(|| "use a number from 0.1 to 4 (D)".to_owned())
}

/// A distance of two steps of a wedge.
fn apart(word: &str) -> Result<Density, String> {
    let apart = word.trim().parse().ok().filter(|d| (0.03..=0.35).contains(d));
    apart.map(Density::new).ok_or_else(|| "use a number from 0.03 to 0.35 (D), as 0.15".to_owned())
}
