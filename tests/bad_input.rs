//! Whatever ends up in a folder: one clear line each, the other scans go on, nothing is lost.

mod bench;

use std::fs;

use bench::{dryside, folder_of_sheets, printed};

/// A TIFF directory of shorts and longs, little-endian, with `data` at byte 8.
fn tiff(tags: &[(u16, u32)], data: &[u8]) -> Vec<u8> {
    let mut bytes = b"II*\0".to_vec();
    bytes.extend((8 + data.len() as u32).to_le_bytes());
    bytes.extend(data);
    bytes.extend((tags.len() as u16).to_le_bytes());
    for (tag, value) in tags {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(4u16.to_le_bytes());
        bytes.extend(1u32.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend([0; 4]);
    bytes
}

/// Width, height, bits, compression, polarity, samples, where, rows a strip, length.
fn grey(width: u32, height: u32, compression: u32, length: u32) -> Vec<(u16, u32)> {
    vec![
        (256, width),
        (257, height),
        (258, 16),
        (259, compression),
        (262, 1),
        (273, 8),
        (277, 1),
        (278, height),
        (279, length),
    ]
}

#[test]
fn bad_files_get_a_line_each_and_the_good_ones_are_made() {
    let folder = folder_of_sheets(&["good.tif", "twice.tif"]);
    let put = |name: &str, bytes: &[u8]| fs::write(folder.path().join(name), bytes).unwrap();
    let good = fs::read(folder.path().join("good.tif")).unwrap();
    put("a-letter.tif", b"Dear ropewalk, the coils have come.");
    put("b-empty.tif", b"");
    put("c-torn.tif", &good[..good.len() / 2]);
    put("d-zero.tif", &tiff(&grey(0, 500, 1, 16), &[0; 16]));
    put("e-huge.tif", &tiff(&grey(100_000, 100_000, 1, 16), &[0; 16]));
    put("f-packed.tif", &tiff(&grey(4, 2, 34_712, 16), &[0; 16]));
    put("g-short.tif", &tiff(&grey(400, 200, 1, 160_000), &[0; 1000]));
    put("twice.png", b"");
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out]);
    assert_eq!(run.status.code(), Some(1), "{}", printed(&run));
    let said = String::from_utf8(run.stderr.clone()).unwrap();
    let bad = ["a-letter.tif", "b-empty.tif", "c-torn.tif", "d-zero.tif", "e-huge.tif", "f-packed.tif", "g-short.tif"];
    for name in bad.iter().chain(&["twice.tif"]) {
        let lines: Vec<_> = said.lines().filter(|l| l.contains(&format!("dryside: {name}: "))).collect();
        assert_eq!(lines.len(), 1, "{name}: one line\n{said}");
        assert!(lines[0].matches(": ").count() >= 3, "{name}: what is wrong, and what to do: {}", lines[0]);
    }
    assert!(!said.contains("panicked"), "{said}");
    assert!(out.join("flat/good.tif").is_file() && out.join("proof/good.jpg").is_file());
    assert!(!out.join("flat/c-torn.tif").exists(), "no part of a torn scan appears");
    let parts = bench::files(&out).into_iter().filter(|(path, _)| path.to_string_lossy().contains(".part"));
    assert_eq!(parts.count(), 0);
    let table = fs::read_to_string(out.join("batch.csv")).unwrap();
    assert!(table.lines().any(|l| l.starts_with("b-empty.tif") && l.contains("empty")), "{table}");
}

#[test]
fn wrong_usage_is_told_before_anything_is_done() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let scans = folder.path();
    let empty = tempfile::tempdir().unwrap();
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let in_the_way = top.path().join("file");
    fs::write(&in_the_way, b"").unwrap();
    let inside = scans.join("made");
    let refused = |words: &[&dyn AsRef<std::ffi::OsStr>], advice: &str| {
        let run = dryside(words);
        let said = printed(&run);
        assert_eq!(run.status.code(), Some(2), "{said}");
        assert!(said.contains(advice), "expected \"{advice}\" in\n{said}");
    };
    refused(&[&"batch", &empty.path(), &"--out", &out], "no scans here");
    refused(&[&"batch", &scans.join("none")], "give a folder of scans");
    refused(&[&"batch", &scans, &"--out", &inside], "stays as it is");
    refused(&[&"batch", &scans, &"--out", &in_the_way], "choose another folder with --out");
    refused(&[&"batch", &scans, &"--out", &out, &"--grade", &"9"], "use one of 00, 0");
    refused(&[&"batch", &scans, &"--out", &out, &"--ends", &"match=none.toml"], "no such notes");
    refused(&[&"batch", &scans, &"--out", &out, &"--jobs", &"0"], "--jobs");
    refused(&[&"batch", &scans, &"--oout", &out], "--out");
    fs::write(scans.join("dryside.toml"), "grad = 2\n").unwrap();
    refused(&[&"batch", &scans, &"--out", &out], "did you mean \"grade\"?");
    fs::write(scans.join("dryside.toml"), "exposure = 90\n").unwrap();
    refused(&[&"batch", &scans, &"--out", &out], "from -6 to 6 (stops)");
    fs::write(scans.join("dryside.toml"), "grade = [\n").unwrap();
    refused(&[&"batch", &scans, &"--out", &out], "dryside.toml: line ");
    assert!(!out.join("flat/coil.tif").exists());
}

#[test]
fn a_slip_in_the_notes_leaves_them_alone() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out]);
    assert!(run().status.success());
    let path = out.join("flat/coil.notes.toml");
    let slipped = fs::read_to_string(&path).unwrap().replacen("[shot]\n", "[shot]\nlens = 210 mm\n", 1);
    fs::write(&path, &slipped).unwrap();
    let again = run();
    assert_eq!(again.status.code(), Some(1));
    assert!(printed(&again).contains("line 6, column 8"), "{}", printed(&again));
    assert_eq!(fs::read_to_string(&path).unwrap(), slipped);
}

#[test]
fn measuring_names_what_cannot_be_measured_and_goes_on() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let run = dryside(&[&"measure", &folder.path().join("none.tif"), &folder.path().join("coil.tif"), &"--json"]);
    assert_eq!(run.status.code(), Some(1));
    let report: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert!(report["scans"][0]["error"].as_str().unwrap().contains("cannot be read"));
    assert_eq!(report["scans"][1]["frames"].as_array().unwrap().len(), 1);
}
