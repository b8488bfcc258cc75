//! At the camera: from a meter's reading to the time that the shutter stays open, as sums a person can follow on paper.
//!
//! The order is part of the arithmetic: reading, zone, aperture, filter and bellows, and reciprocity last, because film
//! tires by the time that it is really exposed for. Values in, values out; formulas and sources stand in
//! `docs/physics.md`.

mod bellows;
mod exposure;
mod f_number;
mod factor;
mod film;
mod film_file;
pub mod films;
mod seconds;
mod value;
mod zone;

pub use bellows::{Bellows, NoBellows};
pub use exposure::{Caution, Exposure, Reading, Step, Sum, Working, opened, stops_apart};
pub use f_number::{FNumber, NoFNumber};
pub use factor::{FilterFactor, NoFactor};
pub use film::{Corrected, FilmRow, NoFilm, Reciprocity};
pub use film_file::{FilmError, P_RANGE, read_film};
pub use seconds::{NoTime, Seconds};
pub use value::{ExposureValue, NoExposureValue};
pub use zone::{NoZone, ZONE_NAMES, ZoneStep};
