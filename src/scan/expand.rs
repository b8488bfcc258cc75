//! Packed bytes to plain ones, as a stream.

use std::io::{self, BufRead, Read};

use flate2::bufread::ZlibDecoder;
use weezl::{BitOrder, LzwStatus, decode};

use super::error::Error;
use super::facts::Compression;

/// What `input` holds unpacked. Its end is an `UnexpectedEof`, nonsense in it an `InvalidData` or `InvalidInput`.
pub(super) fn expand<'a>(
    compression: Compression,
    mut input: impl BufRead + Send + 'a,
) -> Result<Box<dyn Read + Send + 'a>, Error> {
    Ok(match compression {
        Compression::None => Box::new(input),
        Compression::Deflate => Box::new(ZlibDecoder::new(input)),
        Compression::PackBits => Box::new(PackBits { input, run: Run::Between }),
        Compression::Lzw => {
            // A stream begins with the clear code, 256 in 9 bits. Files from before TIFF 6.0 wrote it low bits first.
            if let [0, second, ..] = input.fill_buf()?
                && second & 1 == 1
            {
                return Err(Error::unsupported("it is packed by the LZW of before TIFF 6.0"));
            }
            let settings = decode::Configuration::with_tiff_size_switch(BitOrder::Msb, 8);
            Box::new(Lzw { input, decoder: settings.with_yield_on_full_buffer(true).build() })
        }
        Compression::Jpeg => return Err(Error::unsupported("JPEG inside a TIFF is not read")),
    })
}

/// TIFF 6.0, section 13.
struct Lzw<R> {
    input: R,
    decoder: decode::Decoder,
}

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        if out.is_empty() {
            return Ok(0);
        }
        loop {
            let packed = self.input.fill_buf()?;
            let ended = packed.is_empty();
            let result = self.decoder.decode_bytes(packed, out);
            self.input.consume(result.consumed_in);
            let status = result.status.map_err(|e| io::Error::new(io::ErrorKind::InvalidData, e))?;
            let stuck = result.consumed_in == 0 && result.consumed_out == 0;
            if result.consumed_out > 0 || ended || stuck || matches!(status, LzwStatus::Done) {
                return Ok(result.consumed_out);
            }
        }
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
