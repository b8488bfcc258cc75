//! A paper from readings of a printed wedge.

use super::curve::{Figure, Paper};
use super::file::LEAST_DEPTH;
use super::shape::Shape;
use crate::light::{Density, LogExposure, Monotone, lightness};

/// Readings of a print, at least: two at either end and three between them.
pub const LEAST_READINGS: usize = 7;
/// Readings between T and S, at least. With fewer the R of a hard paper is off by more than the 3 % that ISO 6846
/// permits (computed on the logistic curve: R 40 in steps of 0.15 reads up to 42).
const LEAST_BETWEEN: usize = 3;
/// A reading may be off by this, in D: repeatability of a bench densitometer (makers' manuals, from memory).
const REPEATS: f64 = 0.01;
/// Tones that differ by no more, in L*, look the same side by side (common practice).
const LOOKS_SAME: f64 = 1.0;
/// Readings closer than this, in D or log exposure, are the same: they are written down to it.
const SAME: f64 = 1e-4;
/// Print densities and log exposures that a reading can have.
const DENSITIES: std::ops::RangeInclusive<f64> = 0.0..=3.0;
const EXPOSURES: std::ops::RangeInclusive<f64> = -10.0..=10.0;

/// Readings that make no paper.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoPaper {
    /// Too few.
    #[error("{0} readings are too few: print at least {LEAST_READINGS} steps, from paper white to full black")]
    Few(usize),
    /// A number that no print has.
    #[error("density {density} at log exposure {exposure} is no reading of a print: 0 to 3 D, log exposure -10 to 10")]
    Beyond {
        /// Log exposure.
        exposure: f64,
        /// Print density.
        density: f64,
    },
    /// More exposure, less density.
    #[error(
        "density falls from {from:.2} to {to:.2} at log exposure {exposure:.2}: read these steps again, and check their order; write a minus before each step's density where it stands for the log exposure"
    )]
    Falls {
        /// Density before.
        from: f64,
        /// Density after.
        to: f64,
        /// Log exposure after.
        exposure: f64,
    },
    /// White to black is no distance.
    #[error("from {white:.2} to {black:.2} is too little for a paper: print the wedge from paper white to full black")]
    Pale {
        /// Lightest.
        white: f64,
        /// Darkest.
        black: f64,
    },
    /// T lies before the second reading.
    #[error(
        "the lightest readings, {0:.2} and {1:.2}, do not level off at paper white: add steps with less exposure, or the print's unexposed edge"
    )]
    NoWhite(f64, f64),
    /// S lies behind the last but one.
    #[error("the darkest readings, {0:.2} and {1:.2}, do not level off at full black: add steps with more exposure")]
    NoBlack(f64, f64),
    /// The slope is hardly read.
    #[error("{0} readings between T and S are too few, {LEAST_BETWEEN} are needed: print a wedge of finer steps")]
    Coarse(usize),
}

/// A paper whose curve is the monotone cubic through `readings`, in any order. The lightest is its white, the darkest
/// its black.
///
/// Readings that fall by no more than a densitometer's repeatability are levelled. Of a level stretch at an end its
/// inner end is kept, of one between them its middle.
///
/// # Errors
/// When they are too few, do not rise, or do not reach from white to black.
pub fn measured(name: String, readings: &[(LogExposure, Density)], source: String) -> Result<Paper, NoPaper> {
    let levelled = levelled(&points(readings)?)?;
    let n = levelled.len();
    let (white, black) = (levelled[0].1, levelled[n - 1].1);
    if black - white < LEAST_DEPTH {
        return Err(NoPaper::Pale { white, black });
    }
    let paper = |shape| Paper::new(name.clone(), (white, black), shape, vec![figure(&source)]);
    let ends = paper(Shape::Richards { asymmetry: 1.0 });
    let (t, s) = (ends.lightest().value(), ends.darkest().value());
    if levelled[1].1 > t {
        return Err(NoPaper::NoWhite(white, levelled[1].1));
    }
    if levelled[n - 2].1 < s {
        return Err(NoPaper::NoBlack(levelled[n - 2].1, black));
    }
    let between = levelled.iter().filter(|(_, d)| *d > t && *d < s).count();
    if between < LEAST_BETWEEN {
        return Err(NoPaper::Coarse(between));
    }
    let curve = Monotone::levelling_off(&risen(&levelled)).ok_or(NoPaper::Coarse(between))?;
    Ok(paper(Shape::Measured(curve)))
}

/// A paper from all readings of a wedge, as [`measured`]; its last two steps at either end must look the same. (Of a
/// level stretch a paper's file keeps but one.)
///
/// # Errors
/// As there, and when an end is cut off.
pub fn fitted(name: String, readings: &[(LogExposure, Density)], source: String) -> Result<Paper, NoPaper> {
    let paper = measured(name, readings, source)?;
    let levelled = levelled(&points(readings)?)?;
    let n = levelled.len();
    let shown = |i: usize| lightness(Density::new(levelled[i].1).transmittance());
    let apart = |a: usize, b: usize| shown(a) - shown(b) > LOOKS_SAME;
    if apart(0, 1) {
        return Err(NoPaper::NoWhite(levelled[0].1, levelled[1].1));
    }
    if apart(n - 2, n - 1) {
        return Err(NoPaper::NoBlack(levelled[n - 2].1, levelled[n - 1].1));
    }
    Ok(paper)
}

