//! Tones that were placed at the camera, held against what the negative has: the loop from the meter back to the meter.

use super::estimate::Estimate;
use super::zone::{Zone, ZoneTable};
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
    /// How much more exposure it got than that needs.
    pub given: Stops,
    /// Net density of the negative there.
    pub found: Density,
}

impl Tone {
    /// The number of the zone that it was exposed for: a zone is a stop.
    pub fn exposed(&self) -> f64 {
        self.zone.number() + self.given.value()
    }

    /// The net density that this exposure is to give; nothing beyond the table.
    pub fn aimed(&self, table: &ZoneTable) -> Option<Density> {
        table.holds(self.exposed()).then(|| table.density(self.exposed()))
    }

    /// How much more exposure it looks like than it had, by the zone that its density belongs to; nothing where the
    /// table does not reach, on either side: on along its outer lines it would be a guess.
    pub fn shift(&self, table: &ZoneTable) -> Option<Stops> {
        match table.zone(self.found) {
            Zone::At(number) if table.holds(self.exposed()) => Some(Stops::new(number - self.exposed())),
            _ => None,
        }
    }
}

/// How much more speed the film shows than the meter was set to, by the shadows of a picture; nothing without one.
pub fn shadow_shift(tones: &[Tone], table: &ZoneTable) -> Option<Stops> {
    let shadows = tones.iter().filter(|tone| tone.exposed() <= SHADOWS);
    let shifts: Vec<f64> = shadows.filter_map(|tone| tone.shift(table)).map(Stops::value).collect();
    Estimate::mean(&shifts).map(|of| Stops::new(of.value))
}

/// What development came out as: N is 0, N+1 is 1. By the shadows and the lights of a picture; nothing unless it has
/// both.
pub fn developed(tones: &[Tone], table: &ZoneTable) -> Option<Stops> {
    let mean = |is: fn(f64) -> bool| {
        let those = tones.iter().filter(|tone| is(tone.exposed()));
        let those = those.filter_map(|tone| Some((tone.exposed(), tone.shift(table)?.value())));
        let (zones, shifts): (Vec<f64>, Vec<f64>) = those.unzip();
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
        Tone { zone: zone.parse().unwrap(), given: Stops::default(), found: Density::new(found) }
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
        assert_eq!(tones[0].aimed(&table), Some(Density::new(0.34)));
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

    /// By the published table: a tone placed on III and given a stop more is exposed for IV, which is 0.48; two stops
    /// more make V of it, and that is no shadow.
    #[test]
    fn exposure_beyond_the_sums_is_not_taken_for_film_speed() {
        let table = ZoneTable::condenser_test();
        let given = |stops: f64, found: f64| Tone { given: Stops::new(stops), ..tone("III", found) };
        close(shadow_shift(&[given(1.0, 0.48)], &table), 0.0);
        close(shadow_shift(&[given(-1.0, 0.34)], &table), 1.0);
        assert_eq!(shadow_shift(&[given(2.0, 0.62)], &table), None);
        assert_eq!(given(-3.0, 0.05).aimed(&table), None);
    }

    /// The table ends at I 0.10 and IX 1.33: what lies half a third of a zone beyond has no zone, so that nothing comes
    /// of it.
    #[test]
    fn what_lies_beyond_the_table_is_left_out() {
        let table = ZoneTable::condenser_test();
        assert_eq!(tone("VIII", 2.2).shift(&table), None);
        assert_eq!(tone("III", 0.0).shift(&table), None);
        assert_eq!(tone("X", 1.30).shift(&table), None);
        close(shadow_shift(&[tone("III", 0.34), tone("II", -0.3)], &table), 0.0);
        assert_eq!(developed(&[tone("III", 0.34), tone("VIII", 2.2)], &table), None);
        close(developed(&[tone("III", 0.34), tone("VII", 0.97), tone("VIII", 2.2)], &table), 0.0);
    }
}
