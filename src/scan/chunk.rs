//! One strip or tile: from the file to unpacked bytes.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use super::error::Error;
use super::expand::{expand, turn_bits};
use super::facts::Compression;
use super::layout::{Chunk, Layout};

/// A file as one thread reads it, with the buffers that its chunks need.
pub(super) struct Reader<'a> {
    path: &'a Path,
    /// Opened when the first chunk is asked for.
    file: Option<File>,
    packed: Vec<u8>,
    plain: Vec<u8>,
}

impl<'a> Reader<'a> {
    pub(super) fn new(path: &'a Path) -> Self {
        Self { path, file: None, packed: Vec::new(), plain: Vec::new() }
    }

    /// The first `bytes` unpacked bytes of a packed chunk; with all of them its check sum is looked at, if it has one.
    pub(super) fn unpack(&mut self, layout: &Layout, chunk: Chunk, bytes: usize, all: bool) -> Result<&[u8], Error> {
        // No packing makes more than twice as much of its input; what is beyond is not needed.
        let length = chunk.length.min(bytes as u64 * 2 + 4096) as usize;
        let whole = length as u64 == chunk.length;
        let file = opened(&mut self.file, self.path)?;
        read_at(file, chunk.offset, resized(&mut self.packed, length))?;
        if layout.lowest_first {
            turn_bits(&mut self.packed);
        }
        let plain = resized(&mut self.plain, bytes);
        let mut stream = expand(layout.compression, self.packed.as_slice())?;
        stream.read_exact(plain).map_err(short_chunk)?;
        if all && whole && layout.compression == Compression::Deflate {
            checked_end(&mut stream)?;
        }
        Ok(plain)
    }

    /// Fills `bytes` from an uncompressed chunk, `from` bytes behind its start.
    pub(super) fn straight(&mut self, chunk: Chunk, from: u64, bytes: &mut [u8]) -> Result<(), Error> {
        read_at(opened(&mut self.file, self.path)?, chunk.offset + from, bytes)
    }

    /// `bytes` bytes of an uncompressed chunk, `from` bytes behind its start.
    pub(super) fn plain(&mut self, layout: &Layout, chunk: Chunk, from: u64, bytes: usize) -> Result<&[u8], Error> {
        let plain = resized(&mut self.plain, bytes);
        let file = opened(&mut self.file, self.path)?;
        read_at(file, chunk.offset + from, plain)?;
        if layout.lowest_first {
            turn_bits(plain);
        }
        Ok(plain)
    }
}

/// More than any padding and any writer's surplus behind the last row wanted.
const MOST_BEHIND: usize = 64 << 20;

/// Reads what follows the last row wanted, padding of tiles among it, so that the stream compares its check sum (RFC
/// 1950).
pub(super) fn checked_end(stream: &mut impl Read) -> Result<(), Error> {
    let (mut behind, mut piece) = (0, [0; 4096]);
    while behind < MOST_BEHIND {
        match stream.read(&mut piece) {
            Err(e) if e.kind() == io::ErrorKind::InvalidInput || e.kind() == io::ErrorKind::InvalidData => {
                return Err(Error::damaged("its compressed data do not agree with their check sum"));
            }
            // Writers that end a stream without its check sum exist; all pixels are there.
            Err(_) | Ok(0) => return Ok(()),
            Ok(count) => behind += count,
        }
    }
    Err(Error::damaged("a strip or tile goes on far beyond its last row"))
}

pub(super) fn short_chunk(error: io::Error) -> Error {
    match error.kind() {
        io::ErrorKind::UnexpectedEof => Error::damaged("a strip or tile ends before its last row"),
        _ => error.into(),
    }
}

fn resized(buffer: &mut Vec<u8>, length: usize) -> &mut [u8] {
    buffer.resize(length, 0);
    buffer
}

fn opened<'f>(file: &'f mut Option<File>, path: &Path) -> Result<&'f mut File, Error> {
    match file {
        Some(file) => Ok(file),
        None => Ok(file.insert(File::open(path)?)),
    }
}

fn read_at(file: &mut File, offset: u64, bytes: &mut [u8]) -> Result<(), Error> {
    file.seek(SeekFrom::Start(offset))?;
    Ok(file.read_exact(bytes)?)
}
