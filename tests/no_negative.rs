//! What is no black-and-white negative is measured as far as honest, and said so: no picture is invented.

mod bench;

use std::fs;
use std::path::Path;

use bench::{dryside, printed};
use tiff::encoder::{TiffEncoder, colortype};

const SIZE: (u32, u32) = (300, 380);

/// A scan of linear light, drawn place by place (shares of width and height).
fn grey(folder: &Path, name: &str, light: impl Fn(f64, f64, f64) -> f64) -> serde_json::Value {
    let path = folder.join(name);
    let codes: Vec<u16> = places().map(|(u, v, n)| (65_535.0 * light(u, v, n)).clamp(0.0, 65_535.0) as u16).collect();
    save(&path, SIZE, &codes);
    report(&path)
}

fn save(path: &Path, size: (u32, u32), codes: &[u16]) {
    let file = fs::File::create(path).expect("a file");
    let written = TiffEncoder::new(file).and_then(|mut e| e.write_image::<colortype::Gray16>(size.0, size.1, codes));
    written.expect("a TIFF");
}

/// Places with a number between 0 and 1 that looks random.
fn places() -> impl Iterator<Item = (f64, f64, f64)> {
    let noise =
        |i: u32| f64::from(i.wrapping_mul(2_654_435_761).rotate_left(13).wrapping_mul(40_503) >> 8 & 0xffff) / 65_536.0;
    (0..SIZE.1).flat_map(move |y| {
        (0..SIZE.0)
            .map(move |x| (f64::from(x) / f64::from(SIZE.0), f64::from(y) / f64::from(SIZE.1), noise(y * SIZE.0 + x)))
    })
}

fn report(path: &Path) -> serde_json::Value {
    let run = dryside(&[&"measure", &"--json", &"--encoding", &"linear", &path]);
    assert!(run.status.success(), "{}", printed(&run));
    let report: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
    report["scans"][0].clone()
}

fn codes(report: &serde_json::Value) -> Vec<&str> {
    report["warnings"].as_array().expect("a list").iter().filter_map(|w| w["code"].as_str()).collect()
}

fn picture(u: f64, v: f64) -> f64 {
    0.5 + 0.25 * (9.0 * u).sin() * (7.0 * v + 2.0 * u).cos() + 0.2 * (23.0 * v).sin()
}

#[test]
fn white_a_flat_tone_and_noise_have_no_base_and_one_frame() {
    let folder = tempfile::tempdir().unwrap();
    type Light = fn(f64, f64, f64) -> f64;
    let scans: [(&str, Light); 4] = [
        ("white.tif", |_, _, _| 1.0),
        ("flat.tif", |_, _, n| 0.5 + 0.002 * n),
        ("noise.tif", |_, _, n| n),
        ("ramp.tif", |u, v, _| 0.1 + 0.4 * (u + v)),
    ];
    for (name, light) in scans {
        let report = grey(folder.path(), name, light);
        assert!(report["base"].is_null(), "{name}: {report}");
        assert!(codes(&report).contains(&"no-base"), "{name}: {report}");
        let frames = report["frames"].as_array().unwrap();
        assert_eq!(frames.len(), 1);
        assert_eq!(frames[0]["confidence"], 0.0, "{name}");
    }
}

#[test]
fn a_scan_black_all_over_is_refused_with_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("black.tif");
    save(&path, SIZE, &vec![0; (SIZE.0 * SIZE.1) as usize]);
    let run = dryside(&[&"measure", &path]);
    assert_eq!(run.status.code(), Some(1));
    assert!(printed(&run).contains("black all over: check the lamp"), "{}", printed(&run));
}

/// The picture's range as a reflection print or a slide has it, to density 3 and beyond.
#[test]
fn a_slide_and_a_page_of_text_are_doubted() {
    let folder = tempfile::tempdir().unwrap();
    let slide = grey(folder.path(), "slide.tif", |u, v, _| 10f64.powf(-0.1 - 3.6 * picture(u, v)));
    assert!(codes(&slide).contains(&"looks-positive"), "{slide}");
    let text = grey(folder.path(), "text.tif", |u, v, n| {
        let on_line = (0.1..0.9).contains(&u) && (0.1..0.9).contains(&v) && (v * 40.0).fract() < 0.5;
        let letter = ((u * 97.0).sin() * (v * 40.0).floor().cos() * 43.0).fract() > 0.2;
        0.9 - 0.01 * n - if on_line && letter { 0.8 } else { 0.0 }
    });
    assert!(codes(&text).iter().any(|code| ["no-base", "base-unsure"].contains(code)), "{text}");
}

/// Base of a masked colour negative film: red 0.25, green 0.62, blue 0.88 (a data sheet's order of size, from memory).
#[test]
fn a_colour_negative_is_said_to_look_like_one_and_a_grey_one_in_three_channels_is_not() {
    let folder = tempfile::tempdir().unwrap();
    for (name, base, masked) in [("mask.tif", [0.25, 0.62, 0.88], true), ("grey.tif", [0.22, 0.25, 0.29], false)] {
        let path = folder.path().join(name);
        let density = |u: f64, v: f64| {
            let inside = (0.08..0.92).contains(&u) && (0.08..0.92).contains(&v);
            if inside { 0.1 + picture(u, v) } else { 0.0 }
        };
        let codes: Vec<u16> = places()
            .flat_map(|(u, v, _)| base.map(|base| (65_535.0 * 10f64.powf(-base - density(u, v))) as u16))
            .collect();
        let file = fs::File::create(&path).unwrap();
        TiffEncoder::new(file).unwrap().write_image::<colortype::RGB16>(SIZE.0, SIZE.1, &codes).unwrap();
        let report = report(&path);
        assert_eq!(codes_have(&report, "colour-negative"), masked, "{report}");
        assert_eq!(codes_have(&report, "base-unusual"), masked, "{report}");
        assert!((report["base"]["density"].as_f64().unwrap() - base[1]).abs() < 0.01);
    }
}

fn codes_have(report: &serde_json::Value, code: &str) -> bool {
    codes(report).contains(&code)
}

#[test]
fn a_scan_of_a_few_pixels_is_measured_and_flagged() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tiny.tif");
    let codes: Vec<u16> = (0..100u32).map(|i| (9000 + i * 300) as u16).collect();
    save(&path, (10, 10), &codes);
    assert!(codes_have(&report(&path), "no-base"));
}
