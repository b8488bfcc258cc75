//! Frames in their true size on the film that they lie on, as on a contact sheet.

use super::area::Area;
use super::caption::facts;
use super::error::Error;
use super::face::{CAPITAL_HEIGHT, Face};
use super::frame::{Frame, Head, Lay, OnFilm, Part};
use super::grid::GridSize;
use super::page::{Ink, Item, TextRun};
use super::page_head::title;
use super::page_size::PageSize;
use super::proof::Mounted;
use super::shorten::shorten;
use super::sizes::{LINE, SMALL};
use super::wrap::wrap;
use crate::film::{Piece, Run};
use crate::light::Millimetres;

/// Film without density prints black, and words on it are white.
const FILM: Ink = Ink(0);
const WORDS: Ink = Ink(255);
const HEAD_INK: Ink = Ink(0);

/// Height of the head: its one line of small type, as little as four sheets of 4x5 leave of 8 x 10 in paper (3 mm).
const HEAD: Millimetres = Millimetres::new(3.0);
/// What the head gets more of where there is room.
const AIR: Millimetres = Millimetres::new(5.0);
/// Between two strips, at most.
const GAP: Millimetres = Millimetres::new(2.0);
/// From the edge of the paper to the head's words.
const INSET: Millimetres = Millimetres::new(5.0);
/// A band of film that words stand on: their capitals and a little.
const BAND: Millimetres = Millimetres::new(2.25);
/// From the edge of a piece of film to its words, and between two of them.
const APART: Millimetres = Millimetres::new(1.5);
/// Side of the box for a mark, and the film around it.
const BOX: Millimetres = Millimetres::new(3.8);
const KEEP: Millimetres = Millimetres::new(0.6);
const KEYLINE: Millimetres = Millimetres::from_points(0.3);
/// How far letters hang below the line, in ems (Inter, measured on "p").
const DESCENDER: f64 = 0.21;
/// Lengths that differ by less are one: a micrometre.
const SAME: Millimetres = Millimetres::new(0.001);

/// Frames that lie on one strip of film, or one sheet.
#[derive(Debug, Clone, PartialEq)]
struct Strip {
    first: usize,
    count: usize,
    piece: Piece,
}

impl Strip {
    fn size(&self) -> (Millimetres, Millimetres) {
        let ((width, height), count) = (self.piece.size, self.count as f64);
        match self.piece.run {
            Run::Across => (width * count, height),
            Run::Down => (width, height * count),
            Run::Alone => (width, height),
        }
    }

    /// Where its frame of a number lies, from 0 on.
    fn piece(&self, corner: (Millimetres, Millimetres), number: usize) -> Area {
        let (width, height) = self.piece.size;
        let (across, down) = match self.piece.run {
            Run::Across => (width * number as f64, Millimetres::default()),
            Run::Down => (Millimetres::default(), height * number as f64),
            Run::Alone => (Millimetres::default(), Millimetres::default()),
        };
        Area { left: corner.0 + across, top: corner.1 + down, width, height }
    }
}

/// Lays out the pages of a part, strips of film from left to right and from top to bottom.
///
/// # Errors
/// When the paper does not hold a frame, or the grid; or a size on film is not known.
pub(super) fn contact(part: &Part, head: &Head, lay: &Lay) -> Result<Vec<Mounted>, Error> {
    let pieces = pieces(&part.frames)?;
    let strips = strips(&part.frames, &pieces, lay)?;
    let mut pages: Vec<Vec<Vec<Strip>>> = on_pages(strips, lay);
    if pages.is_empty() {
        pages.push(Vec::new());
    }
    let line = HeadLine::new(part, head, lay.page);
    let mount = |rows: Vec<Vec<Strip>>| {
        let (top, mut items) = draw(&rows, &part.frames, lay.page);
        let on_page = rows.iter().flatten().flat_map(|strip| strip.first..strip.first + strip.count);
        let names = on_page.map(|number| part.frames[number].name.clone()).collect();
        let line = line.clone();
        let items = move |page, pages| {
            items.extend(line.items(top, page, pages));
            items
        };
        Mounted { names, items: Box::new(items) }
    };
    Ok(pages.into_iter().map(mount).collect())
}

