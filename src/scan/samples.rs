//! Stored samples to grey codes: 16 bits, counted from black.

use super::channel::Channel;
use crate::plane::Size;

/// How the samples of a row are stored.
#[derive(Clone, Copy, Debug)]
pub(super) struct Samples {
    pub(super) depth: Depth,
    /// Order of the bytes of a 16-bit sample.
    pub(super) big_endian: bool,
    /// Samples of a pixel that lie side by side.
    pub(super) per_pixel: usize,
    /// Samples are differences to the pixel on the left (TIFF 6.0, section 14).
    pub(super) predicted: bool,
    /// Zero is white.
    pub(super) inverted: bool,
}

/// Bits of a stored sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Depth {
    Eight,
    /// Packed two to three bytes, the higher bits first.
    Twelve,
    Sixteen,
}

impl Depth {
    pub(super) fn bits(self) -> u8 {
        match self {
            Self::Eight => 8,
            Self::Twelve => 12,
            Self::Sixteen => 16,
        }
    }
}

/// What becomes the grey code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pick {
    /// This sample of each pixel.
    One(usize),
    /// The rounded mean of the first three.
    Mean,
    /// The first three side by side: three codes a pixel.
    Each,
}

impl Pick {
    /// What to pick from pixels with this many colour channels.
    pub(super) fn of(channel: Channel, colours: u8) -> Self {
        match channel {
            _ if colours == 1 => Self::One(0),
            Channel::Red => Self::One(0),
            Channel::Green => Self::One(1),
            Channel::Blue => Self::One(2),
            Channel::Mean => Self::Mean,
        }
    }

    /// All that there are.
    pub(super) fn all(colours: u8) -> Self {
        if colours == 1 { Self::One(0) } else { Self::Each }
    }

    /// Codes that come of a pixel.
    pub(super) fn codes(self) -> usize {
        match self {
            Self::One(_) | Self::Mean => 1,
            Self::Each => 3,
        }
    }
}

/// The rounded mean of three codes.
pub(super) fn mean(red: u16, green: u16, blue: u16) -> u16 {
    ((u32::from(red) + u32::from(green) + u32::from(blue) + 1) / 3) as u16
}

impl Samples {
    /// Bytes of a row of `width` pixels; rows begin at whole bytes.
    pub(super) fn row_bytes(&self, width: u32) -> u64 {
        (u64::from(width) * self.per_pixel as u64 * u64::from(self.depth.bits())).div_ceil(8)
    }

    /// Bytes of a whole picture.
    pub(super) fn bytes(&self, size: Size) -> u64 {
        self.row_bytes(size.width) * u64::from(size.height)
    }

    /// Whether a stored row is already what [`Self::grey`] would make of it, as this processor keeps numbers.
    pub(super) fn are_codes(&self) -> bool {
        let Self { depth, big_endian, per_pixel, predicted, inverted } = *self;
        let native = big_endian == cfg!(target_endian = "big");
        depth == Depth::Sixteen && native && per_pixel == 1 && !predicted && !inverted
    }

    /// Turns the left pixels of a stored row into codes, as many as there is room for.
    pub(super) fn grey(&self, row: &[u8], pick: Pick, codes: &mut [u16]) {
        match self.depth {
            Depth::Eight => self.whole::<Byte>(row, pick, codes),
            Depth::Sixteen if self.big_endian => self.whole::<HighFirst>(row, pick, codes),
            Depth::Sixteen => self.whole::<LowFirst>(row, pick, codes),
            Depth::Twelve => self.packed(row, pick, codes),
        }
        if self.inverted {
            // 65535 - code, TIFF 6.0 WhiteIsZero.
            codes.iter_mut().for_each(|code| *code = !*code);
        }
    }

    /// The strides of grey, RGB and RGB with one more are told to the compiler as constants.
    fn whole<S: Stored>(&self, row: &[u8], pick: Pick, codes: &mut [u16]) {
        match self.per_pixel {
            1 => self.pixels::<S>(row, S::BYTES, pick, codes),
            3 => self.pixels::<S>(row, 3 * S::BYTES, pick, codes),
            4 => self.pixels::<S>(row, 4 * S::BYTES, pick, codes),
            n => self.pixels::<S>(row, n * S::BYTES, pick, codes),
        }
    }

