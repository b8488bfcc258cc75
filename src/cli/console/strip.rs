//! What is told of test strips.

use std::collections::BTreeSet;

use crate::batch::{StripMade, StripOutcome};

use super::table::Table;
use super::{Console, print_lines};

impl Console {
    /// Test strips; failures stand last. Tells whether they could be told.
    pub(in crate::cli) fn strips(&self, outcome: &StripOutcome) -> bool {
        let mut told = true;
        if !outcome.strips.is_empty() {
            let mut table = Table::named(&["frame", "grade", "exposure", "grid at", "of a print", "strip"], 0..0);
            table.rows.extend(outcome.strips.iter().map(row));
            let mut lines: Vec<String> = table.lines().collect();
            lines.push(String::new());
            let advice = |strip: &StripMade| -> Vec<String> {
                strip.advice.iter().map(|advice| format!("{}: {advice}", strip.frame)).collect()
            };
            lines.extend(outcome.strips.iter().flat_map(advice));
            let stocks: BTreeSet<&str> = outcome.strips.iter().map(|strip| strip.stock.as_str()).collect();
            let stocks = stocks.into_iter().collect::<Vec<_>>().join("; paper ");
            lines.push(format!("paper {stocks}; make a test on your own paper before the print"));
            told = print_lines(&lines);
        }
        outcome.failures.iter().for_each(|failure| self.error(failure));
        told
    }
}

fn row(strip: &StripMade) -> Vec<String> {
    vec![
        strip.frame.clone(),
        strip.grade.clone(),
        strip.exposure.to_string(),
        format!("{:.0},{:.0}", strip.at.x, strip.at.y),
        format!("{} x {} mm", strip.print.0, strip.print.1),
        strip.files.first().map(|file| file.display().to_string()).unwrap_or_default(),
    ]
}
