//! What is told of prints.

use std::collections::BTreeSet;

use crate::batch::{MarkOutcome, PrintOutcome, PrintState, Printed};
use crate::light::Stops;
use crate::notes::{Mark, PrintRecord};

use super::table::Table;
use super::{Console, print_lines};

impl Console {
    /// Frames that were marked; failures stand last. Tells whether they could be told.
    pub(in crate::cli) fn marked(&self, outcome: &MarkOutcome, mark: Option<Mark>) -> bool {
        let mark = mark.map_or_else(|| "no mark".to_owned(), |mark| mark.to_string());
        let told = print_lines(&outcome.marked.iter().map(|name| format!("{name}: {mark}")).collect::<Vec<_>>());
        outcome.failures.iter().for_each(|failure| self.error(failure));
        told
    }

    /// Prints; failures stand last. Tells whether they could be told.
    pub(in crate::cli) fn printed(&self, outcome: &PrintOutcome) -> bool {
        let mut told = true;
        if !outcome.prints.is_empty() {
            let mut table = Table::named(&["print", "picture", "scan", "grade", "exposure", ""], 1..3);
            table.rows.extend(outcome.prints.iter().map(print_row));
            let mut lines: Vec<String> = table.lines().collect();
            lines.push(String::new());
            let advice = |print: &Printed| -> Vec<String> {
                print.advice.iter().map(|advice| format!("{}: {advice}", print.record.file)).collect()
            };
            lines.extend(outcome.prints.iter().flat_map(advice));
            let mut folders: Vec<_> = outcome.prints.iter().filter_map(|print| print.path.parent()).collect();
            folders.dedup();
            lines.extend(folders.iter().map(|folder| format!("prints: {}", folder.display())));
            let stocks: BTreeSet<String> = outcome.prints.iter().map(|print| stock_of(&print.record)).collect();
            let stocks: Vec<String> = stocks.into_iter().collect();
            lines.push(format!("{}; scan: its pixels in an inch of the print", stocks.join("; ")));
            told = print_lines(&lines);
        }
        outcome.failures.iter().for_each(|failure| self.error(failure));
        told
    }
}

/// What a print is on.
fn stock_of(record: &PrintRecord) -> String {
    format!("paper {}, grades after {}", record.paper, record.table)
}

fn print_row(print: &Printed) -> Vec<String> {
    let (width, height, unit) = print.picture;
    vec![
        print.record.file.clone(),
        format!("{width:.1} x {height:.1} {}", unit.name()),
        format!("{:.0} ppi", print.scanned),
        print.record.split_grade.as_ref().map_or_else(|| print.record.grade.clone(), |near| format!("about {near}")),
        Stops::new(print.record.exposure).to_string(),
        match print.state {
            PrintState::Made => "made",
            PrintState::UpToDate => "up to date",
            PrintState::Kept => "changed by hand, kept",
        }
        .to_owned(),
    ]
}
