//! Small TIFFs made by tifffile, libtiff, Pillow and by hand (`tests/fixtures/tiff/make.py`), against codes that numpy
//! worked out.
#![allow(clippy::unwrap_used, missing_docs)]

use std::path::{Path, PathBuf};

use dryside::plane::Band;
use dryside::scan::{self, Channel, Error, Orientation, Rows, Scan};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff")
}

fn codes(scan: &Scan, channel: Channel, rows: Rows) -> Result<Vec<(u32, Vec<u16>)>, Error> {
    let mut all = Vec::new();
    let of_band = |band: &Band<'_>| band.rows().map(|(row, codes)| (row, codes.to_vec())).collect::<Vec<_>>();
    scan.read(channel, rows, of_band, |rows| {
        all.extend(rows);
        Ok::<_, Error>(())
    })?;
    Ok(all)
}

/// Rows with three codes a pixel.
fn colours(scan: &Scan, rows: Rows) -> Result<Vec<Vec<u16>>, Error> {
    let mut all = Vec::new();
    let of_band = |band: &Band<'_>| band.rows().map(|(_, codes)| codes.to_vec()).collect::<Vec<_>>();
    scan.read_colours(rows, of_band, |rows| {
        all.extend(rows);
        Ok::<_, Error>(())
    })?;
    Ok(all)
}

/// The lines of the table whose second word is `kind`, as words.
fn table(kind: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(folder().join("table.tsv")).unwrap();
    let lines = text.lines().map(|line| line.split('\t').map(str::to_owned).collect::<Vec<_>>());
    lines.filter(|words| words[1] == kind).collect()
}

#[test]
fn every_file_gives_exactly_the_codes_it_holds() {
    let files = table("codes");
    assert!(files.len() > 60, "the table has lost files");
    for words in files {
        let name = &words[0];
        let scan = scan::open(&folder().join(name)).unwrap_or_else(|e| panic!("{name} {e}"));
        let bytes = std::fs::read(folder().join(format!("{}.raw", words[2]))).unwrap();
        let wanted: Vec<u16> = bytes.as_chunks().0.iter().map(|b| u16::from_le_bytes(*b)).collect();
        let (width, height): (usize, usize) = (words[3].parse().unwrap(), words[4].parse().unwrap());
        if let [red, green, blue, _] = &wanted.chunks(width * height).collect::<Vec<_>>()[..] {
            let side_by_side: Vec<u16> =
                red.iter().zip(*green).zip(*blue).flat_map(|((red, green), blue)| [*red, *green, *blue]).collect();
            let got = colours(&scan, Rows::All).unwrap_or_else(|e| panic!("{name} {e}"));
            assert!(got.concat() == side_by_side, "{name} in colour");
            let few = colours(&scan, Rows::Between { first: 5, end: 9 }).unwrap().concat();
            assert!(few == side_by_side[5 * width * 3..9 * width * 3], "{name} in colour, in part");
        }
        let channels = [Channel::Red, Channel::Green, Channel::Blue, Channel::Mean];
        assert_eq!(wanted.len() % (width * height), 0);
        for (channel, wanted) in channels.into_iter().zip(wanted.chunks(width * height)) {
            let got = codes(&scan, channel, Rows::All).unwrap_or_else(|e| panic!("{name} {e}"));
            assert_eq!(got.len(), height, "{name}");
            for ((row, got), (number, wanted)) in got.iter().zip((0u32..).zip(wanted.chunks(width))) {
                assert_eq!((*row, got.as_slice()), (number, wanted), "{name} {channel}");
            }
            let sparse = codes(&scan, channel, Rows::EveryNth(4)).unwrap();
            assert_eq!(
                sparse.iter().map(|(row, _)| *row).collect::<Vec<_>>(),
                [2, 6, 10, 14, 18, 22, 26, 30],
                "{name}"
            );
            for (row, codes) in sparse {
                assert_eq!(codes, wanted[row as usize * width..][..width], "{name} {channel} row {row}");
            }
        }
    }
}

#[test]
fn every_file_states_its_facts() {
    for words in table("codes") {
        let scan = scan::open(&folder().join(&words[0])).unwrap();
        let facts = scan.facts();
        let stated = [
            facts.size.width.to_string(),
            facts.size.height.to_string(),
            facts.bits.to_string(),
            facts.channels.to_string(),
            facts.extra_channels.to_string(),
            facts.compression.to_string(),
            u8::from(facts.predictor).to_string(),
            u8::from(facts.white_is_zero).to_string(),
            u8::from(facts.big).to_string(),
            facts.pages.to_string(),
        ];
        assert_eq!(stated, words[3..], "{}", words[0]);
    }
}

#[test]
fn what_cannot_be_read_is_refused_by_who_must_act() {
    let files = table("refused");
    assert!(files.len() > 20, "the table has lost files");
    for words in files {
        let outcome = scan::open(&folder().join(&words[0])).and_then(|scan| codes(&scan, Channel::Green, Rows::All));
        let error = match outcome {
            Ok(_) => panic!("{} was read", words[0]),
            Err(error) => error,
        };
        let kind = match error {
            Error::Damaged(_) | Error::Torn => "damaged",
            Error::Unsupported(_) => "unsupported",
            Error::TooLarge(_) => "too large",
            Error::Disk(_) | Error::NotAnImage(_) | Error::Unsuited(_) | Error::Stopped => "other",
        };
        assert_eq!(kind, words[2], "{}: {error}", words[0]);
        let (what, remedy) = error.to_string().split_once(": ").map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
        assert!(!what.is_empty() && !remedy.is_empty(), "{error}");
    }
}

#[test]
fn what_the_scanner_said_is_read_and_carried() {
    let scan = scan::open(&folder().join("said.tif")).unwrap();
    let facts = scan.facts();
    assert_eq!(facts.make.as_deref(), Some("Hemp & Sons"));
    assert_eq!(facts.model.as_deref(), Some("Flatbed One"));
    assert_eq!(facts.software.as_deref(), Some("Yarn 1.0"));
    assert_eq!(facts.description.as_deref(), Some("Coils on the north wall"));
    // The time of scanning, not of the file's last change.
    assert_eq!(facts.date_time.as_deref(), Some("2026:03:14 09:26:53"));
    assert_eq!(facts.orientation, Orientation::RightTop);
    // TIFF 6.0 units: 944.88 pixels a centimetre are 2400 an inch.
    let resolution = facts.resolution.unwrap();
    assert!((resolution.x.value() - 2400.0).abs() < 0.01 && (resolution.y.value() - 2400.0).abs() < 0.01);
    assert_eq!(facts.icc.as_deref(), Some(&(0..=255).chain(0..=255).collect::<Vec<u8>>()[..]));
    let carried = |tags: &[scan::CarriedTag]| tags.iter().map(|tag| tag.tag.to_u16()).collect::<Vec<_>>();
    assert_eq!(carried(&facts.carried.main), [269, 270, 271, 272, 306, 315]);
    assert_eq!(facts.carried.main[2].bytes, b"Hemp & Sons\0");
    assert_eq!(carried(&facts.carried.exif), [36868, 41728]);
}
