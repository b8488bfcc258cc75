//! The flat positive: a deliberately flat, unclipped, reversible start, and where its ends are placed.

mod law;
mod tone;

pub use law::Law;
pub use tone::{read_back, table};
