//! Everything that is printed. The only file that does.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;
use std::io::{self, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use indicatif::{HumanDuration, ProgressBar, ProgressState, ProgressStyle};

use crate::batch::{Decided, Done, DoneScan, Event, GRADES, Gathered, Order, Outcome, PAPER, State, WedgeDone, ZONES};
use crate::notes::{ReportScan, ReportSpot, ScanReport, WarningNote, report_json};

/// The person's screen: results on standard output, everything else on standard error.
pub(super) struct Console;

/// Shows how far a batch is; nothing when nobody watches.
pub(super) struct Progress {
    bar: ProgressBar,
    scans: AtomicU64,
}

impl Progress {
    /// Takes up what a batch tells. Each scan counts twice, measured and made, or once if it is only measured.
    pub(super) fn tell(&self, event: Event<'_>) {
        let of_all = || self.scans.load(Ordering::Relaxed);
        match event {
            Event::Begin { scans, measure_only } => {
                let times = if measure_only { 1 } else { 2 };
                self.scans.store(scans as u64, Ordering::Relaxed);
                self.bar.set_length(times * scans as u64);
                self.bar.set_message(format!("measuring {}", count(scans, "scan")));
            }
            Event::Measured(name) => {
                self.bar.inc(1);
                self.bar.set_message(format!("{} of {} measured: {name}", self.bar.position(), of_all()));
            }
            Event::Made(name) => {
                self.bar.inc(1);
                let made = self.bar.position().saturating_sub(of_all());
                self.bar.set_message(format!("{made} of {} made: {name}", of_all()));
            }
            Event::Sheets => self.bar.set_message("laying out the proof sheet"),
        }
    }

    /// Clears the line.
    pub(super) fn finish(self) {
        self.bar.finish_and_clear();
    }
}

/// The time left, once there is something to reckon it from.
fn time_left(state: &ProgressState, text: &mut dyn fmt::Write) {
    if state.pos() > 0 && !state.is_finished() {
        let _ = write!(text, "about {} left", HumanDuration(state.eta()));
    }
}

/// A table whose columns are as wide as what stands in them.
struct Table {
    rows: Vec<Vec<String>>,
    /// Columns from this one to that one hold numbers and end flush.
    numbers: std::ops::Range<usize>,
}

impl Table {
    fn new(head: &[&str], numbers: std::ops::Range<usize>) -> Self {
        Self { rows: vec![head.iter().map(|h| (*h).to_owned()).collect()], numbers }
    }

    fn lines(&self) -> impl Iterator<Item = String> {
        let columns = self.rows[0].len();
        let width = |c: usize| self.rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns).map(width).collect();
        self.rows.iter().map(move |row| {
            let cell = |(c, text): (usize, &String)| {
                let w = widths[c];
                if self.numbers.contains(&c) { format!("{text:>w$}") } else { format!("{text:<w$}") }
            };
            row.iter().enumerate().map(cell).collect::<Vec<_>>().join("  ").trim_end().to_owned()
        })
    }
}

impl Console {
    /// Help, the version, or what is wrong with the arguments.
    pub(super) fn usage(error: &clap::Error) {
        // Nothing is left to be done when even this cannot be printed.
        let _ = error.print();
    }

    /// What is wrong.
    pub(super) fn error(&self, error: &str) {
        // Nothing is left to be done when nobody listens.
        let _ = writeln!(io::stderr(), "dryside: {}", one_line(error));
    }

    /// A line that shows how far a batch is, if somebody watches.
    pub(super) fn progress(&self) -> Progress {
        let bar = ProgressBar::new(1);
        let style = ProgressStyle::with_template("{bar:24}  {msg}  {left}").expect("the template is well formed");
        bar.set_style(style.with_key("left", time_left));
        bar.enable_steady_tick(Duration::from_millis(250));
        Progress { bar, scans: AtomicU64::new(0) }
    }

