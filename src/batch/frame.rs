//! A frame's decisions: everything that was settled before a pixel of it is written.

use crate::film::Warning;
use crate::flat::Law;
use crate::light::{Density, Stops};
use crate::paper::{Fit, Grade, GradeTable, Paper, Print};
use crate::plane::Area;

use super::reading::FrameReading;
use super::settings::Settings;

/// The paper and the grade table of all proofs.
pub static PAPER: Paper = Paper::glossy();
/// Its grades.
pub static GRADES: GradeTable = GradeTable::band_middles();

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
    /// Grade of the proof.
    pub grade: Grade,
    /// Whether the grade was given.
    pub grade_given: bool,
    /// Stops beyond the placing.
    pub exposure: Stops,
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
        GRADES.r(self.grade)
    }

    /// The negative placed on the paper in its grade.
    pub fn print(&self) -> Print<'static> {
        Print::by_highlights(PAPER.curve(self.r()), self.dense(), self.exposure)
    }
}

/// Film cannot be thinner than its base: more than this, in D, is no reading's error (repeatability of a scanner, and its
/// lamp; common practice).
const THINNER: f64 = 0.03;

/// The warning that a frame is thinner than the base taken off it.
pub(super) fn thinner(reading: &FrameReading, base: Density, number: usize) -> Option<Warning> {
    let net = reading.thin - base;
    (net.value() < -THINNER).then_some(Warning::ThinnerThanBase { frame: number, net })
}

/// The grade of a frame: the given one, else the one that suits its range; and a warning when it does not hold it.
pub(super) fn grade(settings: &Settings, reading: &FrameReading, number: usize) -> (Grade, Option<Warning>) {
    let range = reading.dense - reading.thin;
    let beyond =
        |grade: Grade, longer| Warning::RangeBeyondGrades { frame: number, range, grade: grade.to_string(), longer };
    if let Some(grade) = settings.grade {
        return (grade, (!GRADES.holds(grade, range)).then(|| beyond(grade, true)));
    }
    let fit = Fit::choose(&GRADES, range);
    let warning = match fit {
        Fit::Holds(_) => None,
        Fit::Longer(grade) => Some(beyond(grade, true)),
        Fit::Shorter(grade) => Some(beyond(grade, false)),
    };
    (fit.grade(), warning)
}
