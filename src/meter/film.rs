//! Reciprocity: film answers long exposures less than short ones, so that it is given more.

use std::str::FromStr;

use super::film_file::P_RANGE;
use super::films::{film, films};
use super::seconds::Seconds;
use crate::light::Stops;

/// Times up to this need no correction by the power law (ILFORD film reciprocity leaflet, read).
const CLAMP: f64 = 1.0;

/// How a film is corrected for long exposures, and who says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Reciprocity {
    pub(super) name: String,
    pub(super) source: String,
    pub(super) law: Law,
}

/// One of the two ways in which makers publish it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Law {
    /// t^P above one second.
    Power(f64),
    /// Rows, shortest time first.
    Table(Vec<FilmRow>),
}

/// A row of a maker's table. Its two columns are alternatives: one says how long to expose instead, the other how far
/// to open the lens and leave the time. Neither can be reckoned from the other, because a longer time needs correction
/// itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmRow {
    /// Time before correction.
    pub metered: Seconds,
    /// Time to give instead.
    pub time: Option<Seconds>,
    /// Stops to open instead.
    pub stops: Option<Stops>,
}

/// What a film needs instead of a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corrected {
    /// This time; a table may have none.
    pub time: Option<Seconds>,
    /// Or the same time, and the lens opened by this.
    pub stops: Option<Stops>,
    /// The nearest time that the table speaks of, if it does not speak of this one: what is told is a guess along its
    /// last two rows. Of times where it has any, else of stops.
    pub beyond: Option<Seconds>,
    /// The rows that this lies between, if the table has a row nearer by which does not say it.
    pub between: Option<(Seconds, Seconds)>,
}

impl Reciprocity {
    /// The film's name, or whose figure it is.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Where the figures come from.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// P of the power law, if it is one.
    pub const fn p(&self) -> Option<f64> {
        match self.law {
            Law::Power(p) => Some(p),
            Law::Table(_) => None,
        }
    }

    /// The rows of its table, shortest time first; none if it is a power law.
    pub fn rows(&self) -> &[FilmRow] {
        match &self.law {
            Law::Power(_) => &[],
            Law::Table(rows) => rows,
        }
    }

    /// What to give instead of `time`.
    pub fn correct(&self, time: Seconds) -> Corrected {
        match &self.law {
            Law::Power(p) => {
                let t = time.value();
                let longer = if t <= CLAMP { time } else { time.times(t.powf(p - 1.0)) };
                Corrected { time: Some(longer), stops: None, beyond: None, between: None }
            }
            Law::Table(rows) => by_table(rows, time),
        }
    }
}

/// A word that is neither P nor a film that is known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{word}\": use P from {} to {}, or a film: {}; or a file of your own (.toml, see docs/film-format.md)",
    P_RANGE.start(), P_RANGE.end(), films().map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
)]
pub struct NoFilm {
    word: String,
}

impl FromStr for Reciprocity {
    type Err = NoFilm;

    /// Reads P, "1.31", or the name of a film that is published, "hp5-plus".
    fn from_str(word: &str) -> Result<Self, NoFilm> {
        let word = word.trim();
        let own = |p: f64| {
            P_RANGE.contains(&p).then(|| Self {
                name: format!("P {p}"),
                source: "a figure of your own".to_owned(),
                law: Law::Power(p),
            })
        };
        let read = match word.parse() {
            Ok(p) => own(p),
            Err(_) => film(word).cloned(),
        };
        read.ok_or_else(|| NoFilm { word: word.to_owned() })
    }
}

fn by_table(rows: &[FilmRow], time: Seconds) -> Corrected {
    let column = |of: fn(&FilmRow) -> Option<f64>| -> Vec<(Seconds, f64)> {
        rows.iter().filter_map(|row| Some((row.metered, of(row)?))).collect()
    };
    // Both columns as stops more over the log of the time: straight there is log-log in times.
    let times = column(|row| Some(row.time?.over(row.metered).value()));
    let stops = column(|row| row.stops.map(Stops::value));
    let (longer, opened) = (along(&times, time), along(&stops, time));
    // The time is what is reckoned with, where the table has any.
    let used = if longer.is_some() { &times } else { &stops };
    let beyond = beyond(used, time);
    // Beside a time that the table knows no guess stands.
    let opened = opened.filter(|_| beyond.is_some() || self::beyond(&stops, time).is_none());
    Corrected {
        time: longer.map(|stops| time.longer(Stops::new(stops))),
        stops: opened.map(Stops::new),
        beyond,
        between: between(used, rows, time),
    }
}

/// The nearest time that a column speaks of, if it does not speak of this one. What is shorter than a row that needs
/// nothing needs nothing.
fn beyond(points: &[(Seconds, f64)], time: Seconds) -> Option<Seconds> {
    let ((first, needed), (last, _)) = (points.first()?, points.last()?);
    match () {
        () if time > *last => Some(*last),
        () if time < *first && *needed > 0.0 => Some(*first),
        () => None,
    }
}

/// The rows of a column that a time lies between, if the table has another row there that leaves this column open.
fn between(points: &[(Seconds, f64)], rows: &[FilmRow], time: Seconds) -> Option<(Seconds, Seconds)> {
    let is_inside = |t: Seconds, pair: &[(Seconds, f64)]| pair[0].0 < t && t < pair[1].0;
    let pair = points.windows(2).find(|pair| is_inside(time, pair))?;
    rows.iter().any(|row| is_inside(row.metered, pair)).then_some((pair[0].0, pair[1].0))
}

/// Straight lines between points in rising order. Beyond the last, on along its line; before the first, as there, but
/// never less than nothing.
fn along(points: &[(Seconds, f64)], time: Seconds) -> Option<f64> {
    let log = |time: Seconds| time.value().log2();
    let (first, _) = (points.first()?, points.get(1)?);
    if time <= first.0 {
        return Some(first.1);
    }
    let next = points[1..points.len() - 1].iter().take_while(|point| point.0 < time).count();
    let [a, b] = [points[next], points[next + 1]];
    let part = (log(time) - log(a.0)) / (log(b.0) - log(a.0));
    Some((a.1 + (b.1 - a.1) * part).max(0.0))
}
