//! What is told of proof sheets.

use crate::batch::ProofOutcome;

use super::words::count;
use super::{Console, print_lines};

impl Console {
    /// A proof sheet; failures stand last. Tells whether it could be told.
    pub(in crate::cli) fn proofs(&self, outcome: &ProofOutcome) -> bool {
        let mut lines = outcome.warnings.clone();
        if let Some(sheet) = outcome.files.first() {
            let pages = count(outcome.files.len() - 1, "page");
            let state = if outcome.laid { "" } else { ", up to date" };
            let frames = count(outcome.frames, "frame");
            let sheet_of = if outcome.contact { "contact sheet" } else { "proof sheet" };
            lines.push(format!("{sheet_of}: {frames} on {pages}{state}: {}", sheet.display()));
        }
        let told = print_lines(&lines);
        outcome.failures.iter().for_each(|failure| self.error(failure));
        told
    }
}
