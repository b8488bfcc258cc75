//! What is written into the files that are made of a scan: what its notes say of the picture, what was measured, how it
//! was printed.

use std::collections::BTreeMap;

use crate::light::{Density, Stops};
use crate::meter::FNumber;
use crate::notes::{PrintRecord, ShotNotes};
use crate::save::{Inscription, Moment};
use crate::scan::{Carried, Facts};

use super::frame::Decided;
use super::key::key;
use super::settings::{Personal, SettingError, Settings};

/// Fields of `[shot]` that have a place in Exif, Dublin Core or IPTC Core; all others go under names of our own.
const OF_STANDARDS: [&str; 8] = ["title", "caption", "place", "date", "photographer", "rights", "keywords", "rating"];

/// The settings that say something of their own.
const SAYING: [&str; 3] = ["photographer", "rights", "personal"];

/// Inscribes what is made of a scan.
pub(super) struct Inscriber<'a> {
    of_scan: Inscription,
    carried: &'a Carried,
}

/// Net densities of a frame, and the base that they are above.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tones {
    pub base: Density,
    pub thin: Density,
    pub dense: Density,
}

/// How a frame was printed, in words.
#[derive(Clone, Copy, Debug)]
pub(super) struct Printed<'a> {
    pub paper: &'a str,
    pub table: &'a str,
    pub grade: &'a str,
    pub exposure: Stops,
}

impl<'a> Inscriber<'a> {
    /// Photographer and rights are those of `[shot]`, else those of the settings.
    pub(super) fn new(shot: &ShotNotes, settings: &Settings, facts: &'a Facts) -> Self {
        let own = shot.fields().iter().filter(|field| !OF_STANDARDS.contains(&field.name.as_str()));
        let own = own.map(|field| (field.name.replace(['.', '_', ' '], "-"), field.text.clone()));
        let of_scan = Inscription {
            title: shot.called().map(str::to_owned),
            caption: shot.told().map(str::to_owned),
            creator: shot.photographer.clone().or_else(|| settings.photographer.clone()),
            rights: shot.rights.clone().or_else(|| settings.rights.clone()),
            place: shot.place.clone(),
            keywords: shot.keywords.clone(),
            rating: shot.rating,
            exposed: shot.date.map(|date| Moment {
                year: date.year,
                month: date.month,
                day: date.day,
                time: date.time,
            }),
            scanned: facts.date_time.clone(),
            exposure_time: shot.shutter.map(|time| time.value()),
            f_number: shot.aperture.as_ref().map(nominal),
            focal_length: shot.focal.map(|length| length.value()),
            lens: shot.lens.clone(),
            speed: shot.speed.filter(|speed| (1.0..=65_535.0).contains(speed)).map(|speed| speed.round() as u16),
            own: own.collect(),
            personal: settings.personal == Personal::Keep,
        };
        Self { of_scan, carried: &facts.carried }
    }

    /// The same, by settings as notes record them.
    ///
    /// # Errors
    /// When one of them is none.
    pub(super) fn noted(
        shot: &ShotNotes,
        words: &BTreeMap<String, String>,
        facts: &'a Facts,
    ) -> Result<Self, SettingError> {
        let mut settings = Settings::default();
        for name in SAYING {
            if let Some(word) = words.get(name) {
                settings.set(name, word)?;
            }
        }
        Ok(Self::new(shot, &settings, facts))
    }

    /// What a flat positive carries.
    pub(super) fn flat(&self, tones: Tones) -> Carried {
        self.with_tones(tones).over(self.carried)
    }

    /// What a proof or a print carries.
    pub(super) fn print(&self, tones: Tones, printed: Printed<'_>) -> Carried {
        let exposure = printed.exposure.to_string();
        let words =
            [("paper", printed.paper), ("grades", printed.table), ("grade", printed.grade), ("exposure", &exposure)];
        let mut inscription = self.with_tones(tones);
        inscription.own.extend(words.map(|(name, word)| (name.to_owned(), word.to_owned())));
        inscription.over(self.carried)
    }

    /// A short name for all that notes and settings say here.
    pub(super) fn key(&self) -> String {
        key(&[&format!("{:?}", self.of_scan)])
    }

    fn with_tones(&self, Tones { base, thin, dense }: Tones) -> Inscription {
        let tones = [("base", base), ("thin", thin), ("dense", dense), ("range", dense - thin)];
        let tones = tones.map(|(name, density)| (name.to_owned(), density.noted().value().to_string()));
        let mut inscription = self.of_scan.clone();
        inscription.own.extend(tones);
        inscription
    }
}

/// An aperture as other programs show it: f/22 is 22, though exactly it is 22.63 (ISO 517); one with a part of a stop
/// to a tenth.
fn nominal(aperture: &FNumber) -> f64 {
    let number = aperture.written().trim_start_matches(['f', 'F']).trim_start_matches('/').trim();
    number.parse().unwrap_or_else(|_| (aperture.value() * 10.0).round() / 10.0)
}

impl Tones {
    /// Of a frame that was decided on.
    pub(super) fn of(frame: &Decided) -> Self {
        Self { base: frame.base, thin: frame.thin(), dense: frame.dense() }
    }

    /// Of densities as notes have them: ends net of base.
    pub(super) fn noted(base: f64, thin: f64, dense: f64) -> Self {
        let [base, thin, dense] = [base, thin, dense].map(Density::new);
        Self { base, thin, dense }
    }
}

impl<'a> Printed<'a> {
    /// As a print was recorded.
    pub(super) fn of(record: &'a PrintRecord) -> Self {
        Self { paper: &record.paper, table: &record.table, grade: &record.grade, exposure: Stops::new(record.exposure) }
    }
}
