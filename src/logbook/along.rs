//! Base and range along the batch: what drifts from frame to frame is seen at a glance.

use std::fmt::Write;

use maud::{Markup, html};

use super::axis::Axis;
use super::words::{count, two};
use super::{Entry, Logbook};
use crate::light::Density;

/// Height of a plot in its own numbers; its width is the number of frames. It is stretched to the room that it gets.
const HEIGHT: f64 = 100.0;

/// Width of a frame's bar, of the room that it has.
const BAR: f64 = 0.5;

/// At most so many frames are numbered under a plot.
const NUMBERED: usize = 12;

/// Both plots, one over the other.
pub(super) fn along(logbook: &Logbook) -> Markup {
    let entries = &logbook.entries;
    let net = Axis::of_net(logbook);
    html! {
        (plot(logbook, net, "Range: from the thin to the dense end of each frame, its median across; ! has a flag", &ranges(entries), html! {
            path.bars d=(bars(entries, net)) {}
            path.medians d=(medians(entries, net)) {}
        }))
        @if let Some(axis) = Axis::of_bases(logbook) {
            (plot(logbook, axis, "Base: a dot each; the line is the middle of all; ! has a flag", &bases(entries), html! {
                @if let Some(middle) = middle(entries) {
                    @let at = format!("{:.1}", HEIGHT * (1.0 - axis.at(middle)));
                    line.middle x1="0" x2=(entries.len()) y1=(at) y2=(at) {}
                }
                path.dots d=(dots(entries, axis)) {}
            }))
        } @else {
            p { "No frame has a base that is known, so there is none to be drawn." }
        }
    }
}

fn plot(logbook: &Logbook, axis: Axis, caption: &str, said: &str, drawn: Markup) -> Markup {
    let frames = logbook.entries.len();
    let middle = |i: usize| format!("left:{:.2}%", (i as f64 + 0.5) / frames as f64 * 100.0);
    html! {
        figure.along {
            figcaption { (caption) }
            div.plot {
                div.numbers aria-hidden="true" {
                    @for (at, name) in axis.lines() { span style=(format!("bottom:{:.2}%", at * 100.0)) { (name) } }
                }
                svg role="img" aria-label=(said) viewBox=(format!("0 0 {frames} {HEIGHT}")) preserveAspectRatio="none" {
                    @for (at, _) in axis.lines() {
                        @let at = format!("{:.1}", HEIGHT * (1.0 - at));
                        line.rule x1="0" x2=(frames) y1=(at) y2=(at) {}
                    }
                    (drawn)
                }
                div.flagged aria-hidden="true" {
                    @for (i, _) in logbook.entries.iter().enumerate().filter(|(_, entry)| !entry.flags.is_empty()) {
                        span style=(middle(i)) { "!" }
                    }
                }
                div.scale aria-hidden="true" {
                    @for i in (0..frames).step_by(frames.div_ceil(NUMBERED).max(1)) {
                        span style=(middle(i)) { (i + 1) }
                    }
                }
            }
        }
    }
}

fn bars(entries: &[Entry], axis: Axis) -> String {
    let mut path = String::new();
    for (i, [thin, _, dense]) in entries.iter().enumerate().filter_map(|(i, entry)| Some((i, entry.net?))) {
        let [low, high] = [thin, dense].map(|d| HEIGHT * (1.0 - axis.at(d)));
        let left = i as f64 + (1.0 - BAR) / 2.0;
        // Writing into a string cannot fail.
        let _ = write!(path, "M{left:.2} {low:.1}V{high:.1}h{BAR}V{low:.1}Z");
    }
    path
}

fn medians(entries: &[Entry], axis: Axis) -> String {
    let mut path = String::new();
    for (i, [_, median, _]) in entries.iter().enumerate().filter_map(|(i, entry)| Some((i, entry.net?))) {
        let left = i as f64 + (1.0 - BAR) / 2.0;
        let _ = write!(path, "M{left:.2} {:.1}h{BAR}", HEIGHT * (1.0 - axis.at(median)));
    }
    path
}

/// Lines without length, which round ends make dots of, whatever the drawing is stretched to.
fn dots(entries: &[Entry], axis: Axis) -> String {
    let mut path = String::new();
    for (i, base) in entries.iter().enumerate().filter_map(|(i, entry)| Some((i, entry.base?))) {
        let _ = write!(path, "M{:.1} {:.1}h0", i as f64 + 0.5, HEIGHT * (1.0 - axis.at(base)));
    }
    path
}

/// The median of the bases: of an even number the mean of the two in the middle.
fn middle(entries: &[Entry]) -> Option<Density> {
    let mut bases: Vec<f64> = entries.iter().filter_map(|entry| entry.base).map(Density::value).collect();
    bases.sort_by(f64::total_cmp);
    let (low, high) = (bases.get(bases.len().saturating_sub(1) / 2)?, bases.get(bases.len() / 2)?);
    Some(Density::new(f64::midpoint(*low, *high)))
}

/// The least and the greatest of some numbers, in words.
fn between(values: impl Iterator<Item = Density>) -> Option<String> {
    let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
        (least.min(value.value()), most.max(value.value()))
    });
    (least <= most).then(|| format!("from {} to {}", two(Density::new(least)), two(Density::new(most))))
}

fn ranges(entries: &[Entry]) -> String {
    let ranges = entries.iter().filter_map(|entry| entry.net).map(|[thin, _, dense]| dense - thin);
    let between = between(ranges).unwrap_or_else(|| "not known".to_owned());
    format!("ranges of {} in order: {between}; the table below has the figures", count(entries.len(), "frame"))
}

fn bases(entries: &[Entry]) -> String {
    let between = between(entries.iter().filter_map(|entry| entry.base)).unwrap_or_else(|| "not known".to_owned());
    format!("bases of {} in order: {between}; the table below has the figures", count(entries.len(), "frame"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(base: f64, net: [f64; 3]) -> Entry {
        Entry { base: Some(Density::new(base)), net: Some(net.map(Density::new)), ..Entry::default() }
    }

    /// Worked out by hand on the axis from -0.1 to 1.5 D, 1.6 D high.
    #[test]
    fn a_bar_reaches_from_the_thin_to_the_dense_end() {
        let entries = vec![Entry::default(), entry(0.2, [-0.1, 0.7, 1.5])];
        let axis = Axis::of_net(&Logbook { entries: entries.clone(), ..Logbook::default() });
        assert_eq!(bars(&entries, axis), "M1.25 100.0V0.0h0.5V100.0Z");
        assert_eq!(medians(&entries, axis), "M1.25 50.0h0.5");
    }

    #[test]
    fn what_is_said_of_a_plot_holds_its_figures() {
        let entries = [entry(0.2, [0.0, 0.5, 1.0]), entry(0.28, [0.1, 0.5, 0.6])];
        assert!(ranges(&entries).starts_with("ranges of 2 frames in order: from 0.50 to 1.00;"));
        assert!(bases(&entries).starts_with("bases of 2 frames in order: from 0.20 to 0.28;"));
        assert!(bases(&[]).contains("not known"));
        assert_eq!(middle(&entries).map(two).as_deref(), Some("0.24"));
        assert_eq!(middle(&[&entries[..], &[entry(0.3, [0.0; 3])]].concat()).map(two).as_deref(), Some("0.28"));
        assert_eq!(middle(&[]), None);
    }
}
