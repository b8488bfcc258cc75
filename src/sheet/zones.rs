//! Zones read back, to pin up beside the developing tank: what a negative is to have in each zone, and what each has.

use super::area::Area;
use super::face::Face;
use super::frame::Head;
use super::page::{Ink, Item, Page, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::plot::Plot;
use super::sizes::TEXT;
use super::{Said, Sheet};
use crate::film::{Tone, ZoneTable};
use crate::light::Millimetres;
use crate::meter::ZONE_NAMES;

/// Room left of the chart for its numbers, over it for its title, and under it for the zones, in mm.
const NUMBERS: f64 = 11.0;
const TITLE: f64 = 6.0;
const ZONES: f64 = 14.0;
/// Height of the chart, in mm: the page's upper half and a little more.
const HEIGHT: f64 = 150.0;
/// Density from line to line of the grid.
const APART: f64 = 0.2;
/// Zones that the chart shows, 0 to X, and those that a table has a density for.
const SHOWN: (f64, f64) = (-0.3, 10.3);
const AIMED: (f64, f64) = (1.0, 9.0);
/// Weights of the aims, of the line that joins a picture's tones, and of the grid, in mm.
const CURVE: f64 = 0.6;
const JOINED: f64 = 0.15;
const RULE: f64 = 0.14;
/// From a tone to the name beside it.
const BESIDE: Millimetres = Millimetres::new(1.6);

const CAVEAT: &str = "a few pictures are a hint, not a test: expose and develop a second negative before you change film speed or development";

/// A picture's name beside the highest of its tones.
struct Name<'a> {
    text: &'a str,
    across: Millimetres,
    down: Millimetres,
}

/// Names set beside their places, none upon another: those that lie too near are moved down.
fn written(mut names: Vec<Name<'_>>, right: Millimetres) -> Vec<Item> {
    names.sort_by(|a, b| a.down.value().total_cmp(&b.down.value()));
    let mut set: Vec<Area> = Vec::new();
    let mut items = Vec::new();
    for Name { text, across, down } in names {
        let (width, height) = (Face::Regular.length(text, TEXT), TEXT * 1.1);
        let beside = across + BESIDE;
        let left = if beside + width > right { across - BESIDE - width } else { beside };
        let mut area = Area { left, top: down - height / 2.0, width, height };
        while let Some(other) = set.iter().find(|other| other.meets(area)) {
            area.top = other.bottom() + Millimetres::new(0.01);
        }
        set.push(area);
        let baseline = area.top + TEXT * 0.85;
        items.push(Item::Text(TextRun {
            left,
            baseline,
            size: TEXT,
            face: Face::Regular,
            ink: Ink(0),
            text: text.to_owned(),
        }));
    }
    items
}

/// One page, A4: net density over the zone placed; the aims as a heavy line, each picture's tones as boxes on a thin
/// one.
pub fn zones(table: &ZoneTable, pictures: &[(String, Vec<Tone>)], head: &Head) -> Sheet {
    let size = PageSize::A4;
    let head = PageHead::new(head, size, CAVEAT);
    let room = head.room();
    let found = pictures.iter().flat_map(|(_, tones)| tones).map(|tone| tone.found.value());
    let aims = [table.density(AIMED.0).value(), table.density(AIMED.1).value()];
    let (low, high) = found.chain(aims).fold((0.0f64, 0.0f64), |(low, high), d| (low.min(d), high.max(d)));
    let area = Area {
        left: room.left + Millimetres::new(NUMBERS),
        top: room.top + Millimetres::new(TITLE),
        width: room.width - Millimetres::new(NUMBERS + 2.0),
        height: Millimetres::new(HEIGHT).min(room.height - Millimetres::new(TITLE + ZONES)),
    };
    let y = ((low / APART).floor() * APART, ((high / APART + 0.3).ceil()) * APART);
    let chart = Plot { area, x: SHOWN, y };
    let mut items = head.items(None);
    items.extend(chart.levels(APART, 1));
    for (number, name) in ZONE_NAMES.iter().enumerate() {
        let (across, bottom) = chart.place(number as f64, y.0);
        let through = vec![(across, area.top), (across, bottom)];
        items.push(Item::Line { through, weight: Millimetres::new(RULE), ink: Ink(205) });
        let left = across - Face::Regular.length(name, TEXT) / 2.0;
        let baseline = area.bottom() + TEXT * 1.5;
        items.push(Item::Text(TextRun {
            left,
            baseline,
            size: TEXT,
            face: Face::Regular,
            ink: QUIET,
            text: (*name).to_owned(),
        }));
    }
    items.extend(chart.line(AIMED, CURVE, Ink(120), false, |number| table.density(number).value()));
    let mut names: Vec<Name<'_>> = Vec::new();
    for (name, tones) in pictures {
        let mut places: Vec<(f64, f64)> = tones.iter().map(|tone| (tone.exposed(), tone.found.value())).collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        if places.len() > 1 {
            let through = places.iter().map(|(x, y)| chart.place(*x, *y)).collect();
            items.push(Item::Line { through, weight: Millimetres::new(JOINED), ink: Ink(0) });
        }
        items.extend(places.iter().flat_map(|(x, y)| chart.mark(*x, *y)));
        if let Some((x, y)) = places.last() {
            let (across, down) = chart.place(*x, *y);
            names.push(Name { text: name, across, down });
        }
    }
    items.extend(written(names, area.right()));
    items.push(chart.title("net density; grey: what is aimed at, boxes: what was found, a line for each picture"));
    items.push(chart.foot("zone exposed for at the camera"));
    Sheet {
        title: head.title().to_owned(),
        said: Said::default(),
        pages: vec![Page { size: size.into(), part: None, bookmark: head.title().to_owned(), items }],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str, (across, down): (f64, f64)) -> Name<'_> {
        Name { text, across: Millimetres::new(across), down: Millimetres::new(down) }
    }

    #[test]
    fn names_stand_beside_their_tones_and_none_upon_another() {
        let right = Millimetres::new(100.0);
        let items =
            written(vec![name("coil", (40.0, 50.0)), name("hank", (40.0, 50.2)), name("keg", (99.0, 20.0))], right);
        let runs: Vec<&TextRun> = items
            .iter()
            .filter_map(|item| match item {
                Item::Text(run) => Some(run),
                _ => None,
            })
            .collect();
        let place = |text: &str| runs.iter().find(|run| run.text == text).map(|run| (run.left, run.baseline)).unwrap();
        assert!(place("hank").1 - place("coil").1 >= TEXT, "one below the other");
        assert!(
            place("coil").0 > Millimetres::new(40.0) && place("keg").0 < Millimetres::new(99.0),
            "inside the chart"
        );
    }
}
