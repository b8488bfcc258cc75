//! The overview picture of a scan: what was taken for what, in the words and places of its reading.

use image::GrayImage;

use crate::film::{self, Regions};
use crate::light::{Density, Encoding, luminance};
use crate::plane::{Overview, Point, Quad};
use crate::sheet::{self, Explained, Mark, Outlined};

use super::frame::Decided;
use super::pictures::Seen;

/// L* of open light, of the base and of the densest frame's dense end; darker than that only the holder.
const LIGHTNESS: [f64; 3] = [97.0, 90.0, 28.0];
/// L* of what is opaque: density 4, beyond any flatbed (common practice).
const OPAQUE: (f64, f64) = (4.0, 6.0);

/// Code of the warning about a frame's sides.
const UNSURE: &str = "frame-unsure";

/// Draws it.
pub(super) fn picture(seen: &Seen<'_>) -> GrayImage {
    let scale = seen.overview.scale();
    let small = |quad: Quad| quad.scaled(1.0 / scale.0, 1.0 / scale.1);
    let place = |p: Point| Point { x: p.x / scale.0, y: p.y / scale.1 };
    let frames = &seen.done.frames;
    let corners: Vec<Quad> = frames.iter().map(|frame| frame.reading.corners).collect();
    let outlined = |frame: &Decided| Outlined {
        corners: small(frame.reading.corners),
        number: frame.number,
        unclear: unclear(seen, frame),
    };
    let dust = frames.iter().flat_map(|frame| seen.dust.within(frame.reading.corners));
    sheet::explain(&Explained {
        title: seen.entry.file.clone(),
        facts: facts(seen),
        warnings: seen.done.warnings.iter().map(|w| format!("{}: {}", w.code, w.message)).collect(),
        picture: looks(seen),
        regions: Regions::of(&seen.overview, base(seen), &corners),
        frames: frames.iter().map(outlined).collect(),
        patch: patch(seen).map(small),
        marks: marks(seen).into_iter().map(|mark| Mark { at: place(mark.at), ..mark }).collect(),
        dust: dust.map(|speck| (place(speck.middle), speck.radius / scale.0)).collect(),
    })
}

fn base(seen: &Seen<'_>) -> Option<Density> {
    let base = seen.done.frames.first()?.base;
    (seen.done.base_source != "assumed").then_some(base)
}

/// Where the base was read, if it was read here.
fn patch(seen: &Seen<'_>) -> Option<Quad> {
    seen.reading.rebate.filter(|_| seen.done.base_source == "rebate").map(|rebate| rebate.patch)
}

/// Sides of a frame with a warning that are not clear, by how they are known; all where none stands out.
fn unclear(seen: &Seen<'_>, frame: &Decided) -> [bool; 4] {
    let unsure = seen.done.warnings.iter().any(|w| w.code == UNSURE && w.is_about(frame.number));
    if !unsure {
        return [false; 4];
    }
    let sides = &frame.reading.sides;
    let edge = |i: usize| sides[i].strip_prefix("edge ").and_then(|share| share.parse::<f64>().ok());
    let clear = |i: usize| match sides[i].as_str() {
        "given" => true,
        // Between an edge and a known size there is little doubt.
        "size" => edge((i + 2) % 4).is_some(),
        _ => edge(i).is_some_and(|share| share >= 0.5),
    };
    let unclear = std::array::from_fn(|i| !clear(i));
    if unclear.contains(&true) { unclear } else { [true; 4] }
}

/// Where the ends lie, and the base.
fn marks(seen: &Seen<'_>) -> Vec<Mark> {
    let mut marks = Vec::new();
    for frame in &seen.done.frames {
        let reading = &frame.reading;
        let ends = film::extremes(&seen.overview, &seen.dust, reading.corners, reading.thin, reading.dense);
        let words = [("thin", frame.thin()), ("dense", frame.dense())];
        let named = ends.into_iter().flatten().zip(words);
        marks.extend(named.map(|(at, (name, net))| Mark { at, words: format!("{name} {}", two(net)) }));
    }
    let middle = |Quad(corners): Quad| Point {
        x: corners.iter().map(|p| p.x).sum::<f64>() / 4.0,
        y: corners.iter().map(|p| p.y).sum::<f64>() / 4.0,
    };
    marks.extend(
        patch(seen).zip(base(seen)).map(|(at, base)| Mark { at: middle(at), words: format!("base {}", two(base)) }),
    );
    marks
}