/// The piece of film of each frame; what has no picture takes that of the first that has.
fn pieces(frames: &[Frame]) -> Result<Vec<Piece>, Error> {
    if let Some(unknown) = frames.iter().find(|frame| frame.shown().is_some() && frame.on_film.is_none()) {
        return Err(Error::SizeUnknown(unknown.name.clone()));
    }
    let known = |frame: &Frame| frame.on_film.map(|OnFilm { exposed, .. }| Piece::holding(exposed.0, exposed.1));
    let usual = frames.iter().find_map(known).unwrap_or(Piece::holding(Millimetres::new(36.0), Millimetres::new(24.0)));
    Ok(frames.iter().map(|frame| known(frame).unwrap_or(usual)).collect())
}

/// Frames one after another that lie on one strip, cut to what the page holds: a strip that is too long is cut evenly, of
/// single frames as many go on a strip as there is room for.
fn strips(frames: &[Frame], pieces: &[Piece], lay: &Lay) -> Result<Vec<Strip>, Error> {
    let all: Vec<(&Frame, Piece)> = frames.iter().zip(pieces.iter().copied()).collect();
    let mut strips = Vec::new();
    let mut first = 0;
    for together in all.chunk_by(|(a, of_a), (b, of_b)| of_a == of_b && of_a.run != Run::Alone && a.strip == b.strip) {
        let piece = together[0].1;
        let most = most(piece, lay)?;
        let cut = match together[0].0.strip {
            Some(_) if lay.grid.is_none() => together.len().div_ceil(together.len().div_ceil(most)),
            _ => most,
        };
        for frames in together.chunks(cut) {
            strips.push(Strip { first, count: frames.len(), piece });
            first += frames.len();
        }
    }
    Ok(strips)
}

/// How many frames go on one strip.
fn most(piece: Piece, lay: &Lay) -> Result<usize, Error> {
    let (width, height) = room(lay.page);
    let (across, down) = piece.size;
    let refused = |what: String, (w, h): (Millimetres, Millimetres)| {
        let (w, h, width, height) = (w.value(), h.value(), width.value(), height.value());
        let page = lay.page;
        let why = format!("{page} is too small for {what}: that takes {w:.1} x {h:.1} mm");
        Error::TooSmall(format!("{why}, and it has {width:.1} x {height:.1} below its head"))
    };
    let fits = |(w, h): (Millimetres, Millimetres)| w <= width + SAME && h <= height + SAME;
    if !fits(piece.size) {
        return Err(refused("one frame in its true size".to_owned(), piece.size));
    }
    if let Some(GridSize { columns, rows }) = lay.grid {
        let (c, r) = (columns as f64, rows as f64);
        let (what, needed) = match piece.run {
            Run::Across => (format!("{rows} strips of {columns} frames"), (across * c, down * r)),
            Run::Down => (format!("{rows} strips of {columns} frames"), (across * r, down * c)),
            Run::Alone => (format!("{columns} by {rows} frames"), (across * c, down * r)),
        };
        return if fits(needed) { Ok(columns) } else { Err(refused(what, needed)) };
    }
    Ok(match piece.run {
        Run::Across => ((width + SAME) / across).floor() as usize,
        Run::Down => ((height + SAME) / down).floor() as usize,
        Run::Alone => 1,
    })
}

/// What the head leaves of the paper: a contact sheet is printed to its edges.
fn room(page: PageSize) -> (Millimetres, Millimetres) {
    (page.width(), page.height() - HEAD)
}

/// Strips in rows, rows on pages.
fn on_pages(strips: Vec<Strip>, lay: &Lay) -> Vec<Vec<Vec<Strip>>> {
    let (width, height) = room(lay.page);
    let mut pages: Vec<Vec<Vec<Strip>>> = Vec::new();
    let rows_high = |rows: &[Vec<Strip>]| rows.iter().fold(Millimetres::default(), |sum, row| sum + high(row));
    for strip in strips {
        // Strips in a row and rows on a page, at most, where that is given.
        let (in_row, on_page) = match (lay.grid, strip.piece.run) {
            (None, _) => (usize::MAX, usize::MAX),
            (Some(grid), Run::Across) => (1, grid.rows),
            (Some(grid), Run::Down) => (grid.rows, 1),
            (Some(grid), Run::Alone) => (grid.columns, grid.rows),
        };
        let (wide, tall) = strip.size();
        let beside = pages.last().and_then(|rows| rows.last().map(|row| (rows, row))).is_some_and(|(rows, row)| {
            let other_rows = rows_high(rows) - high(row);
            let used = row.iter().fold(Millimetres::default(), |sum, strip| sum + strip.size().0);
            used + wide <= width + SAME && other_rows + high(row).max(tall) <= height + SAME && row.len() < in_row
        });
        let below = pages.last().is_some_and(|rows| rows_high(rows) + tall <= height + SAME && rows.len() < on_page);
        match (pages.last_mut(), beside, below) {
            (Some(rows), true, _) => rows.last_mut().into_iter().for_each(|row| row.push(strip.clone())),
            (Some(rows), false, true) => rows.push(vec![strip]),
            _ => pages.push(vec![vec![strip]]),
        }
    }
    pages
}

