//! The few sizes of type that all sheets are set in, and the distance of their lines.

use super::face::CAPITAL_HEIGHT;
use crate::light::Millimetres;

/// What a page is called.
pub(super) const TITLE: Millimetres = Millimetres::from_points(14.0);

/// What a picture is called.
pub(super) const NAME: Millimetres = Millimetres::from_points(NAME_POINTS);

/// The lines of a page's head, and the words and numbers of a plot.
pub(super) const TEXT: Millimetres = Millimetres::from_points(7.0);

/// The facts under a picture, and a page's foot. Nothing on a sheet is set smaller.
pub(super) const SMALL: Millimetres = Millimetres::from_points(6.5);

/// Distance of two baselines. 9 pt is an eighth of an inch, so the inch sizes of paper are whole numbers of lines.
pub(super) const LINE: Millimetres = Millimetres::from_points(LINE_POINTS);

/// Side of the box for a pencil mark: from the top of the name's capitals to the baseline below.
pub(super) const MARK: Millimetres = Millimetres::from_points(LINE_POINTS + NAME_POINTS * CAPITAL_HEIGHT);

/// From the mark's left edge to the text.
pub(super) const INDENT: Millimetres = Millimetres::from_points(LINE_POINTS + NAME_POINTS * CAPITAL_HEIGHT + 4.0);

const NAME_POINTS: f64 = 7.5;
const LINE_POINTS: f64 = 9.0;
