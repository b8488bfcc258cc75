//! Grey samples: areas, bands of rows, the exact histogram, the tone table, reduction.

mod area;
mod band;
mod histogram;
mod overview;
mod quad;
mod reduce;
mod shelf;
mod table;

pub use area::{Area, Size};
pub use band::Band;
pub use histogram::Histogram;
pub use overview::Overview;
pub use quad::{Point, Quad};
pub use reduce::{Across, Down};
pub use shelf::Shelf;
pub use table::{Table, per_code};
