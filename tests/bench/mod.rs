//! The bench that the tests through the program work on: folders, scans, runs.
#![allow(dead_code, reason = "each test program uses its own part of the bench")]

pub(crate) mod pdf;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tiff::decoder::{Decoder, DecodingResult};
use tiff::encoder::{Rational, TiffEncoder, colortype::Gray16};
use tiff::tags::{ResolutionUnit, Tag};

/// The demo scans that come with the project.
pub(crate) fn ropewalk() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ropewalk")
}

/// Runs the program.
pub(crate) fn dryside(words: &[&dyn AsRef<std::ffi::OsStr>]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_dryside"));
    command.args(words.iter().map(|w| w.as_ref()));
    command.output().expect("the program runs")
}

/// What a run printed to either stream.
pub(crate) fn printed(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// A folder with a simple sheet in a holder for each name: a black holder, a clear rebate, a picture of soft tones.
pub(crate) fn folder_of_sheets(names: &[&str]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (i, name) in names.iter().enumerate() {
        sheet(&folder.path().join(name), 1.0 - 0.2 * i as f64);
    }
    folder
}

/// A sheet of base 0.20 in linear codes; `strength` scales the picture's densities, 0.15 to 1.35 at 1.
pub(crate) fn sheet(path: &Path, strength: f64) {
    let codes = sheet_codes((400, 500), strength);
    let file = fs::File::create(path).expect("a file");
    TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(400, 500, &codes)).expect("a TIFF");
}

/// A scan of grey codes, with its pixels an inch and its Orientation (TIFF 6.0).
pub(crate) fn scan_of(path: &Path, (width, height): (u32, u32), codes: &[u16], (ppi, orientation): (u32, u16)) {
    let mut file = TiffEncoder::new(fs::File::create(path).expect("a file")).expect("a TIFF");
    let mut image = file.new_image::<Gray16>(width, height).expect("a page");
    image.resolution(ResolutionUnit::Inch, Rational { n: ppi, d: 1 });
    image.encoder().write_tag(Tag::Orientation, orientation).expect("a tag");
    image.write_data(codes).expect("it is written");
}

/// The codes of such a sheet of any size.
pub(crate) fn sheet_codes((width, height): (u32, u32), strength: f64) -> Vec<u16> {
    let density = |x: u32, y: u32| {
        let (u, v) = (f64::from(x) / f64::from(width), f64::from(y) / f64::from(height));
        match (x.min(width - 1 - x), y.min(height - 1 - y)) {
            (0..=11, _) | (_, 0..=11) => 3.2,
            (12..=21, _) | (_, 12..=21) => 0.20,
            _ => 0.20 + strength * (0.15 + 0.6 * (1.0 + (9.0 * u).sin() * (7.0 * v + 2.0 * u).cos())),
        }
    };
    // A little grain, so that no tone is a flat step.
    let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
    let code = |x, y| 65_535.0 * 10f64.powf(-density(x, y) - 0.01 * grain(x, y));
    (0..height).flat_map(|y| (0..width).map(move |x| code(x, y) as u16)).collect()
}

/// Size and 16-bit samples of a TIFF, read by the `tiff` library.
pub(crate) fn samples(path: &Path) -> ((u32, u32), Vec<u16>) {
    let mut reader = Decoder::new(fs::File::open(path).expect("it is there")).expect("it is a TIFF");
    let size = reader.dimensions().expect("it has a size");
    match reader.read_image().expect("it decodes") {
        DecodingResult::U16(samples) => (size, samples),
        _ => panic!("{} is not 16 bit", path.display()),
    }
}

/// Every file below a folder with its bytes, in name order.
pub(crate) fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            all.extend(files(&path));
        } else {
            let bytes = fs::read(&path).expect("a file");
            all.push((path, bytes));
        }
    }
    all.sort();
    all
}

/// A notes file as plain TOML.
pub(crate) fn notes(path: &Path) -> toml::Table {
    fs::read_to_string(path).expect("there are notes").parse().expect("they are TOML")
}
