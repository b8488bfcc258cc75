//! Printing paper: grades, the characteristic curve, placing a negative on it, how the print looks on a screen, and its
//! sheets.

mod curve;
mod edge_burn;
mod grade;
mod placing;
mod rendering;
mod size;
mod tone;

pub use curve::{Curve, Paper};
pub use edge_burn::EdgeBurn;
pub use grade::{Grade, GradeTable, UnknownGrade};
pub use placing::{Fit, Print};
pub use rendering::Rendering;
pub use size::{PaperSize, UnknownPaperSize};
pub use tone::{Tone, UnknownTone};
