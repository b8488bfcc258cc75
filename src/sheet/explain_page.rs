//! How an overview's page is laid out: words above the picture or beside it, whichever leaves the picture more room.

use super::callout::Shelf;
use super::explain::Explained;
use super::legend::Legend;
use super::lettering::{Lettering, line};
use super::ruler;
use super::stand::{LONG_EDGE, MARGIN, Stand, size, times};

/// Room for labels beside the picture, and below a wide one.
const BESIDE: f64 = 190.0;
const BELOW: f64 = 60.0;
/// From a picture's edge to the labels.
const OFF: (f64, f64) = (22.0, 26.0);
/// A scan this much wider than high has its labels below.
const WIDE: f64 = 1.6;
/// Least width of the page: a warning is not broken into crumbs, and the whole legend has room.
const LEAST_WIDTH: f64 = 1080.0;
/// Width of words beside the picture.
const COLUMN: f64 = 560.0;
/// Words go beside the picture where it becomes larger by this factor.
const WORTH: f64 = 1.05;

/// A page, laid out.
pub(super) struct ExplainPage {
    pub(super) size: (f64, f64),
    pub(super) head: Lettering,
    /// Left, top and right of the words.
    pub(super) head_at: (f64, f64, f64),
    pub(super) stand: Stand,
    /// Where the labels stand, and from where to where.
    pub(super) shelf: (Shelf, (f64, f64)),
    /// Left, top and width of the legend.
    pub(super) legend_at: (f64, f64, f64),
}

impl ExplainPage {
    pub(super) fn of(of: &Explained, legend: &Legend) -> Self {
        let (above, beside) = (above(of, legend), beside(of, legend));
        if beside.stand.times > WORTH * above.stand.times { beside } else { above }
    }
}

fn head(of: &Explained, width: f64) -> Lettering {
    Lettering::new(&of.title, "overview of one scan", &of.facts, &of.warnings, width)
}

/// Words over the picture, the legend under it.
fn above(of: &Explained, legend: &Legend) -> ExplainPage {
    let (width, height) = size(&of.picture);
    let rim = ruler::room(of.scan_size());
    let below = width > WIDE * height;
    let (labels, under) = if below { (0.0, BELOW) } else { (BESIDE, 0.0) };
    let foot = under + 1.4 * line();
    let rest = |page: f64| {
        let words = page - 2.0 * MARGIN;
        2.0 * MARGIN + head(of, words).height() + rim.1 + foot + legend.height(words)
    };
    let across = LONG_EDGE - 2.0 * MARGIN - rim.0 - labels;
    // The width of the page decides how many lines the words take: not more than on the narrowest page.
    let times = times((width, height), (across, LONG_EDGE - rest(LEAST_WIDTH)));
    let page = (2.0 * MARGIN + rim.0 + width * times + labels).max(LEAST_WIDTH).round();
    let head = head(of, page - 2.0 * MARGIN);
    let stand = Stand { left: MARGIN + rim.0, top: (MARGIN + head.height() + rim.1).round(), times };
    let area = stand.area(&of.picture);
    let shelf = if below {
        (Shelf::Level(area.bottom + OFF.1), (area.left, area.right))
    } else {
        (Shelf::Upright(area.right + OFF.0), (area.top, area.bottom))
    };
    ExplainPage {
        size: (page, rest(page) + height * times),
        head,
        head_at: (MARGIN, MARGIN, page - MARGIN),
        stand,
        shelf,
        legend_at: (MARGIN, area.bottom + foot, page - 2.0 * MARGIN),
    }
}

/// The picture over the whole height; words and legend in a column at its right.
fn beside(of: &Explained, legend: &Legend) -> ExplainPage {
    let (width, height) = size(&of.picture);
    let rim = ruler::room(of.scan_size());
    let head = head(of, COLUMN);
    let words = 2.0 * MARGIN + head.height() + 1.4 * line() + legend.height(COLUMN);
    let room = (LONG_EDGE - 2.0 * MARGIN - rim.0 - BESIDE - COLUMN, LONG_EDGE - 2.0 * MARGIN - rim.1);
    let times = times((width, height), room);
    let stand = Stand { left: MARGIN + rim.0, top: MARGIN + rim.1, times };
    let area = stand.area(&of.picture);
    let left = area.right + BESIDE;
    ExplainPage {
        size: (left + COLUMN + MARGIN, (area.bottom + MARGIN).max(words)),
        head_at: (left, MARGIN, left + COLUMN),
        legend_at: (left, MARGIN + head.height() + 1.4 * line(), COLUMN),
        head,
        stand,
        shelf: (Shelf::Upright(area.right + OFF.0), (area.top, area.bottom)),
    }
}
