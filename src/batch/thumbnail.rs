//! A proof made small, for a page that holds many.

use image::ImageFormat;
use rayon::prelude::*;

use crate::light::{Densitometer, Encoding, ScreenCodes};
use crate::logbook::Small;
use crate::plane::{Across, Down, Size};
use crate::save;

/// Makes JPEGs small.
pub(super) struct Reducing {
    bench: Densitometer,
    screen: ScreenCodes,
    edge: u32,
}

/// Long edge of a small proof on a page of up to so many: enough for its column on a fine screen, some 25 KB.
const EDGE: f64 = 420.0;
const MANY: f64 = 400.0;
/// It is never smaller than this: a picture is still told from its neighbour.
const LEAST_EDGE: f64 = 120.0;

impl Reducing {
    /// For a page with so many: from [`MANY`] on they shrink, so that the page stays one that a browser opens.
    pub(super) fn of(pictures: usize) -> Self {
        let edge = EDGE * (MANY / pictures.max(1) as f64).sqrt().min(1.0);
        let edge = edge.max(LEAST_EDGE) as u32;
        Self { bench: Densitometer::new(&Encoding::Srgb), screen: ScreenCodes::default(), edge }
    }

    /// A small copy of a grey JPEG, averaged in light.
    ///
    /// # Errors
    /// When it cannot be read, in words.
    pub(super) fn reduce(&self, jpeg: &[u8]) -> Result<Small, String> {
        let whole =
            image::load_from_memory_with_format(jpeg, ImageFormat::Jpeg).map_err(|e| e.to_string())?.into_luma8();
        let from = Size { width: whole.width(), height: whole.height() };
        let to = from.fitted(self.edge);
        let (across, mut down) = (Across::new(from.width, to.width), Down::new(from, to));
        let narrow: Vec<Vec<f32>> = whole
            .as_raw()
            .par_chunks_exact(from.width as usize)
            .map(|row| {
                // 65,535 is 255 times 257.
                let codes: Vec<u16> = row.iter().map(|code| u16::from(*code) * 257).collect();
                let mut narrow = Vec::new();
                across.row(&codes, self.bench.light(), &mut narrow);
                narrow
            })
            .collect();
        let mut samples = Vec::new();
        let mut greys = |light: &[f32]| samples.extend(light.iter().map(|light| self.screen.of(*light)));
        narrow.iter().for_each(|row| down.row(row, &mut greys));
        down.finish(greys);
        let jpeg = save::small_jpeg(&samples, to).map_err(|e| e.to_string())?;
        Ok(Small { jpeg, width: to.width, height: to.height })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Black and white lines side by side are half the light: sRGB code 188 (IEC 61966-2-1: 0.5 encodes to 187.5).
    #[test]
    fn a_small_proof_has_the_light_of_the_large_one() {
        let size = Size { width: 1600, height: 800 };
        let lines: Vec<u8> = (0..size.pixels()).map(|i| if (i / 2) % 2 == 0 { 0 } else { 255 }).collect();
        let small = Reducing::of(1).reduce(&save::grey_jpeg(&lines, size, None).unwrap()).unwrap();
        assert_eq!((small.width, small.height), (420, 210));
        let back = image::load_from_memory(&small.jpeg).unwrap().into_luma8();
        let mean = back.as_raw().iter().map(|code| f64::from(*code)).sum::<f64>() / back.as_raw().len() as f64;
        assert!((mean - 187.5).abs() < 3.0, "{mean}");
    }

    #[test]
    fn many_are_smaller_and_none_is_blown_up() {
        assert_eq!([1, 400, 1600, 100_000].map(|many| Reducing::of(many).edge), [420, 420, 210, 120]);
        let size = Size { width: 40, height: 30 };
        let small = Reducing::of(1).reduce(&save::grey_jpeg(&[90; 1200], size, None).unwrap()).unwrap();
        assert_eq!((small.width, small.height), (40, 30));
        assert!(Reducing::of(1).reduce(b"not a picture").is_err());
    }
}
