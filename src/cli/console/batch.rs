//! What a batch tells, and what gathering shares tells.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::Path;

use crate::batch::{Decided, Done, DoneScan, Gathered, Moved, Order, Outcome, State, Watched};

use super::table::Table;
use super::words::{count, explained, two};
use super::{Console, print_lines};

impl Console {
    /// The closing table of a batch; failures stand last. Tells whether it could be printed.
    pub(in crate::cli) fn batch(&self, outcome: &Outcome, order: &Order) -> bool {
        let mut table = Table::named(&["frame", "base", "thin", "dense", "range", "grade", "", "flags"], 1..5);
        let went_well = outcome.scans.iter().filter_map(|scan| Some((scan, scan.result.as_ref().ok()?)));
        for (scan, of) in went_well.clone() {
            if of.state == State::ToMeasure {
                table.rows.push(to_be_measured(scan));
            }
            table.rows.extend(of.frames.iter().map(|frame| batch_row(of, frame)));
        }
        let mut lines = Vec::new();
        // A share may have no scans, and one that only measures has nothing to show yet.
        if table.rows.len() > 1 || outcome.share.is_none() {
            lines.extend(table.lines());
            lines.push(String::new());
        }
        lines.extend(moved(outcome));
        lines.extend(explained(went_well.map(|(scan, of)| (scan.file.as_str(), &of.warnings[..]))));
        lines.extend(closing(outcome, order));
        let printed = print_lines(&lines);
        troubles(outcome).for_each(|trouble| self.error(&trouble));
        printed
    }

    /// How the watching goes. Tells whether it could be printed.
    pub(in crate::cli) fn watched(&self, what: &Watched<'_>, told: &mut BTreeSet<String>) -> bool {
        match what {
            Watched::Begun(scans) => self.error(&format!("watching {}: Ctrl-C ends it", scans.display())),
            Watched::Away(scans) => self.error(&format!("{} is away: waiting for it", scans.display())),
            Watched::Done(outcome) => return self.new_scans(outcome, told),
        }
        true
    }

    /// What came of the scans that are new; nothing of those that were done before, and no trouble that was `told`.
    fn new_scans(&self, outcome: &Outcome, told: &mut BTreeSet<String>) -> bool {
        let made = |of: &&DoneScan| of.state == State::Made;
        let new = || outcome.scans.iter().filter_map(|scan| Some((scan, scan.result.as_ref().ok().filter(made)?)));
        let row = |of: &DoneScan, frame: &Decided| {
            let [name, base, thin, dense, range, grade, ..] = &batch_row(of, frame)[..] else {
                return String::new();
            };
            format!("{name}: base {base}, net {thin} to {dense}, range {range}, grade {grade}")
        };
        let mut lines: Vec<String> = moved(outcome).collect();
        lines.extend(new().flat_map(|(_, of)| of.frames.iter().map(move |frame| row(of, frame))));
        lines.extend(explained(new().map(|(scan, of)| (scan.file.as_str(), &of.warnings[..]))));
        let printed = print_lines(&lines);
        for trouble in troubles(outcome) {
            if told.insert(trouble.clone()) {
                self.error(&trouble);
            }
        }
        printed
    }

    /// Shares that were gathered; failures stand last. Tells whether it could be printed.
    pub(in crate::cli) fn gathered(&self, of: &Gathered) -> bool {
        let (shares, scans) = (part(of.shares, of.of as usize, "share"), count(of.scans, "scan"));
        let (frames, failures) = (count(of.frames, "frame"), failures(of.failed.len()));
        let mut lines = vec![format!("{shares} gathered: {scans}, {frames}{failures}: {}", of.out.display())];
        lines.extend(of.sheets.first().map(|sheet| format!("proof sheet: {}", sheet.display())));
        lines.extend(of.page.as_ref().map(|page| format!("logbook: {}", page.display())));
        let printed = print_lines(&lines);
        of.failed.iter().for_each(|(file, why)| self.error(&format!("{file}: {why}")));
        of.troubles.iter().for_each(|trouble| self.error(trouble));
        printed
    }
}

fn to_be_measured(scan: &Done) -> Vec<String> {
    let mut row = vec![String::new(); 8];
    row[0].clone_from(&scan.file);
    row[6] = in_words(State::ToMeasure).to_owned();
    row
}

fn batch_row(of: &DoneScan, frame: &Decided) -> Vec<String> {
    let base = if of.base_source == "assumed" { "none".to_owned() } else { two(frame.base.value()) };
    let codes: Vec<&str> = of.warnings.iter().filter(|w| w.is_about(frame.number)).map(|w| w.code.as_str()).collect();
    let net = [frame.thin(), frame.dense(), frame.range()].map(|d| two(d.value()));
    let [thin, dense, range] = net;
    vec![
        frame.name.clone(),
        base,
        thin,
        dense,
        range,
        frame.equivalent().map_or_else(|| frame.grade.to_string(), |(grade, _)| format!("about {grade}")),
        in_words(of.state).to_owned(),
        codes.join(" "),
    ]
}

