//! What is told of a calibration.

use crate::batch::WedgeDone;

use super::table::Table;
use super::words::{explained, two};
use super::{Console, print_lines};

impl Console {
    /// A calibration. Tells whether it could be printed.
    pub(in crate::cli) fn wedge(&self, done: &WedgeDone) -> bool {
        let file = &done.file;
        let mut table = Table::new(&["step", "density", "scanner", "residual"], 0..4);
        for (number, step) in (1..).zip(&file.steps) {
            let residual = step.residual.map_or_else(String::new, |r| format!("{:+.3}", (r * 1e3).round() / 1e3 + 0.0));
            table.rows.push(vec![number.to_string(), two(step.density), format!("{:.3}", step.scanner), residual]);
        }
        let mut lines: Vec<String> = table.lines().collect();
        lines.push(String::new());
        lines.extend(explained(std::iter::once((file.scan.file.as_str(), &done.warnings[..]))));
        let ((name, steps), told) = (&file.tablet, file.steps.len());
        let densest = file.steps.last().map_or(0.0, |step| step.density);
        lines.push(format!("tablet {name}: {told} of {steps} steps told apart, true densities up to {}", two(densest)));
        let (median, largest) = file.residuals();
        lines.push(format!("residuals: median {median:.3}, largest {largest:.3}"));
        let [calibration, plot] = &done.files;
        lines.push(format!("{}, {}", calibration.display(), plot.display()));
        print_lines(&lines)
    }
}