/// In the order of their exposure, one for each.
fn points(readings: &[(LogExposure, Density)]) -> Result<Vec<(f64, f64)>, NoPaper> {
    let mut points: Vec<(f64, f64)> = readings.iter().map(|(x, d)| (to_four(x.value()), to_four(d.value()))).collect();
    if let Some(&(exposure, density)) = points.iter().find(|(x, d)| !EXPOSURES.contains(x) || !DENSITIES.contains(d)) {
        return Err(NoPaper::Beyond { exposure, density });
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let points = merged(&points, |a, b| b.0 - a.0 < SAME / 2.0);
    if points.len() < LEAST_READINGS {
        return Err(NoPaper::Few(points.len()));
    }
    Ok(points)
}

fn figure(source: &str) -> Figure {
    Figure { what: "readings".to_owned(), source: source.to_owned() }
}

/// Never falling: neighbours that fall are given their mean (pool adjacent violators, common practice in statistics).
fn levelled(points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, NoPaper> {
    // Sum and number of the readings of each level stretch.
    let mut stretches: Vec<(f64, usize)> = Vec::new();
    for (_, d) in points {
        let mut stretch = (*d, 1);
        while let Some(before) = stretches.last().filter(|b| mean(**b) > mean(stretch)) {
            stretch = (before.0 + stretch.0, before.1 + stretch.1);
            stretches.pop();
        }
        stretches.push(stretch);
    }
    let levels = stretches.iter().flat_map(|stretch| std::iter::repeat_n(to_four(mean(*stretch)), stretch.1));
    let levelled: Vec<_> = points.iter().zip(levels).map(|((x, _), level)| (*x, level)).collect();
    let off = points.iter().zip(&levelled).any(|((_, d), (_, level))| (d - level).abs() > REPEATS + SAME);
    let deepest = |w: &&[(f64, f64)]| to_four(w[0].1 - w[1].1);
    let worst = points.windows(2).max_by(|a, b| deepest(a).total_cmp(&deepest(b)));
    match worst.filter(|_| off) {
        Some(w) => Err(NoPaper::Falls { from: w[0].1, to: w[1].1, exposure: w[1].0 }),
        None => Ok(levelled),
    }
}

fn mean((sum, count): (f64, usize)) -> f64 {
    sum / count as f64
}

/// Strictly rising: one point for each level stretch.
fn risen(levelled: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let (white, black) = (levelled[0].1, levelled[levelled.len() - 1].1);
    let level = |a: &(f64, f64), b: &(f64, f64)| b.1 - a.1 < SAME / 2.0;
    let place = |stretch: &[(f64, f64)]| {
        let (first, last) = (stretch[0], stretch[stretch.len() - 1]);
        let x = if first.1 - white < SAME / 2.0 {
            last.0
        } else if black - last.1 < SAME / 2.0 {
            first.0
        } else {
            to_four(f64::midpoint(first.0, last.0))
        };
        (x, first.1)
    };
    levelled.chunk_by(level).map(place).collect()
}

/// One point for each run of points that are alike: their mean.
fn merged(points: &[(f64, f64)], alike: impl Fn(&(f64, f64), &(f64, f64)) -> bool) -> Vec<(f64, f64)> {
    let mean = |run: &[(f64, f64)]| (run[0].0, to_four(run.iter().map(|p| p.1).sum::<f64>() / run.len() as f64));
    points.chunk_by(alike).map(mean).collect()
}

/// As readings are written down.
fn to_four(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::{file, shelf};

    /// Readings of the logistic paper (Dmin 0.05, DN 2.05) at this R, so far apart from -3 on, to so many decimals.
    fn readings(r: f64, apart: f64, decimals: i32) -> Vec<(LogExposure, Density)> {
        let paper = shelf::paper("glossy").unwrap();
        let curve = paper.curve(r);
        let exact = |x: f64| curve.density(LogExposure::new(x)).value();
        let rounded = |d: f64| (d * 10f64.powi(decimals)).round() / 10f64.powi(decimals);
        let count = (6.0 / apart).round() as i32;
        let at = |i: i32| -3.0 + f64::from(i) * apart;
        (0..=count).map(|i| (LogExposure::new(at(i)), Density::new(rounded(exact(at(i)))))).collect()
    }

    fn r(readings: &[(LogExposure, Density)]) -> f64 {
        measured("mine".into(), readings, "a test".into()).unwrap().measured().unwrap().1
    }

    /// Computed: the logistic paper of R 50 sampled every 0.15 reads 50.95 with a monotone cubic (53.9 with straight
    /// lines), and every other grade within 0.1.
    #[test]
    fn a_wedge_sampled_every_fifteen_hundredths_reads_its_known_range() {
        assert!((r(&readings(50.0, 0.15, 4)) - 50.95).abs() < 0.01, "{}", r(&readings(50.0, 0.15, 4)));
        for nominal in [70.0, 90.0, 110.0, 130.0, 160.0, 180.0] {
            assert!((r(&readings(nominal, 0.15, 4)) - nominal).abs() < 0.1, "{nominal}");
        }
    }

    /// ISO 6846, 6.2 (quoted): 3 % of error are permitted in R. Readings to two decimals, as a densitometer shows them.
    #[test]
    fn readings_to_two_decimals_are_good_enough() {
        for nominal in [57.5, 72.5, 87.5, 105.0, 127.5, 155.0] {
            let found = r(&readings(nominal, 0.10, 2));
            assert!((found / nominal - 1.0).abs() < 0.03, "{nominal}: {found}");
        }
    }

    /// The curve at its own R goes through every reading, and at another is the same curve drawn out.
    #[test]
    fn the_curve_goes_through_its_readings() {
        let readings = readings(90.0, 0.15, 4);
        let paper = measured("mine".into(), &readings, String::new()).unwrap();
        let r = paper.measured().unwrap().1;
        for (x, d) in &readings {
            assert!((paper.curve(r).density(*x).value() - d.value()).abs() < 1e-4, "{x:?}");
            let twice = LogExposure::new(2.0 * x.value());
            assert!((paper.curve(2.0 * r).density(twice).value() - d.value()).abs() < 1e-4, "{x:?}");
        }
        let text = file::paper_text(&paper, "dryside").unwrap();
        let back = file::read_paper(&text).unwrap();
        assert!(
            (back.measured().unwrap().1 - r).abs() < 1e-9 && back.measured().unwrap().0 == paper.measured().unwrap().0
        );
    }

    #[test]
    fn a_densitometers_doubt_is_levelled_and_more_is_refused() {
        let mut readings = readings(105.0, 0.10, 2);
        readings.reverse();
        let plain = r(&readings);
        let black = readings[3].1;
        readings[3].1 = black - Density::new(0.01);
        assert!((r(&readings) - plain).abs() < 0.5, "in any order, and a hundredth off");
        readings[3].1 = black - Density::new(0.05);
        let told = measured("mine".into(), &readings, String::new()).unwrap_err().to_string();
        assert!(told.contains("density falls from 2.10 to 2.05 at log exposure 2.70"), "{told}");
        let densities_of_steps: Vec<_> = readings.iter().map(|(x, d)| (LogExposure::new(-x.value()), *d)).collect();
        let told = measured("mine".into(), &densities_of_steps, String::new()).unwrap_err().to_string();
        assert!(told.contains("density falls") && told.contains("a minus before each step's density"), "{told}");
    }

    /// Common practice: one L* is about what the eye tells side by side. Of full black 2.10 the steps before it are
    /// 2.09, 2.07, 2.03, 1.94 (computed); of white 0.05 those after it 0.06, 0.08.
    #[test]
    fn a_wedge_that_was_cut_off_is_refused() {
        let all = readings(105.0, 0.15, 4);
        let told = |readings: &[(LogExposure, Density)]| fitted("mine".into(), readings, String::new());
        let from = |density: f64| all.iter().position(|(_, d)| d.value() > density).unwrap();
        assert!(told(&all).is_ok() && told(&all[from(0.0501)..]).is_ok());
        for last in [1.80, 1.95] {
            let cut = told(&all[..from(last)]).unwrap_err();
            assert!(matches!(cut, NoPaper::NoBlack(..)), "{last}: {cut}");
        }
        let cut = told(&all[from(0.065)..]).unwrap_err();
        assert!(matches!(cut, NoPaper::NoWhite(..)), "{cut}");
    }

    #[test]
    fn readings_that_make_no_paper_are_refused_in_clear_words() {
        let all = readings(105.0, 0.15, 4);
        let told = |readings: &[(LogExposure, Density)]| {
            measured("mine".into(), readings, String::new()).unwrap_err().to_string()
        };
        assert!(told(&all[..6]).contains("6 readings are too few"));
        assert!(told(&[]).contains("0 readings are too few"));
        assert!(told(&[all[20]; 9]).contains("1 readings are too few"), "one step read nine times");
        assert!(told(&all[16..]).contains("do not level off at paper white"));
        assert!(told(&all[..21]).contains("do not level off at full black"));
        assert!(told(&all[..12]).contains("is too little for a paper"));
        assert!(told(&readings(50.0, 0.25, 4)).contains("between T and S are too few"));
        for wrong in [f64::NAN, f64::INFINITY, -0.5, 12.0] {
            let mut readings = all.clone();
            readings[7].1 = Density::new(wrong);
            assert!(told(&readings).contains("is no reading of a print"), "{wrong}");
        }
    }
}
