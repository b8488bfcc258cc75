//! A PDF put together while it is written: its pictures come in where something stands in for them.
//!
//! The PDF library holds a document whole, three times over. A sheet of thousands of proofs would not fit in memory; so
//! the library is given stand-ins, and each JPEG is fetched only when its turn comes. What follows a picture then lies
//! elsewhere, so the lengths of the pictures and the table of offsets (ISO 32000-1, 7.5.4) are written anew.

use std::collections::HashMap;
use std::io::{self, Write};

use super::deep::Deep;
use super::error::Error;
use super::picture::{NAME, Picture, STAND_IN};

/// What comes in the place of a stand-in.
#[derive(Clone, Copy)]
pub(super) enum Inset<'a> {
    /// A JPEG, as it is.
    Jpeg(&'a Picture),
    /// Samples of 16 bits, unpacked: grain does not shrink, and so their length is known before they are written.
    Samples(&'a Deep),
}

impl<'a> Inset<'a> {
    fn stand_in(self) -> &'a [u8] {
        match self {
            Self::Jpeg(picture) => picture.stand_in(),
            Self::Samples(print) => print.stand_in(),
        }
    }
}

/// Writes `pdf` to `out`, and in the place of every stand-in the picture that it is one of.
///
/// # Errors
/// When a picture cannot be fetched, the PDF is not as it was expected, or `out` takes no more.
pub(super) fn splice(pdf: &[u8], insets: &[Inset<'_>], out: &mut dyn Write) -> Result<(), Error> {
    let odd = || Error::Pdf("its pictures could not be put in".to_owned());
    let insets: HashMap<&[u8], Inset<'_>> = insets.iter().map(|inset| (named(inset.stand_in()), *inset)).collect();
    let (mut done, mut moves) = (0, Moves::default());
    while let Some(at) = find(pdf, STAND_IN, done) {
        let inset =
            *insets.get(named(&pdf[at..])).filter(|inset| pdf[at..].starts_with(inset.stand_in())).ok_or_else(odd)?;
        let length = last(&pdf[..at], b"/Length").map(|at| at + b"/Length".len()).ok_or_else(odd)?;
        let (digits, end) = number(pdf, length).ok_or_else(odd)?;
        let stands_in = inset.stand_in().len();
        if pdf[digits..end] != *stands_in.to_string().as_bytes() || digits < done {
            return Err(odd());
        }
        out.write_all(&pdf[done..digits])?;
        let written = match inset {
            Inset::Jpeg(picture) => {
                let jpeg = picture.fetch()?;
                let head = [jpeg.len().to_string().as_bytes(), &pdf[end..at]].concat();
                out.write_all(&head)?;
                out.write_all(&jpeg)?;
                (head.len() + jpeg.len()) as u64
            }
            Inset::Samples(print) => {
                let about = deepened(&pdf[end..at]).ok_or_else(odd)?;
                let head = [print.bytes().to_string().as_bytes(), &about].concat();
                out.write_all(&head)?;
                let mut counted = Counted { out: &mut *out, bytes: 0, refused: false };
                print.write(&mut counted).map_err(|e| match counted.refused {
                    true => Error::Disk(e),
                    false => Error::Print(e.to_string()),
                })?;
                if counted.bytes != print.bytes() {
                    return Err(Error::Pdf("a print changed while it was read".to_owned()));
                }
                head.len() as u64 + counted.bytes
            }
        };
        done = at + stands_in;
        moves.add(at, written as i64 - (done - digits) as i64);
    }
    let mut put = |bytes: &[u8]| out.write_all(bytes).map_err(Error::Disk);

    let start = last(pdf, b"startxref").map(|at| at + b"startxref".len()).ok_or_else(odd)?;
    let (digits, end) = number(pdf, start).ok_or_else(odd)?;
    let table = text(&pdf[digits..end]).and_then(|n| n.parse().ok()).filter(|at| (done..start).contains(at));
    let table: usize = table.ok_or_else(odd)?;
    put(&pdf[done..table])?;
    for line in pdf[table..digits].split_inclusive(|byte| *byte == b'\n') {
        // "0000000015 00000 n\r\n": an object in use; all else stays as it is.
        match text(line).and_then(|line| line.split_at_checked(10)).filter(|(_, of)| of.starts_with(" 00000 n")) {
            Some((offset, of)) => {
                let offset = moves.of(offset.parse().map_err(|_| odd())?);
                if offset > LARGEST {
                    return Err(Error::Pdf("it would be larger than 10 GB".to_owned()));
                }
                put(format!("{offset:010}{of}").as_bytes())?;
            }
            None => put(line)?,
        }
    }
    put(moves.of(table).to_string().as_bytes())?;
    put(&pdf[end..])
}

/// What stands between the length of a picture and its bytes, for samples of 16 bits that no filter unpacks.
fn deepened(about: &[u8]) -> Option<Vec<u8>> {
    let without = |about: &[u8], what: &[u8], instead: &[u8]| {
        let at = find(about, what, 0)?;
        Some([&about[..at], instead, &about[at + what.len()..]].concat())
    };
    without(&without(about, b"/Filter/DCTDecode", b"")?, b"/BitsPerComponent 8", b"/BitsPerComponent 16")
}

/// Counts what is written, and remembers whether it was refused: else the print is to blame.
struct Counted<'w> {
    out: &'w mut dyn Write,
    bytes: u64,
    refused: bool,
}

