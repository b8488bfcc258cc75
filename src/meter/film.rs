//! Reciprocity: film answers long exposures less than short ones, so that it is given more.

use std::str::FromStr;

use super::film_file::P_RANGE;
use super::films::{FILMS, film};
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

/// A row of a maker's table. Its two columns are alternatives: one says how long to expose instead, the other how far to open the
/// lens and leave the time. Neither can be reckoned from the other, because a longer time needs correction itself.
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
    /// The nearest time that the table speaks of, if it does not speak of this one: what is told is a guess along its last two rows.
    pub beyond: Option<Seconds>,
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
                Corrected { time: Some(longer), stops: None, beyond: None }
            }
            Law::Table(rows) => by_table(rows, time),
        }
    }
}

/// A word that is neither P nor a film that is known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{word}\": use P from {} to {}, or a film: {}; or a file of your own (.toml, see docs/film-format.md)",
    P_RANGE.start(), P_RANGE.end(), FILMS.join(", ")
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
    let log = |time: Seconds| time.value().log2();
    let column = |of: fn(&FilmRow) -> Option<f64>| -> Vec<(f64, f64)> {
        rows.iter().filter_map(|row| Some((log(row.metered), of(row)?))).collect()
    };
    // Both columns as stops more over the log of the time: straight there is log-log in times.
    let longer = along(&column(|row| Some(row.time?.over(row.metered).value())), log(time));
    let opened = along(&column(|row| row.stops.map(Stops::value)), log(time));
    let ends = rows.first().zip(rows.last()).map(|(first, last)| (first.metered, last.metered));
    let corrects =
        |row: &FilmRow| row.time.is_some_and(|time| time != row.metered) || row.stops.is_some_and(|s| s.value() > 0.0);
    let beyond = ends.and_then(|(first, last)| match () {
        () if time > last => Some(last),
        // Shorter than a row that needs nothing needs nothing.
        () if time < first && rows.first().is_some_and(corrects) => Some(first),
        () => None,
    });
    Corrected { time: longer.map(|stops| time.longer(Stops::new(stops))), stops: opened.map(Stops::new), beyond }
}

/// Straight lines between points in rising order. Beyond the last, on along its line; before the first, as there, but never less
/// than nothing.
fn along(points: &[(f64, f64)], at: f64) -> Option<f64> {
    let (first, _) = (points.first()?, points.get(1)?);
    if at <= first.0 {
        return Some(first.1);
    }
    let next = points[1..points.len() - 1].iter().take_while(|point| point.0 < at).count();
    let [a, b] = [points[next], points[next + 1]];
    Some((a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0)).max(0.0))
}
