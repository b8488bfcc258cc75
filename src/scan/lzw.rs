//! LZW as TIFF has it (TIFF 6.0, section 13), unpacked.
//!
//! A code stands for a stretch of what was unpacked before it, so the table of codes holds places instead of strings.

use std::io::{self, BufRead, Read};

const CLEAR: usize = 256;
const END: usize = 257;
/// The first code that stands for a string.
const FIRST: usize = 258;
/// Codes have 9 to 12 bits, so that there are so many at most.
const CODES: usize = 4096;
const LEAST_BITS: u32 = 9;
const MOST_BITS: u32 = 12;
/// Bytes that are copied at once: strings are mostly shorter.
const TOGETHER: usize = 8;
/// Bytes unpacked at a time when no more strings are learnt.
const ENOUGH: usize = 64 << 10;

/// A packed stream, read unpacked. It ends with its data, with or without the code for that.
pub(super) struct Lzw<R> {
    codes: Codes<R>,
    /// Where the string of each code begins, and its length; from [`FIRST`] on.
    strings: Vec<(usize, usize)>,
    /// What was unpacked since the table was cleared, up to `end`, with room behind it.
    plain: Vec<u8>,
    end: usize,
    /// Bytes of it that have been handed on.
    taken: usize,
    cleared: bool,
    ended: bool,
}

impl<R: BufRead> Lzw<R> {
    pub(super) fn new(input: R) -> Self {
        let codes = Codes { input, held: 0, bits: 0 };
        let strings = Vec::with_capacity(CODES);
        Self { codes, strings, plain: Vec::new(), end: 0, taken: 0, cleared: true, ended: false }
    }

    /// Unpacks until the table is cleared, the stream ends, or, when the table is full, enough is there.
    fn unpack(&mut self) -> io::Result<()> {
        if self.cleared {
            self.strings.clear();
            self.end = 0;
        } else if let Some((start, length)) = self.strings.last() {
            // What lies behind the last string will not be looked back at.
            self.end = self.end.min(start + length);
        }
        (self.taken, self.cleared) = (self.end, false);
        let mut before: Option<(usize, usize)> = None;
        let mut width = width(FIRST + self.strings.len());
        loop {
            let code = match self.codes.next(width)? {
                None | Some(END) => {
                    self.ended = true;
                    return Ok(());
                }
                Some(CLEAR) => {
                    self.cleared = true;
                    return Ok(());
                }
                Some(code) => code,
            };
            // 1. the string before and the first byte of this one make a new string
            let full = FIRST + self.strings.len() == CODES;
            if let Some((start, length)) = before.filter(|_| !full) {
                self.strings.push((start, length + 1));
                width = width.max(self::width(FIRST + self.strings.len()));
            }
            // 2. what this code stands for; it may be that new string, whose last byte is its first
            let (start, length) = match code {
                0..CLEAR => (self.end, 1),
                _ => *self.strings.get(code - FIRST).ok_or_else(nonsense)?,
            };
            if self.plain.len() < self.end + length + TOGETHER {
                self.plain.resize(2 * (self.end + length + TOGETHER), 0);
            }
            self.plain[self.end] = if code < CLEAR { code as u8 } else { self.plain[start] };
            if length <= TOGETHER {
                self.plain.copy_within(start..start + TOGETHER, self.end);
            } else {
                (0..length).for_each(|i| self.plain[self.end + i] = self.plain[start + i]);
            }
            before = Some((self.end, length));
            self.end += length;
            if full && self.end - self.taken >= ENOUGH {
                return Ok(());
            }
        }
    }
}

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        while self.taken == self.end && !self.ended {
            self.unpack()?;
        }
        let count = out.len().min(self.end - self.taken);
        out[..count].copy_from_slice(&self.plain[self.taken..][..count]);
        self.taken += count;
        Ok(count)
    }
}

/// Bits of the next code, when so many are known to who unpacks, who is one behind: TIFF widens them one early.
fn width(known: usize) -> u32 {
    (usize::BITS - (known + 1).leading_zeros()).clamp(LEAST_BITS, MOST_BITS)
}

fn nonsense() -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, "a code that has no string yet")
}

/// Codes of growing width, the higher bits first.
struct Codes<R> {
    input: R,
    /// Bits that were read and not yet used, the next ones highest of `bits`.
    held: u64,
    bits: u32,
}

impl<R: BufRead> Codes<R> {
    fn next(&mut self, width: u32) -> io::Result<Option<usize>> {
        while self.bits < width {
            let packed = self.input.fill_buf()?;
            if let Some(four) = packed.first_chunk() {
                self.held = self.held << 32 | u64::from(u32::from_be_bytes(*four));
                self.bits += 32;
                self.input.consume(4);
            } else if let Some(byte) = packed.first() {
                self.held = self.held << 8 | u64::from(*byte);
                self.bits += 8;
                self.input.consume(1);
            } else {
                return Ok(None);
            }
        }
        self.bits -= width;
        Ok(Some((self.held >> self.bits) as usize & ((1 << width) - 1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Packed by the weezl library, an independent one; through windows of one, three and many bytes.
    #[test]
    fn what_another_library_packed_unpacks_to_what_it_was() {
        let still = vec![7u8; 30_000];
        let noise: Vec<u8> = (0..90_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 11) as u8).collect();
        let slope: Vec<u8> = (0..50_000u32).map(|i| (i / 300) as u8).collect();
        let pairs: Vec<u8> = (0..40_000u32).map(|i| (i * i / 7 % 5) as u8).collect();
        for plain in [still, noise, slope, pairs, vec![1], vec![2, 2], vec![3, 3, 3]] {
            let packed = weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8).encode(&plain).unwrap();
            for window in [1, 3, 5000] {
                let mut back = Vec::new();
                Lzw::new(io::BufReader::with_capacity(window, packed.as_slice())).read_to_end(&mut back).unwrap();
                assert!(back == plain, "{} bytes, window {window}", plain.len());
            }
        }
    }

    /// A table that fills and is never cleared, as some writers leave it.
    #[test]
    fn a_table_that_is_full_and_never_cleared_goes_on_serving() {
        let plain: Vec<u8> = (0..200_000usize).map(|i| (i * i / 3) as u8).collect();
        let mut bits = Bits::default();
        bits.put(256, 9);
        for (i, byte) in plain.iter().enumerate() {
            // Each byte but the first has taught one string by the time that the next code is read.
            bits.put(u32::from(*byte), width((FIRST + i.saturating_sub(1)).min(CODES)));
        }
        let mut ours = Vec::new();
        Lzw::new(bits.end().as_slice()).read_to_end(&mut ours).unwrap();
        assert!(ours == plain);
    }

    #[test]
    fn a_code_without_a_string_is_an_error() {
        let mut bits = Bits::default();
        [256, 300].into_iter().for_each(|code| bits.put(code, 9));
        assert!(Lzw::new(bits.end().as_slice()).read_to_end(&mut Vec::new()).is_err());
    }

    /// Bits put one after another, the slow way.
    #[derive(Default)]
    struct Bits(Vec<bool>);

    impl Bits {
        fn put(&mut self, code: u32, width: u32) {
            self.0.extend((0..width).rev().map(|bit| code >> bit & 1 == 1));
        }

        fn end(self) -> Vec<u8> {
            let byte = |bits: &[bool]| bits.iter().enumerate().map(|(i, bit)| u8::from(*bit) << (7 - i)).sum();
            self.0.chunks(8).map(byte).collect()
        }
    }
}