impl Write for Counted<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.out.write(bytes).inspect_err(|_| self.refused = true)?;
        self.bytes += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// An offset has ten digits (ISO 32000-1, 7.5.4).
const LARGEST: u64 = 9_999_999_999;

/// From where on, and by how much in all, things lie further back.
#[derive(Default)]
struct Moves(Vec<(usize, i64)>);

impl Moves {
    fn add(&mut self, from: usize, by: i64) {
        let before = self.0.last().map_or(0, |(_, sum)| *sum);
        self.0.push((from, before + by));
    }

    /// Where something lies that lay here.
    fn of(&self, offset: usize) -> u64 {
        let passed = self.0.partition_point(|(from, _)| *from < offset);
        let by = passed.checked_sub(1).map_or(0, |last| self.0[last].1);
        (offset as u64).saturating_add_signed(by)
    }
}

/// The part of a stand-in that names its picture.
fn named(stand_in: &[u8]) -> &[u8] {
    stand_in.get(STAND_IN.len()..STAND_IN.len() + NAME).unwrap_or_default()
}

fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    bytes[from..].windows(what.len()).position(|window| window == what).map(|at| from + at)
}

fn last(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|window| window == what)
}

/// Where the digits of the next number begin and end, after blanks.
fn number(bytes: &[u8], from: usize) -> Option<(usize, usize)> {
    let blanks = bytes[from..].iter().take_while(|byte| byte.is_ascii_whitespace()).count();
    let digits = bytes[from + blanks..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    (digits > 0).then_some((from + blanks, from + blanks + digits))
}

fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_behind_a_picture_moves_by_all_before_it() {
        let mut moves = Moves::default();
        moves.add(10, 100);
        moves.add(50, -3);
        assert_eq!([5, 10, 11, 49, 51].map(|offset| moves.of(offset)), [5, 10, 111, 149, 148]);
    }

    #[test]
    fn a_document_that_is_not_as_expected_is_refused() {
        let picture = Picture::from_jpeg(crate::sheet::picture::tests::grey_jpeg(7, 5)).unwrap();
        let stand_in = picture.stand_in();
        let of = |before: &str, after: &str| {
            [format!("%PDF\n1 0 obj <</Length {before}>>\nstream\n").as_bytes(), stand_in, after.as_bytes()].concat()
        };
        let length = stand_in.len().to_string();
        let end = "\nendstream\nxref\n0 1\n0000000005 00000 n\r\ntrailer\nstartxref\n";
        let table = of(&length, end).windows(4).position(|four| four == b"xref").unwrap();
        let told = |pdf: &[u8]| splice(pdf, &[Inset::Jpeg(&picture)], &mut Vec::new());
        assert!(told(&of(&length, &format!("{end}{table}\n%%EOF"))).is_ok());
        assert!(told(&of("7", &format!("{end}{table}\n%%EOF"))).is_err(), "another length");
        assert!(told(&of(&length, &format!("{end}999999\n%%EOF"))).is_err(), "a table beyond the end");
        assert!(told(&of(&length, "\nendstream\n")).is_err(), "no table");
        assert!(splice(&of(&length, end), &[], &mut Vec::new()).is_err(), "a picture that nobody gave");
    }
}
