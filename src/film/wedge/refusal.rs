//! Why a scan of a step tablet is refused.

use crate::light::{Density, NoCurve};

/// Why no calibration is made from a scan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Nothing like a tablet.
    #[error(
        "no row of steps is in it: scan the step tablet alone, straight and sharp, so that it fills most of the scan"
    )]
    NoRow,
    /// Of no known tablet.
    #[error(
        "{found} steps are in it, which is no tablet of 21, 31 or 41: name it with --steps, or list its densities with --densities FILE"
    )]
    Count {
        /// Steps that are surely there.
        found: usize,
    },
    /// Another number than that of the tablet.
    #[error(
        "{found} steps are in it, the tablet has {named}: check which tablet it is, and that all of it is in the scan"
    )]
    NotThisTablet {
        /// Steps that are surely there.
        found: usize,
        /// Steps of the tablet.
        named: usize,
    },
    /// The number fits and the spacing does not.
    #[error(
        "its thin steps read {read:.3} apart, those of a tablet {tablet} {apart:.2}: name the tablet with --steps or --densities, or the scan's encoding with --encoding"
    )]
    Spacing {
        /// As read, in D.
        read: f64,
        /// The tablet that has so many steps.
        tablet: String,
        /// Its steps, in D.
        apart: f64,
    },
    /// Light that the scanner could not tell apart.
    #[error("step {step} is at the scanner's full scale: scan again, darker, and negatives with the same settings")]
    Clipped {
        /// From 1, the thinnest.
        step: usize,
    },
    /// Steps that cannot be told apart where they should be.
    #[error(
        "step {step}, density {density}, cannot be told from the one before: clean the tablet and scan it again, at 16 bits"
    )]
    NotToldApart {
        /// From 1, the thinnest.
        step: usize,
        /// As the tablet has it.
        density: Density,
    },
    /// A step that its neighbours do not bear out.
    #[error(
        "step {step}, density {density}, is {off:+.3} D off what the other steps say: clean the tablet and scan it again, or check its list of densities"
    )]
    OutOfLine {
        /// From 1, the thinnest.
        step: usize,
        /// As the tablet has it.
        density: Density,
        /// In D.
        off: f64,
    },
    /// The steps make no curve.
    #[error("{0}: clean the tablet and scan it again")]
    NoCurve(#[from] NoCurve),
}
