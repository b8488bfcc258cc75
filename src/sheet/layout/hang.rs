//! Where each print hangs: rows on a sheet or along a roll, in whole pixels.

use super::super::page::Sides;
use super::{LayoutPaper, Misfit, Stand, Wished};
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::Size;

/// A print with what stands below it.
#[derive(Clone, Copy)]
pub(super) struct Block {
    /// In pixels.
    pub(super) size: Size,
    /// Room for its caption.
    pub(super) below: Millimetres,
}

/// A print in its place, in pixels of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Hung {
    pub(super) left: u32,
    pub(super) top: u32,
    pub(super) size: Size,
}

/// All of them on the page.
#[derive(Debug)]
pub(super) struct Wall {
    pub(super) sides: Sides,
    /// The page in pixels.
    pub(super) size: Size,
    pub(super) places: Vec<Hung>,
}

/// The foot is so many times the head where prints are raised (common practice: a fifth wider).
const FOOT: f64 = 1.2;

/// Rows of prints, in pixels.
struct Rows {
    rows: Vec<Row>,
    width: u32,
    height: u32,
}

struct Row {
    blocks: std::ops::Range<usize>,
    width: u32,
    /// The highest print, and all with captions.
    prints: u32,
    height: u32,
}

/// Hangs the prints.
pub(super) fn hang(blocks: &[Block], wished: &Wished) -> Result<Wall, Misfit> {
    let margin = pixels(wished.margin, wished.ppi);
    match &wished.paper {
        LayoutPaper::Roll(width) => {
            let across = sheet_pixels(*width, wished.ppi);
            let rows = rows(blocks, across, wished).ok_or_else(|| too_small(blocks, wished))?;
            let foot = if wished.stand == Stand::Raised { (f64::from(margin) * FOOT).round() as u32 } else { margin };
            let down = margin + rows.height + foot;
            let height = Millimetres::of_pixels(f64::from(down), wished.ppi);
            let size = Size { width: across, height: down };
            Ok(Wall {
                sides: Sides { width: *width, height },
                size,
                places: places(blocks, &rows, size, margin, wished),
            })
        }
        LayoutPaper::Sheet(_, width, height) => {
            let ways = [(*width, *height), (*height, *width)];
            let fitting = ways.into_iter().filter_map(|way| on_sheet(blocks, way, wished));
            // The first of two that leave the same.
            let best = fitting.reduce(|best, other| if other.0 > best.0 { other } else { best });
            let (_, sides, rows) = best.ok_or_else(|| too_small(blocks, wished))?;
            let size =
                Size { width: sheet_pixels(sides.width, wished.ppi), height: sheet_pixels(sides.height, wished.ppi) };
            let left_over = size.height - rows.height;
            let head = match wished.stand {
                Stand::Centred => left_over / 2,
                Stand::Raised => ((f64::from(left_over) / (1.0 + FOOT)).round() as u32).max(margin),
            };
            Ok(Wall { sides, size, places: places(blocks, &rows, size, head, wished) })
        }
    }
}

/// The rows on a sheet that lies this way, and the least white that they leave around them; nothing if they do not fit.
fn on_sheet(
    blocks: &[Block],
    (width, height): (Millimetres, Millimetres),
    wished: &Wished,
) -> Option<(u32, Sides, Rows)> {
    let (across, down) = (sheet_pixels(width, wished.ppi), sheet_pixels(height, wished.ppi));
    let margin = pixels(wished.margin, wished.ppi);
    let rows = rows(blocks, across, wished)?;
    let white = (across - rows.width).min(down.checked_sub(rows.height)?);
    (white >= 2 * margin).then_some((white, Sides { width, height }, rows))
}

/// As many beside one another as a paper of this width holds; nothing if one of them is too wide for it.
fn rows(blocks: &[Block], across: u32, wished: &Wished) -> Option<Rows> {
    let (margin, gap) = (pixels(wished.margin, wished.ppi), pixels(wished.gap, wished.ppi));
    let room = across.checked_sub(2 * margin)?;
    let mut rows: Vec<Row> = Vec::new();
    for (i, Block { size, below }) in blocks.iter().enumerate() {
        if size.width > room {
            return None;
        }
        let below = pixels(*below, wished.ppi);
        match rows.last_mut().filter(|row| row.width + gap + size.width <= room) {
            Some(row) => {
                let captions = (row.height - row.prints).max(below);
                row.blocks.end = i + 1;
                row.width += gap + size.width;
                row.prints = row.prints.max(size.height);
                row.height = row.prints + captions;
            }
            None => {
                let (prints, height) = (size.height, size.height + below);
                rows.push(Row { blocks: i..i + 1, width: size.width, prints, height });
            }
        }
    }
    let width = rows.iter().map(|row| row.width).max().unwrap_or_default();
    let gaps = gap * rows.len().saturating_sub(1) as u32;
    let height = rows.iter().map(|row| row.height).sum::<u32>() + gaps;
    Some(Rows { rows, width, height })
}

