//! Scans that were cut short: refused, or taken as far as their rows go. The whole file, read by the `tiff` crate, says
//! what those rows hold.
#![allow(clippy::unwrap_used, missing_docs)]

mod bench;

use std::fs;
use std::path::Path;

use dryside::plane::Band;
use dryside::scan::{self, Channel, Error, Rows, Torn};

/// Width and codes of the only channel; rows that the file lacks.
fn read(path: &Path, torn: Torn) -> Result<(usize, Vec<u16>, u32), Error> {
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
    assert_eq!(codes.len() as u64, facts.size.pixels());
    Ok((facts.size.width as usize, codes, facts.rows_lost))
}

#[test]
fn the_rows_that_are_there_are_those_of_the_whole_scan() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("torn.tif");
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff");
    for name in [
        "g16-plain.tif",
        "g16-high-first.tif",
        "g16-tiles.tif",
        "g16-lzw.tif",
        "g16-lzw-differences.tif",
        "g16-deflate.tif",
        "g16-deflate-differences.tif",
        "g16-packbits.tif",
        "g16-one-row-strips.tif",
        "g16-one-strip.tif",
    ] {
        let bytes = fs::read(fixtures.join(name)).unwrap();
        let ((width, height), whole) = bench::samples(&fixtures.join(name));
        let (mut salvaged, mut before) = (0, 0);
        for length in (0..bytes.len()).step_by(97).chain([bytes.len() - 1]) {
            fs::write(&path, &bytes[..length]).unwrap();
            let refused = read(&path, Torn::Refuse).map(|_| ()).unwrap_err();
            let Ok((across, codes, lost)) = read(&path, Torn::Salvage) else {
                assert!(before == 0, "{name} at {length}: more of it, and less can be had");
                continue;
            };
            assert!(matches!(refused, Error::Torn), "{name} at {length}: {refused}");
            let rows = codes.len() / across;
            assert_eq!((across as u32, rows as u32 + lost), (width, height), "{name} at {length}");
            assert_eq!(codes, whole[..codes.len()], "{name} at {length}");
            assert!(rows >= before, "{name} at {length}");
            (salvaged, before) = (salvaged + 1, rows);
        }
        assert!(
            salvaged > 5 && before as u32 >= height / 2,
            "{name}: {salvaged} cuts, at most {before} of {height} rows"
        );
    }
}

/// Where the rows begin in such a file.
const START: usize = 8 + 2 + 8 * 12 + 4;

/// A simple sheet as scanners mostly write it: the directory (TIFF 6.0, section 2) before the rows, which are one
/// strip.
fn sheet(path: &Path, (width, height): (u32, u32), codes: &[u16]) {
    let bytes = width * height * 2;
    let entries =
        [(256, width), (257, height), (258, 16), (259, 1), (262, 1), (273, START as u32), (278, height), (279, bytes)];
    let mut file = [b"II*\0".as_slice(), &8u32.to_le_bytes(), &(entries.len() as u16).to_le_bytes()].concat();
    for (tag, value) in entries {
        file.extend([u16::to_le_bytes(tag), u16::to_le_bytes(4)].concat());
        file.extend([1u32.to_le_bytes(), value.to_le_bytes()].concat());
    }
    file.extend(0u32.to_le_bytes());
    file.extend(codes.iter().flat_map(|code| code.to_le_bytes()));
    fs::write(path, file).unwrap();
}

/// An uncompressed scan has as many whole rows as the bytes behind the start of its strip hold.
#[test]
fn no_whole_row_is_given_up() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coil.tif");
    let size = (40, 50);
    let codes = bench::sheet_codes(size, 1.0);
    sheet(&path, size, &codes);
    let bytes = fs::read(&path).unwrap();
    assert_eq!(read(&path, Torn::Salvage).unwrap(), (40, codes.clone(), 0), "it is whole");
    for rows in [1, 2, 31, 49] {
        for more in [0, 79] {
            fs::write(&path, &bytes[..START + 80 * rows + more]).unwrap();
            let there = (40, codes[..40 * rows].to_vec(), 50 - rows as u32);
            assert_eq!(read(&path, Torn::Salvage).unwrap(), there, "{rows} rows and {more} bytes");
        }
    }
    fs::write(&path, &bytes[..START + 79]).unwrap();
    assert!(matches!(read(&path, Torn::Salvage), Err(Error::Damaged(_))), "no row is whole");
}

