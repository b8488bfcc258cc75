//! dryside turns a folder of black-and-white negative scans into flat positives, proofs, a proof sheet and notes.
//!
//! Darkroom order is reading order is layering: a room imports only from rooms above it. `DEVELOPERS.md` walks through
//! the house.
//!
//! ```no_run
//! use dryside::batch::{self, Order, Wishes};
//!
//! let order = Order {
//!     scans: "fixtures/ropewalk".into(),
//!     out: Some("ropewalk-out".into()),
//!     flags: Wishes::default(),
//!     force: false,
//!     dry_run: false,
//!     jobs: 2,
//!     sheets: true,
//! };
//! let outcome = batch::run(&order, &|_| {})?;
//! println!("{} scans failed", outcome.failed());
//! # Ok::<(), batch::Error>(())
//! ```
//!
//! What it does not do: it retouches nothing, sharpens nothing, knows no colour film, and a *scanner density* is not an
//! ISO density.

pub mod light;
pub mod plane;
pub mod scan;
pub mod film;
pub mod flat;
pub mod paper;
pub mod save;
pub mod sheet;
pub mod notes;
pub mod batch;
pub mod cli;
