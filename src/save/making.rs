//! A file in the making: hashed as it is written, and flushed to the disk while more of it is still to come.

use std::fs::File;
use std::io::{self, Seek, SeekFrom, Write};

use super::ahead::Ahead;
use super::open_hash::OpenHash;

/// From one flush of a large file to the next. Some systems take no more of a file while they flush it; of so little
/// they are done before the bands that wait to be written fill their queue, and reading goes on.
const FLUSH_EVERY: u64 = 8 << 20;

/// A finished file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Bytes.
    pub bytes: u64,
    /// BLAKE3 of all of them, hexadecimal.
    pub blake3: String,
}

/// Takes the bytes of a file in order. What may be changed afterwards are the first 1024, where formats keep what they
/// know only at the end.
#[derive(Debug)]
pub struct Making<'f> {
    file: &'f mut File,
    at: u64,
    end: u64,
    hash: OpenHash,
    ahead: Option<Ahead>,
    flush_every: u64,
}

impl<'f> Making<'f> {
    pub(super) fn new(file: &'f mut File) -> Self {
        Self { file, at: 0, end: 0, hash: OpenHash::default(), ahead: None, flush_every: FLUSH_EVERY }
    }

    /// What has been written so far.
    pub fn written(&self) -> Written {
        Written { bytes: self.end, blake3: self.hash.clone().finish().to_hex().to_string() }
    }

    /// Flushes what is left.
    pub(super) fn finish(mut self) -> io::Result<Written> {
        if let Some(ahead) = self.ahead.take() {
            ahead.finish()?;
        }
        self.file.sync_data()?;
        Ok(self.written())
    }

    fn flush_ahead(&mut self, bytes: usize) -> io::Result<()> {
        if self.end / self.flush_every != (self.end + bytes as u64) / self.flush_every {
            let ahead = match self.ahead.take() {
                Some(ahead) => ahead,
                None => Ahead::new(self.file.try_clone()?),
            };
            ahead.go();
            self.ahead = Some(ahead);
        }
        Ok(())
    }
}

impl Write for Making<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let again = self.at < self.end && self.at + bytes.len() as u64 <= self.end.min(OpenHash::OPEN as u64);
        if self.at != self.end && !again {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "only the beginning of a file may be changed"));
        }
        let count = self.file.write(bytes)?;
        if self.at < self.end {
            self.hash.change(self.at as usize, &bytes[..count]);
        } else {
            self.hash.add(&bytes[..count]);
            self.flush_ahead(count)?;
            self.end += count as u64;
        }
        self.at += count as u64;
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Making<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = self.file.seek(to)?;
        Ok(self.at)
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;
    use crate::save::fingerprint;

    #[test]
    fn a_file_that_is_flushed_as_it_grows_is_the_same_file() {
        let mut file = tempfile::tempfile().unwrap();
        let mut making = Making { flush_every: 3000, ..Making::new(&mut file) };
        let all: Vec<u8> = (0..100_000u32).map(|i| (i / 7) as u8).collect();
        all.chunks(777).for_each(|part| making.write_all(part).unwrap());
        assert!(making.ahead.is_some());
        assert_eq!(making.finish().unwrap().blake3, blake3::hash(&all).to_hex().to_string());
        file.rewind().unwrap();
        assert_eq!(fingerprint(file).unwrap().blake3, blake3::hash(&all).to_hex().to_string());
    }

    /// The blake3 crate's own hash of the finished file.
    #[test]
    fn a_file_whose_beginning_is_changed_at_the_end_has_the_hash_of_what_lies_on_the_disk() {
        for bytes in [9, 1023, 1024, 1025, 2048, 3072, 5000, 8192, 8193, 70_000] {
            for piece in [1, 7, 1024, 4096] {
                let mut file = tempfile::tempfile().unwrap();
                let mut making = Making::new(&mut file);
                let all: Vec<u8> = (0..bytes).map(|i: u32| (i * 31 + i / 251) as u8).collect();
                all.chunks(piece).for_each(|part| making.write_all(part).unwrap());
                making.seek(SeekFrom::Start(4)).unwrap();
                making.write_all(&[1, 2, 3, 4]).unwrap();
                let written = making.finish().unwrap();
                file.rewind().unwrap();
                let mut there = Vec::new();
                file.read_to_end(&mut there).unwrap();
                assert_eq!(there[4..8], [1, 2, 3, 4]);
                let wanted = Written { bytes: bytes.into(), blake3: blake3::hash(&there).to_hex().to_string() };
                assert_eq!(written, wanted, "{bytes} bytes by {piece}");
                assert_eq!(fingerprint(there.as_slice()).unwrap(), wanted);
            }
        }
    }

    #[test]
    fn what_has_been_hashed_cannot_be_changed() {
        let mut file = tempfile::tempfile().unwrap();
        let mut making = Making::new(&mut file);
        making.write_all(&[7; 5000]).unwrap();
        for at in [1020, 2000, 4999, 5001] {
            making.seek(SeekFrom::Start(at)).unwrap();
            assert!(making.write_all(&[0; 8]).is_err(), "at {at}");
        }
    }
}
