//! Papers and tables of grades as TOML, version 1: those on the shelf, and a person's own.

use std::fmt::{self, Write};

use serde::Deserialize;

use super::curve::{Figure, Paper};
use super::grade::Grade;
use super::measured::measured;
use super::shape::Shape;
use super::table::{GradeRow, GradeTable};
use crate::light::{Density, LogExposure, Stops};

/// Version of both formats. A file of a newer version is refused.
const VERSION: i64 = 1;

/// What a paper's file calls itself ...
const PAPER: &str = "dryside paper";
/// ... and a table's.
const TABLE: &str = "dryside grades";

/// Print densities that a paper can have: nothing prints deeper than 3 D.
const OF_A_PRINT: std::ops::RangeInclusive<f64> = 0.0..=3.0;
/// Least distance from white to black, in D: T, the speed point and S lie in this order.
pub(super) const LEAST_DEPTH: f64 = 0.80;
/// Asymmetries with which a curve is still one of a paper.
const ASYMMETRIES: std::ops::RangeInclusive<f64> = 0.1..=10.0;
/// ISO ranges that a paper can have: from half of the shortest class of ISO 6846 (40) to twice the longest (190).
const RANGES: std::ops::RangeInclusive<f64> = 20.0..=380.0;
/// Letters of a name, at most: as many as fit beside another in the head of a sheet.
const LONGEST_NAME: usize = 60;
/// Stops that one grade can be slower than others.
const SLOWER: std::ops::RangeInclusive<f64> = 0.0..=4.0;

/// Why a file is no paper or no table.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Something else.
    #[error("it is no {what}: begin it with  format = \"{format}\"  and  version = 1, see docs/paper-format.md")]
    Other {
        /// What it should be.
        what: &'static str,
        /// What it should call itself.
        format: &'static str,
    },
    /// Written by a newer program.
    #[error("it is of version {0}, newer than this program knows ({VERSION}): use a newer dryside")]
    Newer(i64),
    /// Not TOML, or a key of the wrong kind.
    #[error("line {line}: {what}: mend it, see docs/paper-format.md")]
    Line {
        /// 1 for the first.
        line: usize,
        /// What is wrong there.
        what: String,
    },
    /// A figure that no paper has.
    #[error("{0}")]
    Figure(String),
}

#[derive(Deserialize)]
struct PaperFile {
    name: String,
    source: Option<String>,
    dmin: Option<Sourced>,
    dmax: Option<Sourced>,
    shape: Option<ShapeFile>,
    #[serde(default)]
    readings: Vec<Reading>,
}

#[derive(Deserialize)]
struct Sourced {
    density: f64,
    source: String,
}

#[derive(Deserialize)]
struct ShapeFile {
    asymmetry: f64,
    source: String,
}

#[derive(Deserialize)]
struct Reading {
    log_exposure: f64,
    density: f64,
}

#[derive(Deserialize)]
struct TableFile {
    name: String,
    source: String,
    speed: String,
    grades: Vec<GradeFile>,
}

#[derive(Deserialize)]
struct GradeFile {
    grade: String,
    r: f64,
    #[serde(default)]
    slower: f64,
    source: String,
}

/// Reads a paper.
///
/// # Errors
/// When it is none, of a newer version, damaged, or has figures that no paper has.
pub fn read_paper(text: &str) -> Result<Paper, FileError> {
    let file: PaperFile = read(text, "paper", PAPER)?;
    named(&file.name)?;
    if !file.readings.is_empty() {
        let reading = |r: &Reading| (LogExposure::new(r.log_exposure), Density::new(r.density));
        let readings: Vec<_> = file.readings.iter().map(reading).collect();
        let source = file.source.unwrap_or_else(|| "readings of a printed wedge".to_owned());
        return measured(file.name, &readings, source).map_err(|e| FileError::Figure(e.to_string()));
    }
    let (Some(white), Some(black), Some(shape)) = (file.dmin, file.dmax, file.shape) else {
        return wrong("it has neither [[readings]] nor all of [dmin], [dmax] and [shape]: see docs/paper-format.md");
    };
    for (name, sourced) in [("dmin", &white), ("dmax", &black)] {
        within(&format!("{name} density"), sourced.density, &OF_A_PRINT)?;
    }
    if black.density - white.density < LEAST_DEPTH {
        return wrong(format!(
            "dmax {} is not {LEAST_DEPTH} denser than dmin {}: no paper's black is so pale",
            black.density, white.density
        ));
    }
    within("asymmetry", shape.asymmetry, &ASYMMETRIES)?;
    let figures = vec![
        figure(format!("Dmin {:.2}", white.density), white.source),
        figure(format!("Dmax {:.2}", black.density), black.source),
        figure(format!("asymmetry {}", shape.asymmetry), shape.source),
    ];
    let ends = (white.density, black.density);
    Ok(Paper::new(file.name, ends, Shape::Richards { asymmetry: shape.asymmetry }, figures))
}

