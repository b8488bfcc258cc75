//! dryside turns a folder of black-and-white negative scans into flat positives, proofs, a proof sheet and notes, and
//! makes prints at size from them. A scan is only ever read.
//!
//! Darkroom order is reading order is layering: a room imports only from rooms above it. `DEVELOPERS.md` walks through
//! the house.
//!
//! ```no_run
//! use dryside::batch::{self, Order, Wishes};
//! use dryside::scan::Halt;
//!
//! let order = Order {
//!     scans: "fixtures/ropewalk".into(),
//!     leave: Default::default(),
//!     out: Some("ropewalk-out".into()),
//!     flags: Wishes::default(),
//!     force: false,
//!     dry_run: false,
//!     jobs: 2,
//!     memory: 400_000_000,
//!     sheets: true,
//!     explain: false,
//!     dust_map: false,
//!     share: None,
//!     measure_only: false,
//! };
//! // Nobody stops it, and nobody watches.
//! let outcome = batch::run(&order, &Halt::default(), &|_| {})?;
//! println!("{} scans failed", outcome.failed());
//! # Ok::<(), batch::Error>(())
//! ```
//!
//! It retouches nothing, sharpens nothing unasked and knows no colour film. What it reads are *scanner densities*, not
//! ISO densities, unless a scanned step tablet has calibrated the scanner.

pub mod light;
pub mod meter;
pub mod plane;
pub mod scan;
pub mod film;
pub mod flat;
pub mod paper;
pub mod save;
pub mod sheet;
pub mod notes;
pub mod logbook;
pub mod batch;
pub mod light_table;
pub mod cli;
