//! Pages written as a PDF.

use std::io::Write;
use std::sync::Arc;

use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Data, Document};

use super::Sheet;
use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::page::{Ink, Item, TextRun};
use super::picture::Picture;
use super::splice::{Inset, splice};
use crate::light::Millimetres;
use crate::save::PROGRAM;

/// Writes the pages, each with its bookmark, under a document title and without a date.
///
/// Text stays text, set in subsets of the two faces; a JPEG goes in as it is, once, however often it is drawn. No more
/// than one of them is held at a time.
pub(super) fn write(sheet: &Sheet, out: &mut dyn Write) -> Result<(), Error> {
    let pictures: Vec<Inset<'_>> = sheet.pages.iter().flat_map(|page| &page.items).filter_map(inset).collect();
    splice(&document(sheet, |picture| Ok(Arc::clone(picture.stand_in())))?, &pictures, out)
}

fn inset(item: &Item) -> Option<Inset<'_>> {
    match item {
        Item::Picture { picture, .. } => Some(Inset::Jpeg(picture)),
        Item::Print { print, .. } => Some(Inset::Samples(print)),
        _ => None,
    }
}

/// What goes into a document as the JPEG of a picture.
type Jpeg = fn(&Picture) -> Result<Arc<[u8]>, Error>;

/// The document as the PDF library makes it.
fn document(Sheet { title, said, pages }: &Sheet, jpeg: Jpeg) -> Result<Vec<u8>, Error> {
    let fonts = Fonts::load()?;
    let mut document = Document::new();
    let mut outline: Vec<(Option<&str>, OutlineNode)> = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        let settings = PageSettings::from_wh(points(page.size.width), points(page.size.height))
            .ok_or_else(|| Error::Pdf("the page has no size".into()))?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for item in &page.items {
            draw(&mut surface, &fonts, item, jpeg)?;
        }
        surface.finish();
        sheet.finish();
        let top = XyzDestination::new(number, Point::from_xy(0.0, 0.0));
        let bookmark = OutlineNode::new(page.bookmark.clone(), top.clone());
        match (page.part, outline.last_mut()) {
            (Some(part), Some((Some(before), above))) if part == *before => above.push_child(bookmark),
            (Some(part), _) => {
                let mut above = OutlineNode::new(part.to_owned(), top);
                above.push_child(bookmark);
                outline.push((page.part, above));
            }
            (None, _) => outline.push((None, bookmark)),
        }
    }
    let mut bookmarks = Outline::new();
    outline.into_iter().for_each(|(_, node)| bookmarks.push_child(node));
    document.set_outline(bookmarks);
    let mut metadata = Metadata::new().title(title.clone()).creator(PROGRAM.to_owned());
    if let Some(author) = &said.author {
        metadata = metadata.authors(vec![author.clone()]);
    }
    if let Some(about) = &said.about {
        metadata = metadata.description(about.clone());
    }
    if !said.keywords.is_empty() {
        metadata = metadata.keywords(said.keywords.clone());
    }
    document.set_metadata(metadata);
    document.finish().map_err(|error| Error::Pdf(error.to_string()))
}

/// The two faces as the PDF library holds them.
struct Fonts {
    regular: Font,
    medium: Font,
}

impl Fonts {
    fn load() -> Result<Self, Error> {
        let load = |face: Face| {
            Font::new(face.bytes().into(), 0).ok_or_else(|| Error::Pdf("the built-in font was not accepted".into()))
        };
        Ok(Self { regular: load(Face::Regular)?, medium: load(Face::Medium)? })
    }

    fn of(&self, face: Face) -> Font {
        match face {
            Face::Regular => self.regular.clone(),
            Face::Medium => self.medium.clone(),
        }
    }
}