/// Reads a table of grades. A half grade that is not in it gets the mean R of its neighbours, and the speed of the
/// softer one: half grades are published nowhere.
///
/// # Errors
/// When it is none, of a newer version, damaged, or its ranges cannot be those of grades.
pub fn read_table(text: &str) -> Result<GradeTable, FileError> {
    let file: TableFile = read(text, "table of grades", TABLE)?;
    named(&file.name)?;
    let mut figures = vec![figure("grades".to_owned(), file.source), figure("speed".to_owned(), file.speed)];
    let mut known: [Option<GradeRow>; 12] = [None; 12];
    for row in file.grades {
        let grade: Grade = row.grade.parse().or_else(|e: super::UnknownGrade| wrong(e.to_string()))?;
        within(&format!("grade {grade}: R"), row.r, &RANGES)?;
        within(&format!("grade {grade}: slower"), row.slower, &SLOWER)?;
        if known[grade.step()].is_some() {
            return wrong(format!("grade {grade} stands there twice: take one away"));
        }
        let slower = if row.slower > 0.0 { format!(", {} slower", Stops::new(row.slower)) } else { String::new() };
        figures.push(figure(format!("grade {grade}: R {}{slower}", row.r), row.source));
        known[grade.step()] = Some(GradeRow { r: row.r, slower: Stops::new(row.slower) });
    }
    let mut halves = Vec::new();
    let mut rows = [GradeRow { r: 0.0, slower: Stops::default() }; 12];
    for grade in Grade::all() {
        let step = grade.step();
        let beside = |by: usize| known.get(by).copied().flatten();
        rows[step] = match (known[step], grade.is_half(), step.checked_sub(1).and_then(beside), beside(step + 1)) {
            (Some(row), ..) => row,
            (None, true, Some(softer), Some(harder)) => {
                halves.push(grade.to_string());
                GradeRow { r: f64::midpoint(softer.r, harder.r), slower: softer.slower }
            }
            _ => return wrong(format!("grade {grade} is missing: only a half grade between two others may be")),
        };
    }
    if !halves.is_empty() {
        let what = format!("grades {}", halves.join(", "));
        figures.push(figure(what, "mean of the neighbours: half grades are published nowhere".to_owned()));
    }
    // Halves that are means of falling neighbours fall, too.
    let given: Vec<(Grade, f64)> = Grade::all().filter_map(|grade| Some((grade, known[grade.step()]?.r))).collect();
    let turned = given.windows(2).find(|pair| pair[0].1 <= pair[1].1);
    if let Some(&[(softer, soft), (harder, hard)]) = turned {
        return wrong(format!(
            "grade {harder} has R {hard}, not less than grade {softer} with {soft}: harder grades have less"
        ));
    }
    Ok(GradeTable::new(file.name, rows, figures))
}

/// A measured paper as a file, with what was found in it, which is found anew when it is read. Nothing of a paper that
/// was not measured.
pub fn paper_text(paper: &Paper, program: &str) -> Option<String> {
    let (readings, r) = paper.measured()?;
    let word = |text: &str| toml::Value::from(text).to_string();
    let source = paper.figures().first().map_or("", |figure| &figure.source);
    let curve = paper.curve(r);
    let mut text = format!(
        "# A paper of your own, from a printed and measured wedge. Name this file in dryside.toml:  paper = \"...\"\n\
         # Its curve is drawn out or pushed together to the R of each grade. [found] is for you, and is not read.\n\n\
         format = {}\nversion = {VERSION}\nprogram = {}\nname = {}\nsource = {}\n\n\
         [found]\nr = {r:.1}\ndmin = {:.4}\ndmax = {:.4}\nt = {:.4}\ns = {:.4}\nspeed_point = {:.4}\n",
        word(PAPER),
        word(program),
        word(paper.name()),
        word(source),
        paper.white().value(),
        paper.black().value(),
        curve.t().value(),
        curve.s().value(),
        curve.speed_point().value(),
    );
    for (x, density) in readings {
        // Writing into a string cannot fail.
        let _ = write!(text, "\n[[readings]]\nlog_exposure = {x:.4}\ndensity = {density:.4}\n");
    }
    Some(text)
}