/// Height of a row of strips.
fn high(row: &[Strip]) -> Millimetres {
    row.iter().map(|strip| strip.size().1).fold(Millimetres::default(), Millimetres::max)
}

/// All strips of a page, and where the first begins below the head.
fn draw(rows: &[Vec<Strip>], frames: &[Frame], page: PageSize) -> (Millimetres, Vec<Item>) {
    let (width, height) = room(page);
    let gap_of = |free: Millimetres, many: usize| GAP.min(free / (many as f64 + 1.0)).max(Millimetres::default());
    let used = rows.iter().fold(Millimetres::default(), |sum, row| sum + high(row));
    let gap = gap_of(height - used, rows.len());
    let free = height - used - gap * rows.len().saturating_sub(1) as f64;
    let top = HEAD + AIR.min(free / 2.0).max(Millimetres::default());
    let wide = |row: &[Strip]| row.iter().fold(Millimetres::default(), |sum, strip| sum + strip.size().0);
    let across = |row: &[Strip]| gap_of(width - wide(row), row.len());
    let whole = |row: &Vec<Strip>| wide(row) + across(row) * (row.len() as f64 - 1.0);
    // All rows begin at one edge, the widest in the middle of the page.
    let left = (width - rows.iter().map(whole).fold(Millimetres::default(), Millimetres::max)) / 2.0;
    let mut items = Vec::new();
    let mut y = top;
    for row in rows {
        let mut x = left;
        for strip in row {
            let (wide, tall) = strip.size();
            items.push(Item::Fill { area: Area { left: x, top: y, width: wide, height: tall }, ink: FILM });
            for number in 0..strip.count {
                lay_frame(&mut items, strip.piece((x, y), number), &frames[strip.first + number]);
            }
            x += wide + across(row);
        }
        y += high(row) + gap;
    }
    (top, items)
}

/// One frame on its piece of film: the picture in its true size, its name above, its figures and the box for a mark below.
fn lay_frame(items: &mut Vec<Item>, piece: Area, frame: &Frame) {
    let (width, height) = frame.on_film.map_or((piece.width * 0.9, piece.height * 0.7), |on_film| on_film.picture);
    let picture = Area {
        left: piece.left + (piece.width - width) / 2.0,
        top: piece.top + (piece.height - height) / 2.0,
        width,
        height,
    };
    match frame.shown() {
        Some(shown) => items.push(Item::Picture { area: picture, picture: shown.clone() }),
        None => write_reason(items, picture, frame.failed.as_deref().unwrap_or("no picture")),
    }
    // A frame that leaves less film than words need lends a little of its edge.
    let band = (picture.top - piece.top).max(BAND);
    let above = Area { height: band, ..piece };
    let below = Area { top: piece.bottom() - band, height: band, ..piece };
    if band > picture.top - piece.top + SAME {
        items.extend([above, below].map(|area| Item::Fill { area, ink: FILM }));
    }
    let line = |area: Area| area.top + (area.height + SMALL * (CAPITAL_HEIGHT - DESCENDER)) / 2.0;
    let text = |left, baseline, face, text| Item::Text(TextRun { left, baseline, size: SMALL, face, ink: WORDS, text });
    let room = piece.width - APART * 2.0;
    let name = if frame.name.trim().is_empty() { "no name" } else { &frame.name };
    let name = shorten(name, Face::Medium, SMALL, room);
    let behind = Face::Medium.length(&name, SMALL) + APART;
    items.push(text(above.left + APART, line(above), Face::Medium, name));
    let aside = [frame.remark.as_deref().unwrap_or_default(), &frame.flags.join(", ")].join(" ");
    let words: Vec<&str> = aside.split_whitespace().collect();
    if room - behind > LINE * 3.0 {
        let aside = wrap(&words, " ", 1, Face::Regular, SMALL, room - behind);
        items.extend(
            aside.into_iter().map(|words| text(above.left + APART + behind, line(above), Face::Regular, words)),
        );
    }
    // The box is as large as a pencil needs, also where it has to lie over a corner of the picture.
    let mark = Area { left: below.left + KEEP, top: below.bottom() - KEEP - BOX, width: BOX, height: BOX };
    items.push(Item::Fill { area: mark.grown(KEEP), ink: FILM });
    items.push(Item::Outline { area: mark, weight: KEYLINE, ink: WORDS });
    items.extend(frame.mark.map(|pencil| pencil.draw(mark, WORDS)));
    let facts = facts(frame);
    let facts: Vec<&str> = facts.iter().map(String::as_str).collect();
    let beside = mark.right() + APART;
    let facts = wrap(&facts, "  ", 1, Face::Regular, SMALL, piece.right() - APART - beside);
    items.extend(facts.into_iter().map(|facts| text(beside, line(below), Face::Regular, facts)));
}