fn draw(surface: &mut Surface<'_>, fonts: &Fonts, item: &Item, jpeg: Jpeg) -> Result<(), Error> {
    match item {
        Item::Text(run) => {
            draw_text(surface, fonts, run);
            Ok(())
        }
        Item::Fill { area, ink } => {
            fill(surface, *ink, &[*area]);
            Ok(())
        }
        Item::Outline { area, weight, ink } => {
            fill(surface, *ink, &[*area, area.grown(*weight * -1.0)]);
            Ok(())
        }
        Item::Line { through, weight, ink } => {
            draw_line(surface, through, *weight, *ink);
            Ok(())
        }
        // Drawn between the pixels a small picture is smoother; a print's pixels are its own.
        Item::Picture { area, picture } => draw_picture(surface, *area, jpeg(picture)?, true),
        Item::Print { area, print } => draw_picture(surface, *area, Arc::clone(print.stand_in()), false),
        Item::Pixels { area, pixels } => {
            // Not to be smoothed (ISO 32000-1, table 89, Interpolate).
            let image = Image::from_custom(pixels.clone(), false).map_err(Error::Unreadable)?;
            draw_image(surface, *area, image);
            Ok(())
        }
    }
}

/// Fills what lies in an odd number of the areas.
fn fill(surface: &mut Surface<'_>, ink: Ink, areas: &[Area]) {
    let mut path = PathBuilder::new();
    for area in areas {
        let edges = Rect::from_xywh(points(area.left), points(area.top), points(area.width), points(area.height));
        if let Some(edges) = edges {
            path.push_rect(edges);
        }
    }
    if let Some(path) = path.finish() {
        surface.set_fill(Some(paint(ink)));
        surface.draw_path(&path);
    }
}

fn draw_line(surface: &mut Surface<'_>, through: &[(Millimetres, Millimetres)], weight: Millimetres, ink: Ink) {
    let mut path = PathBuilder::new();
    for (i, (x, y)) in through.iter().enumerate() {
        let (x, y) = (points(*x), points(*y));
        if i == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
    }
    if let Some(path) = path.finish() {
        let Fill { paint, opacity, .. } = paint(ink);
        surface.set_fill(None);
        surface.set_stroke(Some(Stroke { paint, opacity, width: points(weight), ..Stroke::default() }));
        surface.draw_path(&path);
        surface.set_stroke(None);
    }
}

fn draw_text(surface: &mut Surface<'_>, fonts: &Fonts, run: &TextRun) {
    let mut pen = 0.0;
    let glyphs: Vec<KrillaGlyph> = run
        .face
        .place(&run.text)
        .into_iter()
        .map(|glyph| {
            let offset = glyph.x - pen;
            pen += glyph.advance;
            KrillaGlyph::new(
                GlyphId::new(u32::from(glyph.id.0)),
                glyph.advance as f32,
                offset as f32,
                glyph.lift as f32,
                0.0,
                glyph.bytes,
                None,
            )
        })
        .collect();
    surface.set_fill(Some(paint(run.ink)));
    surface.draw_glyphs(
        Point::from_xy(points(run.left), points(run.baseline)),
        &glyphs,
        fonts.of(run.face),
        &run.text,
        points(run.size),
        false,
    );
}

fn draw_picture(surface: &mut Surface<'_>, area: Area, jpeg: Arc<[u8]>, smoothed: bool) -> Result<(), Error> {
    let bytes: Arc<dyn AsRef<[u8]> + Send + Sync> = Arc::new(jpeg);
    draw_image(surface, area, Image::from_jpeg(Data::from(bytes), smoothed).map_err(Error::Unreadable)?);
    Ok(())
}

fn draw_image(surface: &mut Surface<'_>, area: Area, image: Image) {
    let Some(size) = Size::from_wh(points(area.width), points(area.height)) else {
        return;
    };
    surface.push_transform(&Transform::from_translate(points(area.left), points(area.top)));
    surface.draw_image(image, size);
    surface.pop();
}

