//! dryside turns a folder of black-and-white negative scans into flat positives, proofs, a proof sheet and notes.
//!
//! Darkroom order is reading order is layering: a room imports only from rooms above it.

pub mod flat;
pub mod light;
pub mod paper;
pub mod plane;
pub mod save;