    #[inline(always)]
    fn pixels<S: Stored>(&self, row: &[u8], stride: usize, pick: Pick, codes: &mut [u16]) {
        let sample = |pixel: &[u8], channel: usize| S::read(&pixel[channel * S::BYTES..]);
        match (pick, self.predicted) {
            (Pick::One(channel), false) => {
                let pixels = codes.iter_mut().zip(row.chunks_exact(stride));
                pixels.for_each(|(code, pixel)| *code = sample(pixel, channel).code());
            }
            (Pick::One(channel), true) => {
                let mut left = S::default();
                for (code, pixel) in codes.iter_mut().zip(row.chunks_exact(stride)) {
                    left = left.plus(sample(pixel, channel));
                    *code = left.code();
                }
            }
            (Pick::Mean, predicted) => {
                let mut left = [S::default(); 3];
                for (code, pixel) in codes.iter_mut().zip(row.chunks_exact(stride)) {
                    for (channel, left) in left.iter_mut().enumerate() {
                        let here = sample(pixel, channel);
                        *left = if predicted { left.plus(here) } else { here };
                    }
                    *code = mean(left[0].code(), left[1].code(), left[2].code());
                }
            }
            (Pick::Each, predicted) => {
                let mut left = [S::default(); 3];
                for (codes, pixel) in codes.chunks_exact_mut(3).zip(row.chunks_exact(stride)) {
                    for (channel, (left, code)) in left.iter_mut().zip(codes).enumerate() {
                        let here = sample(pixel, channel);
                        *left = if predicted { left.plus(here) } else { here };
                        *code = left.code();
                    }
                }
            }
        }
    }

    fn packed(&self, row: &[u8], pick: Pick, codes: &mut [u16]) {
        let sample = |index: usize| {
            let at = index / 2 * 3 + index % 2;
            let (first, second) = (u16::from(row[at]), u16::from(row[at + 1]));
            full(if index.is_multiple_of(2) { first << 4 | second >> 4 } else { (first & 15) << 8 | second })
        };
        for (pixel, codes) in codes.chunks_exact_mut(pick.codes()).enumerate() {
            let at = pixel * self.per_pixel;
            match (pick, codes) {
                (Pick::One(channel), [code]) => *code = sample(at + channel),
                (Pick::Mean, [code]) => *code = mean(sample(at), sample(at + 1), sample(at + 2)),
                (_, codes) => codes.iter_mut().zip(at..).for_each(|(code, at)| *code = sample(at)),
            }
        }
    }
}

/// A 12-bit code on the scale of 16 bits, rounded: 0 stays 0, 4095 becomes 65535.
fn full(twelve: u16) -> u16 {
    ((u32::from(twelve) * 65_535 + 2047) / 4095) as u16
}

/// A sample of whole bytes. Sums are modulo its range, as TIFF's predictor wants them.
trait Stored: Copy + Default {
    const BYTES: usize;
    fn read(bytes: &[u8]) -> Self;
    fn plus(self, difference: Self) -> Self;
    /// On the scale of 16 bits.
    fn code(self) -> u16;
}

#[derive(Clone, Copy, Default)]
struct Byte(u8);

impl Stored for Byte {
    const BYTES: usize = 1;

    fn read(bytes: &[u8]) -> Self {
        Self(bytes[0])
    }

    fn plus(self, difference: Self) -> Self {
        Self(self.0.wrapping_add(difference.0))
    }

    fn code(self) -> u16 {
        u16::from(self.0) * 257
    }
}

#[derive(Clone, Copy, Default)]
struct LowFirst(u16);

impl Stored for LowFirst {
    const BYTES: usize = 2;

    fn read(bytes: &[u8]) -> Self {
        Self(u16::from_le_bytes([bytes[0], bytes[1]]))
    }