/// Each row in the middle of the page, its prints standing on one line.
fn places(blocks: &[Block], rows: &Rows, page: Size, head: u32, wished: &Wished) -> Vec<Hung> {
    let gap = pixels(wished.gap, wished.ppi);
    let (mut places, mut top) = (Vec::new(), head);
    for row in &rows.rows {
        let mut left = (page.width - row.width) / 2;
        for Block { size, .. } in &blocks[row.blocks.clone()] {
            places.push(Hung { left, top: top + row.prints - size.height, size: *size });
            left += size.width + gap;
        }
        top += row.height + gap;
    }
    places
}

/// What would do: the smallest sheet with a name that holds them all, or a size.
fn too_small(blocks: &[Block], wished: &Wished) -> Misfit {
    let margin = pixels(wished.margin, wished.ppi);
    let widest = blocks.iter().map(|block| block.size.width).max().unwrap_or_default() + 2 * margin;
    let own = match &wished.paper {
        LayoutPaper::Sheet(_, width, height) => vec![*width, *height],
        LayoutPaper::Roll(width) => vec![*width],
    };
    let own = own.into_iter().map(|side| sheet_pixels(side, wished.ppi));
    let takes = own.chain([widest]).filter_map(|across| {
        let rows = rows(blocks, across, wished)?;
        Some((across.max(rows.width + 2 * margin), rows.height + 2 * margin))
    });
    let (width, height) = takes.min_by_key(|(w, h)| u64::from(*w) * u64::from(*h)).unwrap_or_default();
    let takes = (width, height);
    let takes = [takes.0, takes.1].map(|side| Millimetres::of_pixels(f64::from(side), wished.ppi));
    let holds = |paper: &LayoutPaper| match paper {
        LayoutPaper::Sheet(_, w, h) => {
            [(*w, *h), (*h, *w)].into_iter().any(|way| on_sheet(blocks, way, wished).is_some())
        }
        LayoutPaper::Roll(_) => false,
    };
    // One that is longer one way and no larger is no help to who has the other.
    let area = |paper: &LayoutPaper| match paper {
        LayoutPaper::Sheet(_, w, h) => w.value() * h.value(),
        LayoutPaper::Roll(_) => 0.0,
    };
    let larger = |paper: &LayoutPaper| area(paper) > area(&wished.paper) && holds(paper);
    let across = format!("{:.0} cm", (takes[0].value() / 10.0).ceil());
    let instead = match (LayoutPaper::sheets().find(larger), &wished.paper) {
        (Some(sheet), LayoutPaper::Sheet(..)) => format!("use --page {sheet}"),
        (_, LayoutPaper::Roll(_)) => format!("use a roll of {across} or wider"),
        (None, _) => format!("use --page with such a size, a --roll of {across} or wider, or lay fewer at a time"),
    };
    Misfit::Small { paper: wished.paper.to_string(), takes: takes.into(), instead }
}

/// A length in whole pixels, rounded up: no white is less than was asked for.
fn pixels(length: Millimetres, ppi: PixelsPerInch) -> u32 {
    (length.pixels(ppi) - 1e-6).ceil().max(0.0) as u32
}

