//! Placing: by which of its tones a negative's exposure is found.

use std::fmt;
use std::str::FromStr;

use super::curve::Paper;
use super::grade::Grade;
use super::print::{Exposure, Print};
use super::split::Split;
use super::stock::Stock;
use crate::film::Zone;
use crate::light::{Density, LogExposure, lightness, luminance};
use crate::plane::Point;

/// What an exposure is found by.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Placing {
    /// The dense end prints at T, the lightest tone still there.
    #[default]
    Highlights,
    /// The thin end prints at S, the paper's black.
    Shadows,
    /// Film base prints at S in grade 2, whatever the frame holds: one exposure for all (straight proof, common
    /// practice).
    Fixed,
    /// A place of the scan prints as a zone.
    Spot {
        /// In pixels of the scan as stored.
        at: Point,
        /// The tone.
        zone: Zone,
    },
}

/// What of a negative an exposure can be found by: net densities.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tones {
    /// Thin end.
    pub thin: Density,
    /// Dense end.
    pub dense: Density,
    /// The spot, where one is placed.
    pub spot: Option<Density>,
}

impl Placing {
    /// The exposure of a negative in a grade, or in the two parts of a split, whose light is told on the own scale of
    /// `grade`; `None` without the spot that it is to be placed by.
    ///
    /// A split is placed by the tones of both its parts together, as shares of one whole. What they are more or less
    /// than that makes the print darker or lighter.
    pub fn expose(self, stock: &Stock, grade: Grade, split: Option<Split>, negative: Tones) -> Option<Exposure<'_>> {
        let paper = stock.paper();
        let unplaced = Print::parted(stock, grade, LogExposure::new(0.0), split.map(Split::whole));
        let prints_as = |net: Density, tone| LogExposure::new((net - unplaced.net(tone)).value());
        let open = match self {
            Self::Highlights => prints_as(negative.dense, paper.lightest()),
            Self::Shadows => prints_as(negative.thin, paper.darkest()),
            Self::Fixed => stock.own(grade, stock.shared(Grade::NORMAL, stock.curve(Grade::NORMAL).s())),
            Self::Spot { zone, .. } => prints_as(negative.spot?, zone_tone(paper, zone)?),
        };
        Some(Exposure { curve: stock.curve(grade), open })
    }
}

/// The print density of a zone: zones are even steps of L* from the paper's black, 0, to its white, X. On the glossy
/// paper V then has L* 51, where the grey card of 18 % has 49.5 (common practice). `None` for what lies outside the
/// zones.
pub fn zone_tone(paper: &Paper, zone: Zone) -> Option<Density> {
    let Zone::At(number) = zone else { return None };
    let [black, white] = [paper.black(), paper.white()].map(|d| lightness(d.transmittance()));
    Some(Density::of(luminance(black + (white - black) * number / 10.0)))
}

impl fmt::Display for Placing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Highlights => f.write_str("highlights"),
            Self::Shadows => f.write_str("shadows"),
            Self::Fixed => f.write_str("fixed"),
            Self::Spot { at, zone } => write!(f, "{},{}={zone}", at.x, at.y),
        }
    }
}

