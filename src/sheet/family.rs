//! The family of a paper's curves, to pin up beside the enlarger: every grade, its end points, and a negative's range.

use super::area::Area;
use super::face::Face;
use super::frame::Head;
use super::page::{Ink, Item, Page, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::plot::Plot;
use super::sizes::TEXT;
use super::{Said, Sheet};
use crate::light::{Density, LogExposure, Millimetres};
use crate::paper::{Grade, Stock};

/// Room left of the chart for its numbers, in mm.
const NUMBERS: f64 = 11.0;
/// Room over the chart for the names of grades, in mm: three rows.
const NAMES: f64 = 14.0;
/// Room under the chart for its numbers and the negative's range, and then for the table, in mm.
const RANGE: f64 = 25.0;
const TABLE: f64 = 66.0;
/// Distance of the grid's lines, in log exposure and in D.
const APART: f64 = 0.5;
/// Weights of lines in mm: the grade that is looked at, whole grades, half grades, lines that only lead.
const HEAVY: f64 = 0.7;
const WHOLE: f64 = 0.3;
const HALF: f64 = 0.15;
const LEAD: f64 = 0.12;
const GREY: Ink = Ink(150);
const BLACK: Ink = Ink(0);
/// Distance of the table's lines, in mm.
const ROW: f64 = 4.1;

const CAVEAT: &str = "a curve is where to begin: your own paper, developer and lamp may differ; make a test strip before a print that counts";

/// What is drawn.
#[derive(Debug)]
pub struct Family<'s> {
    /// Paper and grades.
    pub stock: &'s Stock,
    /// The grade that is looked at.
    pub grade: Grade,
    /// A negative's range.
    pub range: Density,
    /// What it has to do with the grade, in a few words: "on grade 2", "as grade 2 holds it".
    pub range_is: String,
}

/// One grade on the scale that all share.
struct Line {
    grade: Grade,
    t: f64,
    s: f64,
    whole: bool,
}

/// One page, A4: print density over log exposure for all grades, the negative's range below, and a table.
pub fn family(family: &Family<'_>, head: &Head) -> Sheet {
    let size = PageSize::A4;
    let head = PageHead::new(head, size, CAVEAT);
    let room = head.room();
    let stock = family.stock;
    let lines: Vec<Line> = Grade::all().map(|grade| line(stock, grade)).collect();

    let lowest = lines.iter().map(|line| line.t).fold(0.0, f64::min);
    let highest = lines.iter().map(|line| line.s).fold(0.0, f64::max);
    let x = (((lowest - 0.25) / APART).floor() * APART, ((highest + 0.25) / APART).ceil() * APART);
    let top = (stock.paper().black().value() / APART + 0.1).ceil() * APART;
    let area = Area {
        left: room.left + Millimetres::new(NUMBERS),
        top: room.top + Millimetres::new(NAMES),
        width: room.width - Millimetres::new(NUMBERS + 2.0),
        height: room.height - Millimetres::new(NAMES + RANGE + TABLE),
    };
    let chart = Plot { area, x, y: (0.0, top) };
    let mut items = head.items(None);
    items.extend(chart.grid((APART, APART), 1));
    let (light, dark) = (stock.paper().lightest().value(), stock.paper().darkest().value());
    for (y, name) in [(light, "T: 0.04 above white"), (dark, "S: 0.90 of the way to black")] {
        items.extend(chart.line(x, LEAD, Ink(90), true, |_| y));
        items.push(chart.note(x.0 + 0.02, y + 0.03, name));
    }
    items.extend(names(&chart, &lines, family.grade, top, dark));
    // The grade that is looked at lies over the others.
    let (last, others): (Vec<&Line>, Vec<&Line>) = lines.iter().partition(|line| line.grade == family.grade);
    for line in others.into_iter().chain(last) {
        let (weight, ink) = match line {
            line if line.grade == family.grade => (HEAVY, BLACK),
            line if line.whole => (WHOLE, BLACK),
            _ => (HALF, GREY),
        };
        let curve = stock.curve(line.grade);
        let density = |x: f64| curve.density(stock.own(line.grade, LogExposure::new(x))).value();
        items.extend(chart.line(x, weight, ink, false, density));
    }
    for line in lines.iter().filter(|line| line.grade == family.grade) {
        items.extend(chart.mark(line.t, light).into_iter().chain(chart.mark(line.s, dark)));
        items.extend(range(&chart, family, line, light));
    }
    let axis = "log exposure; 0 prints 0.60 above white where grades are matched in speed";
    let left = area.right() - Face::Medium.length(axis, TEXT);
    let baseline = area.bottom() + Millimetres::new(RANGE - 5.0);
    items.push(Item::Text(TextRun {
        left,
        baseline,
        size: TEXT,
        face: Face::Medium,
        ink: BLACK,
        text: axis.to_owned(),
    }));
    items.extend(table(stock, &lines, family.grade, room.left, area.bottom() + Millimetres::new(RANGE + 4.0)));
    Sheet {
        title: head.title().to_owned(),
        said: Said::default(),
        pages: vec![Page { size: size.into(), part: None, bookmark: head.title().to_owned(), items }],
    }
}

fn line(stock: &Stock, grade: Grade) -> Line {
    let curve = stock.curve(grade);
    let shared = |own| stock.shared(grade, own).value();
    Line { grade, t: shared(curve.t()), s: shared(curve.s()), whole: !grade.to_string().ends_with("/2") }
}

