//! A step tablet found in a scan, whichever way round it lies, and its steps read.
//!
//! A tablet is a row of equal, flat patches, each denser than the one before. The row is looked for along many lines;
//! what they agree on gives a grid, and the grid is followed to both ends as far as there are patches. What surrounds
//! the tablet can look like one patch more, so a patch at an end is sure only if it differs from what lies beside the
//! row.

mod field;
mod patches;
mod plateau;
mod refusal;
mod row;
mod steps;
mod tablet;

pub use patches::Patch;
pub use refusal::Refusal;
pub use steps::{Reading, Step, Steps, steps};
pub use tablet::{Tablet, UnknownTablet};

use crate::plane::Overview;
use field::Field;

/// The patches of a step tablet in an overview of its scan, thinnest first; patches that may be surroundings are among
/// them. `None` when there is no row of steps in it.
///
/// Light must be linear, 0 to 1 of full scale. Found are rows along either edge of the scan, in either direction,
/// tilted by up to 2.5 degrees, of at least six steps that are at least five pixels of the overview wide.
pub fn find(overview: &Overview) -> Option<Vec<Patch>> {
    let field = Field::of(overview);
    let row = row::find(&field)?;
    let patches = patches::along(&field, &row, overview.scale());
    (patches.len() >= row::LEAST_STEPS).then_some(patches)
}
