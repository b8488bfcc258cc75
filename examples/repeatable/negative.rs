//! One negative, drawn: a coil of rope on the store-room floor, with grain, a clear rebate and a black holder; and the
//! ways in which it is scanned. Nothing here uses the library.

use std::error::Error;
use std::fs::File;
use std::path::Path;

use tiff::encoder::{Rational, TiffEncoder, colortype::Gray8, colortype::Gray16};
use tiff::tags::ResolutionUnit;

/// Width and height of the negative in its holder, in pixels of a full scan.
pub(crate) const SIZE: (usize, usize) = (1040, 1280);
/// Width of the holder around the film, and of the rebate inside it.
const HOLDER: usize = 24;
const REBATE: usize = 32;
/// Where the picture begins and ends, in from every side.
pub(crate) const MARGIN: usize = HOLDER + REBATE;
/// Resolution of a full scan: 4 x 5 inch.
const PPI: u32 = 256;
/// Density of base and fog, and light that comes through the holder.
const BASE: f64 = 0.22;
const BLACK: f64 = 0.0003;
/// Light of the lamp without film at the middle setting: low enough that the bright one clips nothing.
const LAMP: f64 = 0.45;
/// Noise of the scanner: of reading, in light, and of light itself.
const READ: f64 = 5e-5;
const SHOT: f64 = 5e-4;

/// How the negative is scanned.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scanned {
    /// What is different about it.
    pub(crate) name: &'static str,
    /// How much more light, in D.
    pub(crate) brighter: f64,
    /// Transfer encoding, as the program's settings name it.
    pub(crate) encoding: &'static str,
    /// 8 or 16.
    pub(crate) bits: u32,
    /// Pixels of a full scan, across and down, to one of this.
    pub(crate) pixels: usize,
    /// Whether it is turned clockwise by 90 degrees.
    pub(crate) turned: bool,
}

/// The scan with which the others are compared.
pub(crate) const REFERENCE: Scanned =
    Scanned { name: "reference", brighter: 0.0, encoding: "gamma2.2", bits: 16, pixels: 1, turned: false };

/// The others.
pub(crate) fn others() -> [Scanned; 9] {
    let also = |name| Scanned { name, ..REFERENCE };
    [
        also("scanned once more"),
        Scanned { brighter: 0.3, ..also("0.3 D brighter") },
        Scanned { brighter: -0.3, ..also("0.3 D darker") },
        Scanned { encoding: "srgb", ..also("sRGB") },
        Scanned { encoding: "linear", ..also("linear") },
        Scanned { turned: true, ..also("turned by 90 degrees") },
        Scanned { pixels: 2, ..also("half the resolution") },
        Scanned { brighter: -0.3, encoding: "srgb", pixels: 2, turned: true, ..also("all of these") },
        Scanned { bits: 8, ..also("8 bits") },
    ]
}

/// Chance that comes out the same every time (splitmix64, Steele, Lea and Flood 2014, from memory).
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let n = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Bell-shaped, mean 0, standard deviation 1: twelve throws added.
    fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// Net density of a blank sky.
const SKY: f64 = 1.25;

/// Net density of the picture, `u` and `v` from 0 to 1 across and down; the upper part of it, `sky`, is blank.
fn net(u: f64, v: f64, sky: f64) -> f64 {
    if v < sky {
        return SKY;
    }
    // A floor that falls into shadow, planks, and light from a door.
    let door = (-((u - 0.85).powi(2) + (v - 0.12).powi(2)) / 0.02).exp();
    let floor = 0.25 + 0.30 * u + 0.25 * (1.0 - v) - 0.12 * f64::from(u8::from((v * 9.0).fract() < 0.04)) + 0.75 * door;
    // The coil: turns of rope, each a rounded rim with its lay, lit from the right.
    let (x, y) = ((u - 0.45) * 0.8, v - 0.6);
    let (radius, angle) = (x.hypot(y), y.atan2(x));
    if !(0.06..0.33).contains(&radius) {
        return if radius < 0.06 { 0.06 } else { floor };
    }
    let across = (radius / 0.03).fract() - 0.5;
    let rim = (1.0 - 3.6 * across * across).max(0.0);
    let lay = 0.5 + 0.5 * (40.0 * radius.sqrt() * angle + 14.0 * across).sin();
    0.08 + 0.85 * rim * (0.55 + 0.25 * (angle + 0.6).cos()) + 0.22 * rim * lay
}

