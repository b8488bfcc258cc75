//! `dryside notes`: notes laid before there is a scan, written in, read and checked.

mod check;
mod export;
mod holders;
mod lay;
mod show;
mod sums;
mod write;
mod zones;

pub use check::{Checked, check_notes};
pub use export::{Export, GivenOut, export_notes, find_frames};
pub use holders::Holders;
pub use lay::{LaidNotes, LayOrder, lay_notes};
pub use show::{ShownNotes, show_notes};
pub use sums::{AGREED, Summed};
pub use write::write_notes;
pub use zones::{FilmRow, PictureRow, ZoneRow, ZonesOrder, ZonesRead, read_zones};