    /// The closing table of a batch; failures stand last. Tells whether it could be printed.
    pub(super) fn batch(&self, outcome: &Outcome, order: &Order) -> bool {
        let mut table = Table::new(&["frame", "base", "thin", "dense", "range", "grade", "", "flags"], 1..5);
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
        lines.extend(explained(went_well.map(|(scan, of)| (scan.file.as_str(), &of.warnings[..]))));
        lines.extend(closing(outcome, order));
        let printed = print_lines(&lines);
        for scan in &outcome.scans {
            if let Err(error) = &scan.result {
                self.error(&format!("{}: {error}", scan.file));
            }
        }
        outcome.troubles.iter().for_each(|trouble| self.error(trouble));
        printed
    }

    /// Shares that were gathered; failures stand last. Tells whether it could be printed.
    pub(super) fn gathered(&self, of: &Gathered) -> bool {
        let (shares, scans) = (part(of.shares, of.of as usize, "share"), count(of.scans, "scan"));
        let (frames, failures) = (count(of.frames, "frame"), failures(of.failed.len()));
        let mut lines = vec![format!("{shares} gathered: {scans}, {frames}{failures}: {}", of.out.display())];
        lines.extend(of.sheets.first().map(|sheet| format!("proof sheet: {}", sheet.display())));
        let printed = print_lines(&lines);
        of.failed.iter().for_each(|(file, why)| self.error(&format!("{file}: {why}")));
        of.troubles.iter().for_each(|trouble| self.error(trouble));
        printed
    }

