//! Good scans with bits turned, cut short and grown: each is refused, or read as another reader reads it; never is
//! something else delivered in silence. `DRYSIDE_MUTATIONS=10000` asks for more of them.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs;
use std::io::Cursor;
use std::panic::catch_unwind;
use std::path::Path;

use dryside::plane::Band;
use dryside::scan::{self, Channel, Error, Rows, Torn};
use tiff::ColorType;
use tiff::decoder::{Decoder, DecodingResult};

/// One of each way of packing and laying out; without those that the `tiff` crate is known to read wrongly (extra
/// channels with differences, low bit first) or to stumble over (tiles in planes).
const GOOD: [&str; 14] = [
    "g16-plain.tif",
    "g16-high-first.tif",
    "g16-tiles.tif",
    "g16-lzw.tif",
    "g16-lzw-differences.tif",
    "g16-deflate.tif",
    "g16-deflate-differences.tif",
    "g16-packbits.tif",
    "g16-one-row-strips.tif",
    "g8-plain.tif",
    "rgb16-plain.tif",
    "rgb16-big-high-first-deflate-tiles.tif",
    "rgb16-lzw-differences.tif",
    "rgb8-deflate-differences.tif",
];

/// Marsaglia's xorshift (2003): the same mutations in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

fn mutated(good: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = good.to_vec();
    for _ in 0..=dice.below(3) {
        let length = bytes.len();
        // Directories lie at the ends; there a changed byte says the most.
        let at = match dice.below(3) {
            0 => dice.below(length.min(300)),
            1 => length - 1 - dice.below(length.min(300)),
            _ => dice.below(length),
        };
        match dice.below(6) {
            0 | 1 => bytes[at] ^= 1 << dice.below(8),
            2 => bytes[at] = [0, 1, 0x7F, 0x80, 0xFF][dice.below(5)],
            3 => bytes.truncate(at.max(1)),
            4 => bytes.extend(std::iter::repeat_n(bytes[at], dice.below(500))),
            _ => {
                let run = dice.below(32).min(length - at);
                let from = dice.below(length - run);
                bytes.copy_within(from..from + run, at);
            }
        }
    }
    bytes
}

/// Size and codes of the green channel, or of the only one.
type Read = ((u32, u32), Vec<u16>);

fn ours(path: &Path, torn: Torn) -> Result<(Read, u32), Error> {
    let scan = scan::open_torn(path, torn)?;
    let mut codes = Vec::new();
    scan.read(
        Channel::Green,
        Rows::All,
        |band: &Band<'_>| band.samples().to_vec(),
        |band| {
            codes.extend(band);
            Ok::<_, Error>(())
        },
    )?;
    let facts = scan.facts();
    Ok((((facts.size.width, facts.size.height), codes), facts.pages))
}

/// The same by the `tiff` crate, where it reads it as plain grey or RGB.
fn theirs(bytes: &[u8]) -> Option<Read> {
    let read = || {
        let mut reader = Decoder::new(Cursor::new(bytes)).ok()?;
        let (size, kind) = (reader.dimensions().ok()?, reader.colortype().ok()?);
        let samples = match (kind, reader.read_image().ok()?) {
            (ColorType::Gray(16) | ColorType::RGB(16), DecodingResult::U16(samples)) => samples,
            (ColorType::Gray(8) | ColorType::RGB(8), DecodingResult::U8(samples)) => {
                samples.into_iter().map(|sample| u16::from(sample) * 257).collect()
            }
            _ => return None,
        };
        let codes = match kind {
            ColorType::RGB(_) => samples.chunks_exact(3).map(|rgb| rgb[1]).collect(),
            _ => samples,
        };
        Some((size, codes))
    };
    // It has asserts that a damaged file can fail.
    catch_unwind(read).ok().flatten()
}

#[test]
fn a_changed_scan_is_refused_or_read_as_another_reader_reads_it() {
    let count: usize = std::env::var("DRYSIDE_MUTATIONS").ok().and_then(|n| n.parse().ok()).unwrap_or(700);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("changed.tif");
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff");
    let good: Vec<Vec<u8>> = GOOD.iter().map(|name| fs::read(fixtures.join(name)).unwrap()).collect();
    // Before anything is changed both agree.
    for (name, bytes) in GOOD.iter().zip(&good) {
        fs::write(&path, bytes).unwrap();
        assert!(ours(&path, Torn::Refuse).unwrap().0 == theirs(bytes).unwrap(), "{name}");
    }
    std::panic::set_hook(Box::new(|_| {}));
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let (mut refused, mut salvaged, mut alike, mut alone, mut different) = (0, 0, 0, 0, Vec::new());
    for number in 0..count {
        let which = dice.below(good.len());
        let bytes = mutated(&good[which], &mut dice);
        fs::write(&path, &bytes).unwrap();
        let read = catch_unwind(|| ours(&path, Torn::Refuse));
        // What can be salvaged of it is for a person to judge; a whole scan is the same either way.
        match (&read, catch_unwind(|| ours(&path, Torn::Salvage))) {
            (_, Err(_)) => different.push(format!("{} mutation {number}: a panic while salvaging", GOOD[which])),
            (Ok(Ok(read)), Ok(salvaged)) if salvaged.as_ref().ok() != Some(read) => {
                different.push(format!("{} mutation {number}: salvaged otherwise than read", GOOD[which]));
            }
            (Ok(Err(_)), Ok(Ok(_))) => salvaged += 1,
            _ => {}
        }
        match (read, theirs(&bytes)) {
            (Err(_), _) => different.push(format!("{} mutation {number}: a panic", GOOD[which])),
            (Ok(Err(error)), _) => {
                refused += 1;
                if !error.to_string().contains(": ") {
                    different.push(format!("{} mutation {number}: no advice in \"{error}\"", GOOD[which]));
                }
            }
            (Ok(Ok(_)), None) => alone += 1,
            (Ok(Ok((read, _))), Some(other)) if read == other => alike += 1,
            (Ok(Ok((read, pages))), Some(other)) => {
                let what = format!("{:?} and {:?}, {pages} pages", read.0, other.0);
                different.push(format!("{} mutation {number}: read otherwise: {what}", GOOD[which]));
                if let Some(kept) = std::env::var_os("DRYSIDE_KEEP") {
                    fs::write(Path::new(&kept).join(format!("{number}-{}", GOOD[which])), &bytes).unwrap();
                }
            }
        }
    }
    drop(std::panic::take_hook());
    println!(
        "{count} mutations: {refused} refused ({salvaged} could be salvaged), {alike} read alike, {alone} read by us alone"
    );
    assert!(different.is_empty(), "{}", different.join("\n"));
    assert!(refused > count / 4 && alike > count / 20, "{refused} refused, {alike} alike");
}
