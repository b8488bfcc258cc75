//! Frames in their true size on the film that they lie on, as on a contact sheet.

mod block;
mod film;
mod margins;
mod on_film;

use super::area::Area;
use super::error::Error;
use super::frame::{Frame, Head, Lay, Part};
use super::page::Item;
use super::page_size::PageSize;
use super::proof::Mounted;
use block::{Block, gap_across};
use film::{Row, high, on_pages};
use margins::Margins;
use on_film::{FILM, lay_frame};

/// Lays out the pages of a part, strips of film from left to right and from top to bottom.
///
/// # Errors
/// When the paper does not hold a frame, or the grid, with one that does; or a size on film is not known.
pub(super) fn contact(part: &Part, head: &Head, lay: &Lay) -> Result<Vec<Mounted>, Error> {
    let mut pages = on_pages(&part.frames, lay)?;
    if pages.is_empty() {
        pages.push(Vec::new());
    }
    let block = Block::of(&pages, lay.page);
    let margins = Margins::new(part, head, lay.page, block);
    let mount = |rows: Vec<Row>| {
        let mut items = draw(&rows, &part.frames, &block, lay.page);
        let on_page = rows.iter().flatten().flat_map(|strip| strip.first..strip.first + strip.count);
        let names = on_page.map(|number| part.frames[number].name.clone()).collect();
        let margins = margins.clone();
        let items = move |page, pages| {
            items.extend(margins.items(page, pages));
            items
        };
        Mounted { names, items: Box::new(items) }
    };
    Ok(pages.into_iter().map(mount).collect())
}

