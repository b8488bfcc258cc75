//! Spots read through the program, held against patches of known density and against another program's arithmetic.

mod bench;

use std::fs;
use std::path::Path;

use bench::{dryside, printed, ropewalk};
use serde_json::Value;
use tiff::encoder::{Rational, TiffEncoder, colortype::Gray16};
use tiff::tags::ResolutionUnit;

const BASE: f64 = 0.20;
/// Five patches side by side in the picture, net of base.
const PATCHES: [f64; 5] = [0.10, 0.34, 0.62, 0.97, 1.33];
/// Spread of the grain in one pixel, in D: a fast film at 600 pixels an inch.
const GRAIN: f64 = 0.03;
const PPI: u32 = 600;
/// Width and height of the scan and of a patch; where the picture begins.
const SIZE: (usize, usize) = (1180, 640);
const PATCH: (usize, usize) = (220, 560);
const FROM: usize = 40;

/// Chance that comes out the same every time (splitmix64, from memory), as a bell: twelve throws added.
fn bell(state: &mut u64) -> f64 {
    let mut throw = || {
        *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut n = *state;
        n = (n ^ (n >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..12).map(|_| throw()).sum::<f64>() - 6.0
}

/// Grain of spread 1 that hangs together over 2 x 2 pixels.
fn grain(seed: u64) -> Vec<f64> {
    let mut state = seed;
    let (width, height) = SIZE;
    let white: Vec<f64> = (0..(width + 1) * (height + 1)).map(|_| bell(&mut state)).collect();
    let at = |x: usize, y: usize| white[y * (width + 1) + x];
    (0..width * height)
        .map(|i| (i % width, i / width))
        .map(|(x, y)| (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1)) / 2.0)
        .collect()
}

/// A wedge of five patches in a rebate, in linear codes.
fn wedge(path: &Path, resolution: bool) {
    let grain = grain(11);
    let density = |x: usize, y: usize| {
        let inside = (FROM..FROM + 5 * PATCH.0).contains(&x) && (FROM..FROM + PATCH.1).contains(&y);
        if inside { BASE + PATCHES[(x - FROM) / PATCH.0] } else { BASE }
    };
    let codes: Vec<u16> = (0..SIZE.0 * SIZE.1)
        .map(|i| 65_535.0 * 10f64.powf(-density(i % SIZE.0, i / SIZE.0) - GRAIN * grain[i]))
        .map(|code| code.round() as u16)
        .collect();
    let mut file = TiffEncoder::new(fs::File::create(path).expect("a file")).expect("a TIFF");
    let mut image = file.new_image::<Gray16>(SIZE.0 as u32, SIZE.1 as u32).expect("a page");
    if resolution {
        image.resolution(ResolutionUnit::Inch, Rational { n: PPI, d: 1 });
    } else {
        image.resolution_unit(ResolutionUnit::None);
    }
    image.write_data(&codes).expect("written");
}

fn spots(run: &std::process::Output) -> Vec<Value> {
    assert!(run.status.success(), "{}", printed(run));
    let report: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    report["scans"][0]["spots"].as_array().expect("a list").clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Closed form: grain of spread g (in D) around density D lets the mean light 10^-D exp((g ln 10)^2 / 2) through, so a
/// cell reads D - g^2 ln 10 / 2. Two hundred openings of 2 mm, forty on each patch.
#[test]
fn patches_of_known_density_are_read_and_the_uncertainty_is_honest() {
    let folder = tempfile::tempdir().unwrap();
    let scan = folder.path().join("wedge.tif");
    wedge(&scan, true);
    let columns = PATCH.0 * 5 / 20;
    let places: Vec<(usize, usize)> =
        (0..200).map(|i| (FROM + columns / 2 + i % 20 * columns, FROM + 28 + i / 20 * 55)).collect();
    let at: Vec<String> = places.iter().map(|(x, y)| format!("--at={x},{y}")).collect();
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> =
        vec![&"measure", &"--json", &"--encoding=linear", &"--base=0.2", &"--aperture=2mm", &scan];
    words.extend(at.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
    let read = spots(&dryside(&words));
    assert_eq!(read.len(), 200);

    let mut within = 0;
    let mut means = [0.0; 5];
    for ((x, y), spot) in places.iter().zip(&read) {
        let patch = (x - FROM) / PATCH.0;
        let truth = PATCHES[patch] - GRAIN * GRAIN * 10f64.ln() / 2.0;
        let off = number(&spot["net"]) - truth;
        assert!(off.abs() < 0.01, "{x},{y}: {spot}");
        assert!((number(&spot["aperture_px"]) - 47.24).abs() < 0.01 && number(&spot["aperture_mm"]) == 2.0);
        means[patch] += off / 40.0;
        within += usize::from(off.abs() <= number(&spot["uncertainty"]));
    }
    assert!(means.iter().all(|mean| mean.abs() < 0.002), "{means:?}");
    // Nominal 190 of 200 with a spread of 3.1; grain that reaches from patch to patch takes a few per cent.
    assert!((180..=198).contains(&within), "{within} of 200 lie within");
    assert_eq!(read[0]["zone"], "I");
    assert_eq!(read[10]["zone"], "V");
    assert_eq!(read[19]["zone"], "IX");
}

/// Computed with numpy from the codes that tifffile reads: mean of (code / 65535)^2.2 over the pixels whose centres lie
/// in a circle of 3 / 25.4 x 205 pixels; D = -log10 of it.
#[test]
fn the_demo_sheet_is_read_as_another_program_reads_it() {
    let sheet = ropewalk().join("sheet-01.tif");
    let run = dryside(&[&"measure", &"--json", &sheet, &"--at", &"500,400", &"--at", &"300.5,300"]);
    let read = spots(&run);
    for (spot, density) in read.iter().zip([0.862_03, 1.066_30]) {
        assert!((number(&spot["density"]) - density).abs() < 1e-4, "{spot}");
    }
}

#[test]
fn places_that_cannot_be_read_are_said_so_and_the_others_are_read() {
    let folder = tempfile::tempdir().unwrap();
    let scan = folder.path().join("wedge.tif");
    wedge(&scan, true);
    let run = dryside(&[&"measure", &"--encoding=linear", &scan, &"--at", &"9000,10", &"--at", &"810,300"]);
    assert!(run.status.success());
    let said = printed(&run);
    assert!(
        said.contains("spot-outside: the opening at 9000,10 is not all in the scan of 1180 x 640 pixels"),
        "{said}"
    );
    assert!(said.contains("1.17") && said.contains("VII") && said.contains("condenser"), "{said}");
}

#[test]
fn an_opening_in_millimetres_needs_a_resolution() {
    let folder = tempfile::tempdir().unwrap();
    let scan = folder.path().join("wedge.tif");
    wedge(&scan, false);
    let in_mm = dryside(&[&"measure", &"--encoding=linear", &scan, &"--at", &"150,300"]);
    assert_eq!(in_mm.status.code(), Some(1));
    assert!(printed(&in_mm).contains("--aperture 40px"), "{}", printed(&in_mm));
    let in_px =
        [&"--encoding=linear" as &dyn AsRef<std::ffi::OsStr>, &scan, &"--at", &"150,300", &"--aperture", &"40px"];
    let words: Vec<&dyn AsRef<std::ffi::OsStr>> = [&"measure" as _, &"--json" as _].into_iter().chain(in_px).collect();
    let read = spots(&dryside(&words));
    assert!((number(&read[0]["net"]) - 0.099).abs() < 0.004, "{read:?}");
    assert!(read[0]["aperture_mm"].is_null());
}
