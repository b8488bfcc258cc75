//! A frame's decisions: everything that was settled before a pixel of it is written.

use std::sync::Arc;

use crate::film::Warning;
use crate::flat::Law;
use crate::light::{Density, LogExposure, Stops};
use crate::paper::{DryDown, Exposure, Fit, Grade, GradeTable, Placing, Print, Split, Stock, Tones};
use crate::plane::Area;

use super::reading::FrameReading;
use super::settings::Settings;

/// What a frame is made with.
#[derive(Clone, Debug, PartialEq)]
pub struct Decided {
    /// Name of its files without their endings.
    pub name: String,
    /// 1 for the first of a scan.
    pub number: usize,
    /// What was measured.
    pub reading: FrameReading,
    /// Film base taken off.
    pub base: Density,
    /// The flat law, placed.
    pub law: Law,
    /// Area of the scan that goes into the flat positive.
    pub flat_area: Area,
    /// Area of the scan that goes into the proof.
    pub proof_area: Area,
    /// Paper and table of grades.
    pub stock: Arc<Stock>,
    /// Grade of the proof.
    pub grade: Grade,
    /// Whether the grade was given.
    pub grade_given: bool,
    /// What the exposure is found by.
    pub placing: Placing,
    /// Net density of the spot that it is placed by, if it is by one.
    pub spot: Option<Density>,
    /// Stops beyond the placing.
    pub exposure: Stops,
    /// Exposure taken away because prints get darker while they dry.
    pub dry_down: DryDown,
    /// The exposure in two parts, if it is.
    pub split: Option<Split>,
    /// The log exposure that film base receives, where it stands written down; else it is found by the placing.
    pub open: Option<LogExposure>,
}

impl Decided {
    /// Net density of the thin end.
    pub fn thin(&self) -> Density {
        self.reading.thin - self.base
    }

    /// Net density of the dense end.
    pub fn dense(&self) -> Density {
        self.reading.dense - self.base
    }

    /// Net density of half the frame.
    pub fn median(&self) -> Density {
        self.reading.median - self.base
    }

    /// Distance of the ends.
    pub fn range(&self) -> Density {
        self.reading.dense - self.reading.thin
    }

    /// R of the grade.
    pub fn r(&self) -> f64 {
        self.stock.table().r(self.grade)
    }

    /// The frame's exposure, on the scale of its grade; of a split what the stops of its parts count from.
    pub fn exposed(&self) -> Exposure<'_> {
        let tones = Tones { thin: self.thin(), dense: self.dense(), spot: self.spot };
        let placed = self.placing.expose(&self.stock, self.grade, self.split, tones);
        let placed = placed.expect("a spot is read before it is placed by");
        let open = placed.open + self.exposure + self.dry_down.stops();
        // To the decimals that are written down, so that a proof comes back from its notes to the byte.
        let open = self.open.unwrap_or_else(|| LogExposure::new(Density::new(open.value()).noted().value()));
        Exposure { open, ..placed }
    }

    /// The negative on the paper: with that exposure, or with its two parts.
    pub fn print(&self) -> Print<'_> {
        Print::parted(&self.stock, self.grade, self.exposed().open, self.split)
    }

    /// The negative on the straight pages: film base as the paper's black in grade 2, and nothing of its own, so that
    /// all frames on one paper are alike.
    pub fn straight(&self) -> Print<'_> {
        straight(&self.stock)
    }

    /// The one grade that a split print comes near to, and the R that it has; nothing if it is none.
    pub fn equivalent(&self) -> Option<(Grade, f64)> {
        let r = self.split.map(|_| self.print().r())?;
        Some((self.stock.table().nearest(r), r))
    }

    /// The warning that its range is not held by the two parts of its exposure.
    pub(super) fn beyond_split(&self) -> Option<Warning> {
        let ((grade, r), split, range) = (self.equivalent()?, self.split?, self.range());
        let excess = GradeTable::excess(r, range)?;
        let grade = format!("{grade}, which split {split} comes near to,");
        Some(Warning::RangeBeyondGrades { frame: self.number, range, grade, excess: Some(excess) })
    }
}

/// A straight print on a paper: whatever the frame holds, film base prints at S in grade 2 (straight proof, common
/// practice).
pub(super) fn straight(stock: &Stock) -> Print<'_> {
    let curve = stock.curve(Grade::NORMAL);
    Print::new(Exposure { curve, open: curve.s() })
}

/// Film cannot be thinner than its base: more than this, in D, is no reading's error (repeatability of a scanner, and
/// its lamp; common practice).
const THINNER: f64 = 0.03;

/// The warning that a frame is thinner than the base taken off it.
pub(super) fn thinner(reading: &FrameReading, base: Density, number: usize) -> Option<Warning> {
    let net = reading.thin - base;
    (net.value() < -THINNER).then_some(Warning::ThinnerThanBase { frame: number, net })
}

/// The grade of a frame: the given one, else the one that suits its range. And a warning when it does not hold it, or
/// when no grade is hard enough: then a softer one or a split prints it flatter still.
pub(super) fn grade(
    settings: &Settings,
    table: &GradeTable,
    reading: &FrameReading,
    number: usize,
) -> (Grade, Option<Warning>) {
    let range = reading.dense - reading.thin;
    let beyond =
        |grade: Grade, excess| Warning::RangeBeyondGrades { frame: number, range, grade: grade.to_string(), excess };
    let fit = Fit::choose(table, range);
    let grade = settings.grade.unwrap_or_else(|| fit.grade());
    let warning = match (GradeTable::excess(table.r(grade), range), fit) {
        (Some(excess), _) => settings.split.is_none().then(|| beyond(grade, Some(excess))),
        (None, Fit::Shorter(hardest)) => Some(beyond(hardest, None)),
        (None, Fit::Holds(_) | Fit::Longer(_)) => None,
    };
    (grade, warning)
}
