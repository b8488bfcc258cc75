//! The sums of an exposure by its own notes.

use std::path::Path;

use crate::batch::exposure::reciprocity;
use crate::light::Stops;
use crate::meter::{Seconds, Working};
use crate::notes::ShotNotes;

/// Written and reckoned agree within this, in stops: half of a third, in which shutters and lenses are set (common
/// practice).
pub const AGREED: f64 = 1.0 / 6.0;

/// What a reading makes of the exposure, beside what is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Summed {
    /// The reading.
    pub name: String,
    /// The sums, or why there are none.
    pub working: Result<Working, String>,
    /// The time that is written.
    pub written: Option<Seconds>,
}

impl Summed {
    /// How far what is written lies from the sums: more is above 0.
    pub fn apart(&self) -> Option<Stops> {
        Some(self.written?.over(self.working.as_ref().ok()?.time()))
    }

    /// Whether the film's reciprocity makes the time another.
    pub fn is_corrected(&self) -> bool {
        self.working.as_ref().is_ok_and(|working| working.time() != working.uncorrected())
    }

    /// Whether the two agree, if both are there.
    pub fn agrees(&self) -> Option<bool> {
        Some(self.apart()?.value().abs() <= AGREED)
    }
}

/// One for each reading with a meter's word; a film's file counts from `folder`.
pub(super) fn sums(shot: &ShotNotes, folder: &Path) -> Vec<Summed> {
    let film = shot.reciprocity.as_ref().map(|word| reciprocity(word, folder)).transpose();
    let readings = shot.readings.iter().filter(|reading| reading.metered.is_some());
    let summed = readings.filter_map(|reading| {
        let working = match &film {
            Ok(film) => shot.exposure(reading, film.as_ref())?.work_out(),
            Err(why) => Err(format!("reciprocity: {why}")),
        };
        Some(Summed { name: reading.name.clone(), working, written: shot.shutter })
    });
    summed.collect()
}
