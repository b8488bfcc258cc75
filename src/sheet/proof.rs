//! A proof sheet laid out: every frame of a batch in order, captioned, with a box to mark.

use std::rc::Rc;

use super::area::Area;
use super::caption::{CaptionLine, caption};
use super::contact::contact;
use super::error::Error;
use super::frame::{Frame, Head, Lay, Part};
use super::grid::{DESCENDERS, Grid, GridSize, Laid};
use super::looks::{self, Looks};
use super::mount::mount;
use super::not_shown::{height, told, write};
use super::page::{Item, Page};
use super::page_head::{PageHead, title};
use super::page_size::PageSize;
use super::picture::Picture;
use super::sizes::{INDENT, LINE};
use super::stack::{Place, stack};
use super::{Said, Sheet};
use crate::light::Millimetres;

/// Shape of an empty box where no frame of the batch has a picture: a 4 x 5 sheet, upright.
const SHEET_FILM: f64 = 0.8;

/// What every sheet says at its foot.
const CAVEAT: &str = "densities net of base; judge on a print · marks: ring print, dot hold, stroke skip";

/// Lays out the proof sheets of a batch, part by part, frames in the order given.
///
/// Pages of a part share one grid; a last page with few frames keeps the size of the others. Frames of one strip begin
/// a row of their own. Without frames there is one page, with its head only. Scans that have none are told in lines
/// below the last ones. A contact sheet shows frames in their true size, on their strips. Behind them come the pages of
/// the loupe, where frames were looked at.
///
/// # Errors
/// [`Error::TooSmall`] when the paper does not hold the grid, or by contact a frame; [`Error::SizeUnknown`] when a
/// frame's size on film is not known and is needed.
pub fn proof(parts: &[Part], looks: Option<&Looks>, head: &Head, lay: &Lay) -> Result<Sheet, Error> {
    let laid = |part: &Part| if lay.contact { contact(part, head, lay) } else { in_cells(part, head, lay) };
    let mut pages: Vec<(&'static str, Mounted)> = Vec::new();
    for part in parts {
        pages.extend(laid(part)?.into_iter().map(|page| (part.name, page)));
    }
    pages.extend(looks.into_iter().flat_map(|looks| looks::pages(looks, head)).map(|page| (looks::PART, page)));
    let count = pages.len();
    let page = |(number, (part, mounted)): (usize, (&'static str, Mounted))| Page {
        size: lay.page.into(),
        part: Some(part),
        bookmark: bookmark(&mounted.names, number),
        items: (mounted.items)(number, count),
    };
    Ok(Sheet { title: title(head), said: Said::default(), pages: (1..).zip(pages).map(page).collect() })
}

/// A page whose number is still open.
pub(super) struct Mounted {
    /// What its frames are called.
    pub(super) names: Vec<String>,
    /// All that is on it, told its number and how many there are.
    pub(super) items: Box<dyn FnOnce(usize, usize) -> Vec<Item>>,
}

fn in_cells(part: &Part, head: &Head, lay: &Lay) -> Result<Vec<Mounted>, Error> {
    let head = Rc::new(PageHead::new(&Head { kind: part.kind.clone(), ..head.clone() }, lay.page, CAVEAT));
    let room = head.room();
    let told = told(&part.not_shown, !part.frames.is_empty(), room);
    let for_frames = Area { height: room.height - height(&told), ..room };
    let mut cells = Cells::of(&part.frames, lay, room)?;
    if !cells.end_above(for_frames.bottom()) {
        cells = Cells::of(&part.frames, lay, for_frames)?;
    }
    let last = cells.pages.len() - 1;
    let page = |(page, places): (usize, &Vec<(Place, usize)>)| {
        let (mut names, mut items) = (Vec::new(), Vec::new());
        for (place, number) in places {
            names.push(part.frames[*number].name.clone());
            mount(&mut items, *place, &part.frames[*number], cells.captions[*number].clone());
        }
        if page == last {
            write(&mut items, room, &told);
        }
        let head = Rc::clone(&head);
        Mounted { names, items: Box::new(move |page, pages| [head.items(Some((page, pages))), items].concat()) }
    };
    Ok(cells.pages.iter().enumerate().map(page).collect())
}

/// Frames placed on pages.
struct Cells {
    /// Of each page its frames by their numbers, and where they go; at least one page.
    pages: Vec<Vec<(Place, usize)>>,
    /// Of each frame.
    captions: Vec<Vec<CaptionLine>>,
}

impl Cells {
    /// On pages that have this room.
    fn of(frames: &[Frame], lay: &Lay, room: Area) -> Result<Self, Error> {
        let shapes = shapes(frames);
        let captions =
            |room: Millimetres| -> Vec<Vec<CaptionLine>> { frames.iter().map(|frame| caption(frame, room)).collect() };
        let lines = |room| captions(room).iter().map(Vec::len).collect::<Vec<usize>>();
        let laid = Laid { shapes: &shapes, strips: &strips(frames), captions: &lines };
        let grid = match lay.grid {
            None => Grid::choose(&laid, room),
            Some(size) => Grid::given(size, &laid, room).map_err(|still| too_small(lay.page, size, still))?,
        };
        let slots = laid.slots(grid.columns);
        let captions = captions(grid.column - INDENT);
        let of_slots: Vec<Option<f64>> = slots.iter().map(|slot| slot.map(|frame| shapes[frame])).collect();
        let lines: Vec<usize> = slots.iter().map(|slot| slot.map_or(0, |frame| captions[frame].len())).collect();
        let mut slots = slots.into_iter();
        let on_page = |places: Vec<Option<Place>>| {
            places.into_iter().zip(slots.by_ref()).filter_map(|(place, slot)| Some((place?, slot?))).collect()
        };
        let mut pages: Vec<_> = stack(&grid, room, &of_slots, &lines).into_iter().map(on_page).collect();
        if pages.is_empty() {
            pages.push(Vec::new());
        }
        Ok(Self { pages, captions })
    }

    /// Whether all captions of the last page stand above a line.
    fn end_above(&self, line: Millimetres) -> bool {
        let last = |(place, frame): &(Place, usize)| {
            place.baseline + LINE * (self.captions[*frame].len().max(1) - 1) as f64 + LINE * DESCENDERS
        };
        self.pages.last().into_iter().flatten().all(|cell| last(cell) <= line)
    }
}

fn too_small(page: PageSize, size: GridSize, still: GridSize) -> Error {
    let what = "with captions that can be read";
    Error::TooSmall(format!("{page} is too small for a grid of {size}: {still} still goes on it, {what}"))
}

/// How many frames lie on each strip of film; single frames one after another count as one.
fn strips(frames: &[Frame]) -> Vec<usize> {
    frames.chunk_by(|a, b| a.strip == b.strip).map(<[Frame]>::len).collect()
}

/// Every frame's shape; one without a picture takes the shape most usual among its neighbours, within reason.
fn shapes(frames: &[Frame]) -> Vec<f64> {
    let mut known: Vec<f64> = frames.iter().filter_map(Frame::shown).map(Picture::shape).collect();
    known.sort_by(f64::total_cmp);
    let usual = known.get(known.len() / 2).copied().unwrap_or(SHEET_FILM);
    // A box has room for words whatever strip its neighbours are: no narrower or flatter than 24 x 36 mm.
    let usual = usual.clamp(24.0 / 36.0, 36.0 / 24.0);
    frames.iter().map(|frame| frame.shown().map_or(usual, Picture::shape)).collect()
}

/// "2: ropewalk-13 to ropewalk-24".
fn bookmark(names: &[String], number: usize) -> String {
    match names {
        [] => format!("{number}"),
        [only] => format!("{number}: {only}"),
        [first, .., last] => format!("{number}: {first} to {last}"),
    }
}

#[cfg(test)]
pub(super) mod tests {
    use std::sync::Arc;

    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, GrayImage};
    use proptest::prelude::{Strategy, any, prop_assert, prop_assert_eq, prop_oneof, proptest};
    use proptest::{collection, option};

    use super::super::area::Area;
    use super::{Error, Frame, GridSize, Head, Item, Lay, Millimetres, Page, PageSize, Part, Picture, Sheet, proof};
    use crate::sheet::{NotShown, Pencil};

    const SIZES: [PageSize; 3] = [PageSize::A4, PageSize::LETTER, PageSize::EIGHT_BY_TEN];

    fn part(frames: &[Frame], head: &Head) -> Part {
        Part { name: "graded", kind: head.kind.clone(), frames: frames.to_vec(), not_shown: Vec::new() }
    }

    /// A sheet of one part, its grid chosen.
    pub(in crate::sheet) fn graded(frames: &[Frame], head: &Head, page: PageSize) -> Sheet {
        let lay = Lay { page, grid: None, contact: false };
        proof(&[part(frames, head)], None, head, &lay).expect("a grid is chosen")
    }

    fn picture(width: u32, height: u32) -> Picture {
        let mut bytes = Vec::new();
        DynamicImage::ImageLuma8(GrayImage::new(width, height))
            .write_with_encoder(JpegEncoder::new(&mut bytes))
            .expect("encodes");
        Picture::from_jpeg(bytes).expect("is grey")
    }

    fn frames(count: usize, width: u32, height: u32) -> Vec<Frame> {
        (1..=count)
            .map(|number| Frame {
                name: format!("ropewalk-{number:02}"),
                picture: Some(picture(width, height)),
                base: Some(0.23),
                range: Some(1.18),
                grade: Some("2 1/2".into()),
                ..Frame::default()
            })
            .collect()
    }

    fn head() -> Head {
        Head {
            title: "Ropewalk, October".into(),
            date: "25 November 2026".into(),
            kind: "each in its own grade".into(),
            paper_and_table: "neutral glossy · grades after ANSI PH2.2-1966 band middles".into(),
            densities: "scanner densities".into(),
        }
    }

    fn pictures(page: &Page) -> Vec<(Area, &Picture)> {
        let items = page.items.iter();
        items
            .filter_map(|item| match item {
                Item::Picture { area, picture } => Some((*area, picture)),
                _ => None,
            })
            .collect()
    }

    /// Areas of the lines of text, from the ascenders' to the descenders' edge (Inter: 0.76 and 0.21 em, measured on
    /// "b" and "p").
    fn texts(page: &Page) -> Vec<Area> {
        let items = page.items.iter();
        items
            .filter_map(|item| match item {
                Item::Text(run) => Some(Area {
                    left: run.left,
                    top: run.baseline - run.size * 0.76,
                    width: run.face.length(&run.text, run.size),
                    height: run.size * 0.97,
                }),
                _ => None,
            })
            .collect()
    }

    /// Keylines and marks.
    fn outlines(page: &Page) -> Vec<Area> {
        let items = page.items.iter();
        items
            .filter_map(|item| match item {
                Item::Outline { area, .. } => Some(*area),
                _ => None,
            })
            .collect()
    }

    /// Lengths nearer than this are the same: a micrometre.
    const NEAR: Millimetres = Millimetres::new(0.001);

    fn inside(inner: Area, outer: Area) -> bool {
        let outer = outer.grown(NEAR);
        inner.left >= outer.left
            && inner.top >= outer.top
            && inner.right() <= outer.right()
            && inner.bottom() <= outer.bottom()
    }

    fn apart(one: Area, other: Area) -> bool {
        let one = one.grown(NEAR * -1.0);
        one.right() <= other.left || other.right() <= one.left || one.bottom() <= other.top || other.bottom() <= one.top
    }

    /// Nothing lies over anything else, except the reason inside an empty box; nothing reaches into the margins.
    fn check_page(page: &Page) -> Result<(), String> {
        // Half an inch of margin; the foot's descenders and the keylines hang into it by a hair.
        let margin = Millimetres::new(12.7 - 0.6);
        let paper = Area {
            left: Millimetres::default(),
            top: Millimetres::default(),
            width: page.size.width,
            height: page.size.height,
        };
        let live = paper.grown(margin * -1.0);
        let (texts, outlines) = (texts(page), outlines(page));
        for area in texts.iter().chain(&outlines) {
            if !inside(*area, live) {
                return Err(format!("{area:?} is in the margin"));
            }
        }
        for (at, one) in texts.iter().enumerate() {
            for other in &texts[at + 1..] {
                if !apart(*one, *other) {
                    return Err(format!("text {one:?} over text {other:?}"));
                }
            }
            for other in &outlines {
                if !apart(*one, *other) && !inside(*one, *other) {
                    return Err(format!("text {one:?} across {other:?}"));
                }
            }
        }
        for (at, one) in outlines.iter().enumerate() {
            for other in &outlines[at + 1..] {
                if !apart(*one, *other) {
                    return Err(format!("{one:?} over {other:?}"));
                }
            }
        }
        Ok(())
    }

    fn check(sheet: &Sheet, frames: &[Frame]) -> Result<(), String> {
        for page in &sheet.pages {
            check_page(page)?;
            // One keyline and one mark a frame.
            if outlines(page).len() > 2 * 20 {
                return Err("more than 20 frames on a page".into());
            }
        }
        let placed: Vec<&Picture> = sheet.pages.iter().flat_map(pictures).map(|(_, picture)| picture).collect();
        let given: Vec<&Picture> =
            frames.iter().filter(|frame| frame.failed.is_none()).filter_map(|frame| frame.picture.as_ref()).collect();
        let same = |(one, other): (&&Picture, &&Picture)| Arc::ptr_eq(one.stand_in(), other.stand_in());
        if placed.len() != given.len() || !placed.iter().zip(&given).all(same) {
            return Err("not every picture once, in order".into());
        }
        let boxes: usize = sheet.pages.iter().map(|page| outlines(page).len()).sum();
        if boxes != 2 * frames.len() {
            return Err(format!("{boxes} boxes for {} frames", frames.len()));
        }
        Ok(())
    }

    #[test]
    fn every_count_of_every_usual_film_shape_fits_every_page_size() {
        for size in SIZES {
            for (width, height) in [(4, 5), (5, 4), (6, 6), (6, 7), (9, 6), (36, 24)] {
                for count in [1, 2, 3, 5, 6, 7, 12, 13, 20, 21, 24, 36, 40, 41, 100] {
                    let frames = frames(count, width * 8, height * 8);
                    let sheet = graded(&frames, &head(), size);
                    check(&sheet, &frames)
                        .unwrap_or_else(|wrong| panic!("{count} of {width}x{height} on {size:?}: {wrong}"));
                }
            }
        }
    }

    #[test]
    fn the_last_page_shows_its_frames_no_larger_than_the_others() {
        let frames = frames(25, 40, 50);
        let sheet = graded(&frames, &head(), PageSize::A4);
        let first = pictures(&sheet.pages[0])[0].0;
        for page in &sheet.pages {
            for (area, _) in pictures(page) {
                assert!((area.width / first.width - 1.0).abs() < 1e-9);
                assert!((area.height / first.height - 1.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_picture_keeps_its_shape() {
        for (width, height) in [(40, 50), (10, 600), (600, 10), (1, 1)] {
            let sheet = graded(&frames(3, width, height), &head(), PageSize::A4);
            for (area, picture) in pictures(&sheet.pages[0]) {
                let drawn = area.width / area.height;
                assert!((drawn / picture.shape() - 1.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn captions_of_a_page_stand_on_one_grid_of_lines() {
        let mut frames = frames(9, 40, 50);
        frames[1].picture = Some(picture(50, 40));
        frames[4].flags = vec!["dense end in noise".into()];
        let sheet = graded(&frames, &head(), PageSize::LETTER);
        // After the head: title, page, kind, facts, rule, foot.
        for item in &sheet.pages[0].items[6..] {
            if let Item::Text(run) = item {
                let lines = run.baseline / Millimetres::from_points(9.0);
                let from_title = lines - 5.0 - 1.5;
                assert!((from_title * 2.0 - (from_title * 2.0).round()).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn two_parts_are_one_sheet_with_pages_counted_through_and_bookmarks_below_theirs() {
        let frames = frames(25, 40, 50);
        let parts =
            ["straight", "graded"].map(|name| Part { kind: format!("{name}: all"), name, ..part(&frames, &head()) });
        let sheet =
            proof(&parts, None, &head(), &Lay { page: PageSize::A4, grid: None, contact: false }).expect("lays");
        let half = sheet.pages() / 2;
        let said =
            |page: &Page, what: &str| page.items.iter().any(|item| matches!(item, Item::Text(run) if run.text == what));
        for (at, page) in sheet.pages.iter().enumerate() {
            let name = if at < half { "straight" } else { "graded" };
            assert_eq!(page.part, Some(name));
            assert!(said(page, &format!("{name}: all")), "each page says which it is");
            assert!(said(page, &format!("page {} of {}", at + 1, 2 * half)));
        }
        // The same picture on both is in the file once.
        let pdf = sheet.pdf().expect("writes");
        let count = |part: &[u8]| pdf.windows(part.len()).filter(|window| *window == part).count();
        assert_eq!((count(b"/DCTDecode"), count(b"/Title(straight)"), count(b"/Title(graded)")), (1, 1, 1));
    }

    #[test]
    fn a_given_grid_is_kept_and_one_that_is_too_fine_is_refused_with_one_that_goes() {
        let frames = frames(30, 40, 50);
        let lay = |columns, rows| Lay { page: PageSize::A4, grid: Some(GridSize { columns, rows }), contact: false };
        let sheet = proof(&[part(&frames, &head())], None, &head(), &lay(3, 3)).expect("lays");
        assert_eq!((sheet.pages(), pictures(&sheet.pages[0]).len()), (4, 9));
        check(&sheet, &frames).expect("all placed");
        let told = proof(&[part(&frames, &head())], None, &head(), &lay(20, 20)).expect_err("too fine").to_string();
        assert!(told.starts_with("a4 is too small for a grid of 20x20: 7x7 still goes"), "{told}");
        let error = proof(&[part(&frames, &head())], None, &head(), &lay(8, 2)).expect_err("too fine");
        assert!(matches!(error, Error::TooSmall(_)));
    }

    #[test]
    fn frames_of_a_strip_stand_in_rows_of_their_own() {
        let mut frames = frames(10, 36, 24);
        frames.iter_mut().enumerate().for_each(|(at, frame)| frame.strip = Some(at / 5));
        let sheet = graded(&frames, &head(), PageSize::A4);
        check(&sheet, &frames).expect("all placed");
        let tops: Vec<f64> = sheet.pages.iter().flat_map(pictures).map(|(area, _)| area.top.value()).collect();
        assert!((tops[4] - tops[5]).abs() > 1.0, "the second strip begins below the first: {tops:?}");
    }

    #[test]
    fn an_empty_batch_is_one_page() {
        let sheet = graded(&[], &Head::default(), PageSize::A4);
        assert_eq!(sheet.pages(), 1);
        check(&sheet, &[]).expect("head and foot only");
    }

    #[test]
    fn five_hundred_frames_are_laid_out_whole() {
        let one = picture(40, 50);
        let frames: Vec<Frame> = (0..500)
            .map(|number| Frame { name: format!("{number}"), picture: Some(one.clone()), ..Frame::default() })
            .collect();
        for size in SIZES {
            check(&graded(&frames, &head(), size), &frames).expect("all placed");
        }
    }

    fn odd_frame() -> impl Strategy<Value = Frame> {
        let text = || prop_oneof![any::<String>(), "[a-z ,-]{0,80}", "[a-z]{200}"];
        let shape = prop_oneof![(1..9u32, 1..9u32), (1..3u32, 1..300u32), (1..300u32, 1..3u32)];
        (
            text(),
            option::weighted(0.8, shape),
            option::of(text()),
            option::of(any::<f64>()),
            option::of(-9.0..9.0f64),
            option::of("[0-9/ ]{0,30}"),
            collection::vec(text(), 0..9),
            option::weighted(0.1, text()),
            (option::of(text()), option::of(text()), option::of(0..3usize), option::of(0..4usize)),
        )
            .prop_map(
                |(name, shape, called, base, range, grade, flags, failed, (date, remark, mark, strip))| Frame {
                    date,
                    remark,
                    mark: mark.map(|mark| [Pencil::Ring, Pencil::Dot, Pencil::Stroke][mark]),
                    strip,
                    on_film: None,
                    printed: flags.clone(),
                    name,
                    picture: shape.map(|(width, height)| picture(width, height)),
                    called,
                    base,
                    range,
                    grade,
                    flags,
                    failed,
                },
            )
    }

    proptest! {
        #[test]
        fn whatever_the_frames_they_are_placed_once_in_order_and_apart(
            frames in collection::vec(odd_frame(), 0..45),
            title in any::<String>(),
            kind in "[a-zé ·]{0,300}",
            not_shown in collection::vec(("[a-z]{1,20}.tif", any::<String>()), 0..20),
            size in 0..3usize,
        ) {
            let head = Head { title, kind, ..head() };
            let not_shown = not_shown.into_iter().map(|(file, why)| NotShown { file, why }).collect();
            let part = Part { not_shown, ..part(&frames, &head) };
            let lay = Lay { page: SIZES[size], grid: None, contact: false };
            let sheet = proof(&[part], None, &head, &lay).expect("a grid is chosen");
            prop_assert_eq!(check(&sheet, &frames), Ok(()));
            prop_assert!(sheet.pages() <= frames.len().max(1));
        }

        #[test]
        fn whatever_the_frames_both_backends_draw_them(
            frames in collection::vec(odd_frame(), 0..6),
        ) {
            let sheet = graded(&frames, &head(), PageSize::EIGHT_BY_TEN);
            prop_assert!(sheet.pdf().is_ok());
            let page = sheet.raster(0, crate::light::PixelsPerInch::new(20.0).expect("above 0")).expect("draws");
            prop_assert_eq!(page.dimensions(), (160, 200));
        }
    }
}
