//! A print: one exposure of a negative on a paper, or two that add up.

use super::curve::{Curve, Paper};
use crate::light::{Density, LogExposure};

/// An exposure: the paper curve it works on, and the light that film base lets through, on that curve's own scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure<'p> {
    /// The paper in a grade.
    pub curve: Curve<'p>,
    /// x0: the log exposure that film base receives.
    pub open: LogExposure,
}

/// A negative on paper: which net density prints as which tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Print<'p> {
    first: Exposure<'p>,
    second: Option<Exposure<'p>>,
}

impl<'p> Print<'p> {
    /// With one exposure.
    pub const fn new(exposure: Exposure<'p>) -> Self {
        Self { first: exposure, second: None }
    }

    /// With two, soft and hard, on the same paper: a split print.
    ///
    /// They add up as exposures do: a tone is reached where their shares of what each would need for it alone make one
    /// whole (van Kreveld's law of addition, from memory). So two in one grade are as good as one of both their light.
    pub const fn split(soft: Exposure<'p>, hard: Exposure<'p>) -> Self {
        Self { first: soft, second: Some(hard) }
    }

    /// The paper.
    pub fn paper(&self) -> &'p Paper {
        self.first.curve.paper()
    }

    /// Print density where the negative has net density `net`.
    pub fn density(&self, net: Density) -> Density {
        if self.second.is_none() {
            return self.first.curve.density(self.first.open.through(net));
        }
        // On a scale of odds, where the paper's ends lie at infinity, net density is nearly a straight line.
        let (white, black) = (self.paper().white(), self.paper().black());
        let depth = (black - white).value();
        let tone = |odds: f64| white + Density::new(depth / (1.0 + (-odds).exp()));
        tone(falling_root(ODDS, |odds| (self.net(tone(odds)) - net).value()))
    }

    /// The net density that prints as `density`, which lies strictly between the paper's white and black.
    pub fn net(&self, density: Density) -> Density {
        let alone = |exposure: &Exposure<'_>| exposure.open - exposure.curve.exposure(density);
        match &self.second {
            None => Density::new(alone(&self.first)),
            Some(second) => {
                let light = 10f64.powf(alone(&self.first)) + 10f64.powf(alone(second));
                Density::new(light.log10())
            }
        }
    }

    /// ISO range R of the whole: 100 times the net density from what prints at T to what prints at S.
    pub fn r(&self) -> f64 {
        100.0 * (self.net(self.paper().lightest()) - self.net(self.paper().darkest())).value()
    }
}

/// Tones are looked for between these odds: a part in 10^13 from white and from black.
const ODDS: f64 = 30.0;
/// Net densities that differ by no more are the same, in D.
const SAME: f64 = 1e-11;
/// A tone that has not been found by then is as near as it gets.
const MOST_STEPS: usize = 100;

