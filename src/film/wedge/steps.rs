//! Which patch is which step of which tablet, and how far down the steps can be told apart.

use crate::light::{Calibration, Density};

use super::refusal::Refusal;
use super::tablet::Tablet;

/// What was read of a patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Scanner density; infinite where there is no light.
    pub scanner: Density,
    /// Its standard error, in D.
    pub error: f64,
    /// Share of the patch at the scanner's full scale, 0 to 1.
    pub at_full_scale: f64,
    /// Whether the patch is surely a step.
    pub sure: bool,
}

/// A step that can be told from its neighbours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// As the scanner reads it.
    pub scanner: Density,
    /// As the tablet has it.
    pub density: Density,
    /// How far its density lies above what the other steps say, in D; the two outermost have none.
    pub residual: Option<f64>,
}

/// A step tablet as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Steps {
    /// Which.
    pub tablet: Tablet,
    /// Its steps from the thinnest on, as far as they can be told apart.
    pub steps: Vec<Step>,
    /// What they teach.
    pub calibration: Calibration,
}

/// Share of a step at full scale from which it is not read.
const CLIPPED: f64 = 0.02;
/// A step whose place on the curve is less certain than this, in D, is not told from its neighbours: the accuracy of a
/// bench densitometer (makers' manuals, from memory).
const UNCERTAIN: f64 = 0.02;
/// A scan repeats a density to this, in D (house value): less noise than it leaves in a patch proves nothing for the
/// next scan.
const REPEATS: f64 = 0.003;
/// A residual beyond this, in D, is dirt or a wrong list: far more than a tablet is off from its list, and than a curve
/// is off between its steps.
const OFF: f64 = 0.05;
/// Where light is read rightly the thin steps read as far apart as they are, to within this factor: stray light takes
/// off a hundredth there, taking one known tablet for another is a factor of 1.5.
const SPACING: std::ops::Range<f64> = 0.82..1.22;
/// Rises of neighbouring steps at the thin end differ by no more than this, as a share: twice what 0.02 D makes of
/// 0.10.
const ALIKE: f64 = 0.4;
/// At the dense end rises shrink with stray light; one that is larger than the one before by this factor leads to what
/// is no step.
const LARGER: f64 = 1.5;

/// Assigns `readings`, thinnest first, to the steps of the tablet that is `named`, or of the known one that has as
/// many.
///
/// # Errors
/// When the number of steps or their spacing is that of no tablet, or the scan is too bright, too dirty or too dark to tell.
pub fn steps(readings: &[Reading], named: Option<&Tablet>) -> Result<Steps, Refusal> {
    let found = readings.iter().filter(|r| r.sure).count();
    let (tablet, first) = match named {
        Some(tablet) => {
            let named = tablet.densities().len();
            let refusal = || first_clipped(readings, named).unwrap_or(Refusal::NotThisTablet { found, named });
            let first = place(readings, tablet).ok_or_else(refusal)?;
            (tablet.clone(), first.first)
        }
        None => {
            let places = Tablet::known().into_iter().filter_map(|t| Some((place(readings, &t)?, t)));
            // Between tablets of as many steps as can be there, the shorter one: the longer have the same densities so
            // far.
            let (place, tablet) = places.min_by_key(|(place, _)| place.left_out).ok_or_else(|| {
                let clipped = Tablet::known().iter().find_map(|t| first_clipped(readings, t.densities().len()));
                clipped.unwrap_or(Refusal::Count { found })
            })?;
            spacing(&readings[place.first..], &tablet)?;
            (tablet, place.first)
        }
    };
    let readings = &readings[first..first + tablet.densities().len()];
    if let Some(i) = readings.iter().position(|r| r.at_full_scale > CLIPPED) {
        return Err(Refusal::Clipped { step: i + 1 });
    }
    let told = told_apart(readings, tablet.densities());
    if told < super::row::LEAST_STEPS.max(tablet.densities().len() / 2) {
        return Err(Refusal::NotToldApart { step: told + 1, density: tablet.densities()[told] });
    }
    let points: Vec<_> =
        readings.iter().zip(tablet.densities()).take(told).map(|(r, d)| (r.scanner.noted(), *d)).collect();
    let calibration = Calibration::through(&points)?;
    let residuals = calibration.residuals();
    let worst = (0..told).filter_map(|i| Some((i, residuals[i]?))).max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    if let Some((i, off)) = worst.filter(|(_, off)| off.abs() > OFF) {
        return Err(Refusal::OutOfLine { step: i + 1, density: points[i].1, off });
    }
    let step = |((scanner, density), residual): (&(Density, Density), &Option<f64>)| Step {
        scanner: *scanner,
        density: *density,
        residual: *residual,
    };
    Ok(Steps { steps: points.iter().zip(&residuals).map(step).collect(), tablet, calibration })
}

