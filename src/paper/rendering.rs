//! How a print's densities are shown on a screen.

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
        let paper = print.paper();
        let density = print.density(net);
        match self {
            Self::AsPaper => density.transmittance(),
            Self::Screen => {
                let relative = (density - paper.white()).transmittance();
                let black = (paper.black() - paper.white()).transmittance();
                compensated(relative, black)
            }
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
    use crate::paper::{Exposure, shelf};

    /// ISO 18619:2015 worked value: black 0.008913 to 0 takes 0.18 to 0.17263.
    #[test]
    fn black_point_compensation_has_its_worked_value() {
        assert!((compensated(0.18, 0.008_913) - 0.172_63).abs() < 5e-6);
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
