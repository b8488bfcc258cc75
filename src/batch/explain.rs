//! The overview picture of a scan: what was taken for what, in the words and places of its reading.

use image::GrayImage;

use crate::film::{self, Regions};
use crate::light::{Density, Encoding, Millimetres, luminance};
use crate::plane::{Overview, Point, Quad};
use crate::sheet::{self, Explained, Mark, Outlined};

use super::frame::Decided;
use super::pictures::{Seen, density};

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
        scale,
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

/// Sides of a frame that its warning calls not clear.
fn unclear(seen: &Seen<'_>, frame: &Decided) -> [bool; 4] {
    let about = seen.done.warnings.iter().filter(|w| w.code == UNSURE && w.is_about(frame.number));
    let named = about.map(|w| named_sides(&w.message));
    named.fold([false; 4], |all, these| std::array::from_fn(|i| all[i] || these[i]))
}

/// The sides, top, right, bottom, left, that the words of [`Warning::FrameUnsure`] name; all where they name none.
/// Notes keep no other record of them.
///
/// [`Warning::FrameUnsure`]: crate::film::Warning::FrameUnsure
fn named_sides(message: &str) -> [bool; 4] {
    let rest = message.split_once("not clear: ").map_or("", |(_, rest)| rest);
    let words = rest.split_once(':').map_or(rest, |(sides, _)| sides);
    let named = ["top", "right", "bottom", "left"].map(|side| words.split(' ').any(|word| word == side));
    if named.contains(&true) { named } else { [true; 4] }
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
    marks.extend(
        patch(seen).zip(base(seen)).map(|(at, base)| Mark { at: at.middle(), words: format!("base {}", two(base)) }),
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
    grey(&seen.overview, |light| lightness(density(light).value()))
}

/// An overview as 8-bit grey in the sRGB encoding; `lightness` gives the L* of linear light.
pub(super) fn grey(overview: &Overview, lightness: impl Fn(f32) -> f64) -> GrayImage {
    let size = overview.size();
    let code = |light: &f32| (255.0 * Encoding::Srgb.encode(luminance(lightness(*light)))).round() as u8;
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
        let mm = |pixels: u32, ppi| Millimetres::of_pixels(f64::from(pixels), ppi).value();
        let (wide, high) = (mm(size.width, resolution.x), mm(size.height, resolution.y));
        of_file.push(format!("{:.0} ppi, {wide:.0}\u{a0}\u{d7}\u{a0}{high:.0}\u{a0}mm", resolution.x.value()));
    }
    if facts.orientation.value() != 1 {
        of_file.push("shown as stored, before it is turned upright".to_owned());
    }
    let mut lines = vec![of_file.join(" \u{b7} "), base_words(seen)];
    lines.extend(seen.done.frames.iter().map(frame_words));
    lines.extend(seen.done.frames.iter().map(|frame| corner_words(frame.number, frame.reading.corners)));
    lines
}

/// Where a frame lies, as `picture` in the notes takes it: corners clockwise from top left, in whole pixels of the
/// scan.
fn corner_words(number: usize, corners: Quad) -> String {
    // No line ends within a corner.
    let corners = corners.0.map(|p| format!("[{:.0},\u{a0}{:.0}]", p.x, p.y));
    format!("corners {number}: [{}]", corners.join(", "))
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
    let (grade, table) = (frame.grade, frame.stock.table().name());
    format!(
        "frame {}: thin {thin}, median {median}, dense {dense}, range {range} \u{b7} grade {grade} after {table} \u{b7} {dust}",
        frame.number
    )
}

/// Two decimals; adding zero turns -0.00 into 0.00.
fn two(density: Density) -> String {
    format!("{:.2}", (density.value() * 100.0).round() / 100.0 + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Warning;

    #[test]
    fn corners_are_written_as_the_notes_take_them() {
        let corners = Quad([(40.4, 38.6), (1015.0, 40.0), (1013.2, 818.0), (38.0, 816.0)].map(|(x, y)| Point { x, y }));
        let words = corner_words(2, corners).replace('\u{a0}', " ");
        assert_eq!(words, "corners 2: [[40, 39], [1015, 40], [1013, 818], [38, 816]]");
    }

    #[test]
    fn the_sides_that_a_warning_names_are_those_it_was_raised_for() {
        for bits in 0..16 {
            let sides: [bool; 4] = std::array::from_fn(|i| bits >> i & 1 == 1);
            let warning = Warning::FrameUnsure { frame: 3, confidence: 0.4, sides };
            assert_eq!(warning.code(), UNSURE);
            let expected = if bits == 0 { [true; 4] } else { sides };
            assert_eq!(named_sides(&warning.to_string()), expected, "{warning}");
        }
        assert_eq!(named_sides("other words for it: check the top edge"), [true; 4]);
    }
}
