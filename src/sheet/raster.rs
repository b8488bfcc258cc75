//! Pages drawn as grey pixels.

use std::collections::HashMap;
use std::ops::Range;

use ab_glyph::{Font, Glyph, PxScale, point};
use image::GrayImage;

use crate::light::PixelsPerInch;

use super::area::Area;
use super::canvas::{Canvas, PixelArea};
use super::error::Error;
use super::page::{Ink, Item, Page, TextRun};
use super::reduce::stretch;

/// Draws a page at a resolution in pixels an inch.
pub(super) fn draw(page: &Page, ppi: PixelsPerInch) -> Result<GrayImage, Error> {
    // Below 10 ppi nothing can be seen; at 1200 ppi a page is 140 million pixels, and printers end (common practice).
    if !(10.0..=1200.0).contains(&ppi.value()) {
        return Err(Error::Resolution(ppi.value()));
    }
    let mut canvas =
        Canvas::new(page.size.width.pixels(ppi).round() as u32, page.size.height.pixels(ppi).round() as u32);
    draw_on(&mut canvas, page, ppi)?;
    Ok(canvas.into_image())
}

/// Draws a page on a canvas, which may be a band of it.
pub(super) fn draw_on(canvas: &mut Canvas, page: &Page, ppi: PixelsPerInch) -> Result<(), Error> {
    for item in &page.items {
        match item {
            Item::Text(run) => draw_text(canvas, run, ppi),
            Item::Fill { area, ink } => canvas.fill(pixels(*area, ppi), *ink),
            Item::Outline { area, weight, ink } => {
                let inner = pixels(area.grown(*weight * -1.0), ppi);
                draw_outline(canvas, pixels(*area, ppi), inner, *ink);
            }
            Item::Line { through, weight, ink } => {
                let through: Vec<_> = through.iter().map(|(x, y)| (x.pixels(ppi), y.pixels(ppi))).collect();
                draw_line(canvas, &through, weight.pixels(ppi), *ink);
            }
            Item::Picture { area, picture } => {
                stretch(canvas, pixels(*area, ppi), &picture.pixels()?);
            }
            Item::Pixels { area, pixels: kept } => kept.draw(canvas, pixels(*area, ppi)),
            Item::Print { .. } => {}
        }
    }
    Ok(())
}

/// Fills what lies between two rectangles, in four strips that do not overlap.
fn draw_outline(canvas: &mut Canvas, outer: PixelArea, inner: PixelArea, ink: Ink) {
    let strips = [
        PixelArea { bottom: inner.top, ..outer },
        PixelArea { top: inner.bottom, ..outer },
        PixelArea { right: inner.left, top: inner.top, bottom: inner.bottom, ..outer },
        PixelArea { left: inner.right, top: inner.top, bottom: inner.bottom, ..outer },
    ];
    for strip in strips {
        canvas.fill(strip, ink);
    }
}

/// Covers what is within half a weight of a line, each pixel once, so that its corners are no darker than the rest.
fn draw_line(canvas: &mut Canvas, through: &[(f64, f64)], weight: f64, ink: Ink) {
    let reach = weight / 2.0 + 1.0;
    let mut shares: HashMap<(i64, i64), f64> = HashMap::new();
    for pair in through.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let (dx, dy) = (x1 - x0, y1 - y0);
        let square = (dx * dx + dy * dy).max(1e-9);
        let span = |a: f64, b: f64, within: Range<u32>| {
            let (first, end) = (f64::from(within.start), f64::from(within.end));
            ((a.min(b) - reach).floor().max(first) as i64)..((a.max(b) + reach).ceil().min(end) as i64)
        };
        for y in span(y0, y1, canvas.rows()) {
            for x in span(x0, x1, 0..canvas.width()) {
                let (px, py) = (x as f64 + 0.5 - x0, y as f64 + 0.5 - y0);
                let along = ((px * dx + py * dy) / square).clamp(0.0, 1.0);
                let share = weight / 2.0 + 0.5 - (px - along * dx).hypot(py - along * dy);
                // A line thinner than a pixel covers no more of one than its weight.
                let share = share.min(weight).clamp(0.0, 1.0);
                let most = shares.entry((x, y)).or_default();
                *most = most.max(share);
            }
        }
    }
    for ((x, y), share) in shares {
        canvas.cover(x, y, ink, share as f32);
    }
}

