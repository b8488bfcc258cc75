//! Printing paper: grades, the characteristic curve, placing a negative on it, and how the print looks on a screen.

mod curve;
mod grade;
mod placing;
mod rendering;

pub use curve::{Curve, Paper};
pub use grade::{Grade, GradeTable, UnknownGrade};
pub use placing::{Fit, Print};
pub use rendering::Rendering;