fn in_words(state: State) -> &'static str {
    match state {
        State::Measured => "measured",
        State::ToMeasure => "to measure and make",
        State::ToMake => "to make",
        State::Made => "made",
        State::UpToDate => "up to date",
        State::Kept => "changed by hand, kept",
    }
}

fn closing(outcome: &Outcome, order: &Order) -> Vec<String> {
    let share = outcome.share.map_or_else(String::new, |share| format!("share {share}: "));
    let scans = outcome.scans.len();
    if order.dry_run {
        return to_be_done(outcome, &share);
    }
    let frames = outcome.scans.iter().filter_map(|s| s.result.as_ref().ok()).map(|of| of.frames.len()).sum();
    let (failures, out) = (failures(outcome.failed()), outcome.out.display());
    if order.measure_only {
        let measured = part(scans - outcome.failed(), scans, "scan");
        let next = "once all shares are measured, run them again without --measure-only".to_owned();
        return vec![format!("{share}{measured} measured{failures}: {out}"), next];
    }
    let mut lines = vec![format!("{share}{}, {}{failures}: {out}", count(scans, "scan"), count(frames, "frame"))];
    if let Some((thin, dense)) = outcome.common {
        lines.push(format!("flat positives share the ends {} and {}", two(thin.value()), two(dense.value())));
    }
    if let Some(sheet) = outcome.sheets.first() {
        lines.push(format!("proof sheet: {}", sheet.display()));
    }
    lines.extend(outcome.page.as_ref().map(|page| format!("logbook: {}", page.display())));
    if outcome.share.is_some() {
        let out = pasted(&outcome.out);
        lines.push(format!("once all shares are made, gather them: dryside batch --gather {out}"));
    }
    lines.extend(outcome.pictures.iter().map(|folder| format!("pictures: {}", folder.display())));
    let densities =
        outcome.wedge.as_ref().map_or_else(|| "scanner densities".to_owned(), |w| format!("densities by {w}"));
    let stocks: Vec<String> = outcome.stocks().iter().map(|stock| format!("paper {stock}")).collect();
    lines.push(format!("{}; {densities}, net of base", stocks.join("; ")));
    lines
}

/// How many scans a run would measure, make and leave; and that this may change where there are new ones among them.
fn to_be_done(outcome: &Outcome, share: &str) -> Vec<String> {
    let of = |state: State| {
        let is_so = |scan: &&Done| scan.result.as_ref().is_ok_and(|of| of.state == state);
        outcome.scans.iter().filter(is_so).count()
    };
    let states = [State::ToMeasure, State::ToMake, State::UpToDate, State::Kept, State::Measured];
    let parts = states.map(|state| (of(state), state));
    let mut parts: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, state)| format!("{n} {}", in_words(*state))).collect();
    parts.extend(failed_ones(outcome.failed()));
    let scans = count(outcome.scans.len(), "scan");
    let mut lines = vec![format!("{share}{scans}: {}; nothing written", parts.join(", "))];
    let to_measure = of(State::ToMeasure);
    if to_measure > 0 && to_measure < outcome.scans.len() - outcome.failed() {
        lines.push(
            "what is still to be measured may change the base of the batch: then others are made again".to_owned(),
        );
    }
    lines
}

/// Scans that have another name by now.
fn moved(outcome: &Outcome) -> impl Iterator<Item = String> {
    outcome.moved.iter().map(|Moved { was, now }| format!("{now} is {was} renamed: its notes are taken on"))
}

/// What failed, scans first.
fn troubles(outcome: &Outcome) -> impl Iterator<Item = String> {
    let failed = |scan: &Done| scan.result.as_ref().err().map(|error| format!("{}: {error}", scan.file));
    outcome.scans.iter().filter_map(failed).chain(outcome.troubles.iter().cloned())
}

/// A path as a shell takes it when it is pasted.
fn pasted(path: &Path) -> String {
    let plain = path.display().to_string();
    if cfg!(windows) {
        // No name there has a quote in it, and backslashes are no marks.
        return if plain.contains(' ') { format!("\"{plain}\"") } else { plain };
    }
    // Only a zero byte cannot be quoted, and no path has one.
    shlex::try_quote(&plain).map_or_else(|_| plain.clone(), Cow::into_owned)
}

/// After other counts.
fn failures(failed: usize) -> String {
    failed_ones(failed).map_or_else(String::new, |failed| format!(", {failed}"))
}

fn failed_ones(failed: usize) -> Option<String> {
    (failed > 0).then(|| format!("{failed} failed (named below)"))
}

/// "4 of 5 scans", or "5 scans" where none is missing.
fn part(there: usize, of: usize, what: &str) -> String {
    if there == of { count(of, what) } else { format!("{there} of {}", count(of, what)) }
}
