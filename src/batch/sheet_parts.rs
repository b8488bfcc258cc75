//! The parts of a proof sheet: what stands on straight and on graded pages, and at their head.

use std::collections::HashMap;
use std::path::PathBuf;

use rayon::prelude::*;

use crate::light::Stops;
use crate::notes::{Mark, Row};
use crate::plane::Quad;
use crate::sheet::{Frame, NotShown, Part, Pencil, Picture};

use super::own_picture::jpeg;
use super::shown::Shown;

/// Which kinds of pages a sheet has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kinds {
    /// One exposure by the film base for all frames, in grade 2.
    pub straight: bool,
    /// Each frame in its own grade.
    pub graded: bool,
}

impl Kinds {
    /// Straight pages and graded ones.
    pub const BOTH: Self = Self { straight: true, graded: true };
}

/// How most frames of a sheet are printed; one that is printed otherwise says so itself.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Printing {
    /// Name of the paper.
    pub paper: String,
    /// Name of the table that gives grades their range.
    pub table: String,
    /// What exposures are found by.
    place: String,
    /// Exposure taken away because prints get darker while they dry.
    dry_down: String,
}

impl Printing {
    /// Of all frames that did not fail.
    pub(super) fn of(shown: &[Shown]) -> Self {
        let rows: Vec<&Row> = shown.iter().filter(|shown| shown.failure().is_none()).map(|shown| &shown.row).collect();
        let usual = |word: &dyn Fn(&Row) -> String| usual(rows.iter().map(|row| word(row)));
        Self {
            paper: usual(&|row| row.paper.clone()),
            table: usual(&|row| row.table.clone()),
            place: usual(&|row| row.place.clone()),
            dry_down: usual(&dry_down),
        }
    }
}

/// The most usual of some words, of several the first; nothing of none.
fn usual(words: impl Iterator<Item = String>) -> String {
    let words: Vec<String> = words.collect();
    let mut counts: HashMap<&str, usize> = HashMap::new();
    words.iter().for_each(|word| *counts.entry(word).or_default() += 1);
    let most = counts.values().max().copied().unwrap_or_default();
    words.iter().find(|word| counts[word.as_str()] == most).cloned().unwrap_or_default()
}

/// What graded pages are.
const GRADED: &str = "graded: each frame in the grade under it";

/// The parts of a sheet in order, straight pages first.
pub(super) fn parts(shown: &[Shown], kinds: Kinds, printing: &Printing) -> Vec<Part> {
    let strips = strips(shown);
    let frames = |of: fn(&Shown, &Printing) -> Frame| {
        let frame = |(shown, strip): (&Shown, &Option<usize>)| Frame { strip: *strip, ..of(shown, printing) };
        shown.par_iter().zip(&strips).filter(|(shown, _)| shown.failure().is_none()).map(frame).collect()
    };
    let straight = kinds.straight.then(|| Part {
        name: "straight",
        kind: "straight: nothing levelled, each from its own film base as the paper's black in grade 2".to_owned(),
        frames: frames(straight),
        not_shown: not_shown(shown),
    });
    let graded = kinds.graded.then(|| Part {
        name: "graded",
        kind: kind(GRADED, printing),
        frames: frames(graded),
        not_shown: not_shown(shown),
    });
    straight.into_iter().chain(graded).collect()
}

/// The scans that failed. On paper the names of files say enough.
fn not_shown(shown: &[Shown]) -> Vec<NotShown> {
    let told = |shown: &Shown| {
        let (file, why) = shown.failure()?;
        let why = why.replace(&format!("{}/", shown.folders.out().display()), "");
        Some(NotShown { file: file.to_owned(), why })
    };
    shown.iter().filter_map(told).collect()
}

/// A number for each strip of film, of scans that show several frames.
fn strips(shown: &[Shown]) -> Vec<Option<usize>> {
    let same = |a: &Shown, b: &Shown| a.row.scan == b.row.scan && a.folders == b.folders;
    let mut next = 0;
    let of_scan = |scan: &[Shown]| -> Vec<Option<usize>> {
        let strips = scan.chunk_by(|a, b| a.corners.zip(b.corners).is_none_or(|(a, b)| are_neighbours(a, b)));
        let numbered = strips.flat_map(|strip| {
            next += 1;
            vec![(scan.len() > 1).then_some(next); strip.len()]
        });
        numbered.collect()
    };
    shown.chunk_by(same).flat_map(of_scan).collect()
}

/// From frame to frame on one strip it is little more than a frame: 38 mm of 36 on 35 mm film, 61.5 of 56 on roll film,
/// and cameras wind unevenly. Across the film they lie side by side.
const PITCH: f64 = 1.3;
const ASIDE: f64 = 0.5;

/// Whether one frame follows the other on the same piece of film: a strip that was cut lies in pieces on the bed.
fn are_neighbours(a: Quad, b: Quad) -> bool {
    let (from, to, (width, height)) = (a.middle(), b.middle(), a.extent());
    let (across, down) = ((to.x - from.x).abs() / width, (to.y - from.y).abs() / height);
    across <= PITCH && down <= ASIDE || down <= PITCH && across <= ASIDE
}

