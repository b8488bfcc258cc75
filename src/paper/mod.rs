//! Printing paper: papers, tables of grades, the characteristic curve, placing a negative on it, how the print looks on
//! a screen, and its sheets.

mod curve;
mod dry_down;
mod edge_burn;
mod file;
mod fit;
mod grade;
mod measured;
mod placing;
mod print;
mod rendering;
mod shape;
pub mod shelf;
mod size;
mod split;
mod stock;
mod table;
mod tone;

pub use curve::{Curve, Figure, Paper, iso_class};
pub use dry_down::DryDown;
pub use edge_burn::EdgeBurn;
pub use file::{FileError, named, paper_text, read_paper, read_table};
pub use fit::Fit;
pub use grade::{Grade, UnknownGrade};
pub use measured::{LEAST_READINGS, NoPaper, fitted, measured};
pub use placing::{Placing, Tones, zone_tone};
pub use print::{Exposure, Print};
pub use rendering::Rendering;
pub use size::{PaperSize, UnknownPaperSize};
pub use split::Split;
pub use stock::Stock;
pub use table::GradeTable;
pub use tone::{Tone, UnknownTone};
