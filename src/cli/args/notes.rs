//! `dryside notes`.

use std::path::PathBuf;

use clap::{Args as Group, Subcommand};

use crate::batch::{Export, Holders, LayOrder, ZonesOrder};

use super::wished::wishes;

#[derive(Debug, Group)]
pub(in crate::cli) struct NotesArgs {
    #[command(subcommand)]
    pub(in crate::cli) task: NotesTask,
}

#[derive(Debug, Subcommand)]
pub(in crate::cli) enum NotesTask {
    /// Lay out notes as forms, for scans that are there or are still to come.
    ///
    /// They lie where dryside batch will look for them, so scan under the same names. Notes that are there stay as they
    /// are.
    New(NewArgs),
    /// Write fields of [shot], each as key=value; key= takes one away.
    ///
    /// As: dryside notes set ropewalk-out/sheet-01 "aperture=f/22 1/2" readings.shadow.metered=2m
    /// readings.shadow.zone=III. Everything else in the notes stays to the byte. A folder of results means all notes in
    /// it.
    Set(SetArgs),
    /// Show what stands in [shot], and the sums of the exposure.
    Show(NamedArgs),
    /// Look for fields that cannot be read, and for sums that do not come out. Changes nothing.
    ///
    /// Exit status 1 where something cannot be read. A time that is written and another than the sums give is told, and
    /// may be meant so.
    Check(NamedArgs),
    /// Read zones back: what was placed at the camera, beside what the negative has there.
    ///
    /// Readings of [shot] with a zone and a place, at = [x, y], are read in the scan through 3 mm of film. Over a batch
    /// it tells what development came out as, and the film's effective speed, as far as so few pictures can.
    Zones(ZonesArgs),
    /// Give the notes out as a table, one row a frame.
    ///
    /// Columns stay the same from version to version. Fractions are written so that a spreadsheet leaves them alone.
    Export(ExportArgs),
    /// Find frames by what stands in their notes: a line each, as dryside print takes them.
    ///
    /// As: dryside notes find ropewalk-out "film=*100" "grade>=3" flag=base-clipped. Signs are = != < <= > >=; a star
    /// stands for any letters; "title=" finds those without one. Columns are those of dryside notes export; all
    /// conditions must hold.
    Find(FindArgs),
}

#[derive(Debug, Group)]
pub(in crate::cli) struct NewArgs {
    /// Folder of the scans, there already or not yet; or of their results
    folder: PathBuf,
    /// Names that the scans will have, as coil-1 [default: those of the scans that are there]
    names: Vec<String>,
    /// A name for each side of film holders, as 1-10 or 3,5,7-9: holder-01a, holder-01b ...
    #[arg(long, value_name = "NUMBERS")]
    holders: Option<Holders>,
    /// A field that all of them share, as film="pan sheet 100"; may be given several times
    #[arg(long, value_name = "KEY=VALUE")]
    set: Vec<String>,
    /// Folder for the results [default: beside the scans, with "-out", as dryside batch has it]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
}

#[derive(Debug, Group)]
pub(in crate::cli) struct SetArgs {
    /// A frame's name in the folder of results, as ropewalk-out/sheet-01, its notes file, or the whole folder
    pub(in crate::cli) notes: PathBuf,
    /// Fields, as aperture=f/22 or development.time=8m
    #[arg(required = true, value_name = "KEY=VALUE")]
    pub(in crate::cli) fields: Vec<String>,
}

#[derive(Debug, Group)]
pub(in crate::cli) struct NamedArgs {
    /// Frames: their names in the folder of results, their notes files, or the whole folder
    #[arg(required = true)]
    pub(in crate::cli) notes: Vec<PathBuf>,
}

#[derive(Debug, Group)]
pub(in crate::cli) struct ZonesArgs {
    /// Frames: their names in the folder of results, their notes files, or the whole folder
    #[arg(required = true)]
    notes: Vec<PathBuf>,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// What zones are to have: condenser, or nine net densities, I to IX [default: dryside.toml, else condenser]
    #[arg(long, value_name = "DENSITIES")]
    zones: Option<String>,
    /// Draw what was aimed at and found: a file that ends in .svg or .png
    #[arg(long, value_name = "FILE")]
    plot: Option<PathBuf>,
    /// Replace another file of the plot's name
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Group)]
pub(in crate::cli) struct ExportArgs {
    /// Frames: their names in the folder of results, their notes files, or the whole folder
    #[arg(required = true)]
    pub(in crate::cli) notes: Vec<PathBuf>,
    /// For a spreadsheet [default]
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// For other programs
    #[arg(long)]
    json: bool,
}

impl ExportArgs {
    /// What is made of the notes.
    pub(in crate::cli) fn export(&self) -> Export {
        if self.json { Export::Json } else { Export::Csv }
    }
}

#[derive(Debug, Group)]
pub(in crate::cli) struct FindArgs {
    /// A folder of results
    pub(in crate::cli) folder: PathBuf,
    /// What must hold, as film=*100, "grade>3", "date>=2026-03"
    #[arg(value_name = "CONDITION")]
    pub(in crate::cli) conditions: Vec<String>,
}

impl ZonesArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When the zones are none.
    pub(in crate::cli) fn settle(self) -> Result<ZonesOrder, String> {
        let flags = wishes([("zones", self.zones)])?;
        Ok(ZonesOrder { notes: self.notes, scans: self.scans, flags, plot: self.plot, force: self.force })
    }
}

impl NewArgs {
    /// What is ordered.
    pub(in crate::cli) fn settle(self) -> LayOrder {
        LayOrder { folder: self.folder, out: self.out, names: self.names, holders: self.holders, given: self.set }
    }
}
