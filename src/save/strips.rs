//! Rows packed into strips, several at a time, written in order.

use std::fmt;
use std::str::FromStr;

use rayon::prelude::*;
use tiff::encoder::compression::{CompressionAlgorithm, Packbits};

use super::{Error, deflate, lzw};

/// Uncompressed bytes of a strip, about: large enough to pack and read well, small enough to keep several in memory.
const STRIP_BYTES: usize = 256 * 1024;

/// Strips packed at a time for each thread.
const STRIPS_PER_THREAD: usize = 4;

/// How the strips of a TIFF are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// As they are.
    None,
    /// LZW.
    Lzw,
    /// Deflate.
    Deflate,
    /// PackBits.
    PackBits,
}

const NAMES: [(Packing, &str); 4] =
    [(Packing::None, "none"), (Packing::Lzw, "lzw"), (Packing::Deflate, "deflate"), (Packing::PackBits, "packbits")];

/// A name that is none of the packings.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no compression: use same, none, lzw, deflate or packbits")]
pub struct UnknownPacking(String);

impl FromStr for Packing {
    type Err = UnknownPacking;

    fn from_str(name: &str) -> Result<Self, UnknownPacking> {
        NAMES.iter().find(|(_, n)| *n == name).map(|(p, _)| *p).ok_or_else(|| UnknownPacking(name.to_owned()))
    }
}

impl fmt::Display for Packing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(NAMES.iter().find(|(p, _)| p == self).map_or("", |(_, n)| n))
    }
}

impl Packing {
    fn pack(self, samples: &[u16], differenced: bool, width: usize) -> std::io::Result<Vec<u8>> {
        let mut packed = Vec::with_capacity(samples.len() * 2);
        let differences;
        let bytes: &[u8] = if differenced {
            differences = difference(samples, width);
            bytemuck::cast_slice(&differences)
        } else {
            bytemuck::cast_slice(samples)
        };
        match self {
            Self::None => packed.extend_from_slice(bytes),
            Self::Lzw => packed = lzw::pack(bytes),
            Self::Deflate => packed = deflate::pack(bytes),
            Self::PackBits => {
                // TIFF 6.0: each row is packed apart.
                for row in bytes.chunks(width * 2) {
                    Packbits.write_to(&mut packed, row)?;
                }
            }
        }
        Ok(packed)
    }
}

fn difference(samples: &[u16], width: usize) -> Vec<u16> {
    let mut differences = Vec::with_capacity(samples.len());
    for row in samples.chunks(width) {
        let mut left = 0u16;
        differences.extend(row.iter().map(|code| code.wrapping_sub(std::mem::replace(&mut left, *code))));
    }
    differences
}

/// A strip, or the next part of one.
pub(super) enum Piece<'p> {
    /// It begins with these bytes.
    Begin(&'p [u8]),
    /// It goes on with these.
    GoOn(&'p [u8]),
}

/// Takes rows of a picture, top first, and puts them out as strips.
pub struct Strips<'w> {
    put: &'w mut dyn FnMut(Piece<'_>) -> Result<(), Error>,
    packing: Packing,
    differenced: bool,
    width: usize,
    /// Samples of a strip.
    strip: usize,
    /// Samples to be packed.
    waiting: Vec<u16>,
    /// Samples of an unpacked strip that have been put out.
    begun: usize,
}

impl<'w> Strips<'w> {
    /// Rows of a strip for pictures of this width.
    pub(super) fn rows_per_strip(width: u32) -> u32 {
        (STRIP_BYTES / (width as usize * 2)).max(1) as u32
    }

    pub(super) fn new(
        width: u32,
        (packing, differenced): (Packing, bool),
        put: &'w mut dyn FnMut(Piece<'_>) -> Result<(), Error>,
    ) -> Self {
        let strip = Self::rows_per_strip(width) as usize * width as usize;
        Self { put, packing, differenced, width: width as usize, strip, waiting: Vec::new(), begun: 0 }
    }

    /// The next rows, whole ones.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn rows(&mut self, samples: &[u16]) -> Result<(), Error> {
        if self.packing == Packing::None {
            return self.straight(samples);
        }
        self.waiting.extend_from_slice(samples);
        let batch = self.strip * STRIPS_PER_THREAD * rayon::current_num_threads();
        if self.waiting.len() >= batch {
            let ready = self.waiting.len() / self.strip * self.strip;
            self.flush(ready)?;
        }
        Ok(())
    }

    /// Samples that need no packing go out as they come: to gather whole strips would be to copy every one of them.
    fn straight(&mut self, samples: &[u16]) -> Result<(), Error> {
        let mut rest = samples;
        while !rest.is_empty() {
            let (piece, after) = rest.split_at(rest.len().min(self.strip - self.begun));
            let bytes = bytemuck::cast_slice(piece);
            (self.put)(if self.begun == 0 { Piece::Begin(bytes) } else { Piece::GoOn(bytes) })?;
            self.begun = (self.begun + piece.len()) % self.strip;
            rest = after;
        }
        Ok(())
    }

    pub(super) fn finish(mut self) -> Result<(), Error> {
        self.flush(self.waiting.len())
    }

    fn flush(&mut self, ready: usize) -> Result<(), Error> {
        let (samples, packing) = (&self.waiting[..ready], self.packing);
        let (differenced, width) = (self.differenced, self.width);
        let pack = |strip| packing.pack(strip, differenced, width);
        let packed: Vec<_> = samples.par_chunks(self.strip).map(pack).collect::<Result<_, _>>()?;
        packed.iter().try_for_each(|strip| (self.put)(Piece::Begin(strip)))?;
        self.waiting.drain(..ready);
        Ok(())
    }
}
