//! `dryside notes zones` in words.

use super::table::Table;
use super::{Console, print_lines};
use crate::batch::{FilmRow, PictureRow, ZoneRow, ZonesRead};
use crate::film::{Estimate, ZoneTable};
use crate::light::{Density, Stops};
use crate::meter::stops_apart;

/// Nearer than this, in stops, is as aimed: half of a sixth, the least that is told.
const AS_AIMED: f64 = 1.0 / 12.0;

impl Console {
    /// Zones that were read back; failures stand last. Tells whether it could be printed.
    pub(in crate::cli) fn zones_read(&self, read: &ZonesRead) -> bool {
        let mut lines: Vec<String> = read.rows.iter().map(zone_line).collect();
        if !read.pictures.is_empty() {
            lines.push(String::new());
            lines.extend(pictures(&read.pictures));
            lines.push(String::new());
        }
        lines.extend(read.left_out.iter().cloned());
        lines.extend(read.developed.iter().map(|(meant, came)| development(meant, came)));
        let one = read.films.len() == 1;
        lines.extend(read.films.iter().flat_map(|film| of_film(film, one)));
        let densities = if read.by_wedge { "true" } else { "scanner" };
        match read.rows.is_empty() {
            true => lines.push("no reading has a zone and a place: write them in [shot], as shadow = { zone = \"III\", at = [512, 300] }".to_owned()),
            false => lines.push(format!(
                "{densities} densities, net of base; zones after {}; +/-: 95 %; stops are exposure, a zone each; check with a second negative before you change film speed or development",
                read.tables.iter().map(ZoneTable::name).collect::<Vec<_>>().join(" and ")
            )),
        }
        let printed = print_lines(&lines);
        read.failures.iter().for_each(|failure| self.error(failure));
        printed
    }
}

/// "sheet-01: shadow placed on III: 0.29 found, 0.34 aimed: 0.05 D thin, as a third of a stop less exposure, reads as
/// II 2/3".
fn zone_line(row: &ZoneRow) -> String {
    let unsure = row.unsure.map_or_else(String::new, |unsure| format!(" (+/- {:.2})", unsure.value().max(0.01)));
    let given = match row.tone.given {
        none if none.value() == 0.0 => String::new(),
        stops => format!(" and given {}", stops_apart(stops)),
    };
    let (zone, found) = (row.tone.zone, row.tone.found);
    let found = format!("{}: {} placed on {zone}{given}: {found}{unsure} found", row.scan, row.reading);
    match row.aimed {
        Some(aimed) => format!(
            "{found}, {aimed} {}: {}, reads as {}",
            if given.is_empty() { "aimed" } else { "aimed for that" },
            apart(row.tone.found - aimed, row.shift),
            row.reads_as
        ),
        None => format!("{found}; the table goes from I to IX only"),
    }
}

/// How far a density is from its aim, in D, and as how much exposure that looks, to a sixth of a stop.
fn apart(density: Density, shift: Option<Stops>) -> String {
    let size = Density::new(density.value().abs());
    let side = if density.value() < 0.0 { "thin" } else { "dense" };
    match shift.map(Stops::value) {
        None => format!("{size} D {side}"),
        Some(stops) if stops.abs() < AS_AIMED => "as aimed".to_owned(),
        Some(stops) => {
            let less = if stops < 0.0 { "less" } else { "more" };
            format!("{size} D {side}, as {} {less} exposure", amount(stops))
        }
    }
}

/// Stops without their sign, to a sixth.
fn amount(stops: f64) -> String {
    match (stops.abs() * 6.0).round() as u32 {
        1 => "a sixth of a stop".to_owned(),
        2 => "a third of a stop".to_owned(),
        3 => "half a stop".to_owned(),
        4 => "two thirds of a stop".to_owned(),
        5 => "five sixths of a stop".to_owned(),
        6 => "a stop".to_owned(),
        _ => format!("{:.1} stops", stops.abs()),
    }
}

fn pictures(pictures: &[PictureRow]) -> Vec<String> {
    let mut table = Table::named(&["picture", "date", "shadows", "speed", "meant", "developed"], 2..6);
    let signed = |stops: Stops| format!("{:+.1}", (stops.value() * 10.0).round() / 10.0 + 0.0);
    let or_dash = |word: Option<String>| word.unwrap_or_else(|| "-".to_owned());
    table.rows.extend(pictures.iter().map(|p| {
        vec![
            p.scan.clone(),
            p.date.clone(),
            or_dash(p.shift.map(|shift| format!("{} stop", signed(shift)))),
            or_dash(p.speed.map(|speed| format!("{speed:.0}"))),
            or_dash(p.meant.map(|n| format!("N{}", signed(n)))),
            or_dash(p.developed.map(|n| format!("N{}", signed(n)))),
        ]
    }));
    table.lines().collect()
}

fn development(meant: &str, came: &Estimate) -> String {
    format!("development meant {meant} came out as N{:+.1}{}", came.value, sure(came))
}

/// What is said of a film; under its name where there are several.
fn of_film(of: &FilmRow, one: bool) -> Vec<String> {
    let name = match &*of.film {
        _ if one => String::new(),
        "" => "no film written: ".to_owned(),
        film => format!("{film}: "),
    };
    std::iter::once(speed(&of.shift))
        .chain(of.trend.map(|trend| moving(&trend)))
        .map(|line| name.clone() + &line)
        .collect()
}

fn speed(shift: &Estimate) -> String {
    let what = match shift.value {
        value if value.abs() < AS_AIMED => "the film shows the speed that the meter was set to".to_owned(),
        value => {
            let more = if value < 0.0 { "less" } else { "more" };
            format!("the film shows {:.1} stop {more} speed than the meter was set to", value.abs())
        }
    };
    format!("shadows: {what}{}", sure(shift))
}

fn moving(trend: &Estimate) -> String {
    let within = trend.within.unwrap_or_default();
    match trend.is_told() {
        true => format!(
            "speed moves by {:+.2} stop from picture to picture (+/- {within:.2}): check thermometer, developer and meter",
            trend.value
        ),
        false => format!(
            "speed: no trend that could be told from chance ({:+.2} +/- {within:.2} stop a picture)",
            trend.value
        ),
    }
}

/// How sure a mean is.
fn sure(of: &Estimate) -> String {
    match (of.within, of.of) {
        (Some(within), n) => format!(" (+/- {within:.1}, of {n} pictures)"),
        (None, 1) => " (one picture: no more than a hint)".to_owned(),
        (None, n) => format!(" ({n} pictures: too few to say how sure)"),
    }
}