/// TOML of a kind and version that is known.
fn read<T: for<'de> Deserialize<'de>>(text: &str, what: &'static str, format: &'static str) -> Result<T, FileError> {
    let slip = |e: toml::de::Error| {
        let at = e.span().map_or(0, |span| span.start).min(text.len());
        let line = text.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        FileError::Line { line, what: e.message().lines().next().unwrap_or("not TOML").to_owned() }
    };
    let table: toml::Table = text.parse().map_err(slip)?;
    let version = table.get("version").and_then(toml::Value::as_integer);
    match (table.get("format").and_then(toml::Value::as_str) == Some(format), version) {
        (true, Some(newer)) if newer > VERSION => Err(FileError::Newer(newer)),
        (true, Some(_)) => toml::from_str(text).map_err(slip),
        _ => Err(FileError::Other { what, format }),
    }
}

/// Names stand under pictures and in lines of text.
///
/// # Errors
/// When it is empty, too long, or more than a line.
pub fn named(name: &str) -> Result<(), FileError> {
    let fits = !name.trim().is_empty() && name.chars().count() <= LONGEST_NAME && !name.contains(char::is_control);
    if fits { Ok(()) } else { wrong(format!("its name must be a line of 1 to {LONGEST_NAME} letters")) }
}

fn within(what: &str, value: f64, bounds: &std::ops::RangeInclusive<f64>) -> Result<(), FileError> {
    if bounds.contains(&value) {
        return Ok(());
    }
    wrong(format!("{what} {value} is out of bounds: {} to {} is possible", bounds.start(), bounds.end()))
}

fn wrong<T>(what: impl fmt::Display) -> Result<T, FileError> {
    Err(FileError::Figure(what.to_string()))
}

fn figure(what: String, source: String) -> Figure {
    Figure { what, source }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GLOSSY: &str = include_str!("papers/glossy.toml");
    const BANDS: &str = include_str!("tables/bands.toml");

    #[test]
    fn a_damaged_paper_is_refused_in_words() {
        let told = |from: &str, to: &str| {
            assert!(GLOSSY.contains(from), "{from}");
            read_paper(&GLOSSY.replacen(from, to, 1)).unwrap_err().to_string()
        };
        assert!(told("\"dryside paper\"", "\"a cake\"").contains("no paper: begin it with"));
        assert!(told("version = 1", "version = 9").contains("newer"));
        assert!(told("density = 0.05", "density = \"pale\"").starts_with("line 8: "));
        assert!(told("density = 0.05", "density = nan").contains("dmin density NaN is out of bounds"));
        assert!(told("density = 2.10", "density = 0.5").contains("is not 0.8 denser"));
        assert!(told("asymmetry = 1.0", "asymmetry = 0.0").contains("asymmetry 0 is out of bounds"));
        assert!(told("[shape]", "[form]").contains("neither [[readings]] nor all"));
        assert!(told("\"neutral glossy\"", "\" \"").contains("a line of 1 to 60 letters"));
        assert!(read_paper("grade = 2\n").unwrap_err().to_string().contains("no paper"));
        assert!(read_paper(BANDS).unwrap_err().to_string().contains("no paper"));
        assert!(read_table(GLOSSY).unwrap_err().to_string().contains("no table of grades"));
    }

    #[test]
    fn ranges_out_of_bounds_or_out_of_order_are_refused() {
        let told = |from: &str, to: &str| {
            assert!(BANDS.contains(from), "{from}");
            read_table(&BANDS.replacen(from, to, 1)).unwrap_err().to_string()
        };
        assert!(told("r = 105", "r = 5").contains("grade 2: R 5 is out of bounds: 20 to 380"));
        assert!(told("r = 105", "r = -105").contains("out of bounds"));
        assert!(told("r = 105", "r = 80").contains("grade 3 has R 87.5, not less than grade 2 with 80"));
        assert!(told("grade = \"2\"", "grade = \"7\"").contains("\"7\" is no grade"));
        assert!(told("grade = \"2\"", "grade = \"1\"").contains("grade 1 stands there twice"));
        assert!(told("grade = \"2\"", "grade = \"1 1/2\"").contains("grade 2 is missing"));
    }

    #[test]
    fn a_half_grade_that_is_given_is_taken() {
        let own = format!("{BANDS}\n[[grades]]\ngrade = \"2.5\"\nr = 99\nslower = 0.5\nsource = \"my own test\"\n");
        let table = read_table(&own).unwrap();
        let half = "2 1/2".parse().unwrap();
        assert_eq!((table.r(half), table.slower(half).value()), (99.0, 0.5));
        assert!(table.figures().iter().any(|f| f.source == "my own test"));
    }
}
