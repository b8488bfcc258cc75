//! A TIFF file's directories: numbered entries and where their values lie (TIFF 6.0, section 2; BigTIFF).
//!
//! Directories are read apart from the pictures they describe, because a scan may stand behind a page that cannot
//! be decoded. Nothing is allocated that does not lie in the file.

use std::collections::BTreeMap;
use std::io::{Read, Seek, SeekFrom};

use tiff::tags::Type;

use super::error::Error;

/// More entries than any scanner writes; a directory of random bytes claims more.
const ENTRIES: u64 = 4096;

/// Bytes of one value (TIFF 6.0, section 2; BigTIFF).
fn width(kind: Type) -> u64 {
    match kind {
        Type::BYTE | Type::SBYTE | Type::ASCII | Type::UNDEFINED => 1,
        Type::SHORT | Type::SSHORT => 2,
        Type::LONG | Type::SLONG | Type::FLOAT | Type::IFD => 4,
        _ => 8,
    }
}

/// A file with TIFF directories in it.
pub(super) struct Source<R> {
    input: R,
    length: u64,
    big_endian: bool,
    big: bool,
}

/// One directory.
pub(super) struct Directory {
    entries: BTreeMap<u16, Entry>,
    /// Where the next page's directory lies; 0 after the last.
    pub(super) next: u64,
}

/// One entry of a directory.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Entry {
    pub(super) kind: Type,
    pub(super) count: u64,
    field: [u8; 8],
}

impl Entry {
    /// Bytes of all its values; `None` if that is beyond counting.
    pub(super) fn length(&self) -> Option<u64> {
        self.count.checked_mul(width(self.kind))
    }
}

impl Directory {
    pub(super) fn entry(&self, tag: u16) -> Option<&Entry> {
        self.entries.get(&tag)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (u16, &Entry)> {
        self.entries.iter().map(|(tag, entry)| (*tag, entry))
    }
}

/// Tags that say where samples lie and how they are packed (TIFF 6.0, part 2).
const OF_SAMPLES: [u16; 18] =
    [256, 257, 258, 259, 262, 266, 273, 277, 278, 279, 284, 317, 322, 323, 324, 325, 338, 339];

impl<R: Read + Seek> Source<R> {
    /// Reads the header; gives also where the first page's directory lies.
    pub(super) fn open(mut input: R) -> Result<(Self, u64), Error> {
        let length = input.seek(SeekFrom::End(0))?;
        let mut source = Self { input, length, big_endian: false, big: false };
        let mut head = [0; 16];
        source.read_at(0, &mut head[..8])?;
        source.big_endian = match &head[..2] {
            b"II" => false,
            b"MM" => true,
            _ => return Err(Error::NotAnImage("it is no TIFF".into())),
        };
        let first = match source.number(&head[2..4]) {
            42 => source.number(&head[4..8]),
            43 if source.number(&head[4..8]) == if source.big_endian { 8 << 16 } else { 8 } => {
                source.big = true;
                source.read_at(0, &mut head)?;
                source.number(&head[8..16])
            }
            _ => return Err(Error::NotAnImage("it is no TIFF".into())),
        };
        Ok((source, first))
    }

    pub(super) fn is_big(&self) -> bool {
        self.big
    }

    pub(super) fn is_big_endian(&self) -> bool {
        self.big_endian
    }

    /// What the file holds from `offset` on.
    ///
    /// # Errors
    /// When the disk fails.
    pub(super) fn from(&mut self, offset: u64) -> Result<&mut R, Error> {
        self.input.seek(SeekFrom::Start(offset))?;
        Ok(&mut self.input)
    }

    /// Bytes in the file.
    pub(super) fn length(&self) -> u64 {
        self.length
    }

