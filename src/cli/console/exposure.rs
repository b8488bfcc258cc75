//! `dryside exposure` in words.

use super::table::Table;
use super::{Console, print_lines};
use crate::batch::ExposureAsked;
use crate::meter::{Exposure, Working, films, opened};

/// Under every sum.
pub(super) const CAUTION: &str =
    "a start for your own tests, not a promise: where a picture cannot be taken again, expose a second sheet longer";

impl Console {
    /// The sums of an exposure. Tells whether they could be printed.
    pub(in crate::cli) fn exposure(&self, asked: &ExposureAsked) -> bool {
        let mut lines = sums(&asked.working);
        lines.push(String::new());
        lines.push(give(&asked.exposure, &asked.working));
        lines.extend(asked.working.cautions.iter().map(ToString::to_string));
        let film = asked.exposure.reciprocity.as_ref();
        lines.extend(film.map(|film| format!("{}: {}", film.name(), film.source())));
        lines.push(CAUTION.to_owned());
        print_lines(&lines)
    }

    /// Films whose reciprocity is known. Tells whether they could be printed.
    pub(in crate::cli) fn films(&self) -> bool {
        let mut table = Table::new(&["film", "P", "10 s", "1 min", "source"], 1..4);
        for (name, film) in films::films() {
            let at = |word: &str| {
                let time = word.parse().ok().and_then(|time| film.correct(time).time);
                time.map_or_else(|| "-".to_owned(), |time| time.to_string())
            };
            let p = film.p().map_or_else(|| "table".to_owned(), |p| format!("{p:.2}"));
            table.rows.push(vec![(*name).to_owned(), p, at("10 s"), at("1m"), film.source().to_owned()]);
        }
        let mut lines: Vec<String> = table.lines().collect();
        lines.push(String::new());
        lines.push("10 s and 1 min: what to give instead; films change, make your own tests".to_owned());
        print_lines(&lines)
    }
}

/// Line by line, each with the time that comes of it.
pub(super) fn sums(working: &Working) -> Vec<String> {
    let mut table = Table::new(&["sum", "time"], 1..2);
    table.rows.extend(working.steps.iter().map(|step| vec![step.sum.to_string(), step.time.to_string()]));
    table.lines().collect()
}

fn give(exposure: &Exposure, working: &Working) -> String {
    let at = exposure.aperture.as_ref().map_or_else(String::new, |n| format!(" at {n}"));
    match working.instead() {
        Some((time, stops)) if time == working.time() => format!("give {time}{at}, and {}", opened(stops)),
        Some((time, stops)) => format!("give {}{at}, or {time} and {}", working.time(), opened(stops)),
        None => format!("give {}{at}", working.time()),
    }
}