/// Where a falling function meets 0, from -`end` to `end`; the nearer end if it does not. Regula falsi in the manner of
/// Illinois (Dowell and Jarratt, BIT 11, 1971, from memory): on a nearly straight line a few steps do.
fn falling_root(end: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = ((-end, f(-end)), (end, f(end)));
    if low.1 <= 0.0 || high.1 >= 0.0 {
        return if low.1 <= 0.0 { low.0 } else { high.0 };
    }
    let mut kept = 0.0;
    for _ in 0..MOST_STEPS {
        let middle = low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
        let value = f(middle);
        if value.abs() <= SAME {
            return middle;
        }
        // An end that stays twice counts for half, so that the other end moves, too.
        if value > 0.0 {
            low = (middle, value);
            high.1 *= if kept > 0.0 { 0.5 } else { 1.0 };
        } else {
            high = (middle, value);
            low.1 *= if kept < 0.0 { 0.5 } else { 1.0 };
        }
        kept = value;
    }
    low.0.midpoint(high.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Stops;
    use crate::paper::{Grade, Stock, shelf};

    fn stock(paper: &str, table: &str) -> Stock {
        Stock::new(shelf::paper(paper).unwrap().clone(), shelf::table(table).unwrap().clone())
    }

    /// An exposure so many stops from that which prints net density 0.7 at the speed point.
    fn exposure<'p>(stock: &'p Stock, grade: &str, stops: f64) -> Exposure<'p> {
        let grade: Grade = grade.parse().unwrap();
        let shared = LogExposure::new(0.7) + Stops::new(stops);
        Exposure { curve: stock.curve(grade), open: stock.own(grade, shared) }
    }

    fn nets() -> impl Iterator<Item = Density> {
        (-10..=30).map(|i| Density::new(f64::from(i) / 10.0))
    }

    /// Arithmetic: half the light and half the light are all of it.
    #[test]
    fn two_halves_in_one_grade_are_one_whole() {
        for paper in shelf::PAPERS {
            let stock = stock(paper, "rc");
            for grade in ["00", "2", "5"] {
                let whole = Print::new(exposure(&stock, grade, 0.0));
                let halves = Print::split(exposure(&stock, grade, -1.0), exposure(&stock, grade, -1.0));
                assert!(nets().all(|n| (whole.density(n) - halves.density(n)).value().abs() < 1e-9), "{paper} {grade}");
                assert!((halves.r() - stock.table().r(grade.parse().unwrap())).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn no_light_of_one_kind_leaves_the_other() {
        let stock = stock("matt", "fibre");
        let soft = Print::split(exposure(&stock, "00", 0.0), exposure(&stock, "5", -60.0));
        let hard = Print::split(exposure(&stock, "00", -60.0), exposure(&stock, "5", 0.0));
        for net in nets() {
            let alone = |grade| Print::new(exposure(&stock, grade, 0.0)).density(net);
            assert!((soft.density(net) - alone("00")).value().abs() < 1e-6, "{net:?}");
            assert!((hard.density(net) - alone("5")).value().abs() < 1e-6, "{net:?}");
        }
    }

    /// Grades agree 0.60 above white, so halves of any two of them meet there; and what is between them lies between
    /// them.
    #[test]
    fn a_split_print_lies_between_its_grades() {
        let stock = stock("glossy", "bands");
        let mut before = f64::INFINITY;
        for hard in [-5.0, -3.0, -2.0, -1.0, -0.5, -0.2, -0.02] {
            // As much light of the soft kind as the hard leaves over.
            let soft = Stops::of_factor(1.0 - 2f64.powf(hard)).value();
            let print = Print::split(exposure(&stock, "00", soft), exposure(&stock, "5", hard));
            let there = print.density(Density::new(0.7)) - stock.paper().white();
            assert!((there.value() - 0.60).abs() < 1e-9);
            assert!((57.5..180.0).contains(&print.r()) && print.r() < before, "{hard}: {}", print.r());
            before = print.r();
        }
    }

    /// No light at all through the negative, and all of it.
    #[test]
    fn beyond_every_tone_lie_white_and_black() {
        let stock = stock("glossy", "rc");
        let print = Print::split(exposure(&stock, "00", -1.0), exposure(&stock, "5", 0.0));
        let at = |net: f64| print.density(Density::new(net)).value();
        assert!((at(f64::INFINITY) - 0.05).abs() < 1e-9 && (at(40.0) - 0.05).abs() < 1e-9);
        assert!((at(f64::NEG_INFINITY) - 2.10).abs() < 1e-9 && (at(-40.0) - 2.10).abs() < 1e-9);
    }

    /// A paper from readings is level at its ends, where the line is not straight at all.
    #[test]
    fn a_measured_paper_can_be_split() {
        let rows = [0.06, 0.06, 0.07, 0.09, 0.15, 0.30, 0.62, 1.10, 1.52, 1.80, 1.95, 2.01, 2.03, 2.03];
        let rows: Vec<_> =
            (0..).zip(rows).map(|(i, d)| (LogExposure::new(0.15 * f64::from(i)), Density::new(d))).collect();
        let paper = crate::paper::measured("mine".into(), &rows, String::new()).unwrap();
        let stock = Stock::new(paper, shelf::table("bands").unwrap().clone());
        let whole = Print::new(exposure(&stock, "2", 0.0));
        let halves = Print::split(exposure(&stock, "2", -1.0), exposure(&stock, "2", -1.0));
        assert!(nets().all(|n| (whole.density(n) - halves.density(n)).value().abs() < 1e-6));
    }

    #[test]
    fn a_tone_and_its_net_density_lead_to_each_other() {
        let stock = stock("semi-matt", "rc-later");
        let prints = [
            Print::new(exposure(&stock, "2", 0.0)),
            Print::split(exposure(&stock, "00", -0.5), exposure(&stock, "5", -1.0)),
        ];
        for print in prints {
            for net in nets().filter(|n| (0.0..1.5).contains(&n.value())) {
                assert!((print.net(print.density(net)) - net).value().abs() < 1e-9);
            }
            let tones: Vec<f64> = nets().map(|n| print.density(n).value()).collect();
            assert!(tones.windows(2).all(|w| w[0] > w[1]), "a denser negative prints lighter");
        }
    }
}