/// The negative as light that it lets through, pixel by pixel of a full scan. `grain` is the spread of density in one
/// of them at net density 1, `sky` the share of the picture that is blank sky: there grain alone makes the dense end.
pub(crate) fn negative(grain: f64, sky: f64) -> Vec<f64> {
    let (width, height) = SIZE;
    let mut dice = Dice(20_261_125);
    let white: Vec<f64> = (0..(width + 1) * (height + 1)).map(|_| dice.bell()).collect();
    // It hangs together over two pixels, as the lens leaves it.
    let grain_at = |x: usize, y: usize| {
        let at = |dx: usize, dy: usize| white[(y + dy) * (width + 1) + x + dx];
        grain * (at(0, 0) + at(1, 0) + at(0, 1) + at(1, 1)) / 2.0
    };
    let inside = |x: usize, y: usize, by: usize| (by..width - by).contains(&x) && (by..height - by).contains(&y);
    let light = |x: usize, y: usize| {
        let share = |at: usize, of: usize| (at - MARGIN) as f64 / (of - 2 * MARGIN) as f64;
        let net = if inside(x, y, MARGIN) { net(share(x, width), share(y, height), sky) } else { 0.0 };
        let film = 10f64.powf(-BASE - net - grain_at(x, y) * (net + 0.05).sqrt());
        if inside(x, y, HOLDER) { film } else { BLACK }
    };
    (0..width * height).map(|i| light(i % width, i / width)).collect()
}

fn encoded(encoding: &str, light: f64) -> f64 {
    match encoding {
        "linear" => light,
        // IEC 61966-2-1.
        "srgb" if light <= 0.003_130_8 => 12.92 * light,
        "srgb" => 1.055 * light.powf(1.0 / 2.4) - 0.055,
        _ => light.powf(1.0 / 2.2),
    }
}

/// Scans the negative: as many pixels as asked for averaged to one, the scanner's own noise added, encoded, turned.
///
/// # Errors
/// If the file cannot be written.
pub(crate) fn scan(negative: &[f64], how: Scanned, path: &Path) -> Result<(), Box<dyn Error>> {
    let (n, across) = (how.pixels, SIZE.0);
    let (width, height) = (SIZE.0 / n, SIZE.1 / n);
    let mut dice = Dice(how.name.bytes().fold(7, |seed, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte))));
    let full = f64::from((1u32 << how.bits) - 1);
    let mut pixel = |x: usize, y: usize| {
        let under = (0..n * n).map(|i| negative[(y * n + i / n) * across + x * n + i % n]);
        let light = LAMP * 10f64.powf(how.brighter) * under.sum::<f64>() / (n * n) as f64;
        let noisy = light + (READ * READ + SHOT * SHOT * light).sqrt() * dice.bell();
        (encoded(how.encoding, noisy.clamp(0.0, 1.0)) * full).round() as u16
    };
    let codes: Vec<u16> = (0..width * height).map(|i| pixel(i % width, i / width)).collect();
    let (codes, width, height) = match how.turned {
        false => (codes, width, height),
        // Clockwise: what was the left column, from below, becomes the top row.
        true => (
            (0..width * height).map(|i| codes[(height - 1 - i % height) * width + i / height]).collect(),
            height,
            width,
        ),
    };
    write(path, &codes, (width as u32, height as u32), how)
}

fn write(path: &Path, codes: &[u16], (width, height): (u32, u32), how: Scanned) -> Result<(), Box<dyn Error>> {
    let ppi = Rational { n: PPI / how.pixels as u32, d: 1 };
    let mut file = TiffEncoder::new(File::create(path)?)?;
    if how.bits == 8 {
        let codes: Vec<u8> = codes.iter().map(|code| *code as u8).collect();
        let mut image = file.new_image::<Gray8>(width, height)?;
        image.resolution(ResolutionUnit::Inch, ppi);
        image.write_data(&codes)?;
    } else {
        let mut image = file.new_image::<Gray16>(width, height)?;
        image.resolution(ResolutionUnit::Inch, ppi);
        image.write_data(codes)?;
    }
    Ok(())
}
