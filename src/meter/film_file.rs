//! A film's reciprocity as TOML, version 1: those on the shelf, and a person's own.

use std::fmt;

use serde::Deserialize;

use super::film::{FilmRow, Law, Reciprocity};
use super::seconds::Seconds;
use crate::light::Stops;

/// Version of the format. A file of a newer version is refused.
const VERSION: i64 = 1;
/// What a film's file calls itself.
const FORMAT: &str = "dryside film";
/// Exponents that a film can have: 1 needs no correction; published ones reach 1.5.
pub const P_RANGE: std::ops::RangeInclusive<f64> = 1.0..=2.0;
/// Stops that a row can ask for.
const STOPS: std::ops::RangeInclusive<f64> = 0.0..=10.0;

/// Why a file is no film.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FilmError {
    /// Something else.
    #[error("it is no film: begin it with  format = \"{FORMAT}\"  and  version = 1, see docs/film-format.md")]
    Other,
    /// Written by a newer program.
    #[error("it is of version {0}, newer than this program knows ({VERSION}): use a newer dryside")]
    Newer(i64),
    /// Not TOML, or a key of the wrong kind.
    #[error("line {line}: {what}: mend it, see docs/film-format.md")]
    Line {
        /// 1 for the first.
        line: usize,
        /// What is wrong there.
        what: String,
    },
    /// A figure that no film has.
    #[error("{0}")]
    Figure(String),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FilmFile {
    #[serde(rename = "format")]
    _format: String,
    #[serde(rename = "version")]
    _version: i64,
    name: String,
    source: String,
    p: Option<f64>,
    #[serde(default)]
    rows: Vec<RowFile>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RowFile {
    metered: String,
    time: Option<String>,
    stops: Option<String>,
}

/// Reads a film.
///
/// # Errors
/// When it is none, of a newer version, damaged, or has figures that no film has.
pub fn read_film(text: &str) -> Result<Reciprocity, FilmError> {
    let slip = |e: toml::de::Error| {
        let at = e.span().map_or(0, |span| span.start).min(text.len());
        let line = text.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        FilmError::Line { line, what: e.message().lines().next().unwrap_or("not TOML").to_owned() }
    };
    let table: toml::Table = text.parse().map_err(slip)?;
    let version = table.get("version").and_then(toml::Value::as_integer);
    let file: FilmFile = match (table.get("format").and_then(toml::Value::as_str) == Some(FORMAT), version) {
        (true, Some(newer)) if newer > VERSION => return Err(FilmError::Newer(newer)),
        (true, Some(_)) => toml::from_str(text).map_err(slip)?,
        _ => return Err(FilmError::Other),
    };
    if file.name.trim().is_empty() || file.source.trim().is_empty() {
        return wrong("name and source are empty: say which film it is, and who found its figures");
    }
    let law = match (file.p, &file.rows[..]) {
        (Some(p), []) if P_RANGE.contains(&p) => Law::Power(p),
        (Some(p), []) => return wrong(format!("p {p} is out of bounds: {} to {}", P_RANGE.start(), P_RANGE.end())),
        (None, rows @ [_, _, ..]) => Law::Table(checked(rows.iter().map(row).collect::<Result<_, _>>()?)?),
        _ => return wrong("it has neither p nor at least two [[rows]], or both: see docs/film-format.md"),
    };
    Ok(Reciprocity { name: file.name, source: file.source, law })
}

fn row(row: &RowFile) -> Result<FilmRow, FilmError> {
    let time = |word: &String| word.parse::<Seconds>().or_else(wrong);
    let stops = |word: &String| word.parse::<Stops>().or_else(wrong);
    let row = FilmRow {
        metered: time(&row.metered)?,
        time: row.time.as_ref().map(time).transpose()?,
        stops: row.stops.as_ref().map(stops).transpose()?,
    };
    match row {
        FilmRow { time: None, stops: None, metered } => wrong(format!(
            "the row of {metered} has neither time nor stops: write what is published, the same time for none"
        )),
        FilmRow { time: Some(time), metered, .. } if time < metered => wrong(format!(
            "the row of {metered} gives {time}, which is less: no film needs less for being exposed longer"
        )),
        FilmRow { stops: Some(stops), metered, .. } if !STOPS.contains(&stops.value()) => wrong(format!(
            "the row of {metered} gives {} stops: {} to {} are possible",
            stops.value(),
            STOPS.start(),
            STOPS.end()
        )),
        row => Ok(row),
    }
}

/// Rows in rising order, in each column.
fn checked(rows: Vec<FilmRow>) -> Result<Vec<FilmRow>, FilmError> {
    for pair in rows.windows(2) {
        if pair[0].metered >= pair[1].metered {
            return wrong(format!(
                "the row of {} stands after that of {}: shortest first",
                pair[1].metered, pair[0].metered
            ));
        }
    }
    let columns = [
        rows.iter().filter_map(|row| Some(row.time?.value())).collect::<Vec<_>>(),
        rows.iter().filter_map(|row| Some(row.stops?.value())).collect(),
    ];
    if columns.iter().any(|column| column.windows(2).any(|pair| pair[0] > pair[1])) {
        return wrong("a longer time needs less correction than a shorter one: check the rows");
    }
    // A line needs two points.
    if columns.iter().any(|column| column.len() == 1) {
        return wrong("a column has one figure only: give at least two, or leave it out");
    }
    Ok(rows)
}

fn wrong<T>(what: impl fmt::Display) -> Result<T, FilmError> {
    Err(FilmError::Figure(what.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const POWER: &str = "format = \"dryside film\"\nversion = 1\nname = \"loft\"\nsource = \"my own test\"\np = 1.31\n";
    const TABLE: &str = "format = \"dryside film\"\nversion = 1\nname = \"loft\"\nsource = \"my own test\"\n\
                         [[rows]]\nmetered = \"1 s\"\ntime = \"1 s\"\n[[rows]]\nmetered = \"10 s\"\ntime = \"40 s\"\n\
                         [[rows]]\nmetered = \"100 s\"\ntime = \"900 s\"\nstops = \"1\"\n[[rows]]\nmetered = \"200 s\"\nstops = \"1 1/2\"\n";

    #[test]
    fn a_damaged_film_is_refused_in_words() {
        let told = |text: &str, from: &str, to: &str| {
            assert!(text.contains(from), "{from}");
            read_film(&text.replacen(from, to, 1)).unwrap_err().to_string()
        };
        assert!(told(POWER, "\"dryside film\"", "\"a cake\"").contains("no film: begin it with"));
        assert!(told(POWER, "version = 1", "version = 3").contains("newer"));
        assert!(told(POWER, "p = 1.31", "p = 0.8").contains("p 0.8 is out of bounds: 1 to 2"));
        assert!(told(POWER, "p = 1.31", "p = nan").contains("out of bounds"));
        assert!(told(POWER, "p = 1.31", "q = 1.31").starts_with("line 5: "));
        assert!(told(POWER, "p = 1.31", "").contains("neither p nor at least two"));
        assert!(told(POWER, "\"my own test\"", "\"\"").contains("who found its figures"));
        assert!(told(TABLE, "\"40 s\"", "\"4 s\"").contains("gives 4 s, which is less"));
        assert!(told(TABLE, "\"10 s\"", "\"0.1 s\"").contains("shortest first"));
        assert!(told(TABLE, "\"40 s\"", "\"banana\"").contains("is no time"));
        assert!(told(TABLE, "\"900 s\"", "\"30 s\"").contains("which is less"));
        assert!(told(TABLE, "stops = \"1 1/2\"", "time = \"1h\"").contains("one figure only"));
        assert!(told(TABLE, "stops = \"1 1/2\"", "stops = \"1/2\"").contains("check the rows"));
        assert!(told(TABLE, "stops = \"1 1/2\"", "stops = \"30\"").contains("0 to 10 are possible"));
    }

    /// Worked out by hand: between 10 s -> 40 s and 100 s -> 900 s, half-way in log time is 31.6 s -> the mean of the
    /// logs, 189.7 s.
    #[test]
    fn a_table_is_straight_in_logarithms_and_flags_what_lies_beyond() {
        let film = read_film(TABLE).unwrap();
        let at = |s: f64| film.correct(Seconds::new(s).unwrap());
        let time = |s: f64| at(s).time.unwrap().value();
        assert!((time(10.0) - 40.0).abs() < 1e-9 && (time(100.0) - 900.0).abs() < 1e-9);
        assert!((time(1000f64.sqrt()) - 36_000f64.sqrt()).abs() < 1e-6);
        assert_eq!((time(0.5), at(0.5).beyond), (0.5, None), "shorter than a row that needs nothing");
        assert_eq!(at(150.0).stops.map(|s| (s.value() * 100.0).round()), Some(129.0));
        // Times end at 100 s, stops at 200 s: the time is what is told, and beyond 100 s it is a guess.
        assert_eq!(at(100.0).beyond, None);
        for s in [101.0, 200.0, 201.0] {
            assert_eq!(at(s).beyond.map(Seconds::value), Some(100.0), "{s}");
        }
        // With stops only, the last row of stops counts; and stops that end before the times are no longer told.
        let stops_only = TABLE.replace("time = \"1 s\"", "stops = \"0\"").replace("time = \"40 s\"", "stops = \"1/2\"");
        let stops_only = read_film(&stops_only.replace("time = \"900 s\"\n", "")).unwrap();
        let beyond = |s: f64| stops_only.correct(Seconds::new(s).unwrap()).beyond.map(Seconds::value);
        assert_eq!([200.0, 201.0].map(beyond), [None, Some(200.0)]);
        let times_last = TABLE.replace("time = \"40 s\"", "time = \"40 s\"\nstops = \"1/2\"");
        let times_last = read_film(&times_last.replace("stops = \"1 1/2\"", "time = \"2000 s\"")).unwrap();
        let at_150 = times_last.correct(Seconds::new(150.0).unwrap());
        assert!(at_150.time.is_some() && at_150.stops.is_none() && at_150.beyond.is_none(), "{at_150:?}");
        assert!(time(1000.0) > 9000.0, "on along the last line");
    }
}