/// Sets one line of letters.
pub(super) fn draw_text(canvas: &mut Canvas, run: &TextRun, ppi: PixelsPerInch) {
    let font = run.face.font();
    let em = run.size.pixels(ppi);
    // The library scales a font by its height from descender to ascender, not by its em.
    let scale = PxScale::from(em as f32 * font.height_unscaled() / run.face.units());
    let left = run.left.pixels(ppi);
    // Letters stand on whole pixels: along a baseline cut through by a pixel row, small text blurs.
    let baseline = run.baseline.pixels(ppi).round();
    for glyph in run.face.place(&run.text) {
        let at = point((left + glyph.x * em) as f32, (baseline - glyph.lift * em) as f32);
        let glyph = Glyph { id: glyph.id, scale, position: at };
        // A space has no outline.
        let Some(outline) = font.outline_glyph(glyph) else {
            continue;
        };
        let corner = outline.px_bounds().min;
        outline.draw(|x, y, share| {
            let x = corner.x as i64 + i64::from(x);
            let y = corner.y as i64 + i64::from(y);
            canvas.cover(x, y, run.ink, share);
        });
    }
}

fn pixels(area: Area, ppi: PixelsPerInch) -> PixelArea {
    PixelArea {
        left: area.left.pixels(ppi),
        top: area.top.pixels(ppi),
        right: area.right().pixels(ppi),
        bottom: area.bottom().pixels(ppi),
    }
}

#[cfg(test)]
mod tests {
    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, GrayImage, Luma};

    use super::super::proof::tests::graded;
    use super::super::{Error, Frame, Head, PageSize, Picture, Sheet};
    use crate::light::PixelsPerInch;

    fn ppi(value: f64) -> PixelsPerInch {
        PixelsPerInch::new(value).expect("above 0")
    }

    fn sheet(size: PageSize) -> Sheet {
        let mut bytes = Vec::new();
        let white = GrayImage::from_pixel(80, 100, Luma([255]));
        DynamicImage::ImageLuma8(white).write_with_encoder(JpegEncoder::new(&mut bytes)).expect("encodes");
        let frame = Frame {
            name: "ropewalk-01".into(),
            picture: Some(Picture::from_jpeg(bytes).expect("is grey")),
            ..Frame::default()
        };
        graded(&[frame], &Head::default(), size)
    }

    #[test]
    fn a_page_has_its_paper_size_in_pixels() {
        // ISO 216 A4 at 300 ppi and 8 x 10 in at 100 ppi, computed by hand.
        let a4 = sheet(PageSize::A4).raster(0, ppi(300.0)).expect("draws");
        assert_eq!(a4.dimensions(), (2480, 3508));
        let print = sheet(PageSize::EIGHT_BY_TEN).raster(0, ppi(100.0)).expect("draws");
        assert_eq!(print.dimensions(), (800, 1000));
    }

    #[test]
    fn a_white_picture_is_held_by_its_keyline() {
        let page = sheet(PageSize::EIGHT_BY_TEN).raster(0, ppi(300.0)).expect("draws");
        // Half-way down the page runs only the picture: keyline, white, keyline.
        let middle: Vec<u8> = (0..page.width()).map(|x| page.get_pixel(x, page.height() / 2).0[0]).collect();
        let dark: Vec<usize> = (0..middle.len()).filter(|x| middle[*x] < 250).collect();
        assert!((2..=6).contains(&dark.len()), "{dark:?}");
        // The left one just outside the half-inch margin, 150 pixels.
        assert!((147..=150).contains(&dark[0]), "{dark:?}");
    }

    #[test]
    fn the_ink_of_a_page_does_not_depend_on_its_resolution() {
        let ink = |ppi: PixelsPerInch| -> f64 {
            let page = sheet(PageSize::A4).raster(0, ppi).expect("draws");
            let sum: f64 = page.pixels().map(|pixel| 255.0 - f64::from(pixel.0[0])).sum();
            sum / (ppi.value() * ppi.value())
        };
        // Mixed in codes, covered area counts the same at any size: within 2 %.
        assert!((ink(ppi(150.0)) / ink(ppi(600.0)) - 1.0).abs() < 0.02);
    }

    #[test]
    fn a_missing_page_and_a_senseless_resolution_are_refused() {
        let sheet = sheet(PageSize::A4);
        assert!(matches!(sheet.raster(1, ppi(100.0)), Err(Error::NoSuchPage { page: 1, pages: 1 })));
        for senseless in [1.0, 1e9] {
            assert!(matches!(sheet.raster(0, ppi(senseless)), Err(Error::Resolution(told)) if told == senseless));
        }
    }
}