    fn plus(self, difference: Self) -> Self {
        Self(self.0.wrapping_add(difference.0))
    }

    fn code(self) -> u16 {
        self.0
    }
}

#[derive(Clone, Copy, Default)]
struct HighFirst(u16);

impl Stored for HighFirst {
    const BYTES: usize = 2;

    fn read(bytes: &[u8]) -> Self {
        Self(u16::from_be_bytes([bytes[0], bytes[1]]))
    }

    fn plus(self, difference: Self) -> Self {
        Self(self.0.wrapping_add(difference.0))
    }

    fn code(self) -> u16 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grey(samples: Samples, row: &[u8], pick: Pick, width: usize) -> Vec<u16> {
        let mut codes = vec![0; width];
        samples.grey(row, pick, &mut codes);
        codes
    }

    const PLAIN: Samples =
        Samples { depth: Depth::Eight, big_endian: false, per_pixel: 1, predicted: false, inverted: false };

    #[test]
    fn bytes_spread_over_the_whole_scale() {
        assert_eq!(grey(PLAIN, &[0, 1, 128, 255], Pick::One(0), 4), [0, 257, 32896, 65535]);
        let inverted = Samples { inverted: true, ..PLAIN };
        assert_eq!(grey(inverted, &[0, 1, 128, 255], Pick::One(0), 4), [65535, 65278, 32639, 0]);
    }

    /// Every 12-bit code against the fraction it stands for.
    #[test]
    fn twelve_bits_spread_over_the_whole_scale() {
        for code in 0..4096u16 {
            assert_eq!(full(code), (f64::from(code) / 4095.0 * 65535.0).round() as u16, "{code}");
        }
        let twelve = Samples { depth: Depth::Twelve, ..PLAIN };
        // 0xABC, 0xDEF, 0x123 packed: the last one alone in its row.
        let row = [0xAB, 0xCD, 0xEF, 0x12, 0x30];
        assert_eq!(grey(twelve, &row, Pick::One(0), 3), [full(0xABC), full(0xDEF), full(0x123)]);
        assert_eq!(twelve.row_bytes(3), 5);
    }

    /// TIFF 6.0, section 14, worked by hand: 1 2 3 250 7 as differences modulo 256, in both depths and byte orders.
    #[test]
    fn differences_sum_up_modulo_the_range() {
        let byte = Samples { predicted: true, ..PLAIN };
        assert_eq!(grey(byte, &[1, 1, 1, 247, 13], Pick::One(0), 5), [1, 2, 3, 250, 7].map(|v| v * 257));
        let word = Samples { depth: Depth::Sixteen, ..byte };
        assert_eq!(grey(word, &[0x00, 0xFF, 0x01, 0x02], Pick::One(0), 2), [0xFF00, 0x0101]);
        let swapped = Samples { big_endian: true, ..word };
        assert_eq!(grey(swapped, &[0xFF, 0x00, 0x02, 0x01], Pick::One(0), 2), [0xFF00, 0x0101]);
    }

    #[test]
    fn differences_reach_over_all_channels_of_a_pixel() {
        let infrared = Samples { per_pixel: 4, predicted: true, ..PLAIN };
        let row = [10, 20, 30, 40, 1, 2, 3, 4];
        assert_eq!(grey(infrared, &row, Pick::One(1), 2), [20 * 257, 22 * 257]);
        assert_eq!(grey(infrared, &row, Pick::Mean, 2), [20 * 257, 22 * 257]);
    }

    #[test]
    fn the_mean_is_rounded() {
        for sum in 0..=300u16 {
            let (red, green) = (sum / 3, sum / 2);
            let blue = 400 - red - green;
            let exact = f64::from(red + green + blue) / 3.0;
            assert_eq!(f64::from(mean(red, green, blue)), exact.round());
        }
        assert_eq!(mean(65535, 65535, 65535), 65535);
        assert_eq!([mean(0, 0, 1), mean(0, 1, 1)], [0, 1]);
    }
}
