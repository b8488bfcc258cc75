//! The histogram of a frame, with its ends and its median, on the axis that all frames share.

use std::fmt::Write;

use maud::{Markup, html};

use super::axis::Axis;
use super::words::two;
use super::{Entry, Logbook};
use crate::light::Density;
use crate::notes::TonesNotes;

/// The drawing's own width and height; it is stretched to the room that it gets.
const WIDTH: f64 = 1000.0;
const HEIGHT: f64 = 100.0;

/// A cell that holds such a share of the frame for its width in D reaches the top: 6 % in 0.02 D (house value).
const FULL: f64 = 0.06 / 0.02;

/// Where more cells than these are higher, the first of the others sets the scale. A few may run out at the top: bare
/// base or a white wall would press the rest flat.
const SPIKES: usize = 3;

/// Draws the tones of a frame. What is not known is said in words.
pub(super) fn tones(entry: &Entry, axis: Axis, logbook: &Logbook) -> Markup {
    let Some([thin, median, dense]) = entry.net else { return html!() };
    let label = format!(
        "tones of {}: from {} to {}, half of it thinner than {}, in density above base",
        entry.name,
        two(thin),
        two(dense),
        two(median)
    );
    let Some(tones) = &entry.tones else {
        return html! {
            @if let Some(why) = &entry.notes_wrong {
                p.quiet { "How its tones are spread is not known, for its notes cannot be read: " (why) ". Put them right, then run the batch again." }
            } @else {
                p.quiet { "How its tones are spread was not written down when it was measured: run the batch with --force to see it." }
            }
        };
    };
    let at = |density: Density| format!("{:.1}", axis.at(density) * WIDTH);
    html! {
        figure.tones {
            svg role="img" aria-label=(label) viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) preserveAspectRatio="none" {
                @for (_, zone) in &logbook.zones.0 {
                    line.zone x1=(at(*zone)) x2=(at(*zone)) y1="0" y2=(HEIGHT) {}
                }
                path.spread d=(outline(tones, axis)) {}
                line.end x1=(at(thin)) x2=(at(thin)) y1="0" y2=(HEIGHT) {}
                line.middle x1=(at(median)) x2=(at(median)) y1="0" y2=(HEIGHT) {}
                line.end x1=(at(dense)) x2=(at(dense)) y1="0" y2=(HEIGHT) {}
            }
            div.scale aria-hidden="true" {
                @for (name, zone) in &logbook.zones.0 {
                    span style=(format!("left:{:.2}%", axis.at(*zone) * 100.0)) { (name) }
                }
            }
        }
    }
}

/// Steps from cell to cell, as a closed outline. Heights are shares for a width, so that cells of other widths compare.
fn outline(tones: &TonesNotes, axis: Axis) -> String {
    let share = |parts: u16| f64::from(parts) / 10_000.0 / tones.step;
    let mut shares: Vec<f64> = tones.parts.iter().map(|parts| share(*parts)).collect();
    shares.sort_by(|a, b| b.total_cmp(a));
    let highest = shares.get(SPIKES).copied().unwrap_or_default().max(FULL);
    let edge = |cell: usize| axis.at(Density::new(tones.from + tones.step * cell as f64)) * WIDTH;
    let mut path = format!("M{:.1} {HEIGHT}", edge(0));
    for (cell, parts) in tones.parts.iter().enumerate() {
        // Writing into a string cannot fail.
        let _ = write!(path, "V{:.1}H{:.1}", HEIGHT * (1.0 - (share(*parts) / highest).min(1.0)), edge(cell + 1));
    }
    path + &format!("V{HEIGHT}Z")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by hand on the axis from -0.1 to 1.5 D: 0.1 D is 62.5 of 1000, and 30 % of the frame in it the top.
    #[test]
    fn a_step_is_as_high_as_its_share_for_its_width() {
        let axis = Axis::of_net(&Logbook::default());
        let tones = TonesNotes { from: 0.0, step: 0.1, parts: vec![1_500, 8_000] };
        assert_eq!(outline(&tones, axis), "M62.5 100V50.0H125.0V0.0H187.5V100Z", "a spike runs out at the top");
        let even = TonesNotes { from: 0.0, step: 0.01, parts: vec![1_000, 1_000, 1_000, 1_000, 500] };
        assert_eq!(outline(&even, axis).matches("V0.0").count(), 4, "four that are higher set the scale");
        assert!(outline(&even, axis).contains("V50.0"));
        let rare = TonesNotes { from: 0.0, step: 0.1, parts: vec![750] };
        assert_eq!(outline(&rare, axis), "M62.5 100V75.0H125.0V100Z", "a quarter of what reaches the top");
    }
}