/// The scan as it looks, its tones drawn together so that base and dense places both show.
fn looks(seen: &Seen<'_>) -> GrayImage {
    let base = base(seen).unwrap_or_default().value().max(0.0);
    let dense = seen.done.frames.iter().map(|f| f.reading.dense.value()).fold(base + 0.5, f64::max);
    let [open, clear, dark] = LIGHTNESS;
    let knots = [(0.0, open), (base, clear), (dense, dark), (OPAQUE.0.max(dense + 0.1), OPAQUE.1)];
    let lightness = |density: f64| {
        let next = knots.iter().position(|knot| knot.0 >= density).unwrap_or(knots.len() - 1).max(1);
        let ((from, start), (to, end)) = (knots[next - 1], knots[next]);
        start + (end - start) * ((density - from) / (to - from).max(1e-9)).clamp(0.0, 1.0)
    };
    grey(&seen.overview, |light| lightness(Density::of(light.max(1e-5)).value()))
}

/// An overview as 8-bit grey in the sRGB encoding; `lightness` gives the L* of linear light.
pub(super) fn grey(overview: &Overview, lightness: impl Fn(f64) -> f64) -> GrayImage {
    let size = overview.size();
    let code = |light: &f32| (255.0 * Encoding::Srgb.encode(luminance(lightness(f64::from(*light))))).round() as u8;
    let codes = overview.light().iter().map(code).collect();
    GrayImage::from_raw(size.width, size.height, codes).expect("an overview has a value for each of its pixels")
}

/// What stands above the picture.
fn facts(seen: &Seen<'_>) -> Vec<String> {
    let facts = seen.scan.facts();
    let size = facts.size;
    let mut of_file = vec![
        format!("{} \u{d7} {} pixels", size.width, size.height),
        format!("{} bits", facts.bits),
        format!("{} ({})", seen.light.encoding, seen.light.source),
    ];
    if let Some(resolution) = facts.resolution {
        let mm = |pixels: u32, ppi: f64| f64::from(pixels) / ppi * 25.4;
        let (x, y) = (resolution.x.value(), resolution.y.value());
        of_file.push(format!("{x:.0} ppi, {:.0} \u{d7} {:.0} mm", mm(size.width, x), mm(size.height, y)));
    }
    if facts.orientation.value() != 1 {
        of_file.push("shown as stored, before it is turned upright".to_owned());
    }
    let mut lines = vec![of_file.join(" \u{b7} "), base_words(seen)];
    lines.extend(seen.done.frames.iter().map(frame_words));
    lines
}

fn base_words(seen: &Seen<'_>) -> String {
    let base = two(base(seen).unwrap_or_default());
    match seen.done.base_source {
        "rebate" => format!("base {base}, read from the rebate"),
        "batch" => format!("base {base}, that of the batch"),
        "given" => format!("base {base}, given"),
        _ => "no base: densities count from clear light".to_owned(),
    }
}

fn frame_words(frame: &Decided) -> String {
    let [thin, median, dense, range] = [frame.thin(), frame.median(), frame.dense(), frame.range()].map(two);
    let reading = &frame.reading;
    let dust = match reading.dust {
        0 => "no dust seen".to_owned(),
        1 => "1 speck of dust".to_owned(),
        count => format!("{count} specks of dust ({:.2}\u{a0}%)", 100.0 * reading.dust_share),
    };
    let grade = frame.grade;
    format!(
        "frame {}: thin {thin}, median {median}, dense {dense}, range {range} \u{b7} grade {grade} \u{b7} {dust}",
        frame.number
    )
}

/// Two decimals; adding zero turns -0.00 into 0.00.
fn two(density: Density) -> String {
    format!("{:.2}", (density.value() * 100.0).round() / 100.0 + 0.0)
}