    /// A calibration. Tells whether it could be printed.
    pub(super) fn wedge(&self, done: &WedgeDone) -> bool {
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

    /// A measuring report. Tells whether it could be printed.
    pub(super) fn measured(&self, reports: &[ScanReport], json: bool) -> bool {
        if json {
            return print_lines(&report_json(reports).lines().map(str::to_owned).collect::<Vec<_>>());
        }
        let mut table = Table::new(&["scan", "frame", "base", "thin", "median", "dense", "range", "grade"], 1..7);
        let scans: Vec<&ReportScan> = reports.iter().filter_map(as_measured).collect();
        table.rows.extend(scans.iter().flat_map(|scan| measured_rows(scan)));
        let mut printed = true;
        if !scans.is_empty() {
            let mut lines: Vec<String> = table.lines().collect();
            let spots = spot_lines(&scans);
            let any_spots = !spots.is_empty();
            lines.extend(spots);
            lines.push(String::new());
            lines.extend(explained(scans.iter().map(|scan| (scan.file.as_str(), &scan.warnings[..]))));
            lines.push(format!(
                "{} densities, net above base, or above clear light where there is none; grades after {}",
                if scans.iter().all(|scan| scan.scan.densities == "wedge") { "true" } else { "scanner" },
                GRADES.name()
            ));
            if any_spots {
                lines
                    .push(format!("zones to a third, after {}; +/-: 95 % of what grain and noise leave", ZONES.name()));
            }
            printed = print_lines(&lines);
        }
        for report in reports {
            if let ScanReport::Failed { file, error } = report {
                self.error(&format!("{file}: {error}"));
            }
        }
        printed
    }
}

fn as_measured(report: &ScanReport) -> Option<&ReportScan> {
    match report {
        ScanReport::Measured(scan) => Some(scan),
        ScanReport::Failed { .. } => None,
    }
}

fn measured_rows(scan: &ReportScan) -> Vec<Vec<String>> {
    let base = scan.base.as_ref().map_or_else(|| "none".to_owned(), |b| two(b.density));
    let row = |frame: &crate::notes::ReportFrame| {
        let net = &frame.net;
        let mut row = vec![scan.file.clone(), frame.number.to_string(), base.clone()];
        row.extend([net.thin, net.median, net.dense, net.range].map(two));
        row.push(frame.grade.name.clone());
        row
    };
    scan.frames.iter().map(row).collect()
}

/// A table of the places read, after a free line; nothing if there were none.
fn spot_lines(scans: &[&ReportScan]) -> Vec<String> {
    let mut table = Table::new(&["scan", "at", "opening", "density", "net", "+/-", "zone"], 3..6);
    let spots = scans.iter().flat_map(|scan| scan.spots.iter().map(|spot| spot_row(&scan.file, spot)));
    table.rows.extend(spots);
    if table.rows.len() == 1 {
        return Vec::new();
    }
    std::iter::once(String::new()).chain(table.lines()).collect()
}

fn spot_row(file: &str, spot: &ReportSpot) -> Vec<String> {
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    let [x, y] = spot.at;
    vec![
        file.to_owned(),
        format!("{x},{y}"),
        spot.aperture_mm.map_or_else(|| format!("{} px", spot.aperture_px), |mm| format!("{mm} mm")),
        or_dash(spot.density.map(two)),
        or_dash(spot.net.map(two)),
        or_dash(spot.uncertainty.map(|u| if u < 0.000_5 { "<0.001".to_owned() } else { format!("{u:.3}") })),
        or_dash(spot.zone.clone()),
    ]
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
        frame.grade.to_string(),
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

/// What to do about each warning: a line for each message, with the files that it is about.
fn explained<'a>(scans: impl Iterator<Item = (&'a str, &'a [WarningNote])>) -> Vec<String> {
    let mut messages: Vec<(&WarningNote, Vec<&str>)> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for (file, warning) in scans.flat_map(|(file, warnings)| warnings.iter().map(move |w| (file, w))) {
        let place = *places.entry(&warning.message).or_insert_with(|| {
            messages.push((warning, Vec::new()));
            messages.len() - 1
        });
        messages[place].1.push(file);
    }
    let line = |(warning, files): &(&WarningNote, Vec<&str>)| {
        let files = match &files[..] {
            [first, second, _, ..] => format!("{first}, {second} and {} more", files.len() - 2),
            few => few.join(", "),
        };
        format!("{files}: {}: {}", warning.code, warning.message)
    };
    messages.iter().map(line).collect()
}

fn closing(outcome: &Outcome, order: &Order) -> Vec<String> {
    let share = outcome.share.map_or_else(String::new, |share| format!("share {share}: "));
    let scans = outcome.scans.len();
    if order.dry_run {
        return vec![format!("{share}{}, nothing written", count(scans, "scan"))];
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
    if outcome.share.is_some() {
        let out = pasted(&outcome.out);
        lines.push(format!("once all shares are made, gather them: dryside batch --gather {out}"));
    }
    lines.extend(outcome.pictures.iter().map(|folder| format!("pictures: {}", folder.display())));
    let densities =
        outcome.wedge.as_ref().map_or_else(|| "scanner densities".to_owned(), |w| format!("densities by {w}"));
    lines.push(format!("paper {}, grades after {}; {densities}, net of base", PAPER.name(), GRADES.name()));
    lines
}

fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

/// "4 of 5 scans", or "5 scans" where none is missing.
fn part(there: usize, of: usize, what: &str) -> String {
    if there == of { count(of, what) } else { format!("{there} of {}", count(of, what)) }
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

fn failures(failed: usize) -> String {
    if failed == 0 { String::new() } else { format!(", {failed} failed (named below)") }
}

/// Names of files may hold anything; a line stays a line.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn two(value: f64) -> String {
    // Adding zero turns -0.00 into 0.00.
    format!("{:.2}", (value * 100.0).round() / 100.0 + 0.0)
}

/// Prints to standard output; tells whether all of it went out. A reader that has seen enough, such as `head`, is no
/// error.
fn print_lines(lines: &[String]) -> bool {
    let mut out = io::stdout().lock();
    let printed = lines.iter().try_for_each(|line| writeln!(out, "{}", one_line(line))).and_then(|()| out.flush());
    match printed {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => {
            let _ = writeln!(io::stderr(), "dryside: the results cannot be printed: {e}: make room where they go");
            false
        }
        _ => true,
    }
}
