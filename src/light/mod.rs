//! What the numbers mean: light, density, stops, lengths, lightness, transfer encodings and profiles.
//!
//! Symbols and sources stand in `docs/physics.md`. This room imports nothing from the house.

mod calibration;
mod densitometer;
mod density;
mod encoding;
mod length;
mod lightness;
mod monotone;
mod profile;
mod screen;

pub use calibration::{Calibration, LEAST_STEPS, NoCurve};
pub use densitometer::{CODES, Densitometer};
pub use density::{Density, LogExposure, Stops};
pub use encoding::{Encoding, UnknownEncoding};
pub use length::{Millimetres, PixelsPerInch, UnknownLength};
pub use lightness::{lightness, luminance};
pub use monotone::Monotone;
pub use profile::{Profile, ProfileError, grey_profile};
pub use screen::ScreenCodes;
