//! The main job on the demo scans, held against what is known of them because they were drawn. The drawing shares no
//! code with the program.

mod bench;

use bench::{dryside, ropewalk};
use serde::Deserialize;

#[derive(Deserialize)]
struct Truth {
    sheet: Vec<Sheet>,
}

#[derive(Deserialize)]
struct Sheet {
    file: String,
    corners: [[f64; 2]; 4],
    base: f64,
    net_as_scanned: Net,
}

#[derive(Deserialize)]
struct Net {
    thin: f64,
    median: f64,
    dense: f64,
}

/// How far a corner may lie from the truth: half a millimetre on the film at some 205 pixels an inch.
const CORNER: f64 = 4.0;

#[test]
fn base_frame_and_ends_of_the_demo_scans_are_the_true_ones() {
    let truth = std::fs::read_to_string(ropewalk().join("truth.toml")).unwrap();
    let truth: Truth = toml::from_str(&truth).unwrap();
    assert_eq!(truth.sheet.len(), 6);
    let files: Vec<_> = truth.sheet.iter().map(|s| ropewalk().join(&s.file)).collect();
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"measure", &"--json"];
    words.extend(files.iter().map(|f| f as &dyn AsRef<std::ffi::OsStr>));
    let output = dryside(&words);
    assert!(output.status.success());

    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["scans"].as_array().unwrap().len(), 6);
    for (sheet, scan) in truth.sheet.iter().zip(report["scans"].as_array().unwrap()) {
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        let file = &sheet.file;
        // A bench densitometer is good to 0.02 D and repeats to 0.01 (makers' manuals, from memory).
        let base = number(&scan["base"]["density"]);
        assert!((base - sheet.base).abs() <= 0.010, "{file}: base {base}, true {}", sheet.base);
        let frames = scan["frames"].as_array().unwrap();
        assert_eq!(frames.len(), 1, "{file}");
        assert_eq!(frames[0]["corners"].as_array().unwrap().len(), 4);
        for (found, known) in frames[0]["corners"].as_array().unwrap().iter().zip(&sheet.corners) {
            let (dx, dy) = (number(&found[0]) - known[0], number(&found[1]) - known[1]);
            assert!(dx.hypot(dy) <= CORNER, "{file}: corner {found} is not at {known:?}");
        }
        let net = &frames[0]["net"];
        let known = &sheet.net_as_scanned;
        for (end, known) in [("thin", known.thin), ("median", known.median), ("dense", known.dense)] {
            // Grain widens the range a little beyond what was drawn.
            assert!((number(&net[end]) - known).abs() <= 0.03, "{file}: {end} end {}, true {known}", net[end]);
        }
    }
}
