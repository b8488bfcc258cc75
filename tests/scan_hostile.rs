//! Files that are torn, changed or made to mislead: an error in words, never a panic, never a large allocation.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs;
use std::path::Path;

use dryside::plane::Band;
use dryside::scan::{self, Channel, Error, Rows};

fn read(path: &Path) -> Result<u64, Error> {
    let scan = scan::open(path)?;
    let mut pixels = 0;
    let of_band = |band: &Band<'_>| band.samples().len() as u64;
    scan.read(Channel::Mean, Rows::All, of_band, |more| {
        pixels += more;
        Ok::<_, Error>(())
    })?;
    assert_eq!(pixels, scan.facts().size.pixels());
    Ok(pixels)
}

fn of_bytes(bytes: &[u8]) -> Result<u64, Error> {
    let file = tempfile::NamedTempFile::new().unwrap();
    fs::write(file.path(), bytes).unwrap();
    read(file.path())
}

fn fixture(name: &str) -> Vec<u8> {
    fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff").join(name)).unwrap()
}

#[test]
fn what_is_no_file_of_a_picture_is_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    assert!(matches!(read(folder.path()), Err(Error::NotAnImage(_))));
    assert!(matches!(read(&folder.path().join("absent.tif")), Err(Error::Disk(_))));
    assert!(matches!(of_bytes(b""), Err(Error::Damaged(_))));
    assert!(matches!(of_bytes(b"Notes on the hemp of 1926"), Err(Error::NotAnImage(_))));
    assert!(matches!(of_bytes(b"II"), Err(Error::Damaged(_))));
    assert!(matches!(of_bytes(b"\xFF\xD8\xFF"), Err(Error::Damaged(_))));
    assert!(matches!(of_bytes(b"\x89PNG\r\n\x1a\n"), Err(Error::Damaged(_))));
}

/// A scan whose end is missing must say so, wherever it was cut; a file may be whole without its last few bytes only.
#[test]
fn a_scan_cut_anywhere_is_never_taken_for_whole() {
    for name in ["g16-plain.tif", "rgbi16-lzw-differences.tif", "rgb16-big-high-first-deflate-tiles.tif"] {
        let whole = fixture(name);
        let pixels = of_bytes(&whole).unwrap();
        for cut in 2..whole.len() {
            match of_bytes(&whole[..cut]) {
                Ok(read) => assert!(read == pixels && cut + 400 > whole.len(), "{name} cut at {cut}"),
                Err(Error::Damaged(_) | Error::Torn) => {}
                Err(error) => panic!("{name} cut at {cut}: {error}"),
            }
        }
    }
}

/// Every byte of the directory, and some of the pixels, set to values that mislead most.
#[test]
fn no_changed_byte_makes_it_panic() {
    for name in ["g16-deflate-differences.tif", "rgb16-planes-tiles.tif", "rgb16-big.tif", "said.tif", "pages.tif"] {
        let whole = fixture(name);
        for at in (0..whole.len()).filter(|at| *at < 260 || whole.len() - at < 260 || at % 37 == 0) {
            for value in [0, 0x7F, 0xFF, whole[at] ^ 1] {
                let mut changed = whole.clone();
                changed[at] = value;
                if let Err(error) = of_bytes(&changed) {
                    assert!(error.to_string().contains(": "), "{name} at {at}: {error}");
                }
            }
        }
    }
}

/// Found by turning bits: readers differ in which of the two they take.
#[test]
fn a_tag_that_says_two_things_is_refused() {
    let whole = fixture("g16-plain.tif");
    // In its directory, which is the first thing in the file, Predictor or ResolutionUnit becomes a second ImageWidth.
    let directory = u32::from_le_bytes(whole[4..8].try_into().unwrap()) as usize;
    let mut changed = whole.clone();
    let rows = (directory + 2..).step_by(12);
    let unit = rows.take(30).find(|at| whole[*at..*at + 2] == 296u16.to_le_bytes()).unwrap();
    changed[unit..unit + 2].copy_from_slice(&256u16.to_le_bytes());
    let told = of_bytes(&changed).unwrap_err().to_string();
    assert!(told.contains("tag 256 stands in it twice"), "{told}");
}

