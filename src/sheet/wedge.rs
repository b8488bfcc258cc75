//! A calibration to pin up beside the scanner: its curve, its steps, and how far each is off.

use super::area::Area;
use super::frame::Head;
use super::page::{Ink, Page};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::plot::Plot;
use super::{Said, Sheet};
use crate::light::{Calibration, Density, Millimetres};

/// Room left of a chart for its numbers, in mm.
const NUMBERS: f64 = 11.0;
/// Room between the charts, in mm.
const BETWEEN: f64 = 18.0;
/// Height of the chart of residuals, in mm.
const RESIDUALS: f64 = 42.0;
/// Density from line to line of the grid.
const APART: f64 = 0.5;
/// Weights of the curve and of the line for comparison, in mm.
const CURVE: f64 = 0.45;
const PLAIN: f64 = 0.2;
/// The chart of residuals reaches at least this far, in D: the accuracy of a bench densitometer (makers' manuals, from
/// memory).
const LEAST_REACH: f64 = 0.02;

/// What the sheet says at its foot.
const CAVEAT: &str =
    "holds for this scanner, with the settings that the tablet was scanned with; scan it again when either changes";

/// One page, A4: density over scanner density with every step, and below it the residuals.
pub fn wedge(calibration: &Calibration, head: &Head) -> Sheet {
    let size = PageSize::A4;
    let head = PageHead::new(head, size, CAVEAT);
    let room = head.room();
    let steps: Vec<(f64, f64)> = calibration.steps().map(|(x, y)| (x.value(), y.value())).collect();
    let (first, last) = (steps[0], steps[steps.len() - 1]);
    let (left, right) = ((first.0.min(0.0) / APART).floor() * APART, (last.0 / APART + 0.05).ceil() * APART);
    let top = (last.1 / APART + 0.05).ceil() * APART;

    let left_edge = room.left + Millimetres::new(NUMBERS);
    let width = room.width - Millimetres::new(NUMBERS + 2.0);
    let below = Millimetres::new(RESIDUALS + BETWEEN + 10.0);
    let start = room.top + Millimetres::new(4.0);
    let area = Area { left: left_edge, top: start, width, height: room.height - below - Millimetres::new(4.0) };
    let chart = Plot { area, x: (left, right), y: (first.1.min(0.0), top) };
    let mut items = head.items(None);
    items.extend(chart.grid((APART, APART), 1));
    items.extend(chart.line((left, right), PLAIN, Ink(110), true, |x| x));
    items.extend(chart.line((first.0, last.0), CURVE, Ink(0), false, |x| calibration.density(Density::new(x)).value()));
    items.extend(steps.iter().flat_map(|(x, y)| chart.mark(*x, *y)));
    items.push(chart.title("density of the tablet"));
    items.push(chart.foot("scanner density"));
    // Under the dashed line, and between two of the grid.
    let beside = left + 0.72 * (right - left);
    let under = (beside.min(top) / APART).floor() * APART - 0.6 * APART;
    items.push(chart.note(beside, under, "dashed: if the scanner read true"));

    let residuals = calibration.residuals();
    let worst = residuals.iter().flatten().fold(0.0f64, |most, r| most.max(r.abs()));
    let reach = (worst * 100.0).ceil().max(LEAST_REACH * 100.0) / 100.0;
    let area = Area {
        left: left_edge,
        top: area.bottom() + Millimetres::new(BETWEEN),
        width,
        height: Millimetres::new(RESIDUALS),
    };
    let chart = Plot { area, x: (first.1.min(0.0), top), y: (-reach, reach) };
    items.extend(chart.grid((APART, reach / 2.0), 3));
    let stems = steps.iter().zip(&residuals).filter_map(|((_, y), r)| Some(chart.stem(*y, (*r)?)));
    items.extend(stems.flatten());
    items.push(chart.title("residual: a step's density less what the curve through the other steps says"));
    items.push(chart.foot("density of the tablet"));
    Sheet {
        title: head.title().to_owned(),
        said: Said::default(),
        pages: vec![Page { size: size.into(), part: None, bookmark: head.title().to_owned(), items }],
    }
}
