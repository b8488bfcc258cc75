//! Pixels that go onto a page as they are: without loss, and never smoothed.

use std::hash::{Hash, Hasher};
use std::sync::Arc;

use image::GrayImage;
use krilla::image::{BitsPerComponent, CustomImage, ImageColorspace};

use super::canvas::{Canvas, PixelArea};
use super::page::Ink;
use crate::light::{Encoding, grey_profile};
use crate::plane::Size;

/// A grey picture of which each pixel is kept; cheap to clone.
#[derive(Clone)]
pub struct Pixels(Arc<Kept>);

struct Kept {
    size: Size,
    /// Row after row; of 16 bits the higher byte first, as PDF has it (ISO 32000-1, 8.9.5.1).
    bytes: Vec<u8>,
    deep: bool,
    /// What a code means in light.
    profile: Vec<u8>,
    /// The same in 8 bits and the sRGB curve, for pages of pixels.
    shallow: GrayImage,
    hash: blake3::Hash,
}

impl Pixels {
    /// Of 8 bits in the sRGB curve.
    pub fn of(picture: GrayImage) -> Self {
        let size = Size { width: picture.width(), height: picture.height() };
        Self::new(size, picture.as_raw().clone(), false, grey_profile(&Encoding::Srgb), picture)
    }

    /// Of 16 bits in an encoding.
    ///
    /// # Panics
    /// If there is not a code for each pixel.
    pub fn deep(size: Size, codes: &[u16], encoding: &Encoding) -> Self {
        assert_eq!(codes.len() as u64, size.pixels(), "a code for each pixel");
        let shown = |code: &u16| {
            let light = encoding.decode(f64::from(*code) / f64::from(u16::MAX));
            (f64::from(u8::MAX) * Encoding::Srgb.encode(light)).round() as u8
        };
        let shallow = GrayImage::from_raw(size.width, size.height, codes.iter().map(shown).collect());
        let bytes = codes.iter().flat_map(|code| code.to_be_bytes()).collect();
        Self::new(size, bytes, true, grey_profile(encoding), shallow.expect("a code for each pixel"))
    }

    fn new(size: Size, bytes: Vec<u8>, deep: bool, profile: Vec<u8>, shallow: GrayImage) -> Self {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&size.width.to_le_bytes()).update(&[u8::from(deep)]).update(&profile).update(&bytes);
        Self(Arc::new(Kept { size, bytes, deep, profile, shallow, hash: hasher.finalize() }))
    }

    /// Columns and rows.
    pub fn size(&self) -> Size {
        self.0.size
    }

    /// Draws them over an area of a page of pixels, each pixel of the page that of the source under its middle.
    pub(super) fn draw(&self, canvas: &mut Canvas, area: PixelArea) {
        let Size { width, height } = self.size();
        let (left, top) = (area.left.round(), area.top.round());
        let across = (area.right - area.left) / f64::from(width);
        let down = (area.bottom - area.top) / f64::from(height);
        let under = |at: f64, each: f64, most: u32| ((at / each) as u32).min(most - 1);
        // Rounding a length must not cost a pixel.
        let count = |each: f64, of: u32| (each * f64::from(of)).round() as u32;
        for y in 0..count(down, height) {
            for x in 0..count(across, width) {
                let from = (under(f64::from(x) + 0.5, across, width), under(f64::from(y) + 0.5, down, height));
                let ink = Ink(self.0.shallow.get_pixel(from.0, from.1).0[0]);
                canvas.cover(left as i64 + i64::from(x), top as i64 + i64::from(y), ink, 1.0);
            }
        }
    }
}

impl std::fmt::Debug for Pixels {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Pixels({} x {})", self.0.size.width, self.0.size.height)
    }
}

impl Hash for Pixels {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.hash.as_bytes().hash(state);
    }
}

/// As the PDF library takes them.
impl CustomImage for Pixels {
    fn color_channel(&self) -> &[u8] {
        &self.0.bytes
    }

    fn alpha_channel(&self) -> Option<&[u8]> {
        None
    }

    fn bits_per_component(&self) -> BitsPerComponent {
        if self.0.deep { BitsPerComponent::Sixteen } else { BitsPerComponent::Eight }
    }

    fn size(&self) -> (u32, u32) {
        (self.0.size.width, self.0.size.height)
    }

    fn icc_profile(&self) -> Option<&[u8]> {
        Some(&self.0.profile)
    }

    fn color_space(&self) -> ImageColorspace {
        ImageColorspace::Luma
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp() -> Pixels {
        Pixels::of(GrayImage::from_fn(16, 9, |x, y| image::Luma([(x * 16 + y) as u8])))
    }

    fn drawn(each: f64, left: f64) -> GrayImage {
        let mut canvas = Canvas::new(80, 60);
        let area = PixelArea { left, top: 3.2, right: left + 16.0 * each, bottom: 3.2 + 9.0 * each };
        ramp().draw(&mut canvas, area);
        canvas.into_image()
    }

    #[test]
    fn a_pixel_is_a_pixel_wherever_it_lies_or_a_square_of_them() {
        for left in [4.0, 4.3, 3.6] {
            let page = drawn(1.0, left);
            assert!((0..9).all(|y| (0..16).all(|x| page.get_pixel(4 + x, 3 + y).0 == [(x * 16 + y) as u8])));
        }
        let large = drawn(3.0, 0.0);
        assert!((0..27).all(|y| (0..48).all(|x| large.get_pixel(x, 3 + y).0 == [(x / 3 * 16 + y / 3) as u8])));
    }

    /// A code's lightness is the same in either depth: gamma 2.2 of code 32768 is light 0.2176, in sRGB
    /// 128.47 (computed).
    #[test]
    fn deep_codes_are_shown_by_their_light() {
        let deep = Pixels::deep(Size { width: 1, height: 1 }, &[32_768], &Encoding::Gamma(2.2));
        assert_eq!(deep.0.shallow.get_pixel(0, 0).0, [128]);
        assert_eq!(deep.color_channel(), [0x80, 0x00]);
    }
}
