//! Everything that is printed. The only file that does.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use std::fmt;
use std::io::{self, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use indicatif::{HumanDuration, ProgressBar, ProgressState, ProgressStyle};

use crate::batch::{
    Decided, Done, DoneScan, Event, FitDone, Gathered, Order, Outcome, PaperAsked, PrintOutcome, PrintState, Printed,
    State, WedgeDone, ZONES,
};
use crate::light::{Density, LogExposure, Stops};
use crate::notes::{PrintRecord, ReportScan, ReportSpot, ScanReport, WarningNote, report_json};
use crate::paper::{Grade, GradeTable, iso_class, shelf};

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

    /// Names the print that is in the making.
    pub(super) fn print(&self, file: &str) {
        self.bar.set_message(format!("printing {}", one_line(file)));
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

    /// A line that names the print in the making, if somebody watches.
    pub(super) fn printing(&self) -> Progress {
        let bar = ProgressBar::new_spinner();
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

    /// Prints; failures stand last. Tells whether they could be told.
    pub(super) fn printed(&self, outcome: &PrintOutcome) -> bool {
        let mut told = true;
        if !outcome.prints.is_empty() {
            let mut table = Table::new(&["print", "picture", "scan", "grade", "exposure", ""], 1..3);
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

    /// Papers and tables of grades that there are. Tells whether it could be printed.
    pub(super) fn papers(&self) -> bool {
        let mut papers = Table::new(&["paper", "name", "Dmin", "Dmax"], 2..4);
        for (name, paper) in shelf::PAPERS.iter().filter_map(|name| Some((*name, shelf::paper(name)?))) {
            let ends = [paper.white(), paper.black()].map(|d| d.to_string());
            papers.rows.push([&[name.to_owned(), paper.name().to_owned()], &ends[..]].concat());
        }
        let head = Grade::all().map(|grade| grade.to_string());
        let head: Vec<String> = ["grades".to_owned()].into_iter().chain(head).collect();
        let mut tables = Table::new(&head.iter().map(String::as_str).collect::<Vec<_>>(), 1..13);
        let mut names = Vec::new();
        for (name, table) in shelf::TABLES.iter().filter_map(|name| Some((*name, shelf::table(name)?))) {
            let r = Grade::all().map(|grade| table.r(grade).to_string());
            tables.rows.push([name.to_owned()].into_iter().chain(r).collect());
            names.push(format!("{name}: {}", table.name()));
        }
        let mut lines: Vec<String> = papers.lines().collect();
        lines.push(String::new());
        lines.extend(tables.lines());
        lines.push(String::new());
        lines.extend(names);
        lines.push(format!(
            "the first of each is the default; numbers are ISO range R; dryside paper {} tells more",
            shelf::PAPERS[0]
        ));
        print_lines(&lines)
    }

    /// A paper and its grades, with the source of each figure. Tells whether it could be printed.
    pub(super) fn paper(&self, asked: &PaperAsked) -> bool {
        let stock = &*asked.stock;
        let mut table = Table::new(&["grade", "R", "T", "S", "gradient", "slower"], 1..6);
        let depth = (stock.paper().darkest() - stock.paper().lightest()).value();
        for grade in Grade::all() {
            let curve = stock.curve(grade);
            let [t, s] = [curve.t(), curve.s()].map(|own| stock.shared(grade, own));
            let slower = stock.table().slower(grade);
            table.rows.push(vec![
                grade.to_string(),
                stock.table().r(grade).to_string(),
                two(t.value()),
                two(s.value()),
                two(depth / (s - t)),
                if slower.value() == 0.0 { String::new() } else { format!("{slower} stop") },
            ]);
        }
        let mut lines = vec![format!("paper {stock}"), String::new()];
        lines.extend(table.lines());
        lines.push(String::new());
        lines.extend(asked.range.map(|range| {
            let excess = GradeTable::excess(stock.table().r(asked.grade), range);
            let beyond = excess.map_or_else(String::new, |stops| {
                format!(", which does not hold it: {:.1} stops of dodging or burning in", stops.value())
            });
            format!("a range of {range} takes grade {}{beyond}", asked.grade)
        }));
        lines.push("T, S: log exposure; 0 prints 0.60 above white where grades are matched in speed".to_owned());
        lines.extend(stock.paper().measured().map(|(_, r)| format!("R {r:.1} as it was measured")));
        let figures = stock.paper().figures().iter().chain(stock.table().figures());
        lines.extend(figures.map(|figure| format!("{}: {}", figure.what, figure.source)));
        print_lines(&lines)
    }

    /// A grade's curve as CSV. Tells whether it could be printed.
    pub(super) fn curve(&self, asked: &PaperAsked) -> bool {
        let line = |(x, density): (LogExposure, Density)| format!("{:.2},{:.6}", x.value() + 0.0, density.value());
        let head = std::iter::once("log_exposure,density".to_owned());
        print_lines(&head.chain(asked.stock.sampled(asked.grade).into_iter().map(line)).collect::<Vec<_>>())
    }

    /// Where a plot is. Tells whether it could be printed.
    pub(super) fn plotted(&self, plot: &Path) -> bool {
        print_lines(&[plot.display().to_string()])
    }

    /// A paper made from readings. Tells whether it could be printed.
    pub(super) fn paper_fitted(&self, done: &FitDone) -> bool {
        let paper = &done.paper;
        let Some((readings, r)) = paper.measured() else { return true };
        let curve = paper.curve(r);
        let mut lines = vec![
            format!(
                "{}: Dmin {}, Dmax {}, {} readings on the curve",
                paper.name(),
                paper.white(),
                paper.black(),
                readings.len()
            ),
            format!(
                "T at {}, speed point at {}, S at {} (log exposure)",
                two(curve.t().value()),
                two(curve.speed_point().value()),
                two(curve.s().value())
            ),
        ];
        let class = iso_class(r).map_or_else(String::new, |class| format!(", ISO range class {class}"));
        lines.push(format!("R {r:.1}{class}"));
        if let Some((light, warnings)) = &done.read_as {
            lines.push(format!("scan read as {light}"));
            lines.extend(warnings.iter().map(ToString::to_string));
        }
        lines.push(format!("{}: name it as paper, here or in dryside.toml", done.file.display()));
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
                grades_after(&scans)
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

/// The table of grades, which all scans share.
fn grades_after<'s>(scans: &[&'s ReportScan]) -> &'s str {
    scans.iter().flat_map(|scan| &scan.frames).next().map_or("none", |frame| &frame.grade.table)
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
        frame.equivalent().map_or_else(|| frame.grade.to_string(), |(grade, _)| format!("about {grade}")),
        in_words(of.state).to_owned(),
        codes.join(" "),
    ]
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
    let stocks: Vec<String> = outcome.stocks().iter().map(|stock| format!("paper {stock}")).collect();
    lines.push(format!("{}; {densities}, net of base", stocks.join("; ")));
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