/// All strips of a page.
fn draw(rows: &[Row], frames: &[Frame], block: &Block, page: PageSize) -> Vec<Item> {
    let mut items = Vec::new();
    let mut y = block.top;
    for row in rows {
        let mut x = block.left;
        for strip in row {
            let (wide, tall) = strip.size();
            items.push(Item::Fill { area: Area { left: x, top: y, width: wide, height: tall }, ink: FILM });
            for number in 0..strip.count {
                lay_frame(&mut items, strip.piece((x, y), number), &frames[strip.first + number]);
            }
            x += wide + gap_across(row, page);
        }
        y += high(row) + block.gap;
    }
    items
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Millimetres;
    use crate::sheet::apart::assert_apart;
    use crate::sheet::area::Area;
    use crate::sheet::page::{Ink, TextRun};
    use crate::sheet::picture::Picture;
    use crate::sheet::picture::tests::grey_jpeg;
    use crate::sheet::{OnFilm, Sheet, proof};

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
        let part =
            Part { name: "straight", kind: "straight: one exposure for all".into(), frames, not_shown: Vec::new() };
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

    /// REFERENCES of the trade (arithmetic): 36 frames of 35 mm as 6 x 6 strips need 228 x 210 mm and do not fit 8 x 10
    /// in paper; 7 strips of 5 need 245 x 190 mm and do.
    #[test]
    fn thirty_six_frames_of_35_mm_go_on_8_by_10_as_seven_strips_of_five_and_not_as_six_of_six() {
        let frames = || roll(36, (36.0, 24.0), None);
        for page in ["8x10", "8x10-landscape"] {
            let told = laid(frames(), &lay(page, Some("6x6"))).unwrap_err().to_string();
            assert!(told.contains("6 strips of 6 frames: that takes 228.0 x 210.0 mm"), "{told}");
            assert!(told.ends_with("use --page letter-landscape"), "{told}");
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

    /// The words above the pictures of a page, in lines.
    fn head_of(sheet: &Sheet, page: usize) -> Vec<TextRun> {
        let top = areas(sheet, page).iter().map(|area| area.top.value()).fold(f64::INFINITY, f64::min);
        texts(sheet, page).into_iter().filter(|run| run.baseline.value() < top && run.ink == Ink(0)).collect()
    }

    /// All that a batch says of how it was printed; where head and film leave room it takes two or three lines, else
    /// fewer words. The table of grades is always named.
    #[test]
    fn the_head_says_all_that_it_has_to_say() {
        let head = Head {
            title: "Ropewalk".into(),
            date: "2026-11-26".into(),
            paper_and_table: "neutral glossy \u{b7} grades after ANSI PH2.2-1966 band middles".into(),
            densities: "scanner densities".into(),
            ..Head::default()
        };
        let kind = "straight: nothing levelled, each from its own film base as the paper's black in grade 2".to_owned();
        let part = |frames| Part { name: "straight", kind: kind.clone(), frames, not_shown: Vec::new() };
        let square = part(roll(6, (56.0, 56.0), None));
        let four = part(roll(4, (96.0, 120.0), None));
        // Two lying sheets of 4x5 leave 6 mm of A5 (arithmetic).
        let two = part(roll(2, (120.0, 96.0), None));
        let cases = [
            (&square, "a4", true),
            (&square, "letter", true),
            (&square, "a4-landscape", true),
            (&square, "a5", true),
            (&four, "8x10", false),
            (&two, "a5", false),
        ];
        for (part, page, all) in cases {
            let sheet = proof(std::slice::from_ref(part), None, &head, &lay(page, None)).unwrap();
            let lines = head_of(&sheet, 0);
            let text = lines.iter().map(|run| run.text.as_str()).collect::<Vec<_>>().join(" ");
            assert!(!text.contains('\u{2026}') && text.contains("band middles"), "{page}: {text}");
            assert_eq!(text.contains("nothing levelled") && text.contains("scanner densities"), all, "{page}: {text}");
            if all {
                assert!(
                    lines.iter().all(|run| (run.baseline - run.size).value() > 2.0),
                    "{page}: beyond what is printed"
                );
            }
        }
    }

    /// What else is told gives way to a title, and the grade to nothing.
    #[test]
    fn a_frame_has_its_title_and_its_date_beside_its_name_and_never_at_the_cost_of_its_grade() {
        let title = "The Long Walk, Looking East from the Hackling Loft";
        for size in [(36.0, 24.0), (24.0, 36.0), (56.0, 41.5), (41.5, 56.0), (56.0, 56.0), (96.0, 120.0)] {
            for (called, name) in [(title, "roll"), ("Tar", "ropewalk-store-room-east-window-second-sheet-014")] {
                let mut frames = roll(1, size, None);
                frames[0].name = name.to_owned();
                frames[0].called = Some(called.to_owned());
                frames[0].date = Some("2026-03-14".to_owned());
                frames[0].grade = Some("2 1/2, +1/3 stop".to_owned());
                frames[0].flags = vec!["base unlike batch".to_owned(), "range beyond grades".to_owned()];
                let sheet = laid(frames, &lay("a4", None)).unwrap();
                let words: Vec<String> = texts(&sheet, 0).into_iter().map(|run| run.text).collect();
                let begun: String = called.chars().take(3).collect();
                assert!(words.iter().any(|words| words.starts_with(&begun)), "{size:?}: {words:?}");
                assert!(
                    words.iter().any(|words| words.ends_with("grade 2\u{bd}, +\u{b9}\u{2044}\u{2083} stop")),
                    "{size:?}: {words:?}"
                );
                // An upright frame of 35 mm leaves less film along its side than words need: there they stand on its
                // edge.
                if size != (24.0, 36.0) {
                    sheet.pages.iter().for_each(|page| assert_apart(page, &format!("{size:?} {name}")));
                }
            }
        }
        let mut frames = roll(1, (96.0, 120.0), None);
        frames[0].called = Some(title.to_owned());
        frames[0].date = Some("2026-03-14".to_owned());
        let sheet = laid(frames, &lay("a4", None)).unwrap();
        assert!(
            texts(&sheet, 0).iter().any(|run| run.text == format!("{title}, 2026-03-14")),
            "a sheet of 4x5 has room"
        );
    }

    /// What the flags of a narrow frame say has no room beside its title; that there are some has. And half a date is none.
    #[test]
    fn a_frame_says_that_it_has_flags_and_cuts_no_date() {
        let mut frames = roll(2, (36.0, 24.0), None);
        frames.iter_mut().for_each(|frame| frame.date = Some("2026-03-14".to_owned()));
        frames[0].name = "a-roll-with-a-long-name-01".to_owned();
        frames[0].flags = vec!["range beyond grades".to_owned(), "base unlike batch".to_owned()];
        let sheet = laid(frames, &lay("a4", None)).unwrap();
        let said = texts(&sheet, 0);
        assert_eq!(said.iter().filter(|run| run.text.ends_with(" !")).count(), 1);
        let is_date = |run: &&TextRun| run.text.starts_with("202");
        assert!(said.iter().filter(is_date).all(|run| run.text == "2026-03-14"), "{said:?}");
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
        let pages = on_pages(&frames, &lay("a4", None)).unwrap();
        assert_eq!(pages[0][0][0].size(), (Millimetres::new(125.5), Millimetres::new(100.5)));
        let sheet = laid(frames, &lay("a4", None)).unwrap();
        assert_eq!(areas(&sheet, 0)[0].width, box_around.0);
    }

    /// Strips of six are cut where that saves a page: 24 frames are five strips of five on 8 x 10 in, and eight of
    /// three are not.
    #[test]
    fn strips_that_are_too_long_are_cut_anew_where_that_saves_a_page() {
        let sheet = laid(roll(24, (36.0, 24.0), Some(6)), &lay("8x10", None)).unwrap();
        assert_eq!((sheet.pages(), areas(&sheet, 0).len()), (1, 24));
        let sheet = laid(roll(36, (36.0, 24.0), Some(6)), &lay("8x10", Some("5x7"))).unwrap();
        assert_eq!((areas(&sheet, 0).len(), areas(&sheet, 1).len()), (35, 1), "a grid is filled");
    }

    fn texts(sheet: &Sheet, page: usize) -> Vec<TextRun> {
        let items = sheet.pages[page].items.iter();
        items
            .filter_map(|item| match item {
                Item::Text(run) => Some(run.clone()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn the_grade_is_never_cut_off_and_the_page_says_how_to_print_it() {
        for size in [(36.0, 24.0), (24.0, 36.0), (56.0, 41.5), (96.0, 120.0)] {
            let mut frames = roll(4, size, None);
            frames.iter_mut().for_each(|frame| frame.base = Some(0.23));
            for page in ["8x10", "a4", "a3"] {
                let sheet = laid(frames.clone(), &lay(page, None)).unwrap();
                let words: Vec<String> = texts(&sheet, 0).into_iter().map(|run| run.text).collect();
                assert_eq!(words.iter().filter(|words| words.ends_with("grade 2\u{bd}")).count(), 4, "{words:?}");
                assert!(words.iter().any(|words| words.contains("print at 100 %")), "{words:?}");
            }
        }
    }

    #[test]
    fn boxes_lie_beside_pictures_and_the_strips_in_the_middle() {
        for (count, size, page) in [(4, (96.0, 120.0), "8x10"), (35, (36.0, 24.0), "8x10"), (12, (56.0, 56.0), "a4")] {
            let sheet = laid(roll(count, size, None), &lay(page, None)).unwrap();
            let pictures = areas(&sheet, 0);
            let boxes = sheet.pages[0].items.iter().filter_map(|item| match item {
                Item::Outline { area, .. } => Some(*area),
                _ => None,
            });
            let over = |a: &Area, b: &Area| {
                a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom()
            };
            assert!(boxes.into_iter().all(|mark| pictures.iter().all(|picture| !over(&mark, picture))), "{page}");
            let left = pictures.iter().map(|area| area.left).reduce(Millimetres::min).unwrap();
            let right = pictures.iter().map(|area| area.right()).reduce(Millimetres::max).unwrap();
            let width = sheet.pages[0].size.width;
            assert!((left.value() - (width - right).value()).abs() < 2.0, "{page}: {left:?} {right:?}");
        }
        // Where there is room, head and foot stand as on all sheets.
        let sheet = laid(roll(5, (36.0, 24.0), None), &lay("a4", None)).unwrap();
        let lines: Vec<f64> = texts(&sheet, 0).iter().map(|run| run.baseline.value()).collect();
        let (first, last) = lines.iter().fold((f64::MAX, 0.0f64), |(a, b), line| (a.min(*line), b.max(*line)));
        assert!(first > 12.7 && 297.0 - last > 12.4, "{first} {last}");
    }
}