    /// Reads the directory at `offset`. Entries of unknown types are passed over, as TIFF 6.0 asks.
    pub(super) fn directory(&mut self, offset: u64) -> Result<Directory, Error> {
        let (head, each, value) = if self.big { (8, 20, 12) } else { (2, 12, 8) };
        let mut count = [0; 8];
        self.told_at(offset, &mut count[..head])?;
        let count = self.number(&count[..head]);
        match count {
            0 => return Err(Error::unwritten()),
            1..=ENTRIES => {}
            _ => return Err(Error::damaged("a directory in the file makes no sense")),
        }
        let mut table = vec![0; count as usize * each + if self.big { 8 } else { 4 }];
        self.told_at(offset + head as u64, &mut table)?;
        let (table, next) = table.split_at(count as usize * each);
        let mut entries = BTreeMap::new();
        for row in table.chunks_exact(each) {
            let Some(kind) = Type::from_u16(self.number(&row[2..4]) as u16) else { continue };
            let mut field = [0; 8];
            field[..each - value].copy_from_slice(&row[value..]);
            let entry = Entry { kind, count: self.number(&row[4..value]), field };
            let tag = self.number(&row[..2]) as u16;
            match entries.get(&tag) {
                None => drop(entries.insert(tag, entry)),
                // TIFF 6.0 has each tag once. Readers that meet one twice take the first or the last: of those that say
                // how the samples lie either may be the wrong one.
                Some(first) if *first != entry && OF_SAMPLES.contains(&tag) => {
                    return Err(Error::damaged(format!("tag {tag} stands in it twice and says two things")));
                }
                Some(_) => {}
            }
        }
        Ok(Directory { entries, next: self.number(next) })
    }

    /// Whether all values of an entry lie in the file.
    pub(super) fn holds(&self, entry: &Entry) -> bool {
        self.place(entry).is_none_or(|offset| entry.length().is_some_and(|length| self.reaches(offset, length)))
    }

    /// The bytes of an entry of single bytes, at most `limit`, as far as they lie in the file.
    pub(super) fn bytes_there(&mut self, entry: &Entry, limit: u64) -> Result<Vec<u8>, Error> {
        match self.place(entry).filter(|_| entry.length().is_some_and(|length| length <= limit)) {
            Some(offset) if !self.holds(entry) => {
                let mut bytes = vec![0; self.length.saturating_sub(offset) as usize];
                if !bytes.is_empty() {
                    self.read_at(offset, &mut bytes)?;
                }
                Ok(bytes)
            }
            _ => self.bytes(entry, limit),
        }
    }

    /// Where the values of an entry lie; nothing where they stand in the entry itself.
    fn place(&self, entry: &Entry) -> Option<u64> {
        let inline = if self.big { 8 } else { 4 };
        let within = entry.length().is_some_and(|length| length <= inline);
        (!within).then(|| self.number(&entry.field[..inline as usize]))
    }

    /// The values of an entry as they lie in the file.
    fn raw(&mut self, entry: &Entry, limit: u64) -> Result<Vec<u8>, Error> {
        let length = entry.length().filter(|length| *length <= limit);
        let length = length.ok_or_else(|| Error::damaged("an entry in the file is absurdly long"))?;
        let Some(offset) = self.place(entry) else {
            return Ok(entry.field[..length as usize].to_vec());
        };
        if !self.reaches(offset, length) {
            return Err(Error::untold());
        }
        let mut bytes = vec![0; length as usize];
        self.read_at(offset, &mut bytes)?;
        Ok(bytes)
    }

    /// The values of an entry, at most `limit` bytes of them, in this machine's byte order.
    pub(super) fn bytes(&mut self, entry: &Entry, limit: u64) -> Result<Vec<u8>, Error> {
        let mut bytes = self.raw(entry, limit)?;
        if self.big_endian != cfg!(target_endian = "big") {
            let width = match entry.kind {
                Type::RATIONAL | Type::SRATIONAL => 4,
                kind => width(kind) as usize,
            };
            bytes.chunks_exact_mut(width).for_each(<[u8]>::reverse);
        }
        Ok(bytes)
    }

    /// The first `most` values of an entry of whole numbers.
    pub(super) fn numbers(&mut self, entry: &Entry, most: u64) -> Result<Vec<u64>, Error> {
        let whole = [Type::BYTE, Type::SHORT, Type::LONG, Type::LONG8, Type::IFD, Type::IFD8];
        if !whole.contains(&entry.kind) {
            return Err(Error::damaged("an entry in the file is of the wrong type"));
        }
        let width = width(entry.kind) as usize;
        let inline = (if self.big { 8 } else { 4 }) / width as u64;
        // Values within the entry itself end there: a longer list lies elsewhere and may be read in part.
        let count = if entry.count <= inline { entry.count } else { entry.count.min(most.max(inline + 1)) };
        let bytes = self.raw(&Entry { count, ..*entry }, u64::MAX)?;
        Ok(bytes.chunks_exact(width).take(most as usize).map(|value| self.number(value)).collect())
    }

