//! What is told of frames under the loupe.

use crate::batch::{LoupeMade, LoupeOutcome};
use crate::light::{LengthUnit, Millimetres};

use super::table::Table;
use super::{Console, print_lines};

impl Console {
    /// Frames looked at; failures stand last. Tells whether they could be told.
    pub(in crate::cli) fn looked(&self, outcome: &LoupeOutcome) -> bool {
        let mut told = true;
        if !outcome.looks.is_empty() {
            let mut table = Table::named(&["frame", "edge", "by pixels", "by sharpness", "loupe"], 1..4);
            table.rows.extend(outcome.looks.iter().map(row));
            let mut lines: Vec<String> = table.lines().collect();
            lines.push(String::new());
            lines.push(
                "edge: pixels of the scan from dark to light where the frame is sharpest; largest prints at 300 pixels an \
                 inch"
                    .to_owned(),
            );
            told = print_lines(&lines);
        }
        outcome.failures.iter().for_each(|failure| self.error(failure));
        told
    }
}

fn row(look: &LoupeMade) -> Vec<String> {
    let size = |(width, height): (Millimetres, Millimetres)| {
        let [width, height] = [width, height].map(|length| LengthUnit::Centimetre.count(length));
        format!("{width:.1} x {height:.1} cm")
    };
    let or_none = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    vec![
        look.frame.clone(),
        or_none(look.found.edge.map(|edge| format!("{edge:.1}"))),
        size(look.found.by_pixels),
        or_none(look.found.by_sharpness.map(size)),
        look.files.first().map(|file| file.display().to_string()).unwrap_or_default(),
    ]
}