/// What the densities of the frames are.
pub(super) fn densities(shown: &[Shown]) -> &'static str {
    let well = || shown.iter().filter(|shown| shown.failure().is_none());
    match (well().any(|shown| shown.by_wedge), well().all(|shown| shown.by_wedge)) {
        (false, _) => "scanner densities",
        (true, true) => "densities by a step wedge",
        (true, false) => "some densities by a step wedge, others the scanner's",
    }
}

/// How graded frames were printed, as far as most of them were alike: behind words on where the grade stands.
pub(super) fn kind(graded: &str, Printing { place, dry_down, .. }: &Printing) -> String {
    let placed = match place.as_str() {
        "" | "highlights" => "",
        "shadows" => ", placed by its shadows",
        "fixed" => ", one exposure for all: film base is black in grade 2",
        _ => ", placed by a spot",
    };
    let dry_down = match dry_down.as_str() {
        "" | "0%" => String::new(),
        percent => format!(", {percent} less exposure for dry-down"),
    };
    format!("{graded}{placed}{dry_down}")
}

/// What both kinds say of a frame.
fn plain(shown: &Shown) -> Frame {
    let row = &shown.row;
    let mut flags: Vec<&str> = row.flags.split_whitespace().collect();
    flags.dedup();
    let mark = shown.marked.mark.map(|mark| match mark {
        Mark::Print => Pencil::Ring,
        Mark::Hold => Pencil::Dot,
        Mark::Skip => Pencil::Stroke,
    });
    Frame {
        name: row.frame.clone(),
        called: shown.called.clone(),
        date: shown.date.clone(),
        base: row.base.filter(|_| shown.has_base()),
        range: row.range,
        flags: flags.into_iter().map(|code| code.replace('-', " ")).collect(),
        mark,
        remark: shown.marked.remark.clone(),
        on_film: shown.on_film,
        ..Frame::default()
    }
}

fn straight(shown: &Shown, of_all: &Printing) -> Frame {
    let frame = plain(shown);
    if !shown.has_base() {
        let why = "no base: a straight print is exposed by it, give base in the notes of this scan";
        return Frame { failed: Some(why.to_owned()), ..frame };
    }
    if !shown.straight_noted {
        // What lies there is not the program's.
        let why = shown.gone.clone().unwrap_or_else(|| "its straight print is not made".to_owned());
        return Frame { failed: Some(why), ..frame };
    }
    Frame { printed: on_other_paper(&shown.row, of_all), ..with_picture(frame, shown.straight(), shown) }
}

fn graded(shown: &Shown, of_all: &Printing) -> Frame {
    let frame = plain(shown);
    let row = &shown.row;
    let printed = printed(row, of_all);
    Frame { grade: Some(grade(row)), printed, ..with_picture(frame, shown.proof(), shown) }
}

fn with_picture(frame: Frame, path: PathBuf, shown: &Shown) -> Frame {
    let from = path.clone();
    match (Picture::fetched(&path.display().to_string(), move || jpeg(&from)), &shown.gone) {
        (Ok(picture), _) => Frame { picture: Some(picture), ..frame },
        (Err(_), Some(why)) => Frame { failed: Some(why.clone()), ..frame },
        (Err(why), None) => Frame { failed: Some(why.to_string()), ..frame },
    }
}

/// The grade, of a split exposure the one that it comes near to, with the stops beyond the placing: "2",
/// "2 1/2, +1/3 stop", "about 1".
pub(super) fn grade(row: &Row) -> String {
    let grade = if row.equivalent.is_empty() { row.grade.clone() } else { format!("about {}", row.equivalent) };
    match row.exposure {
        Some(stops) if stops.abs() > 1.0 => format!("{grade}, {} stops", Stops::new(stops)),
        Some(stops) if stops != 0.0 => format!("{grade}, {} stop", Stops::new(stops)),
        _ => grade,
    }
}

/// How else the frame was printed than the head says of most.
pub(super) fn printed(row: &Row, of_all: &Printing) -> Vec<String> {
    let split = (!row.split.is_empty()).then(|| format!("split {}", row.split));
    let place = other(&row.place, &of_all.place, "placed by");
    let dry_down = other(&dry_down(row), &of_all.dry_down, "dry-down");
    split.into_iter().chain(place).chain(dry_down).chain(on_other_paper(row, of_all)).collect()
}

fn on_other_paper(row: &Row, of_all: &Printing) -> Vec<String> {
    let table = other(&row.table, &of_all.table, "grades after");
    other(&row.paper, &of_all.paper, "paper").into_iter().chain(table).collect()
}

fn other(own: &str, of_all: &str, what: &str) -> Option<String> {
    (own != of_all).then(|| format!("{what} {own}"))
}

