//! Highlights that a scan's own noise hides are said so, and grain is not taken for it. The scans are drawn here, as
//! are their noise and grain; what must be said follows from arithmetic.

mod bench;

use std::fs;
use std::path::Path;

use bench::dryside;
use tiff::encoder::{TiffEncoder, colortype::Gray8, colortype::Gray16};

/// How a sheet was scanned.
#[derive(Clone, Copy)]
struct Scanned {
    /// Net density of the densest tone.
    dense: f64,
    /// Spread of the grain of one pixel at net density 1, in D; it follows the root of density.
    grain: f64,
    /// Spread of the scanner's noise, in light.
    noise: f64,
    /// Light that strays over all.
    stray: f64,
    bits: u32,
}

const CLEAN: Scanned = Scanned { dense: 1.3, grain: 0.0, noise: 1e-4, stray: 0.0, bits: 16 };

/// Chance that comes out the same every time (splitmix64, from memory), as a bell: twelve throws added.
fn bell(state: &mut u64) -> f64 {
    let mut throw = || {
        *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let n = (*state ^ (*state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..12).map(|_| throw()).sum::<f64>() - 6.0
}

/// A sheet of base 0.20 in a black holder; a picture of soft tones with a broad sky of the densest. Gamma 2.2.
fn draw(path: &Path, how: Scanned) {
    let (width, height) = (600u32, 700u32);
    let mut state = 3;
    let light: Vec<f64> = (0..width * height)
        .map(|i| (i % width, i / width))
        .map(|(x, y)| {
            let (u, v) = (f64::from(x) / f64::from(width), f64::from(y) / f64::from(height));
            let net = match (x.min(width - 1 - x), y.min(height - 1 - y)) {
                (0..=14, _) | (_, 0..=14) => None,
                (15..=29, _) | (_, 15..=29) => Some(0.0),
                _ => Some(how.dense * (0.55 + 0.5 * (9.0 * u).sin() * (7.0 * v + 2.0 * u).cos()).clamp(0.04, 1.0)),
            };
            let film = net.map_or(1e-4, |net| 10f64.powf(-0.2 - net - how.grain * net.sqrt() * bell(&mut state)));
            (film + how.stray + how.noise * bell(&mut state)).clamp(0.0, 1.0)
        })
        .collect();
    let full = f64::from((1u32 << how.bits) - 1);
    let codes = light.iter().map(|l| (l.powf(1.0 / 2.2) * full).round());
    let mut file = TiffEncoder::new(fs::File::create(path).expect("a file")).expect("a TIFF");
    if how.bits == 8 {
        let codes: Vec<u8> = codes.map(|c| c as u8).collect();
        file.write_image::<Gray8>(width, height, &codes).expect("written");
    } else {
        let codes: Vec<u16> = codes.map(|c| c as u16).collect();
        file.write_image::<Gray16>(width, height, &codes).expect("written");
    }
}

/// Dense end, and whether it is said to lie in noise.
fn measured(how: Scanned) -> (f64, bool) {
    let folder = tempfile::tempdir().expect("a folder");
    let scan = folder.path().join("coil.tif");
    draw(&scan, how);
    let run = dryside(&[&"measure", &"--json", &"--encoding=gamma2.2", &scan]);
    assert!(run.status.success());
    let report: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
    let scan = &report["scans"][0];
    let said = scan["warnings"].as_array().expect("a list").iter().any(|w| w["code"] == "dense-end-in-noise");
    (scan["frames"][0]["net"]["dense"].as_f64().expect("a number"), said)
}

#[test]
fn a_clean_scan_is_said_nothing_of() {
    for dense in [0.8, 1.3, 2.2] {
        let (read, said) = measured(Scanned { dense, ..CLEAN });
        assert!(!said && (read - dense).abs() < 0.03, "{dense}: {read}");
    }
}

/// Arithmetic: noise of spread s hides a step of 0.05 D where light is less than 8.686 s. At a total density of 1.5,
/// light is 0.0316; at 2.4, 0.0040. A pixel in a thousand lies three spreads further on.
#[test]
fn highlights_below_the_scanners_noise_are_said_to_be() {
    assert!(!measured(Scanned { noise: 1.5e-3, ..CLEAN }).1, "0.0130 hides nothing of 0.0316 - 0.0045");
    assert!(measured(Scanned { noise: 4e-3, ..CLEAN }).1, "0.0347 hides 0.0316");
    assert!(!measured(Scanned { dense: 2.2, noise: 2e-4, ..CLEAN }).1, "0.0017 hides nothing of 0.0040 - 0.0006");
    assert!(measured(Scanned { dense: 2.2, noise: 6e-4, ..CLEAN }).1, "0.0052 hides 0.0040");
}

#[test]
fn grain_is_not_taken_for_noise_and_does_not_cover_it() {
    for grain in [0.03, 0.06, 0.10] {
        assert!(!measured(Scanned { dense: 1.8, grain, ..CLEAN }).1, "grain {grain}");
        assert!(measured(Scanned { dense: 1.8, grain, noise: 3e-3, ..CLEAN }).1, "grain {grain} and noise");
    }
}

/// Arithmetic: behind stray light of 0.003, which the holder shows, film of D 2.4 gives only 0.0040 of the 0.0070 seen.
#[test]
fn what_strays_over_the_holder_does_not_count_as_light_of_the_film() {
    assert!(!measured(Scanned { dense: 2.2, noise: 2e-4, stray: 0.003, ..CLEAN }).1);
    assert!(measured(Scanned { dense: 2.2, noise: 6e-4, stray: 0.003, ..CLEAN }).1);
}

#[test]
fn eight_bits_are_told_by_their_steps() {
    assert!(!measured(Scanned { bits: 8, ..CLEAN }).1);
    assert!(!measured(Scanned { bits: 8, dense: 2.0, ..CLEAN }).1);
    // Arithmetic: at D 2.55 code 17.7 of 255; steps of 0.054 D.
    assert!(measured(Scanned { bits: 8, dense: 2.45, ..CLEAN }).1);
}