/// A side of a paper in whole pixels, at least one.
fn sheet_pixels(side: Millimetres, ppi: PixelsPerInch) -> u32 {
    side.pixels(ppi).round().max(1.0) as u32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{prop_assert, proptest};
    use proptest::{collection, sample};

    use super::*;

    fn wished(paper: &str, margin: f64, gap: f64) -> Wished {
        Wished {
            paper: paper.parse().unwrap(),
            ppi: PixelsPerInch::new(254.0).unwrap(),
            margin: Millimetres::new(margin),
            gap: Millimetres::new(gap),
            stand: Stand::Centred,
            cut_marks: false,
            key_line: false,
        }
    }

    /// At 254 ppi a millimetre is ten pixels.
    fn block(width: u32, height: u32, below: f64) -> Block {
        Block { size: Size { width: width * 10, height: height * 10 }, below: Millimetres::new(below) }
    }

    /// Worked out by hand: on A4, upright, 80 x 100 mm with 10 mm of caption leaves 65 mm on either side, 93.5 over and
    /// below.
    #[test]
    fn one_print_stands_in_the_middle_and_raised_a_little_above() {
        let mut wished = wished("a4", 10.0, 10.0);
        let one = [block(80, 100, 10.0)];
        let wall = hang(&one, &wished).unwrap();
        assert_eq!(
            (wall.size, wall.places[0].left, wall.places[0].top),
            (Size { width: 2100, height: 2970 }, 650, 935)
        );
        wished.stand = Stand::Raised;
        // 187 mm of white are 85 over and 102 below.
        assert_eq!(hang(&one, &wished).unwrap().places[0].top, 850);
        let lying = hang(&[block(240, 100, 0.0)], &wished).unwrap();
        assert_eq!((lying.sides.width.value(), lying.sides.height.value()), (297.0, 210.0), "the sheet is turned");
    }

    #[test]
    fn prints_of_a_row_stand_on_one_line() {
        let wall =
            hang(&[block(80, 50, 8.0), block(60, 70, 4.0), block(90, 40, 0.0)], &wished("a4", 10.0, 10.0)).unwrap();
        let feet: Vec<u32> = wall.places.iter().map(|hung| hung.top + hung.size.height).collect();
        assert_eq!(feet[0], feet[1]);
        assert!(feet[2] > feet[1] && wall.places[1].left == wall.places[0].left + 900);
    }

    #[test]
    fn a_roll_is_as_long_as_what_lies_on_it() {
        let mut wished = wished("a4", 10.0, 5.0);
        wished.paper = LayoutPaper::Roll(Millimetres::new(210.0));
        let wall = hang(&[block(150, 100, 6.0), block(100, 100, 6.0)], &wished).unwrap();
        assert_eq!(wall.sides.height.value(), 10.0 + 106.0 + 5.0 + 106.0 + 10.0);
        let told = hang(&[block(250, 100, 0.0)], &wished).unwrap_err().to_string();
        assert!(
            told.contains("a roll of 21.0 cm is too small") && told.contains("use a roll of 27 cm or wider"),
            "{told}"
        );
    }

    #[test]
    fn a_paper_that_is_too_small_is_told_what_would_do() {
        let told = |blocks: &[Block]| hang(blocks, &wished("a4", 10.0, 10.0)).unwrap_err().to_string();
        let one = told(&[block(200, 280, 0.0)]);
        assert!(
            one.contains("a4 is too small: these prints take 22.0 x 30.0 cm") && one.contains("use --page a3"),
            "{one}"
        );
        // 20.4 cm wide: letter would hold it, which is no larger than A4.
        assert!(told(&[block(194, 200, 0.0)]).ends_with("use --page a3"));
        let huge = told(&[block(700, 1000, 0.0)]);
        assert!(huge.contains("72.0 x 102.0 cm") && huge.contains("--roll of 72 cm"), "{huge}");
    }

    proptest! {
        /// Whatever is laid lies apart, inside the margins; what is refused fits on the paper that is named instead.
        #[test]
        fn prints_lie_apart_and_inside_the_margins(
            blocks in collection::vec((10..200u32, 10..200u32, 0..20u32), 1..14),
            paper in sample::select(vec!["a4", "a3", "a2", "letter", "50x70cm"]),
            raised in sample::select(vec![Stand::Centred, Stand::Raised]),
        ) {
            let blocks: Vec<Block> = blocks.into_iter().map(|(w, h, below)| block(w, h, f64::from(below))).collect();
            let mut wished = Wished { stand: raised, ..wished(paper, 8.0, 6.0) };
            let wall = match hang(&blocks, &wished) {
                Ok(wall) => wall,
                Err(Misfit::Small { instead, .. }) => {
                    let Some(other) = instead.strip_prefix("use --page ").filter(|name| !name.contains(' ')) else { return Ok(()) };
                    wished.paper = other.parse().unwrap();
                    hang(&blocks, &wished).unwrap()
                }
                Err(other) => panic!("{other}"),
            };
            let below: Vec<u32> = blocks.iter().map(|block| pixels(block.below, wished.ppi)).collect();
            for (i, one) in wall.places.iter().enumerate() {
                let (right, foot) = (one.left + one.size.width, one.top + one.size.height + below[i]);
                prop_assert!(one.left >= 80 && one.top >= 80 && right + 80 <= wall.size.width && foot + 80 <= wall.size.height);
                for other in &wall.places[i + 1..] {
                    prop_assert!(right + 60 <= other.left || foot + 60 <= other.top || other.left + other.size.width + 60 <= one.left);
                }
            }
        }
    }
}
