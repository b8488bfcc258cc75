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
    input: R,
    table: Table,
    /// Bytes of the table's text that have been handed on.
    taken: usize,
    ended: bool,
}

impl<R: BufRead> Lzw<R> {
    pub(super) fn new(input: R) -> Self {
        Self { input, table: Table::new(), taken: 0, ended: false }
    }

    /// Unpacks until the table is to be cleared, the stream ends, or, when the table is full, enough is there.
    fn unpack(&mut self) -> io::Result<()> {
        self.taken = self.table.begin();
        loop {
            let packed = self.input.fill_buf()?;
            let (used, stop) = self.table.take(packed)?;
            self.ended = stop == Some(Stop::End) || packed.is_empty();
            self.input.consume(used);
            if self.ended || stop.is_some() {
                return Ok(());
            }
        }
    }
}

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        while self.taken == self.table.end && !self.ended {
            self.unpack()?;
        }
        let count = out.len().min(self.table.end - self.taken);
        out[..count].copy_from_slice(&self.table.plain[self.taken..][..count]);
        self.taken += count;
        Ok(count)
    }
}

/// Why no further code was taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stop {
    Clear,
    Enough,
    End,
}

/// What is known of the stream so far.
struct Table {
    /// Bits that were read and are not yet used: the lowest `bits`, the next one highest.
    held: u64,
    bits: u32,
    /// Where the string of each code begins, and its length.
    strings: Box<[(u32, u32); CODES]>,
    /// Codes that have a meaning.
    known: usize,
    /// The string of the code before.
    before: Option<(usize, usize)>,
    /// What was unpacked since the table was cleared, up to `end`, with room behind it.
    plain: Vec<u8>,
    end: usize,
    /// From where on it has not been handed on.
    fresh: usize,
    cleared: bool,
    /// A code came that has no meaning; what was unpacked before it is handed on first.
    broken: bool,
}

impl Table {
    fn new() -> Self {
        let strings = Box::new([(0, 0); CODES]);
        Self {
            held: 0,
            bits: 0,
            strings,
            known: FIRST,
            before: None,
            plain: Vec::new(),
            end: 0,
            fresh: 0,
            cleared: true,
            broken: false,
        }
    }

    /// Forgets what will not be looked back at; says where new text will begin.
    fn begin(&mut self) -> usize {
        if std::mem::take(&mut self.cleared) {
            (self.known, self.before, self.end) = (FIRST, None, 0);
        } else if self.known > FIRST {
            let (start, length) = self.strings[self.known - 1];
            self.end = self.end.min((start + length) as usize);
        }
        self.fresh = self.end;
        self.end
    }

    /// Takes codes from `packed`; says how many of its bytes were used, and why it stopped if not for want of more.
    fn take(&mut self, packed: &[u8]) -> io::Result<(usize, Option<Stop>)> {
        if self.broken {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "a code that has no string yet"));
        }
        let Self { strings, plain, .. } = self;
        let (mut held, mut bits, mut at) = (self.held, self.bits, 0);
        let (mut known, mut before, mut end) = (self.known, self.before, self.end);
        let mut width = width(known);
        let stop = 'codes: loop {
            // 1. the next code
            while bits < width {
                if let Some(four) = packed[at..].first_chunk() {
                    held = held << 32 | u64::from(u32::from_be_bytes(*four));
                    (bits, at) = (bits + 32, at + 4);
                } else if let Some(byte) = packed.get(at) {
                    held = held << 8 | u64::from(*byte);
                    (bits, at) = (bits + 8, at + 1);
                } else {
                    break 'codes None;
                }
            }
            bits -= width;
            let code = (held >> bits) as usize & ((1 << width) - 1);
            if code == CLEAR || code == END {
                break if code == END { Some(Stop::End) } else { Some(Stop::Clear) };
            }
            // 2. the string before and the first byte of this one make a new string
            let full = known == CODES;
            if let Some((start, length)) = before.filter(|_| !full) {
                strings[known] = (start as u32, length as u32 + 1);
                known += 1;
                if known + 1 == 1 << width && width < MOST_BITS {
                    width += 1;
                }
            }
            // 3. what the code stands for; it may be that new string, whose last byte is its first
            if plain.len() < end + CODES + TOGETHER {
                plain.resize(2 * (end + CODES + TOGETHER), 0);
            }
            let length = if code < CLEAR {
                plain[end] = code as u8;
                1
            } else if code < known {
                let (start, length) = (strings[code].0 as usize, strings[code].1 as usize);
                plain[end] = plain[start];
                if let Some(together) = plain[start..].first_chunk::<TOGETHER>().filter(|_| length <= TOGETHER) {
                    let together = *together;
                    plain[end..end + TOGETHER].copy_from_slice(&together);
                } else {
                    (0..length).for_each(|i| plain[end + i] = plain[start + i]);
                }
                length
            } else {
                self.broken = true;
                break Some(Stop::Enough);
            };
            before = Some((end, length));
            end += length;
            if full && end - self.fresh >= ENOUGH {
                break Some(Stop::Enough);
            }
        };
        (self.held, self.bits) = (held, bits);
        (self.known, self.before, self.end) = (known, before, end);
        self.cleared = stop == Some(Stop::Clear);
        Ok((at, stop))
    }
}

/// Bits of the next code, when so many are known to who unpacks, who is one behind: TIFF widens them one early.
fn width(known: usize) -> u32 {
    (usize::BITS - (known + 1).leading_zeros()).clamp(LEAST_BITS, MOST_BITS)
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

    /// A table that fills and is never cleared, as some writers leave it; weezl unpacks the same stream.
    #[test]
    fn a_table_that_is_full_and_never_cleared_goes_on_serving() {
        let plain: Vec<u8> = (0..200_000usize).map(|i| (i * i / 3) as u8).collect();
        let mut bits = Bits::default();
        bits.put(256, 9);
        for (i, byte) in plain.iter().enumerate() {
            // Each byte but the first has taught one string by the time that the next code is read.
            bits.put(u32::from(*byte), width((FIRST + i.saturating_sub(1)).min(CODES)));
        }
        let packed = bits.end();
        let (mut ours, mut theirs) = (Vec::new(), Vec::new());
        Lzw::new(packed.as_slice()).read_to_end(&mut ours).unwrap();
        let mut other = weezl::decode::Decoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8);
        other.into_vec(&mut theirs).decode(&packed).status.unwrap();
        assert!(ours == plain && theirs[..plain.len()] == plain);
    }

    #[test]
    fn a_code_without_a_string_is_an_error() {
        let mut bits = Bits::default();
        [256, 65, 66, 300].into_iter().for_each(|code| bits.put(code, 9));
        let (packed, mut before) = (bits.end(), [0; 2]);
        let mut stream = Lzw::new(packed.as_slice());
        // What stands before it is told: some writers leave bytes behind a strip's last row.
        stream.read_exact(&mut before).unwrap();
        assert_eq!(before, [65, 66]);
        assert!(stream.read(&mut [0]).is_err());
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