#[test]
fn a_torn_scan_is_told_and_with_salvage_its_rows_are_worked_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coil.tif");
    sheet(&path, (400, 500), &bench::sheet_codes((400, 500), 1.0));
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..START + 800 * 380 + 5]).unwrap();
    let out = tempfile::tempdir().unwrap();
    let (scans, results) = (folder.path(), out.path());
    let told = bench::dryside(&[&"batch", &scans, &"--out", &results, &"--crop", &"none"]);
    assert!(!told.status.success());
    assert!(bench::printed(&told).contains("coil.tif: the file is cut short: copy the file again"), "{told:?}");
    let batch =
        || bench::dryside(&[&"batch", &scans, &"--out", &results, &"--crop", &"none", &"--salvage", &"--base", &"0.2"]);
    let told = batch();
    assert!(told.status.success(), "{told:?}");
    let notes = out.path().join("flat/coil.notes.toml");
    assert_eq!(bench::notes(&notes)["scan"]["height"].as_integer(), Some(380));
    assert!(bench::printed(&told).contains("cut short, 380 of 500 rows are there"), "{told:?}");
    assert_eq!(bench::samples(&out.path().join("flat/coil.tif")).0, (400, 380));
    assert!(bench::printed(&batch()).contains("up to date"));
    // What is made from the notes knows how the scan was opened.
    let told = bench::dryside(&[&"loupe", &notes]);
    assert!(told.status.success(), "{told:?}");
}

/// The same sheet with its profile behind the rows, as scanners write it that add it last.
fn sheet_with_profile(path: &Path, size: (u32, u32), codes: &[u16]) -> usize {
    sheet(path, size, codes);
    let mut file = fs::read(path).unwrap();
    let icc = dryside::light::grey_profile(&dryside::light::Encoding::Linear);
    // One entry more, before which the rows begin 12 bytes later (TIFF 6.0, section 2; ICC.1, annex B: tag 34675,
    // UNDEFINED).
    let end = (file.len() + 12) as u32;
    file[8..10].copy_from_slice(&9u16.to_le_bytes());
    let entry =
        [&34675u16.to_le_bytes()[..], &7u16.to_le_bytes(), &(icc.len() as u32).to_le_bytes(), &end.to_le_bytes()];
    file.splice(START - 4..START - 4, entry.concat());
    file[10 + 5 * 12 + 8..10 + 5 * 12 + 12].copy_from_slice(&(START as u32 + 12).to_le_bytes());
    file.extend(&icc);
    fs::write(path, file).unwrap();
    icc.len()
}

/// Its rows are there; what is lost with the profile is what their codes mean, and that a person can say.
#[test]
fn a_scan_whose_profile_was_cut_off_is_salvaged_and_the_loss_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coil.tif");
    let size = (400, 500);
    let codes = bench::sheet_codes(size, 1.0);
    let profile = sheet_with_profile(&path, size, &codes);
    let bytes = fs::read(&path).unwrap();
    assert_eq!(read(&path, Torn::Refuse).unwrap(), (400, codes.clone(), 0), "it is whole");
    let rows = bytes.len() - profile;
    for (length, height) in [(bytes.len() * 9 / 10, 449), (rows, 500), (rows + 4, 500), (bytes.len() - 1, 500)] {
        fs::write(&path, &bytes[..length]).unwrap();
        assert!(matches!(read(&path, Torn::Refuse), Err(Error::Torn)), "{length}");
        let (_, there, lost) = read(&path, Torn::Salvage).unwrap();
        let taken = there.len() / 400;
        assert!(taken as u32 + lost == 500 && taken.abs_diff(height) <= 1, "{length}: {taken}");
        assert_eq!(there, codes[..there.len()], "{length}");
    }
    fs::write(&path, &bytes[..bytes.len() * 9 / 10]).unwrap();
    let out = tempfile::tempdir().unwrap();
    let (scans, results) = (folder.path(), out.path());
    let batch = |encoding: &str| {
        let args: [&dyn AsRef<std::ffi::OsStr>; 8] =
            [&"batch", &scans, &"--out", &results, &"--salvage", &"--base=0.2", &"--no-sheet", &encoding];
        bench::printed(&bench::dryside(&args))
    };
    let told = batch("--crop=none");
    assert!(told.contains("profile-unusable") && told.contains("give the scan's encoding"), "{told}");
    let told = batch("--encoding=linear");
    assert!(!told.contains("profile-unusable") && told.contains("cut-short"), "{told}");
}