    /// The first value of a tag of whole numbers; `None` if the tag is missing or empty.
    pub(super) fn first(&mut self, directory: &Directory, tag: u16) -> Result<Option<u64>, Error> {
        directory.entry(tag).map_or(Ok(None), |entry| Ok(self.numbers(entry, 1)?.first().copied()))
    }

    fn number(&self, bytes: &[u8]) -> u64 {
        let add = |sum, byte: &u8| sum << 8 | u64::from(*byte);
        if self.big_endian { bytes.iter().fold(0, add) } else { bytes.iter().rev().fold(0, add) }
    }

    /// Whether so many bytes from `offset` on are there.
    fn reaches(&self, offset: u64, bytes: u64) -> bool {
        offset.checked_add(bytes).is_some_and(|end| end <= self.length)
    }

    /// Reads what the file says of itself.
    fn told_at(&mut self, offset: u64, bytes: &mut [u8]) -> Result<(), Error> {
        if self.reaches(offset, bytes.len() as u64) { self.read_at(offset, bytes) } else { Err(Error::untold()) }
    }

    fn read_at(&mut self, offset: u64, bytes: &mut [u8]) -> Result<(), Error> {
        if !self.reaches(offset, bytes.len() as u64) {
            return Err(Error::cut_short());
        }
        self.input.seek(SeekFrom::Start(offset))?;
        Ok(self.input.read_exact(bytes)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    /// Written out by hand after TIFF 6.0, section 2, and the BigTIFF design: ImageWidth 258 as SHORT, then three
    /// BitsPerSample of 16 as SHORT; in the classic file those do not fit into the entry.
    #[test]
    fn both_byte_orders_and_both_sizes_read_alike() {
        let classic_little = b"II*\0\x08\0\0\0\x02\0\0\x01\x03\0\x01\0\0\0\x02\x01\0\0\x02\x01\x03\0\x03\0\0\0\x26\0\0\0\0\0\0\0\x10\0\x10\0\x10\0";
        let classic_big = b"MM\0*\0\0\0\x08\0\x02\x01\0\0\x03\0\0\0\x01\x01\x02\0\0\x01\x02\0\x03\0\0\0\x03\0\0\0\x26\0\0\0\0\0\x10\0\x10\0\x10";
        let big_little = b"II+\0\x08\0\0\0\x10\0\0\0\0\0\0\0\x02\0\0\0\0\0\0\0\0\x01\x03\0\x01\0\0\0\0\0\0\0\x02\x01\0\0\0\0\0\0\x02\x01\x03\0\x03\0\0\0\0\0\0\0\x10\0\x10\0\x10\0\0\0\0\0\0\0\0\0\0\0";
        for file in [&classic_little[..], &classic_big[..], &big_little[..]] {
            let (mut source, first) = Source::open(Cursor::new(file)).unwrap();
            let directory = source.directory(first).unwrap();
            assert_eq!(source.first(&directory, 256).unwrap(), Some(258));
            assert_eq!(source.numbers(directory.entry(258).unwrap(), 8).unwrap(), [16, 16, 16]);
            assert_eq!(source.numbers(directory.entry(258).unwrap(), 1).unwrap(), [16]);
            let native = [16u16; 3].map(u16::to_ne_bytes).concat();
            assert_eq!(source.bytes(directory.entry(258).unwrap(), 64).unwrap(), native);
            assert!(source.bytes(directory.entry(258).unwrap(), 5).is_err());
            assert_eq!(directory.next, 0);
            for cut in 0..file.len() - 7 {
                let read = Source::open(Cursor::new(&file[..cut])).and_then(|(mut s, first)| {
                    let d = s.directory(first)?;
                    s.numbers(d.entry(258).unwrap(), 8)
                });
                assert!(read.is_err(), "cut at {cut}");
            }
        }
    }
}
