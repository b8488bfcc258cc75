//! An axis of densities that all plots of a page share, so that they can be compared.

use super::Logbook;
use super::words::two;
use crate::light::Density;

/// From where to where, in D.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis {
    from: f64,
    to: f64,
}

/// Every axis of net density shows at least so much: film base and the tones of an average negative (house value).
const LEAST: (f64, f64) = (-0.1, 1.5);

/// An axis begins and ends at whole numbers of this.
const ROUND: f64 = 0.1;

/// An axis of bases is at least so long.
const LEAST_BASES: f64 = 0.2;

/// Lines across a plot are one of these apart, in D, at most so many.
const APART: [f64; 5] = [0.05, 0.1, 0.2, 0.5, 1.0];
const MOST_LINES: f64 = 6.0;

impl Axis {
    /// The axis of net density that holds all ends of a batch.
    pub(super) fn of_net(logbook: &Logbook) -> Self {
        let ends = logbook.entries.iter().filter_map(|entry| entry.net).flat_map(|[thin, _, dense]| [thin, dense]);
        Self::around(ends.map(Density::value), LEAST)
    }

    /// The axis of the bases of a batch; nothing where no frame has one.
    pub(super) fn of_bases(logbook: &Logbook) -> Option<Self> {
        let bases = logbook.entries.iter().filter_map(|entry| entry.base).map(Density::value);
        let first = bases.clone().next()?;
        let axis = Self::around(bases, (first, first));
        let short = ((LEAST_BASES - (axis.to - axis.from)) / 2.0 / ROUND).ceil().max(0.0) * ROUND;
        Some(Self { from: axis.from - short, to: axis.to + short })
    }

    fn around(values: impl Iterator<Item = f64>, least: (f64, f64)) -> Self {
        let (from, to) = values.fold(least, |(from, to), value| (from.min(value), to.max(value)));
        // A value that lies on a round number by a hair is not given another tenth.
        let (from, to) = ((from / ROUND + 1e-6).floor() * ROUND, (to / ROUND - 1e-6).ceil() * ROUND);
        Self { from, to: to.max(from + ROUND) }
    }

    /// Where a density lies, 0 at the beginning and 1 at the end; what lies outside is put at the nearer.
    pub(super) fn at(self, density: Density) -> f64 {
        ((density.value() - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }

    /// Round densities along the axis, with what they are called.
    pub(super) fn lines(self) -> Vec<(f64, String)> {
        let length = self.to - self.from;
        let apart =
            APART.into_iter().find(|apart| length / apart <= MOST_LINES + 1e-6).unwrap_or(APART[APART.len() - 1]);
        let first = (self.from / apart - 1e-6).ceil() as i64;
        let last = (self.to / apart + 1e-6).floor() as i64;
        let line = |i: i64| Density::new(i as f64 * apart);
        (first..=last).map(|i| (self.at(line(i)), two(line(i)))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::Entry;
    use super::*;

    fn logbook(ends: &[(f64, f64)], bases: &[f64]) -> Logbook {
        let net = |(thin, dense): &(f64, f64)| Some([*thin, *thin, *dense].map(Density::new));
        let frames = ends.iter().map(|ends| Entry { net: net(ends), ..Entry::default() });
        let based = bases.iter().map(|base| Entry { base: Some(Density::new(*base)), ..Entry::default() });
        Logbook { entries: frames.chain(based).collect(), ..Logbook::default() }
    }

    #[test]
    fn all_ends_lie_on_the_axis_and_an_average_negative_fills_it() {
        let close = |axis: Axis, (from, to): (f64, f64)| (axis.from - from).abs() < 1e-9 && (axis.to - to).abs() < 1e-9;
        assert!(close(Axis::of_net(&logbook(&[(0.04, 1.25)], &[])), (-0.1, 1.5)));
        assert!(close(Axis::of_net(&logbook(&[(0.04, 1.25), (-0.12, 2.301)], &[])), (-0.2, 2.4)));
        assert!(close(Axis::of_net(&logbook(&[], &[])), (-0.1, 1.5)));
        assert!(close(Axis::of_bases(&logbook(&[], &[0.21, 0.22])).unwrap(), (0.1, 0.4)));
        assert_eq!(Axis::of_bases(&logbook(&[(0.1, 1.0)], &[])), None);
    }

    #[test]
    fn lines_are_few_and_round() {
        let names = |from, to| Axis { from, to }.lines().into_iter().map(|(_, name)| name).collect::<Vec<_>>();
        assert_eq!(names(-0.1, 1.5), ["0.00", "0.50", "1.00", "1.50"]);
        assert_eq!(names(0.1, 0.4), ["0.10", "0.15", "0.20", "0.25", "0.30", "0.35", "0.40"]);
    }
}
