//! How a print's densities are shown on a screen.

use std::fmt;
use std::str::FromStr;

use super::curve::Paper;
use super::print::Print;
use crate::light::Density;

/// What becomes of the paper's white and black on a screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rendering {
    /// Paper white is the screen's white and the paper's black its black (black point compensation after
    /// ISO 18619:2015, out of a media-relative print: bp_out = 0).
    Screen,
    /// Densities as the paper has them, against a perfect white.
    AsPaper,
}

impl Rendering {
    /// Relative luminance Y (0 to 1) at which the tone of net density `net` is shown.
    pub fn luminance(self, print: &Print<'_>, net: Density) -> f64 {
        self.luminances(print)(net)
    }

    /// The same for many: what only paper and print decide is reckoned once.
    pub fn luminances<'p>(self, print: &'p Print<'p>) -> impl Fn(Density) -> f64 + Sync + 'p {
        let (white, black) = (print.paper().white(), print.paper().black());
        let darkest = (black - white).transmittance();
        move |net| match self {
            Self::AsPaper => print.density(net).transmittance(),
            Self::Screen => compensated((print.density(net) - white).transmittance(), darkest),
        }
    }

    /// The way back: how far above the paper's white a tone lies that is shown at luminance `y`.
    pub fn above_white(self, paper: &Paper, y: f64) -> Density {
        match self {
            Self::AsPaper => Density::of(y) - paper.white(),
            Self::Screen => {
                let black = (paper.black() - paper.white()).transmittance();
                Density::of(black + (1.0 - black) * y)
            }
        }
    }
}

/// In words: where white goes.
impl fmt::Display for Rendering {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Screen => "full",
            Self::AsPaper => "paper",
        })
    }
}

impl FromStr for Rendering {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "full" => Ok(Self::Screen),
            "paper" => Ok(Self::AsPaper),
            _ => Err(format!("\"{word}\": use full or paper")),
        }
    }
}

/// ISO 18619:2015: Y' = a Y + b, a = (bp_out - W)/(bp_in - W), b = -W (bp_out - bp_in)/(bp_in - W), with W = 1, bp_out
/// = 0.
fn compensated(y: f64, black: f64) -> f64 {
    let (a, b) = (-1.0 / (black - 1.0), black / (black - 1.0));
    a * y + b
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Stops;
    use crate::paper::{Exposure, shelf};

    /// ISO 18619:2015 worked value: black 0.008913 to 0 takes 0.18 to 0.17263.
    #[test]
    fn black_point_compensation_has_its_worked_value() {
        assert!((compensated(0.18, 0.008_913) - 0.172_63).abs() < 5e-6);
    }

    #[test]
    fn a_tone_is_known_again_by_its_luminance() {
        let paper = shelf::paper("glossy").unwrap();
        let curve = paper.curve(105.0);
        let print = Print::new(Exposure { curve, open: curve.speed_point() + Stops::new(1.0) });
        for rendering in [Rendering::Screen, Rendering::AsPaper] {
            for net in [-0.2, 0.1, 0.5, 0.9, 1.2] {
                let net = Density::new(net);
                let back = rendering.above_white(paper, rendering.luminance(&print, net));
                assert!((back + paper.white() - print.density(net)).value().abs() < 1e-9, "{rendering} {net}");
            }
        }
    }

    #[test]
    fn a_screen_shows_paper_white_and_black_as_its_own() {
        let paper = shelf::paper("glossy").unwrap();
        let curve = paper.curve(105.0);
        let print = Print::new(Exposure { curve, open: curve.s() });
        let shown = |net| Rendering::Screen.luminance(&print, Density::new(net));
        assert!((shown(5.0) - 1.0).abs() < 1e-6 && shown(-5.0).abs() < 1e-6);
        assert!((Rendering::AsPaper.luminance(&print, Density::new(5.0)) - 0.891_25).abs() < 1e-4);
    }
}