/// The names of whole grades over the chart, each over the place where its curve reaches S, in rows so that none lies
/// on another.
fn names(chart: &Plot, lines: &[Line], chosen: Grade, top: f64, dark: f64) -> Vec<Item> {
    let mut named: Vec<&Line> = lines.iter().filter(|line| line.whole || line.grade == chosen).collect();
    named.sort_by(|a, b| a.s.total_cmp(&b.s));
    let mut ends = [f64::NEG_INFINITY; 3];
    let mut items = Vec::new();
    for line in named {
        let text = line.grade.to_string();
        let face = if line.grade == chosen { Face::Medium } else { Face::Regular };
        let half = face.length(&text, TEXT).value() / 2.0;
        let (x, _) = chart.place(line.s, top);
        let free = (0..ends.len()).find(|row| ends[*row] + 1.5 < x.value() - half);
        let row = free.unwrap_or(ends.len() - 1);
        ends[row] = x.value() + half;
        let baseline = chart.area.top - Millimetres::new(1.2 + 3.4 * row as f64);
        let through = vec![(x, baseline + Millimetres::new(0.6)), chart.place(line.s, dark)];
        items.push(Item::Line { through, weight: Millimetres::new(LEAD), ink: GREY });
        let left = x - Millimetres::new(half);
        items.push(Item::Text(TextRun { left, baseline, size: TEXT, face, ink: BLACK, text }));
    }
    let baseline = chart.area.top - Millimetres::new(1.2);
    let text = "print density".to_owned();
    items.push(Item::Text(TextRun {
        left: chart.area.left,
        baseline,
        size: TEXT,
        face: Face::Medium,
        ink: BLACK,
        text,
    }));
    items
}

/// A bar under the chart as long as the negative's range, its dense end under T of the grade that is looked at.
fn range(chart: &Plot, family: &Family<'_>, line: &Line, light: f64) -> Vec<Item> {
    let (from, to) = (line.t, line.t + family.range.value());
    let floor = chart.area.bottom();
    let bar_top = floor + Millimetres::new(7.5);
    let (left, right) = (chart.place(from, 0.0).0, chart.place(to, 0.0).0.min(chart.area.right()));
    let bar = Area { left, top: bar_top, width: right - left, height: Millimetres::new(2.2) };
    // The row of numbers stays free.
    let lead = |x: f64, y: f64| {
        let (across, down) = chart.place(x, y);
        [(down, floor), (floor + Millimetres::new(5.0), bar_top)].map(|(from, to)| {
            let through = vec![(across, from), (across, to)];
            Item::Line { through, weight: Millimetres::new(LEAD), ink: GREY }
        })
    };
    let text = |left, down: f64, text: &str| {
        let baseline = bar_top + Millimetres::new(down);
        Item::Text(TextRun { left, baseline, size: TEXT, face: Face::Regular, ink: QUIET, text: text.to_owned() })
    };
    let length = |text: &str| Face::Regular.length(text, TEXT);
    let gap = Millimetres::new(1.5);
    let what = format!("negative's range {}: {}", family.range, family.range_is);
    let middle = left + (right - left) / 2.0 - length(&what) / 2.0;
    let middle = middle.max(chart.area.left).min(chart.area.right() - length(&what));
    let mut items = vec![
        Item::Fill { area: bar, ink: Ink(120) },
        text(left - length("dense end") - gap, 1.95, "dense end"),
        text(right + gap, 1.95, "thin end"),
        text(middle, 6.2, &what),
    ];
    items.extend(lead(from, light));
    if to <= chart.x.1 {
        items.extend(lead(to, stock_tone(family, line, to)));
    }
    items
}

fn stock_tone(family: &Family<'_>, line: &Line, x: f64) -> f64 {
    let own = family.stock.own(line.grade, LogExposure::new(x));
    family.stock.curve(line.grade).density(own).value()
}

/// What each grade is in numbers.
fn table(stock: &Stock, lines: &[Line], chosen: Grade, left: Millimetres, top: Millimetres) -> Vec<Item> {
    const COLUMNS: [(&str, f64); 6] = [
        ("grade", 0.0),
        ("R", 26.0),
        ("T", 46.0),
        ("S", 66.0),
        ("gradient from T to S", 104.0),
        ("slower by, stops", 136.0),
    ];
    let mut items = Vec::new();
    let mut set = |row: usize, column: usize, face: Face, text: String| {
        // Grades begin at the left, numbers end at the right.
        let length = if column == 0 { Millimetres::default() } else { face.length(&text, TEXT) };
        let left = left + Millimetres::new(COLUMNS[column].1) - length;
        let baseline = top + Millimetres::new(ROW * row as f64);
        items.push(Item::Text(TextRun { left, baseline, size: TEXT, face, ink: BLACK, text }));
    };
    let all_matched = Grade::all().all(|grade| stock.table().slower(grade).value() == 0.0);
    let columns = if all_matched { COLUMNS.len() - 1 } else { COLUMNS.len() };
    for (column, (name, _)) in COLUMNS.iter().enumerate().take(columns) {
        set(0, column, Face::Medium, (*name).to_owned());
    }
    let depth = (stock.paper().darkest() - stock.paper().lightest()).value();
    for (row, line) in lines.iter().enumerate() {
        let face = if line.grade == chosen { Face::Medium } else { Face::Regular };
        let slower = stock.table().slower(line.grade).value();
        let cells = [
            line.grade.to_string(),
            format!("{}", stock.table().r(line.grade)),
            signed(line.t),
            signed(line.s),
            format!("{:.2}", depth / (line.s - line.t)),
            if slower == 0.0 { String::new() } else { format!("{slower}") },
        ];
        for (column, cell) in cells.into_iter().enumerate().take(columns) {
            set(row + 1, column, face, cell);
        }
    }
    items
}

fn signed(value: f64) -> String {
    format!("{:+.2}", (value * 100.0).round() / 100.0 + 0.0).replace('-', "\u{2212}")
}
