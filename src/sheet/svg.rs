//! A page written as SVG 1.1, in millimetres.

use std::collections::BTreeMap;
use std::fmt::Write;

use ab_glyph::{Font, GlyphId, OutlineCurve, Point};

use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::page::{Ink, Item, Page, TextRun};
use crate::light::Millimetres;
use crate::save::PROGRAM;

/// Writes a page without pictures. Letters are drawn by their outlines, each defined once, so that the page looks alike
/// where the typeface is not at hand; each line of text also stands there as a label.
pub(super) fn write(title: &str, page: &Page) -> Result<String, Error> {
    let mut letters = Letters::default();
    let mut drawing = String::new();
    for item in &page.items {
        drawing.push_str(&drawn(item, &mut letters)?);
    }
    let (width, height) = (number(page.size.width), number(page.size.height));
    let title = escaped(title);
    let size = format!("width=\"{width}\" height=\"{height}\"");
    Ok(format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- {PROGRAM} -->\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{width}mm\" \
         height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n<title>{title}</title>\n<defs>\n{}</defs>\n\
         <rect {size} fill=\"#ffffff\"/>\n{drawing}</svg>\n",
        letters.defined()
    ))
}

fn drawn(item: &Item, letters: &mut Letters) -> Result<String, Error> {
    Ok(match item {
        Item::Text(run) => letters.set(run),
        Item::Fill { area, ink } => format!("<rect {} fill=\"{}\"/>\n", edges(*area), colour(*ink)),
        Item::Outline { area, weight, ink } => {
            let middle = edges(area.grown(*weight * -0.5));
            let weight = number(*weight);
            format!("<rect {middle} fill=\"none\" stroke=\"{}\" stroke-width=\"{weight}\"/>\n", colour(*ink))
        }
        Item::Line { through, weight, ink } => {
            let points: Vec<_> = through.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect();
            let (points, colour, weight) = (points.join(" "), colour(*ink), number(*weight));
            format!("<polyline points=\"{points}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{weight}\"/>\n")
        }
        Item::Picture { .. } | Item::Pixels { .. } | Item::Print { .. } => return Err(Error::PictureInSvg),
    })
}

/// The letters of a page: the outline of each, by its name.
#[derive(Default)]
struct Letters(BTreeMap<String, String>);

impl Letters {
    /// A line of text, its letters scaled from ems to its size.
    fn set(&mut self, run: &TextRun) -> String {
        let mut uses = String::new();
        for glyph in run.face.place(&run.text) {
            if let Some(name) = self.name(run.face, glyph.id) {
                // Writing into a string cannot fail.
                let _ = write!(uses, "<use xlink:href=\"#{name}\" x=\"{:.4}\" y=\"{:.4}\"/>", glyph.x, -glyph.lift);
            }
        }
        if uses.is_empty() {
            return uses;
        }
        let [left, baseline, size] = [run.left, run.baseline, run.size].map(number);
        let (colour, label) = (colour(run.ink), escaped(&run.text));
        format!(
            "<g transform=\"translate({left} {baseline}) scale({size})\" fill=\"{colour}\" aria-label=\"{label}\">{uses}</g>\n"
        )
    }

    /// The name under which a letter is defined; nothing for a blank, which has no outline.
    fn name(&mut self, face: Face, id: GlyphId) -> Option<String> {
        let name = match face {
            Face::Regular => format!("r{}", id.0),
            Face::Medium => format!("m{}", id.0),
        };
        if !self.0.contains_key(&name) {
            let path = outline(face, id)?;
            self.0.insert(name.clone(), path);
        }
        Some(name)
    }

    fn defined(&self) -> String {
        self.0.iter().map(|(name, path)| format!("<path id=\"{name}\" d=\"{path}\"/>\n")).collect()
    }
}

/// A letter's outline in ems, y down.
fn outline(face: Face, id: GlyphId) -> Option<String> {
    let units = face.units();
    let curves = face.font().outline(id).filter(|outline| !outline.curves.is_empty())?.curves;
    let at = |p: Point| format!("{:.4} {:.4}", p.x / units, -p.y / units);
    let mut path = String::new();
    let mut pen: Option<Point> = None;
    for curve in curves {
        let (from, to, part) = match curve {
            OutlineCurve::Line(a, b) => (a, b, format!("L{}", at(b))),
            OutlineCurve::Quad(a, c, b) => (a, b, format!("Q{} {}", at(c), at(b))),
            OutlineCurve::Cubic(a, c, d, b) => (a, b, format!("C{} {} {}", at(c), at(d), at(b))),
        };
        if pen != Some(from) {
            let _ = write!(path, "M{}", at(from));
        }
        path.push_str(&part);
        pen = Some(to);
    }
    Some(path)
}

fn edges(area: Area) -> String {
    let [x, y, width, height] = [area.left, area.top, area.width, area.height].map(number);
    format!("x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"")
}

fn colour(Ink(code): Ink) -> String {
    format!("#{code:02x}{code:02x}{code:02x}")
}

/// To a thousandth of a millimetre.
fn number(length: Millimetres) -> String {
    let text = format!("{:.3}", length.value());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Text without what XML takes for its own, and without what it forbids (XML 1.0, 2.2).
fn escaped(text: &str) -> String {
    let plain = text.replace(char::is_control, " ");
    plain.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::proof::tests::graded;
    use crate::sheet::{Frame, Head, PageSize};

    #[test]
    fn words_and_frames_of_a_page_are_there_and_markup_is_not() {
        let frame = Frame { name: "coil <wet> & \"dry\"".into(), failed: Some("torn".into()), ..Frame::default() };
        let svg = graded(&[frame], &Head::default(), PageSize::A4).svg(0).unwrap();
        assert!(svg.contains("\"coil &lt;wet&gt; &amp; &quot;dry&quot;\">") && svg.contains("viewBox=\"0 0 210 297\""));
        assert!(svg.lines().all(|line| line.starts_with('<') && line.ends_with('>')));
    }

    /// Every letter that is drawn is defined, and once.
    #[test]
    fn letters_are_defined_once() {
        let svg = graded(&[Frame::default()], &Head::default(), PageSize::A4).svg(0).unwrap();
        let used = svg.split("xlink:href=\"#").skip(1).map(|rest| rest.split('"').next().unwrap());
        let mut used: Vec<&str> = used.collect();
        assert!(used.len() > 20, "the sheet has words");
        used.sort_unstable();
        used.dedup();
        assert!(used.iter().all(|name| svg.matches(&format!("id=\"{name}\"")).count() == 1));
    }

    #[test]
    fn lengths_are_short_and_exact_enough() {
        assert_eq!([0.0, 12.7, 1.23456].map(|mm| number(Millimetres::new(mm))), ["0", "12.7", "1.235"]);
    }
}