fn dry_down(row: &Row) -> String {
    row.dry_down.map_or_else(String::new, |percent| format!("{percent}%"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::folders::Folders;
    use crate::notes::Marked;
    use crate::plane::Area;

    fn shown(scan: &str, paper: &str, base: Option<f64>) -> Shown {
        let row = Row {
            scan: format!("{scan}.tif"),
            frame: scan.to_owned(),
            base,
            base_source: if base.is_some() { "rebate" } else { "assumed" }.to_owned(),
            grade: "2 1/2".to_owned(),
            paper: paper.to_owned(),
            place: "highlights".to_owned(),
            dry_down: Some(0.0),
            flags: "no-base mark-unread mark-unread".to_owned(),
            ..Row::default()
        };
        Shown::of(row, 1, &Folders::of_results(std::path::Path::new("loft-out"), "loft"))
    }

    #[test]
    fn the_head_says_how_most_were_printed_and_the_others_say_it_themselves() {
        let shown = |scan: &str, paper: &str| Shown { straight_noted: true, ..shown(scan, paper, Some(0.2)) };
        let all = [shown("a", "matt"), shown("b", "glossy"), shown("c", "glossy")];
        let printing = Printing::of(&all);
        assert_eq!((printing.paper.as_str(), printing.dry_down.as_str()), ("glossy", "0%"));
        let parts = parts(&all, Kinds::BOTH, &printing);
        assert_eq!(parts.iter().map(|part| part.name).collect::<Vec<_>>(), ["straight", "graded"]);
        for part in &parts {
            assert!(part.kind.starts_with(part.name));
            assert_eq!(part.frames[0].printed, ["paper matt"]);
            assert_eq!(part.frames[1].printed, [] as [&str; 0]);
        }
        assert_eq!((parts[0].frames[0].grade.as_deref(), parts[1].frames[0].grade.as_deref()), (None, Some("2 1/2")));
    }

    #[test]
    fn a_scan_that_failed_takes_no_frame_and_is_named_with_its_ending() {
        let folders = Folders::of_results(std::path::Path::new("loft-out"), "loft");
        let within = format!("{}/proof/a.jpg was put there by other hands", folders.out().display());
        let failed = |file: &str| Shown::failed(file, within.clone(), &folders);
        let all = [shown("b", "p", Some(0.2)), failed("a.tif"), failed("a.png")];
        for part in parts(&all, Kinds::BOTH, &Printing::of(&all)) {
            assert_eq!(part.frames.iter().map(|frame| frame.name.as_str()).collect::<Vec<_>>(), ["b"]);
            let told = part.not_shown.iter().map(|scan| (scan.file.as_str(), scan.why.as_str()));
            let why = "proof/a.jpg was put there by other hands";
            assert_eq!(told.collect::<Vec<_>>(), [("a.tif", why), ("a.png", why)]);
        }
    }

    #[test]
    fn a_frame_without_base_is_told_on_the_straight_page_and_not_guessed() {
        let frame = straight(&shown("a", "glossy", None), &Printing::default());
        assert!(frame.failed.as_deref().is_some_and(|why| why.starts_with("no base")) && frame.picture.is_none());
        assert!(frame.base.is_none());
        assert_eq!(frame.flags, ["no base", "mark unread"]);
    }

    #[test]
    fn marks_and_strips_come_to_the_sheet() {
        let mut all = [shown("a", "p", Some(0.2)), shown("b", "p", Some(0.2)), shown("b", "p", Some(0.2))];
        all[1].marked = Marked { mark: Some(Mark::Hold), remark: Some("burn in".to_owned()) };
        let parts = parts(&all, Kinds { straight: false, graded: true }, &Printing::of(&all));
        let frames = &parts[0].frames;
        assert_eq!((frames[1].mark, frames[1].remark.as_deref()), (Some(Pencil::Dot), Some("burn in")));
        assert_eq!(frames.iter().map(|frame| frame.strip).collect::<Vec<_>>(), [None, Some(2), Some(2)]);
    }

    /// 35 mm film: 38.0 from frame to frame and 35 wide (ISO 1007, from memory), here 10 pixels a millimetre.
    #[test]
    fn a_strip_in_two_pieces_is_two_strips() {
        let mut all = vec![shown("roll", "p", Some(0.2)); 6];
        for (number, shown) in all.iter_mut().enumerate() {
            let (x, y) = (380 * (number as u32 % 3), 400 * (number as u32 / 3));
            shown.corners = Some(Quad::of(Area { x, y, width: 360, height: 240 }));
        }
        assert_eq!(strips(&all), [1, 1, 1, 2, 2, 2].map(Some));
        // Roll film that runs down the bed, and a frame that was not found in its middle.
        for (number, shown) in all.iter_mut().enumerate() {
            let y = 615 * if number < 4 { number as u32 } else { number as u32 + 1 };
            shown.corners = Some(Quad::of(Area { x: 3 * number as u32, y, width: 560, height: 560 }));
        }
        assert_eq!(strips(&all), [1, 1, 1, 1, 2, 2].map(Some));
    }
}