/// One strip of 20 MB, packed: larger than is unpacked at once, so its rows are streamed.
#[test]
fn a_giant_packed_strip_is_streamed_exactly() {
    let (width, height) = (3000u32, 3400u32);
    let pixel = |x: u32, y: u32| ((x * 37 + y * 1009 + x * y / 64) % 65_536) as u16;
    let plain: Vec<u8> = (0..height).flat_map(|y| (0..width).flat_map(move |x| pixel(x, y).to_le_bytes())).collect();
    let lzw = weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8).encode(&plain).unwrap();
    let mut zlib = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut zlib, &plain).unwrap();
    let zlib = zlib.finish().unwrap();
    // PackBits as the laziest writer has it: literal runs of 128.
    let bits: Vec<u8> = plain.chunks(128).flat_map(|run| [&[(run.len() - 1) as u8], run].concat()).collect();
    for (method, packed) in [(5, lzw), (8, zlib), (32773, bits)] {
        let file = tempfile::NamedTempFile::new().unwrap();
        fs::write(file.path(), one_strip(width, height, method, &packed)).unwrap();
        for (rows, wanted) in
            [(Rows::All, height), (Rows::EveryNth(100), height / 100), (Rows::Between { first: 1700, end: 1723 }, 23)]
        {
            let mut delivered = 0;
            let of_band = |band: &Band<'_>| {
                for (y, codes) in band.rows() {
                    assert!(codes.iter().zip(0..).all(|(code, x)| *code == pixel(x, y)), "method {method} row {y}");
                }
                band.rows().count() as u32
            };
            let scan = scan::open(file.path()).unwrap();
            scan.read(Channel::Green, rows, of_band, |more| {
                delivered += more;
                Ok::<_, Error>(())
            })
            .unwrap();
            assert_eq!(delivered, wanted);
        }
        let torn = &packed[..packed.len() / 2];
        assert!(matches!(of_bytes(&one_strip(width, height, method, torn)), Err(Error::Damaged(_))));
    }
}

/// RFC 1950: the check sum is over everything that was packed, also what lies behind the last row.
#[test]
fn a_check_sum_is_looked_at_behind_what_a_writer_left_over() {
    let plain: Vec<u8> = (0..40 * 30 * 2u32).map(|i| (i * i / 7) as u8).collect();
    for surplus in [0, 1, 2, 9000] {
        let all = [&plain[..], &vec![7; surplus]].concat();
        let mut zlib = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
        std::io::Write::write_all(&mut zlib, &all).unwrap();
        let mut packed = zlib.finish().unwrap();
        assert_eq!(of_bytes(&one_strip(40, 30, 8, &packed)).unwrap(), 1200, "{surplus}");
        *packed.last_mut().unwrap() ^= 1;
        assert!(matches!(of_bytes(&one_strip(40, 30, 8, &packed)), Err(Error::Damaged(_))), "{surplus}");
    }
}

/// A classic TIFF after TIFF 6.0, section 2: 16-bit grey, one strip, the directory behind it.
fn one_strip(width: u32, height: u32, method: u32, strip: &[u8]) -> Vec<u8> {
    let length = strip.len() as u32;
    let entries =
        [(256, width), (257, height), (258, 16), (259, method), (262, 1), (273, 8), (278, height), (279, length)];
    let directory = 8 + length + length % 2;
    let mut file = [b"II*\0", &directory.to_le_bytes()[..], strip].concat();
    file.resize(directory as usize, 0);
    file.extend((entries.len() as u16).to_le_bytes());
    for (tag, value) in entries {
        file.extend(u16::to_le_bytes(tag));
        file.extend([4, 0, 1, 0, 0, 0]);
        file.extend(u32::to_le_bytes(value));
    }
    file.extend([0; 4]);
    file
}
