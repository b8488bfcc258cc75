//! A page written as SVG 1.1, in millimetres.

use std::fmt::Write;

use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::page::{Ink, Item, Page, TextRun};
use crate::light::Millimetres;
use crate::save::PROGRAM;

/// Writes a page without pictures. Text stays text; it is set in whatever face stands nearest, on the length that it has in the
/// built-in one.
pub(super) fn write(title: &str, page: &Page) -> Result<String, Error> {
    let (width, height) = (number(page.size.width()), number(page.size.height()));
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- {PROGRAM} -->\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n\
         <title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n",
        escaped(title)
    );
    for item in &page.items {
        text.push_str(&drawn(item)?);
        text.push('\n');
    }
    text.push_str("</svg>\n");
    Ok(text)
}

fn drawn(item: &Item) -> Result<String, Error> {
    Ok(match item {
        Item::Text(run) => set(run),
        Item::Fill { area, ink } => format!("<rect {} fill=\"{}\"/>", edges(*area), colour(*ink)),
        Item::Outline { area, weight, ink } => {
            let middle = edges(area.grown(*weight * -0.5));
            let weight = number(*weight);
            format!("<rect {middle} fill=\"none\" stroke=\"{}\" stroke-width=\"{weight}\"/>", colour(*ink))
        }
        Item::Line { through, weight, ink } => {
            let mut points = String::new();
            for (x, y) in through {
                // Writing into a string cannot fail.
                let _ = write!(points, "{},{} ", number(*x), number(*y));
            }
            let weight = number(*weight);
            let (points, colour) = (points.trim_end(), colour(*ink));
            format!("<polyline points=\"{points}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{weight}\"/>")
        }
        Item::Picture { .. } => return Err(Error::PictureInSvg),
    })
}

fn set(run: &TextRun) -> String {
    if run.text.trim().is_empty() {
        return String::new();
    }
    let weight = match run.face {
        Face::Regular => 400,
        Face::Medium => 500,
    };
    format!(
        "<text x=\"{}\" y=\"{}\" font-family=\"Inter, Helvetica, Arial, sans-serif\" font-size=\"{}\" font-weight=\"{weight}\" \
         textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" fill=\"{}\">{}</text>",
        number(run.left),
        number(run.baseline),
        number(run.size),
        number(run.face.length(&run.text, run.size)),
        colour(run.ink),
        escaped(&run.text)
    )
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
    text.replace(char::is_control, " ")
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{Frame, Head, PageSize, proof};

    #[test]
    fn words_and_frames_of_a_page_are_there_and_markup_is_not() {
        let frame = Frame { name: "coil <wet> & \"dry\"".into(), failed: Some("torn".into()), ..Frame::default() };
        let svg = proof(&[frame], &Head::default(), PageSize::A4).svg(0).unwrap();
        assert!(
            svg.contains("coil &lt;wet&gt; &amp; &quot;dry&quot;</text>") && svg.contains("viewBox=\"0 0 210 297\"")
        );
        assert!(svg.lines().skip(2).all(|line| line.is_empty() || line.starts_with('<') && line.ends_with('>')));
    }

    #[test]
    fn lengths_are_short_and_exact_enough() {
        assert_eq!([0.0, 12.7, 1.23456].map(|mm| number(Millimetres::new(mm))), ["0", "12.7", "1.235"]);
    }
}
