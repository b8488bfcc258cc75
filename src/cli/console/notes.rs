//! `dryside notes` in words.

use std::path::PathBuf;

use super::exposure::{CAUTION, sums};
use super::table::Table;
use super::words::count;
use super::{Console, print_lines, print_text};
use crate::batch::{Checked, GivenOut, LaidNotes, ShownNotes, Summed};
use crate::meter::stops_apart;
use crate::notes::{ReadField, ShotNotes};

impl Console {
    /// Notes that were laid out. Tells whether it could be printed.
    pub(in crate::cli) fn notes_laid(&self, done: &LaidNotes) -> bool {
        let mut lines = Vec::new();
        lines.extend(done.kept.iter().map(|name| format!("{name}: there already, kept as it is")));
        lines.push(format!("{} laid out: {}", count(done.laid.len(), "form"), done.folder.display()));
        if let (Some(first), Some(last)) = (done.laid.first(), done.laid.last()) {
            let names = if first == last { first.clone() } else { format!("{first} to {last}") };
            lines.push(format!("scan under the same names: {names}"));
        }
        print_lines(&lines)
    }

    /// Notes that were given out; what could not be read stands last. Tells whether it could be printed.
    pub(in crate::cli) fn given_out(&self, given: &GivenOut) -> bool {
        let printed = print_text(&given.text);
        given.failures.iter().for_each(|failure| self.error(failure));
        printed
    }

    /// Notes that were written in. Tells whether it could be printed.
    pub(in crate::cli) fn notes_written(&self, changed: &[PathBuf]) -> bool {
        let mut lines: Vec<String> = changed.iter().map(|path| path.display().to_string()).collect();
        if lines.is_empty() {
            lines.push("it stands there already".to_owned());
        }
        print_lines(&lines)
    }

    /// What stands in notes. Tells whether it could be printed.
    pub(in crate::cli) fn notes_shown(&self, shown: &[ShownNotes]) -> bool {
        let mut lines = Vec::new();
        for of in shown {
            if !lines.is_empty() {
                lines.push(String::new());
            }
            lines.push(format!("{}: {}", of.name, of.path.display()));
            lines.extend(fields(&of.shot));
            for summed in &of.sums {
                lines.push(format!("  {}:", summed.name));
                if let Ok(working) = &summed.working {
                    lines.extend(sums(working).iter().skip(1).map(|line| format!("    {line}")));
                }
                lines.extend(outcome(summed).iter().map(|line| format!("    {line}")));
            }
        }
        if shown.iter().any(|of| !of.sums.is_empty()) {
            lines.extend([String::new(), CAUTION.to_owned()]);
        }
        print_lines(&lines)
    }

    /// What was found in notes. Tells whether it could be printed.
    pub(in crate::cli) fn notes_checked(&self, checked: &[Checked]) -> bool {
        let mut lines = Vec::new();
        for of in checked {
            let told = |what: &dyn std::fmt::Display| format!("{}: {what}", of.path.display());
            lines.extend(of.errors.iter().map(|e| told(e)));
            lines.extend(of.marks.iter().map(|slip| told(slip)));
            lines.extend(of.slips.iter().map(|slip| told(slip)));
            lines.extend(of.hints.iter().map(|hint| told(hint)));
            for summed in &of.sums {
                lines.extend(outcome(summed).iter().map(|line| told(&format!("{}: {line}", summed.name))));
            }
        }
        let bad = checked.iter().filter(|of| !of.is_sound()).count();
        let apart = checked.iter().flat_map(|of| &of.sums).filter(|summed| summed.agrees() == Some(false)).count();
        let summed = checked.iter().flat_map(|of| &of.sums).filter(|summed| summed.agrees().is_some()).count();
        let sums = match (apart, summed) {
            (_, 0) => "no exposure to reckon".to_owned(),
            (0, of) => format!("{} reckoned, all agree within a sixth of a stop", count(of, "exposure")),
            (apart, of) => format!("{} reckoned, {apart} apart by more than a sixth of a stop", count(of, "exposure")),
        };
        let well =
            if bad == 0 { "all can be read".to_owned() } else { format!("{bad} with something that cannot be read") };
        lines.push(format!("{} looked through: {well}; {sums}", count(checked.len(), "notes file")));
        print_lines(&lines)
    }
}

fn fields(shot: &ShotNotes) -> Vec<String> {
    let mut table = Table::new(&["", "field", ""], 0..0);
    let blank = String::new;
    let first = shot.rescan_of.as_deref().unwrap_or_default();
    let word = |field: &ReadField| match field.of_first {
        true => format!("{}   ({first})", field.text),
        false => field.text.clone(),
    };
    table.rows.extend(shot.fields().iter().map(|field| vec![blank(), field.name.clone(), word(field)]));
    table.rows.extend(shot.own.iter().map(|(name, text)| vec![blank(), name.clone(), text.clone()]));
    if table.rows.len() == 1 && shot.slips.is_empty() {
        return vec!["  nothing is written in [shot] yet".to_owned()];
    }
    let fields = table.lines().skip(1).collect::<Vec<_>>();
    let slips = shot.slips.iter().map(|slip| format!("  cannot be read: {slip}"));
    fields.into_iter().chain(slips).collect()
}

/// What is written beside what the sums give, and what to know of them.
fn outcome(summed: &Summed) -> Vec<String> {
    let working = match &summed.working {
        Ok(working) => working,
        Err(why) => return vec![why.clone()],
    };
    let given = working.time();
    let line = match (summed.written, summed.apart(), summed.agrees()) {
        (Some(written), _, Some(true)) => format!("written {written}, the sums give {given}: they agree"),
        (Some(written), Some(stops), _) => {
            format!("written {written}, the sums give {given}: what is written is {}", stops_apart(stops))
        }
        _ => format!("the sums give {given}; no shutter time is written"),
    };
    let cautions = working.cautions.iter().map(ToString::to_string);
    std::iter::once(line).chain(cautions).collect()
}
