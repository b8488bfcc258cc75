//! Tones that were placed at the camera, held against what the negative has: the loop from the meter back to the meter.

use super::estimate::Estimate;
use super::zone::ZoneTable;
use crate::light::{Density, Stops};
use crate::meter::ZoneStep;

/// Up to here a tone is a shadow: exposure decides it, and development hardly (common practice).
const SHADOWS: f64 = 4.0;
/// From here it is a light: development decides it (common practice).
const LIGHTS: f64 = 6.0;
/// Zones from III to VII: N+1 makes VIII of VII, over these four (common practice).
const NORMAL_SPAN: f64 = 4.0;

/// A tone that was placed, and read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// The zone that it was placed on, or was to fall on.
    pub zone: ZoneStep,
    /// Net density of the negative there.
    pub found: Density,
}

impl Tone {
    /// How much denser it is than aimed at; nothing beyond the table.
    pub fn apart(&self, table: &ZoneTable) -> Option<Density> {
        Some(self.found - table.net(self.zone)?)
    }

    /// How much more exposure it looks like than it was to have, in stops: by the zone that its density belongs to.
    fn shift(&self, table: &ZoneTable) -> f64 {
        table.number(self.found) - self.zone.number()
    }
}

/// How much more speed the film shows than the meter was set to, by the shadows of a picture; nothing without one.
pub fn shadow_shift(tones: &[Tone], table: &ZoneTable) -> Option<Stops> {
    let shifts: Vec<f64> =
        tones.iter().filter(|tone| tone.zone.number() <= SHADOWS).map(|tone| tone.shift(table)).collect();
    Estimate::mean(&shifts).map(|of| Stops::new(of.value))
}

/// What development came out as: N is 0, N+1 is 1. By the shadows and the lights of a picture; nothing unless it has both.
pub fn developed(tones: &[Tone], table: &ZoneTable) -> Option<Stops> {
    let mean = |is: fn(f64) -> bool| {
        let those: Vec<&Tone> = tones.iter().filter(|tone| is(tone.zone.number())).collect();
        let zones: Vec<f64> = those.iter().map(|tone| tone.zone.number()).collect();
        let shifts: Vec<f64> = those.iter().map(|tone| tone.shift(table)).collect();
        Some((Estimate::mean(&zones)?.value, Estimate::mean(&shifts)?.value))
    };
    let (shadow, low) = mean(|zone| zone <= SHADOWS)?;
    let (light, high) = mean(|zone| zone >= LIGHTS)?;
    Some(Stops::new((high - low) * NORMAL_SPAN / (light - shadow)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(zone: &str, found: f64) -> Tone {
        Tone { zone: zone.parse().unwrap(), found: Density::new(found) }
    }

    fn close(found: Option<Stops>, expected: f64) {
        assert!(found.is_some_and(|stops| (stops.value() - expected).abs() < 1e-9), "{found:?}, expected {expected}");
    }

    /// By the published table: III 0.34, II 0.21, VII 0.97, VIII 1.18.
    #[test]
    fn a_negative_as_the_table_has_it_is_normal() {
        let table = ZoneTable::condenser_test();
        let tones = [tone("III", 0.34), tone("VII", 0.97)];
        close(shadow_shift(&tones, &table), 0.0);
        close(developed(&tones, &table), 0.0);
        assert_eq!(tones[0].apart(&table), Some(Density::default()));
        // Exposed a stop less: both fall by a zone, and development is still normal.
        let less = [tone("III", 0.21), tone("VII", 0.76)];
        close(shadow_shift(&less, &table), -1.0);
        close(developed(&less, &table), 0.0);
    }

    /// N+1: VII comes out as VIII (common practice).
    #[test]
    fn vii_that_comes_out_as_viii_is_n_plus_one() {
        let table = ZoneTable::condenser_test();
        close(developed(&[tone("III", 0.34), tone("VII", 1.18)], &table), 1.0);
        close(developed(&[tone("III", 0.34), tone("VII", 0.76)], &table), -1.0);
        assert_eq!(developed(&[tone("III", 0.34), tone("V", 0.62)], &table), None);
        assert_eq!(shadow_shift(&[tone("V", 0.62)], &table), None);
    }
}