/// One step less than a tablet of `steps` has, next to a patch at full scale: the first step is as bright as open
/// light.
fn first_clipped(readings: &[Reading], steps: usize) -> Option<Refusal> {
    let thinnest = readings.iter().position(|r| r.sure)?;
    let found = readings.iter().filter(|r| r.sure).count();
    let clipped = thinnest > 0 && readings[thinnest - 1].at_full_scale > CLIPPED;
    (clipped && found + 1 == steps).then_some(Refusal::Clipped { step: 1 })
}

/// Where a tablet begins among the patches.
struct Place {
    first: usize,
    /// Patches that seemed sure and are none of its steps.
    left_out: usize,
}

/// The place of a tablet that holds all sure patches, or all but one at an end that is out of line: its own opaque or
/// clear end.
fn place(readings: &[Reading], tablet: &Tablet) -> Option<Place> {
    let steps = tablet.densities().len();
    let thinnest = readings.iter().position(|r| r.sure)?;
    let densest = readings.iter().rposition(|r| r.sure)?;
    let places = (0..=(readings.len().checked_sub(steps)?)).filter_map(|first| {
        let last = first + steps - 1;
        let (thin, dense) = (first.saturating_sub(thinnest), densest.saturating_sub(last));
        let out_of_line = match (thin, dense) {
            // What looks like the film around it must at least continue the steps.
            (0, 0) => first == thinnest || in_line(readings, tablet, first),
            (1, 0) => !in_line(readings, tablet, thinnest),
            (0, 1) => leads_away(readings, densest),
            _ => false,
        };
        out_of_line.then_some(Place { first, left_out: thin + dense })
    });
    places.min_by_key(|p| (p.left_out, !in_line(readings, tablet, p.first), p.first))
}

/// Whether the rise from patch `first` to the next is as large as the one after it, for the tablet's own spacing.
fn in_line(readings: &[Reading], tablet: &Tablet, first: usize) -> bool {
    let Some([a, b, c]) = readings.get(first..first + 3).map(|r| [0, 1, 2].map(|i| r[i].scanner.value())) else {
        return false;
    };
    let d = tablet.densities();
    let (rise, next) = ((b - a) / (d[1] - d[0]).value(), (c - b) / (d[2] - d[1]).value());
    (rise / next - 1.0).abs() <= ALIKE
}

/// Whether the rise to patch `last` is larger than stray light allows.
fn leads_away(readings: &[Reading], last: usize) -> bool {
    let rise = |i: usize| (readings[i].scanner - readings[i - 1].scanner).value();
    last >= 2 && rise(last) > LARGER * rise(last - 1)
}

/// Steps up to a density of 1 against what the tablet has there.
fn spacing(readings: &[Reading], tablet: &Tablet) -> Result<(), Refusal> {
    let d = tablet.densities();
    let thin = d.iter().take_while(|d| d.value() <= 1.0).count();
    let over = |a: Density, b: Density| (a - b).value() / (thin - 1) as f64;
    let (read, apart) = (over(readings[thin - 1].scanner, readings[0].scanner), over(d[thin - 1], d[0]));
    if SPACING.contains(&(read / apart)) {
        return Ok(());
    }
    Err(Refusal::Spacing { read, tablet: tablet.name().to_owned(), apart })
}

/// How many steps, from the thinnest on, can be told from the one before.
fn told_apart(readings: &[Reading], densities: &[Density]) -> usize {
    let told = |i: &usize| {
        let (one, next) = (readings[i - 1], readings[*i]);
        let rise = (next.scanner - one.scanner).value();
        // How far an error in reading moves a step on the tablet's scale.
        let uncertain = next.error.hypot(one.error).hypot(REPEATS) * (densities[*i] - densities[i - 1]).value() / rise;
        let away = !next.sure && leads_away(readings, *i);
        rise.is_finite() && rise >= LEAST_RISE && uncertain <= UNCERTAIN && !away
    };
    1 + (1..readings.len()).take_while(told).count()
}

/// Least rise in scanner density that makes two steps: densities are written down to 0.0001 D, and of a smaller rise
/// the rounding is more than 2 %.
const LEAST_RISE: f64 = 0.005;

#[cfg(test)]
mod tests {
    use super::*;

