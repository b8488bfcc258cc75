//! Packed bytes to plain ones, as a stream.

use std::io::{self, BufRead, Read};

use zlib_rs::{Inflate, InflateFlush, Status};

use super::error::Error;
use super::facts::Compression;
use super::lzw::Lzw;

/// What `input` holds unpacked. Nonsense in it is an `InvalidData` or `InvalidInput`.
pub(super) fn expand<'a>(
    compression: Compression,
    mut input: impl BufRead + Send + 'a,
) -> Result<Box<dyn Read + Send + 'a>, Error> {
    Ok(match compression {
        Compression::None => Box::new(input),
        Compression::Deflate => Box::new(Zlib { input, inflate: Inflate::new(true, WINDOW_BITS), ended: false }),
        Compression::PackBits => Box::new(PackBits { input, run: Run::Between }),
        Compression::Lzw => {
            // A stream begins with the clear code, 256 in 9 bits. Files from before TIFF 6.0 wrote it low bits first.
            if let [0, second, ..] = input.fill_buf()?
                && second & 1 == 1
            {
                return Err(Error::unsupported("it is packed by the LZW of before TIFF 6.0"));
            }
            Box::new(Lzw::new(input))
        }
        Compression::Jpeg => return Err(Error::unsupported("JPEG inside a TIFF is not read")),
    })
}

/// The largest window that RFC 1950 knows, 2^15 bytes.
const WINDOW_BITS: u8 = 15;

/// RFC 1950.
struct Zlib<R> {
    input: R,
    inflate: Inflate,
    ended: bool,
}

impl<R: BufRead> Read for Zlib<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        while !self.ended {
            let packed = self.input.fill_buf()?;
            let (took, gave) = (self.inflate.total_in(), self.inflate.total_out());
            let flush = if packed.is_empty() { InflateFlush::Finish } else { InflateFlush::NoFlush };
            let nonsense = |_| io::Error::new(io::ErrorKind::InvalidData, "no Deflate data");
            let status = self.inflate.decompress(packed, out, flush).map_err(nonsense)?;
            let (took, gave) = (self.inflate.total_in() - took, self.inflate.total_out() - gave);
            // With all of the input used, a repetition may still be owed.
            self.ended = status == Status::StreamEnd || packed.is_empty() && (gave as usize) < out.len();
            self.input.consume(took as usize);
            if gave > 0 || out.is_empty() {
                return Ok(gave as usize);
            }
        }
        Ok(0)
    }
}

/// TIFF 6.0, section 9.
struct PackBits<R> {
    input: R,
    run: Run,
}

/// What is left of the run that is being unpacked.
enum Run {
    Between,
    Literal(usize),
    Repeat(u8, usize),
}

impl<R: BufRead> PackBits<R> {
    fn byte(&mut self) -> io::Result<Option<u8>> {
        let byte = self.input.fill_buf()?.first().copied();
        self.input.consume(usize::from(byte.is_some()));
        Ok(byte)
    }
}

impl<R: BufRead> Read for PackBits<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        let mut done = 0;
        while done < out.len() {
            match self.run {
                Run::Between => {
                    let Some(head) = self.byte()? else { break };
                    self.run = match head as i8 {
                        n @ 0.. => Run::Literal(n as usize + 1),
                        -128 => Run::Between,
                        n => match self.byte()? {
                            Some(value) => Run::Repeat(value, 1 + usize::from(n.unsigned_abs())),
                            None => break,
                        },
                    };
                }
                Run::Literal(left) => {
                    let count = left.min(out.len() - done);
                    let packed = self.input.fill_buf()?;
                    let count = count.min(packed.len());
                    if count == 0 {
                        break;
                    }
                    out[done..done + count].copy_from_slice(&packed[..count]);
                    self.input.consume(count);
                    done += count;
                    self.run = if left == count { Run::Between } else { Run::Literal(left - count) };
                }
                Run::Repeat(value, left) => {
                    let count = left.min(out.len() - done);
                    out[done..done + count].fill(value);
                    done += count;
                    self.run = if left == count { Run::Between } else { Run::Repeat(value, left - count) };
                }
            }
        }
        Ok(done)
    }
}

/// A file whose bits are stored lowest first (TIFF 6.0, FillOrder 2), turned round.
pub(super) struct LowestFirst<R>(pub(super) R);

impl<R: Read> Read for LowestFirst<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        let count = self.0.read(out)?;
        turn_bits(&mut out[..count]);
        Ok(count)
    }
}

/// Turns the bits of each byte round.
pub(super) fn turn_bits(bytes: &mut [u8]) {
    bytes.iter_mut().for_each(|byte| *byte = byte.reverse_bits());
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example of Apple's Technical Note TN1023, which TIFF 6.0, section 9, describes the method of.
    #[test]
    fn packbits_unpack_the_published_example() {
        let packed = [0xFE, 0xAA, 0x02, 0x80, 0x00, 0x2A, 0xFD, 0xAA, 0x03, 0x80, 0x00, 0x2A, 0x22, 0xF7, 0xAA];
        let plain = [
            0xAA, 0xAA, 0xAA, 0x80, 0x00, 0x2A, 0xAA, 0xAA, 0xAA, 0xAA, 0x80, 0x00, 0x2A, 0x22, 0xAA, 0xAA, 0xAA, 0xAA,
            0xAA, 0xAA, 0xAA, 0xAA, 0xAA, 0xAA,
        ];
        let mut out = Vec::new();
        expand(Compression::PackBits, &packed[..]).unwrap().read_to_end(&mut out).unwrap();
        assert_eq!(out, plain);
        // The same through a keyhole: one packed byte and five plain ones at a time.
        let keyhole = io::BufReader::with_capacity(1, &packed[..]);
        let mut stream = expand(Compression::PackBits, keyhole).unwrap();
        let mut out = vec![0; plain.len()];
        for piece in out.chunks_mut(5) {
            stream.read_exact(piece).unwrap();
        }
        assert_eq!(out, plain);
    }

    /// The stream of TIFF 6.0, section 13: 7 7 7 8 8 7 7 6 6, written there as the codes
    /// 256 7 258 8 8 258 6 6 257, packed by hand into 9 bits each.
    #[test]
    fn lzw_unpacks_the_example_of_the_standard() {
        let codes = [256u16, 7, 258, 8, 8, 258, 6, 6, 257];
        let bits: Vec<u8> =
            codes.iter().flat_map(|code| (0..9).rev().map(move |bit| (code >> bit & 1) as u8)).collect();
        let packed: Vec<u8> =
            bits.chunks(8).map(|byte| byte.iter().enumerate().map(|(i, bit)| bit << (7 - i)).sum()).collect();
        for capacity in [1, 2, 64] {
            let mut out = Vec::new();
            let input = io::BufReader::with_capacity(capacity, &packed[..]);
            expand(Compression::Lzw, input).unwrap().read_to_end(&mut out).unwrap();
            assert_eq!(out, [7, 7, 7, 8, 8, 7, 7, 6, 6]);
        }
    }

    #[test]
    fn lzw_of_before_the_standard_is_refused() {
        assert!(matches!(expand(Compression::Lzw, &[0, 1, 2][..]), Err(Error::Unsupported(_))));
    }

    #[test]
    fn bits_turn_round() {
        let mut bytes = [0b0000_0001, 0b1100_0000, 0xFF];
        turn_bits(&mut bytes);
        assert_eq!(bytes, [0b1000_0000, 0b0000_0011, 0xFF]);
    }
}