fn paint(ink: Ink) -> Fill {
    Fill { paint: luma::Color::new(ink.0).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn points(length: Millimetres) -> f32 {
    length.points() as f32
}

#[cfg(test)]
mod tests {
    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, GrayImage, Luma};

    use super::super::proof::tests::graded;
    use super::super::{Error, Frame, Head, PageSize, Picture, Sheet};

    fn jpeg() -> Vec<u8> {
        let mut bytes = Vec::new();
        let ramp = GrayImage::from_fn(40, 50, |x, y| Luma([(x * 3 + y) as u8]));
        DynamicImage::ImageLuma8(ramp).write_with_encoder(JpegEncoder::new(&mut bytes)).expect("encodes");
        bytes
    }

    fn sheet(frames: usize) -> Sheet {
        let picture = Picture::from_jpeg(jpeg()).expect("is grey");
        let frames: Vec<Frame> = (0..frames)
            .map(|number| Frame {
                name: format!("ropewalk-{number} Łódź 網"),
                picture: Some(picture.clone()),
                ..Frame::default()
            })
            .collect();
        let head = Head { title: "Ropewalk".into(), ..Head::default() };
        graded(&frames, &head, PageSize::LETTER)
    }

    fn count(bytes: &[u8], part: &[u8]) -> usize {
        bytes.windows(part.len()).filter(|window| *window == part).count()
    }

    #[test]
    fn two_runs_give_the_same_bytes_and_no_date() {
        let first = sheet(30).pdf().expect("writes");
        assert!(first == sheet(30).pdf().expect("writes"));
        assert_eq!(count(&first, b"/CreationDate"), 0);
        assert_eq!(count(&first, b"xmp:CreateDate"), 0);
    }

    #[test]
    fn a_picture_goes_in_untouched_and_only_once() {
        let pdf = sheet(30).pdf().expect("writes");
        assert_eq!(count(&pdf, &jpeg()), 1);
        assert_eq!(count(&pdf, b"/DCTDecode"), 1);
    }

    /// The fast path and its slow twin: the library holding every JPEG itself writes the same, but for the name of the
    /// document, which it makes from its bytes.
    #[test]
    fn a_document_put_together_while_it_is_written_is_the_one_that_the_library_makes_whole() {
        let frame = |number: u32| Frame {
            name: format!("ropewalk-{number}"),
            // One of them twice; sizes of one to several digits more than what stands in for them.
            picture: Picture::from_jpeg(noise(8 << (number % 7))).ok(),
            ..Frame::default()
        };
        let sheet = graded(&(0..45).map(frame).collect::<Vec<_>>(), &Head::default(), PageSize::A4);
        let (spliced, whole) = (sheet.pdf().expect("writes"), super::document(&sheet, Picture::fetch).expect("writes"));
        let unnamed = |pdf: &[u8]| {
            let at = pdf.windows(4).rposition(|window| window == b"/ID[").expect("it has a name") + 5;
            let name = pdf[at..].iter().position(|byte| *byte == b')').expect("it ends");
            let name = pdf[at..at + name].to_vec();
            let mut pdf = pdf.to_vec();
            while let Some(at) = pdf.windows(name.len()).position(|window| window == name) {
                pdf[at..at + name.len()].fill(b'-');
            }
            pdf
        };
        assert_eq!(spliced.len(), whole.len());
        assert!(unnamed(&spliced) == unnamed(&whole));
    }

    /// A grey JPEG that does not shrink.
    fn noise(side: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        let grains = GrayImage::from_fn(side, side, |x, y| Luma([(x * 7919 + y * 104_729 + x * y * 31) as u8]));
        DynamicImage::ImageLuma8(grains).write_with_encoder(JpegEncoder::new(&mut bytes)).expect("encodes");
        bytes
    }

    #[test]
    fn a_letter_page_is_612_by_792_points_and_has_a_bookmark_each() {
        let sheet = sheet(30);
        let pdf = sheet.pdf().expect("writes");
        assert_eq!(count(&pdf, b"/MediaBox[0 0 612 792]"), sheet.pages());
        assert_eq!(count(&pdf, b"/Type/Outlines"), 1);
    }

    #[test]
    fn a_jpeg_cut_after_its_header_is_an_error_or_a_file_never_a_panic() {
        let mut bytes = jpeg();
        bytes.truncate(bytes.len() / 2);
        if let Ok(picture) = Picture::from_jpeg(bytes) {
            let frame = Frame { picture: Some(picture), ..Frame::default() };
            let sheet = graded(&[frame], &Head::default(), PageSize::A4);
            assert!(sheet.pdf().is_ok());
            match sheet.raster(0, crate::light::PixelsPerInch::new(72.0).expect("above 0")) {
                Ok(page) => assert_eq!(page.dimensions(), (595, 842)),
                Err(error) => assert!(matches!(error, Error::Unreadable(_))),
            }
        }
    }
}