    /// Stray light f, arithmetic: D' = -log10((10^-D + f)/(1 + f)); with it a clear patch before and a black one after.
    fn readings(tablet: &Tablet, f: f64, before: Option<f64>, after: usize) -> Vec<Reading> {
        let read = |d: f64, sure| Reading {
            scanner: Density::of((10f64.powf(-d) + f) / (1.0 + f)),
            error: 0.0002,
            at_full_scale: 0.0,
            sure,
        };
        let own = tablet.densities().iter().map(|d| read(d.value(), true));
        let before = before.into_iter().map(|d| read(d, false));
        before.chain(own).chain((0..after).map(|_| read(9.0, false))).collect()
    }

    #[test]
    fn the_number_of_steps_tells_the_tablet() {
        for tablet in Tablet::known() {
            for (before, after) in [(None, 0), (Some(0.0), 0), (None, 5), (Some(0.0), 30)] {
                let got = steps(&readings(&tablet, 0.0003, before, after), None).unwrap();
                assert_eq!(got.tablet, tablet);
                assert_eq!(got.steps[0].density.value(), 0.05);
                assert!(got.steps.len() >= 31.min(tablet.densities().len()), "{}", got.steps.len());
            }
        }
    }

    #[test]
    fn a_first_step_like_the_film_around_it_counts() {
        let tablet = Tablet::of_steps(21).unwrap();
        let mut readings = readings(&tablet, 0.003, None, 3);
        readings[0].sure = false;
        assert_eq!(steps(&readings, None).unwrap().steps.len(), 21);
    }

    #[test]
    fn an_opaque_end_of_the_tablet_is_no_step() {
        let tablet = Tablet::of_steps(31).unwrap();
        let mut readings = readings(&tablet, 0.003, None, 1);
        readings[31].sure = true;
        let got = steps(&readings, None).unwrap();
        assert_eq!((got.tablet.densities().len(), got.steps.len()), (31, 31));
    }

    #[test]
    fn what_is_no_tablet_is_refused_with_what_to_do() {
        let known = Tablet::of_steps(21).unwrap();
        let good = readings(&known, 0.003, None, 0);
        let told = |readings: &[Reading], named| steps(readings, named).unwrap_err();
        assert_eq!(told(&good[..17], None), Refusal::Count { found: 17 });
        let other = Tablet::of_steps(31).unwrap();
        assert_eq!(told(&good, Some(&other)), Refusal::NotThisTablet { found: 21, named: 31 });
        // Linear codes taken for sRGB, roughly: everything reads 2.2 times as dense.
        let wrong: Vec<_> =
            good.iter().map(|r| Reading { scanner: Density::new(2.2 * r.scanner.value()), ..*r }).collect();
        assert!(matches!(told(&wrong, None), Refusal::Spacing { .. }));
        assert!(steps(&wrong, Some(&known)).is_ok(), "unless the tablet is named");
        let mut clipped = good.clone();
        clipped[0].at_full_scale = 0.4;
        assert_eq!(told(&clipped, None), Refusal::Clipped { step: 1 });
        // As bright as open light: no step any more, and yet the reason.
        let mut lost = good.clone();
        lost[0] = Reading { scanner: Density::new(0.0), at_full_scale: 1.0, sure: false, ..lost[0] };
        lost[1].scanner = Density::new(0.07);
        assert_eq!(told(&lost, None), Refusal::Clipped { step: 1 });
        let mut dirty = good.clone();
        dirty[8].scanner = Density::new(dirty[8].scanner.value() + 0.08);
        assert!(matches!(told(&dirty, None), Refusal::OutOfLine { step: 9, .. }), "{}", told(&dirty, None));
        let mut flat = good;
        flat[6].scanner = flat[5].scanner;
        assert!(matches!(told(&flat, None), Refusal::NotToldApart { step: 7, .. }));
        for refusal in [told(&clipped, None), told(&dirty, None), told(&flat, None), Refusal::NoRow] {
            assert!(refusal.to_string().contains(": "), "{refusal}");
        }
    }

    #[test]
    fn steps_that_drown_in_noise_are_left_out_from_there_on() {
        let tablet = Tablet::of_steps(41).unwrap();
        let mut readings = readings(&tablet, 0.003, None, 0);
        readings.iter_mut().for_each(|r| r.error = 0.002);
        let got = steps(&readings, None).unwrap();
        let reach = got.calibration.range().1.value();
        // With D' = D - log10(1 + f 10^D) a step rises by 0.1/(1 + f 10^D): at D 3.35 that is 0.013, and an error of
        // 0.002 in each of two steps is a fifth of it, 0.02 D.
        assert!((3.0..=3.4).contains(&reach), "{reach}");
    }
}
