//! Scans of which there is nothing to show, told in lines under the frames.

use super::area::Area;
use super::face::Face;
use super::frame::NotShown;
use super::grid::DESCENDERS;
use super::page::{Ink, Item, TextRun};
use super::sizes::{LINE, SMALL};
use super::wrap::wrap;
use crate::light::Millimetres;

const BLACK: Ink = Ink(0);
/// Lines for one reason, and scans that are named for it.
const OF_EACH: usize = 2;
const NAMED: usize = 6;
/// Lines where there are frames, and the share of a page that they may take from them.
const MOST: usize = 8;
const SHARE: f64 = 0.25;

/// The lines under frames, or without frames in their stead, in a room: a reason with all scans that it is told of, in
/// the order first told. Those that do not go there are counted.
pub(super) fn told(scans: &[NotShown], with_frames: bool, room: Area) -> Vec<String> {
    let lines_of = |share: f64| (room.height * share / LINE - 1.0).max(1.0).floor() as usize;
    let most = if with_frames { MOST.min(lines_of(SHARE)) } else { lines_of(1.0) };
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for NotShown { file, why } in scans {
        match groups.iter_mut().find(|(reason, _)| reason == why) {
            Some((_, files)) => files.push(file),
            None => groups.push((why, vec![file])),
        }
    }
    let set = |text: &str| {
        let words: Vec<&str> = text.split_whitespace().collect();
        wrap(&words, " ", OF_EACH, Face::Regular, SMALL, room.width)
    };
    let mut all: Vec<(usize, Vec<String>)> =
        groups.iter().map(|(why, files)| (files.len(), set(&format!("{}: {why}", named(files))))).collect();
    let lines = |all: &[(usize, Vec<String>)]| all.iter().map(|(_, lines)| lines.len()).sum::<usize>();
    if lines(&all) > most {
        let mut more = 0;
        while lines(&all) + 1 > most
            && let Some((scans, _)) = all.pop()
        {
            more += scans;
        }
        let what = if more == scans.len() { "scans are not shown" } else { "more are not shown" };
        all.push((more, set(&format!("{more} {what}: batch.csv says which, and why"))));
    }
    all.into_iter().flat_map(|(_, lines)| lines).collect()
}

/// "coil.tif is not shown", "coil.tif, keg.tif and 3 more are not shown".
fn named(files: &[&str]) -> String {
    match files {
        [one] => format!("{one} is not shown"),
        few if few.len() <= NAMED => format!("{} are not shown", few.join(", ")),
        many => format!("{} and {} more are not shown", many[..NAMED].join(", "), many.len() - NAMED),
    }
}

/// What the lines take from a room, with a free line above them.
pub(super) fn height(lines: &[String]) -> Millimetres {
    if lines.is_empty() { Millimetres::default() } else { LINE * (lines.len() + 1) as f64 }
}

/// The lines at the foot of a room.
pub(super) fn write(items: &mut Vec<Item>, room: Area, lines: &[String]) {
    for (above, text) in lines.iter().rev().enumerate() {
        let baseline = room.bottom() - LINE * (DESCENDERS + above as f64);
        let text = text.clone();
        let run = TextRun { left: room.left, baseline, size: SMALL, face: Face::Regular, ink: BLACK, text };
        items.push(Item::Text(run));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Area = Area {
        left: Millimetres::new(12.7),
        top: Millimetres::new(40.0),
        width: Millimetres::new(184.6),
        height: Millimetres::new(240.0),
    };

    fn scans(files: &[&str], why: impl Fn(usize) -> String) -> Vec<NotShown> {
        (0..).zip(files).map(|(i, file)| NotShown { file: (*file).to_owned(), why: why(i) }).collect()
    }

    #[test]
    fn scans_that_differ_in_their_ending_are_told_apart_and_a_reason_is_told_once() {
        let lines = told(&scans(&["a.tif", "a.png"], |_| "it is empty: copy it again".into()), true, ROOM);
        assert_eq!(lines, ["a.tif, a.png are not shown: it is empty: copy it again"]);
        assert_eq!(told(&[], true, ROOM), [] as [&str; 0]);
    }

    #[test]
    fn many_are_counted_and_take_no_more_than_their_share_of_the_page() {
        let names: Vec<String> = (0..40).map(|i| format!("rope-{i:02}.tif")).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let each = scans(&names, |i| format!("cut short at byte {i}: copy it again"));
        let lines = told(&each, true, ROOM);
        assert_eq!(lines.len(), MOST);
        assert_eq!(lines[MOST - 1], "33 more are not shown: batch.csv says which, and why");
        assert!(told(&each, true, Area { height: Millimetres::new(60.0), ..ROOM }).len() <= 4);
        assert_eq!(told(&each, false, ROOM).len(), 40, "without frames there is room for all");
        let alike = told(&scans(&names, |_| "torn".into()), true, ROOM);
        assert!(alike.len() == 1 && alike[0].ends_with("rope-05.tif and 34 more are not shown: torn"), "{alike:?}");
    }
}