fn write_reason(items: &mut Vec<Item>, area: Area, reason: &str) {
    let words: Vec<&str> = reason.split_whitespace().collect();
    let room = area.width - APART * 2.0;
    let most = ((area.height - APART * 2.0) / LINE).max(0.0).floor() as usize;
    let lines = wrap(&words, " ", most, Face::Regular, SMALL, room);
    items.extend((1..).zip(lines).map(|(number, text)| {
        let baseline = area.top + APART + LINE * f64::from(number) - LINE * 0.25;
        Item::Text(TextRun { left: area.left + APART, baseline, size: SMALL, face: Face::Regular, ink: WORDS, text })
    }));
}

/// The one line above the strips.
#[derive(Clone)]
struct HeadLine {
    title: String,
    facts: String,
    page: PageSize,
}

impl HeadLine {
    fn new(part: &Part, head: &Head, page: PageSize) -> Self {
        let all = [&part.kind, &head.date, &head.paper_and_table].map(|fact| fact.trim());
        let facts: Vec<&str> = all.into_iter().filter(|fact| !fact.is_empty()).collect();
        Self { title: title(head), facts: facts.join(" · "), page }
    }

    fn items(&self, top: Millimetres, page: usize, pages: usize) -> [Item; 3] {
        let number = format!("page {page} of {pages}");
        let right = self.page.width() - INSET - Face::Regular.length(&number, SMALL);
        let room = right - INSET - APART;
        let title = shorten(&self.title, Face::Medium, SMALL, room / 3.0);
        let facts_left = INSET + Face::Medium.length(&title, SMALL) + APART * 1.5;
        let words: Vec<&str> = self.facts.split_whitespace().collect();
        let facts = wrap(&words, " ", 1, Face::Regular, SMALL, right - APART - facts_left).concat();
        let text = |left, face, text| {
            Item::Text(TextRun { left, baseline: top * 0.73, size: SMALL, face, ink: HEAD_INK, text })
        };
        [text(INSET, Face::Medium, title), text(facts_left, Face::Regular, facts), text(right, Face::Regular, number)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::picture::Picture;
    use crate::sheet::picture::tests::grey_jpeg;
    use crate::sheet::{Sheet, proof};

    fn lay(page: &str, grid: Option<&str>) -> Lay {
        Lay { page: page.parse().unwrap(), grid: grid.map(|word| word.parse().unwrap()), contact: true }
    }

    fn roll(count: usize, (width, height): (f64, f64), strip: Option<usize>) -> Vec<Frame> {
        let picture = Picture::from_jpeg(grey_jpeg(36, 24)).unwrap();
        let size = (Millimetres::new(width), Millimetres::new(height));
        let on_film = Some(OnFilm { picture: size, exposed: size });
        let frame = |number: usize| Frame {
            name: format!("roll-{number:02}"),
            picture: Some(picture.clone()),
            range: Some(1.18),
            grade: Some("2 1/2".into()),
            strip: strip.map(|every| number / every),
            on_film,
            ..Frame::default()
        };
        (0..count).map(frame).collect()
    }

    fn laid(frames: Vec<Frame>, lay: &Lay) -> Result<Sheet, Error> {
        let part = Part { name: "straight", kind: "straight: one exposure for all".into(), frames };
        let head = Head { title: "Ropewalk".into(), date: "2026-11-25".into(), ..Head::default() };
        proof(&[part], None, &head, lay)
    }

    fn areas(sheet: &Sheet, page: usize) -> Vec<Area> {
        let items = sheet.pages[page].items.iter();
        items
            .filter_map(|item| match item {
                Item::Picture { area, .. } => Some(*area),
                _ => None,
            })
            .collect()
    }

    /// REFERENCES of the trade (arithmetic): 36 frames of 35 mm as 6 x 6 strips need 228 x 210 mm and do not fit 8 x 10 in
    /// paper; 7 strips of 5 need 245 x 190 mm and do.
    #[test]
    fn thirty_six_frames_of_35_mm_go_on_8_by_10_as_seven_strips_of_five_and_not_as_six_of_six() {
        let frames = || roll(36, (36.0, 24.0), None);
        for page in ["8x10", "8x10-landscape"] {
            let told = laid(frames(), &lay(page, Some("6x6"))).unwrap_err().to_string();
            assert!(told.contains("6 strips of 6 frames: that takes 228.0 x 210.0 mm"), "{told}");
        }
        let sheet = laid(frames(), &lay("8x10", Some("5x7"))).unwrap();
        assert_eq!((sheet.pages(), areas(&sheet, 0).len(), areas(&sheet, 1).len()), (2, 35, 1));
        let sheet = laid(frames(), &lay("11x14", None)).unwrap();
        assert_eq!((sheet.pages(), areas(&sheet, 0).len()), (1, 36));
    }

    #[test]
    fn frames_lie_in_their_true_size_at_the_distance_of_the_film() {
        let sheet = laid(roll(35, (36.0, 24.0), None), &lay("8x10", None)).unwrap();
        let areas = areas(&sheet, 0);
        assert_eq!(areas.len(), 35);
        for (number, area) in areas.iter().enumerate() {
            let near = |a: Millimetres, b: f64| (a.value() - b).abs() < 1e-9;
            assert!(near(area.width, 36.0) && near(area.height, 24.0));
            if number % 5 > 0 {
                assert!(near(area.left - areas[number - 1].left, 38.0));
            }
            assert!(area.left.value() > 0.0 && area.right().value() < 203.2 && area.bottom().value() < 254.0);
        }
    }

    /// Four 4x5 sheets fit 8 x 10 in with 3 to 4 mm to spare (arithmetic): the head takes them.
    #[test]
    fn four_sheets_of_4x5_go_on_8_by_10() {
        let sheet = laid(roll(4, (96.0, 120.0), None), &lay("8x10", None)).unwrap();
        assert_eq!((sheet.pages(), areas(&sheet, 0).len()), (1, 4));
        let told = laid(roll(1, (96.0, 120.0), None), &lay("a5-landscape", None));
        assert!(told.is_ok());
        let told = laid(roll(1, (120.0, 170.0), None), &lay("5x7", None)).unwrap_err().to_string();
        assert!(
            told.starts_with("5x7 is too small for one frame in its true size: that takes 126.0 x 176.5 mm"),
            "{told}"
        );
    }

    #[test]
    fn a_strip_of_a_scan_stays_whole_or_is_cut_evenly() {
        let strips = |page: &str| {
            let sheet = laid(roll(12, (36.0, 24.0), Some(6)), &lay(page, None)).unwrap();
            let tops: Vec<f64> = areas(&sheet, 0).iter().map(|area| (area.top.value() * 1e3).round()).collect();
            tops.chunk_by(|a, b| a == b).map(<[f64]>::len).collect::<Vec<_>>()
        };
        assert_eq!(strips("a4-landscape"), [6, 6]);
        assert_eq!(strips("a4"), [3, 3, 3, 3], "six do not go side by side, and stay in halves");
    }

    #[test]
    fn a_size_that_is_not_known_is_no_size() {
        let mut frames = roll(3, (36.0, 24.0), None);
        frames[1].on_film = None;
        let told = laid(frames.clone(), &lay("a4", None)).unwrap_err().to_string();
        assert!(told.starts_with("roll-01: its scan does not say its resolution"), "{told}");
        // A scan that failed has no size either; its place is that of its neighbours.
        frames[1].failed = Some("the file is cut short".into());
        assert_eq!(areas(&laid(frames, &lay("a4", None)).unwrap(), 0).len(), 2);
        assert_eq!(laid(Vec::new(), &lay("a4", None)).unwrap().pages(), 1);
    }

    #[test]
    fn a_frame_that_lies_askew_still_lies_on_its_own_film() {
        let mut frames = roll(1, (120.0, 96.0), None);
        let box_around = (Millimetres::new(124.5), Millimetres::new(101.0));
        frames[0].on_film = frames[0].on_film.map(|on_film| OnFilm { picture: box_around, ..on_film });
        assert_eq!(pieces(&frames).unwrap()[0].size, (Millimetres::new(125.5), Millimetres::new(100.5)));
        let sheet = laid(frames, &lay("a4", None)).unwrap();
        assert_eq!(areas(&sheet, 0)[0].width, box_around.0);
    }
}
