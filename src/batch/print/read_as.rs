//! What is read of a scan for its prints, and what its codes mean.

use crate::batch::light::Light;
use crate::batch::reading;
use crate::batch::recall;
use crate::batch::settings::Settings;
use crate::batch::spots;
use crate::light::{Calibration, Densitometer, Density, Encoding};
use crate::notes::Notes;
use crate::plane::Point;
use crate::scan::{self, Channel, Facts, Scan};

/// How a scan is read.
pub(in crate::batch) struct Read {
    settings: Settings,
    /// What makes its densities true ones.
    calibration: Option<Calibration>,
}

impl Read {
    /// By the settings `encoding` and `channel`, and the calibration in the notes.
    ///
    /// # Errors
    /// When one of them is none.
    pub(in crate::batch) fn of(encoding: &str, channel: &str, notes: &Notes) -> Result<Self, String> {
        let mut settings = Settings::default();
        settings.set("encoding", encoding).map_err(|e| e.to_string())?;
        settings.set("channel", channel).map_err(|e| e.to_string())?;
        let through = |points: &[[f64; 2]]| {
            let steps: Vec<_> = points.iter().map(|[scanner, d]| (Density::new(*scanner), Density::new(*d))).collect();
            Calibration::through(&steps).map_err(|e| e.to_string())
        };
        let calibration = notes.scan.wedge.as_ref().map(|wedge| through(&wedge.points)).transpose()?;
        Ok(Self { settings, calibration })
    }

    /// Which channel is read.
    pub(in crate::batch) fn channel(&self) -> Channel {
        self.settings.channel
    }

    /// What makes its densities true ones.
    pub(in crate::batch) fn calibration(&self) -> Option<&Calibration> {
        self.calibration.as_ref()
    }

    /// The curve from its codes to light.
    ///
    /// # Errors
    /// When they cannot be taken as light.
    pub(in crate::batch) fn encoding(&self, facts: &Facts) -> Result<Encoding, scan::Error> {
        Light::of(facts, &self.settings).map(|light| light.encoding)
    }

    /// What its codes mean.
    ///
    /// # Errors
    /// When they cannot be taken as light.
    pub(in crate::batch) fn bench(&self, facts: &Facts) -> Result<Densitometer, scan::Error> {
        Ok(reading::bench(&self.encoding(facts)?, self.calibration.as_ref()))
    }

    /// Density of a place that an exposure is found by: as it was noted, or read now.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(in crate::batch) fn spot(&self, at: Point, notes: &Notes, scan: &Scan) -> Result<Density, String> {
        let noted = notes.measured.spot.filter(|spot| spot.at == [at.x, at.y]);
        match noted.map(|spot| Density::new(spot.density)).filter(|density| recall::is_of_film(*density)) {
            Some(density) => Ok(density),
            None => {
                let bench = self.bench(scan.facts()).map_err(|e| e.to_string())?;
                spots::density(scan, self.channel(), &bench, at, self.calibration.as_ref())
            }
        }
    }
}