/// The same sheet as libtiff and most programs write it: rows first, the directory behind them.
fn sheet_ending_in_directory(path: &Path, size: (u32, u32), codes: &[u16]) {
    sheet(path, size, codes);
    let mut file = fs::read(path).unwrap();
    let directory = file[8..START].to_vec();
    file.drain(8..START);
    let end = file.len() as u32;
    file[4..8].copy_from_slice(&end.to_le_bytes());
    file.extend(directory);
    let offset = file.len() - (START - 8) + 2 + 5 * 12 + 8;
    file[offset..offset + 4].copy_from_slice(&8u32.to_le_bytes());
    fs::write(path, file).unwrap();
}

#[test]
fn where_the_missing_end_told_where_the_rows_lie_it_is_said_that_salvage_cannot_help() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coil.tif");
    let size = (40, 50);
    let codes = bench::sheet_codes(size, 1.0);
    sheet_ending_in_directory(&path, size, &codes);
    let bytes = fs::read(&path).unwrap();
    assert_eq!(read(&path, Torn::Refuse).unwrap(), (40, codes, 0), "it is whole");
    for length in [8, 1000, 4007, 4008, 4009, 4050, bytes.len() - 1] {
        fs::write(&path, &bytes[..length]).unwrap();
        for torn in [Torn::Refuse, Torn::Salvage] {
            let told = read(&path, torn).unwrap_err().to_string();
            assert!(told.contains("--salvage cannot help: copy the file again, or scan again"), "{length}: {told}");
        }
    }
    // Room was made for all of it, and the copy was broken off.
    let zeros = bytes.iter().enumerate().map(|(i, byte)| if i < 1000 { *byte } else { 0 }).collect::<Vec<_>>();
    fs::write(&path, zeros).unwrap();
    let told = read(&path, Torn::Salvage).unwrap_err().to_string();
    assert!(told.contains("there are zeros, as in a copy broken off") && told.contains("scan again"), "{told}");
}

/// Room was made for the file, and the copy was broken off where a page of 4096 bytes ends.
#[test]
fn rows_that_a_broken_copy_never_wrote_are_told_and_black_ones_are_not() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("coil.tif");
    let size = (400, 500);
    sheet(&path, size, &bench::sheet_codes(size, 1.0));
    let whole = fs::read(&path).unwrap();
    let unwritten = |from: usize| {
        let zeros = whole.iter().enumerate().map(|(i, byte)| if i < from { *byte } else { 0 }).collect::<Vec<_>>();
        fs::write(&path, zeros).unwrap();
        scan::open(&path).unwrap().unwritten().unwrap()
    };
    let mut told = 0;
    for page in 2..whole.len() / 4096 {
        let (from, row) = (page * 4096, ((page * 4096 - START) / 800) as u32);
        // Where the last byte before it is a zero of its own, nothing can be told.
        let rows = unwritten(from);
        assert!(rows.is_none() || rows == Some(row..500), "{page}: {rows:?}");
        told += usize::from(rows.is_some());
    }
    assert!(told > 85, "{told} of 95");
    assert_eq!(unwritten(whole.len()), None, "it is whole");
    for rows in [1, 12, 250, 499] {
        assert_eq!(unwritten(START + 800 * rows), None, "black from row {rows} on, as a holder is");
    }
    for off in [1, 2, 100, 2048] {
        assert_eq!(unwritten(60 * 4096 + off), None, "black from elsewhere on");
    }

    unwritten(60 * 4096);
    let out = tempfile::tempdir().unwrap();
    let run = bench::dryside(&[&"batch", &folder.path(), &"--out", &out.path(), &"--no-sheet"]);
    let told = bench::printed(&run);
    assert!(run.status.success() && told.contains("rows-unwritten: rows 308 to 500 hold nothing"), "{told}");
}
