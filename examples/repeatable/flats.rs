//! Two flat positives of one negative laid over one another, and how far their tones lie apart.

use std::error::Error;
use std::fs::{self, File};
use std::path::Path;

use tiff::decoder::{Decoder, DecodingResult};

use crate::negative::{MARGIN, SIZE, Scanned};

/// Side of the squares over which light is averaged before tones are compared, in pixels of a full scan: 0.8 mm on the
/// film.
const SQUARE: usize = 8;
/// Squares this near to the picture's edge are left out, in pixels: there a frame's outline shows, not its tones.
const EDGE: usize = 16;

/// How far the tones of two flat positives lie apart.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Apart {
    /// Mean of the differences, in L*.
    pub(crate) mean: f64,
    /// 99 % of them are smaller.
    pub(crate) most: f64,
}

/// L* of each square of the picture, as `flat` (in gamma 2.2) shows it.
///
/// # Errors
/// If the flat positive or its notes cannot be read.
pub(crate) fn tones(flat: &Path, notes: &Path, how: Scanned) -> Result<Vec<f64>, Box<dyn Error>> {
    // 1. Where the flat positive lies in its scan.
    let notes: toml::Table = fs::read_to_string(notes)?.parse()?;
    let area = notes["flat"]["frames"][0]["area"].as_array().ok_or("the notes name no area")?;
    let place = |i: usize| area[i].as_integer().map(|v| v as usize).ok_or("an area is four numbers");
    let (left, top, width) = (place(0)?, place(1)?, place(2)?);
    let DecodingResult::U16(codes) = Decoder::new(File::open(flat)?)?.read_image()? else {
        return Err("a flat positive has 16 bits".into());
    };
    // 2. Light of each square, by the place on the negative.
    let across = SIZE.0 / SQUARE;
    let mut squares = vec![(0.0, 0usize); across * (SIZE.1 / SQUARE)];
    for (i, code) in codes.iter().enumerate() {
        let (x, y) = (left + i % width, top + i / width);
        let (x, y) = if how.turned { (y, SIZE.1 / how.pixels - 1 - x) } else { (x, y) };
        let square = &mut squares[y * how.pixels / SQUARE * across + x * how.pixels / SQUARE];
        square.0 += (f64::from(*code) / 65_535.0).powf(2.2);
        square.1 += 1;
    }
    // 3. Lightness of those that lie well inside the picture.
    let inner = |at: usize, of: usize| (MARGIN + EDGE..of - MARGIN - EDGE - SQUARE).contains(&(at * SQUARE));
    let whole = (SQUARE / how.pixels).pow(2);
    (0..squares.len())
        .filter(|i| inner(i % across, SIZE.0) && inner(i / across, SIZE.1))
        .map(|i| match squares[i] {
            (light, pixels) if pixels == whole => Ok(lightness(light / pixels as f64)),
            _ => Err("the frame is not where it should be".into()),
        })
        .collect()
}

/// CIE 15.
fn lightness(y: f64) -> f64 {
    if y > 216.0 / 24_389.0 { 116.0 * y.cbrt() - 16.0 } else { y * 24_389.0 / 27.0 }
}

/// How far two lots of tones lie apart, square by square.
pub(crate) fn apart(one: &[f64], other: &[f64]) -> Apart {
    let mut differences: Vec<f64> = one.iter().zip(other).map(|(a, b)| (a - b).abs()).collect();
    differences.sort_by(f64::total_cmp);
    let mean = differences.iter().sum::<f64>() / differences.len() as f64;
    Apart { mean, most: differences[differences.len() * 99 / 100] }
}