impl FromStr for Placing {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let number = |n: &str| n.trim().parse::<f64>().ok().filter(|n| n.is_finite());
        let spot = word.split_once('=').and_then(|(at, zone)| {
            let (x, y) = at.split_once(',')?;
            Some((Point { x: number(x)?, y: number(y)? }, zone))
        });
        match (word.trim(), spot) {
            ("highlights", _) => Ok(Self::Highlights),
            ("shadows", _) => Ok(Self::Shadows),
            ("fixed", _) => Ok(Self::Fixed),
            (_, Some((at, zone))) => zone.parse().map(|zone| Self::Spot { at, zone }),
            _ => Err(format!("\"{word}\": use highlights, shadows, fixed, or X,Y=ZONE for a place, as 512,300=VIII")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Stops;
    use crate::paper::{Print, shelf};

    fn stock(paper: &str, table: &str) -> Stock {
        Stock::new(shelf::paper(paper).unwrap().clone(), shelf::table(table).unwrap().clone())
    }

    fn negative(thin: f64, dense: f64) -> Tones {
        Tones { thin: Density::new(thin), dense: Density::new(dense), spot: None }
    }

    fn grade(name: &str) -> Grade {
        name.parse().unwrap()
    }

    /// Straight proof on the R 110 paper, film base at S: net density to print density and L* (computed).
    #[test]
    fn a_straight_proof_prints_its_known_tones() {
        let paper = shelf::paper("glossy").unwrap();
        let curve = paper.curve(110.0);
        let proof = Print::new(Exposure { curve, open: curve.s() });
        let rows = [
            (0.00, 1.8950, 11.09),
            (0.10, 1.7673, 13.88),
            (0.30, 1.3403, 25.47),
            (0.50, 0.7849, 47.51),
            (0.70, 0.3684, 71.43),
            (0.90, 0.1669, 86.05),
            (1.10, 0.0900, 92.26),
            (1.30, 0.0633, 94.50),
        ];
        for (net, d, l) in rows {
            let density = proof.density(Density::new(net));
            assert!((density.value() - d).abs() <= 5e-4, "net {net}: {density:?}");
            assert!((lightness(density.transmittance()) - l).abs() <= 0.02, "net {net}");
        }
    }

    /// In grade 2 of a table whose grade 2 has R 110, the fixed exposure is that straight proof; 0.60 above white it is
    /// the same in all.
    #[test]
    fn a_fixed_exposure_is_the_straight_proof_whatever_the_frame() {
        let stock = stock("glossy", "rc");
        let print = |name, thin, dense| {
            Print::new(Placing::Fixed.expose(&stock, grade(name), None, negative(thin, dense)).unwrap())
        };
        assert!((print("2", 0.0, 0.5).density(Density::new(0.5)).value() - 0.7849).abs() < 5e-4);
        assert_eq!(print("2", 0.0, 0.5), print("2", 0.4, 1.9));
        let speed_point = print("2", 0.0, 0.5).net(Density::new(0.65));
        for matched in ["00", "1 1/2", "3 1/2"] {
            assert!((print(matched, 0.0, 0.5).density(speed_point).value() - 0.65).abs() < 1e-9, "grade {matched}");
        }
        let slower = print("4 1/2", 0.0, 0.5).net(Density::new(0.65)) - speed_point;
        assert!(
            (Stops::of_log_exposure(slower.value()).value() + 1.0).abs() < 1e-9,
            "a stop slower prints a stop lighter"
        );
    }

    /// Common practice: a stop more is 0.30103 in log exposure, the same as a negative 0.30103 thinner.
    #[test]
    #[expect(clippy::approx_constant, reason = "the figure as published")]
    fn a_stop_more_prints_as_a_thinner_negative() {
        let stock = stock("glossy", "bands");
        let placed = Placing::Highlights.expose(&stock, grade("2"), None, negative(0.0, 1.1)).unwrap();
        let (plain, more) =
            (Print::new(placed), Print::new(Exposure { open: placed.open + Stops::new(1.0), ..placed }));
        assert!((plain.density(Density::new(1.1)).value() - 0.09).abs() < 1e-9, "the dense end prints at T");
        let difference = more.density(Density::new(0.8)) - plain.density(Density::new(0.8 - 0.301_03));
        assert!(difference.value().abs() < 1e-5);
    }

    /// ISO 6846 (quoted): T is Dmin + 0.04, S is Dmin + 0.90 (Dmax - Dmin). A negative as long as the paper prints from
    /// one to the other by either of its ends.
    #[test]
    fn each_end_prints_where_it_is_placed() {
        for (paper, t, s) in [("glossy", 0.09, 1.895), ("semi-matt", 0.10, 1.626), ("matt", 0.11, 1.402)] {
            let stock = stock(paper, "bands");
            for placing in [Placing::Highlights, Placing::Shadows] {
                let print = Print::new(placing.expose(&stock, grade("2"), None, negative(0.1, 1.15)).unwrap());
                assert!((print.density(Density::new(1.15)).value() - t).abs() < 1e-9, "{paper}, {placing}");
                assert!((print.density(Density::new(0.1)).value() - s).abs() < 1e-9, "{paper}, {placing}");
            }
        }
    }

    /// The rule of `place`, and arithmetic: two halves are one whole, and a stop more of both is a stop more.
    #[test]
    fn a_split_is_placed_by_both_its_parts_together() {
        let tones = Tones { spot: Some(Density::new(0.8)), ..negative(0.1, 1.2) };
        let by = |stock: &Stock, own: &str, placing: Placing, split: &str, net: f64| {
            let split = Some(split.parse().unwrap());
            let open = placing.expose(stock, grade(own), split, tones).unwrap().open;
            Print::parted(stock, grade(own), open, split).density(Density::new(net)).value()
        };
        let spot: Placing = "10,20=V".parse().unwrap();
        for (paper, table) in [("glossy", "bands"), ("glossy", "rc"), ("matt", "fibre")] {
            let stock = stock(paper, table);
            let (t, s) = (stock.paper().lightest().value(), stock.paper().darkest().value());
            let grey = zone_tone(stock.paper(), "V".parse().unwrap()).unwrap().value();
            for own in ["00", "2", "5"] {
                for (placing, net, tone) in
                    [(Placing::Highlights, 1.2, t), (Placing::Shadows, 0.1, s), (spot, 0.8, grey)]
                {
                    let halves = by(&stock, own, placing, "00 -1, 5 -1", net);
                    assert!((halves - tone).abs() < 1e-9, "{paper} {table} {own} {placing}: {halves} not {tone}");
                    let twice = by(&stock, own, placing, "00 +0, 5 +0", net + Stops::new(1.0).log_exposure());
                    assert!((twice - tone).abs() < 1e-9, "{paper} {table} {own} {placing}: {twice} not {tone}");
                }
            }
        }
    }

    /// By hand, from the logistic curve of the glossy paper: on the shared scale T lies at -0.8934 in grade 00 (R 180)
    /// and at -0.2854 in 5 (R 57.5), and half the light of each prints it at -0.688.
    #[test]
    fn the_dense_end_of_a_split_lies_where_it_was_worked_out() {
        let stock = stock("glossy", "bands");
        let split = Some("00 -1, 5 -1".parse().unwrap());
        let placed = Placing::Highlights.expose(&stock, grade("5"), split, negative(0.1, 0.61)).unwrap();
        let dense = stock.shared(grade("5"), placed.open).through(Density::new(0.61)).value();
        assert!((dense + 0.688).abs() < 5e-4, "{dense}");
    }

    #[test]
    fn a_spot_prints_as_its_zone() {
        let stock = stock("glossy", "bands");
        let spot = |zone: &str| -> Placing { format!("10,20={zone}").parse().unwrap() };
        let tones = Tones { spot: Some(Density::new(0.8)), ..negative(0.1, 1.2) };
        for (zone, l) in [("I", 16.0), ("V", 51.4), ("VIII", 77.9), ("V 1/3", 54.3)] {
            let print = Print::new(spot(zone).expose(&stock, grade("3"), None, tones).unwrap());
            let printed = lightness(print.density(Density::new(0.8)).transmittance());
            // Ten even steps from L* 7.17 (D 2.10) to 95.63 (D 0.05), the L* of colour-science; by hand.
            assert!((printed - l).abs() < 0.06, "{zone}: {printed}");
        }
        assert_eq!(spot("V").expose(&stock, grade("3"), None, negative(0.1, 1.2)), None);
    }

    #[test]
    fn placings_are_read_as_they_are_written() {
        for word in ["highlights", "shadows", "fixed", "512,300=VIII", "5.5,0=V 1/3"] {
            assert_eq!(word.parse::<Placing>().unwrap().to_string(), word);
        }
        for (wrong, advice) in
            [("512,300", "as 512,300=VIII"), ("512,300=XI", "I to IX"), ("a,b=V", "X,Y=ZONE"), ("", "use")]
        {
            assert!(wrong.parse::<Placing>().unwrap_err().contains(advice), "{wrong}");
        }
    }
}
