//! Whatever ends up in a folder: one clear line each, the other scans go on, nothing is lost.

mod bench;

use std::fs;
use std::path::Path;

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
    for name in bad.iter().chain(&["twice.png"]) {
        let lines: Vec<_> = said.lines().filter(|l| l.contains(&format!("dryside: {name}: "))).collect();
        assert_eq!(lines.len(), 1, "{name}: one line\n{said}");
        assert!(lines[0].matches(": ").count() >= 3, "{name}: what is wrong, and what to do: {}", lines[0]);
    }
    assert!(!said.contains("panicked"), "{said}");
    assert!(out.join("flat/twice.tif").is_file(), "a TIFF comes before a file of another kind");
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
    refused(&[&"batch", &scans.join("none")], "there is no such folder, check its name: give a folder of scans");
    let scan = scans.join("coil.tif");
    refused(&[&"batch", &scan], "not a folder: give a folder of scans");
    refused(&[&"batch", &scans, &"--out", &out, &"--wedge", &scan], "this is a scan: give the .wedge.toml");
    refused(&[&"batch", &scans, &"--out", &inside], "stays as it is");
    refused(&[&"batch", &scans, &"--out", &in_the_way], "choose another folder with --out");
    refused(&[&"batch", &scans, &"--out", &out, &"--grade", &"9"], "use one of 00, 0");
    refused(&[&"batch", &scans, &"--out", &out, &"--ends", &"match=none.toml"], "no such notes");
    refused(&[&"batch", &scans, &"--out", &out, &"--jobs", &"0"], "--jobs");
    refused(&[&"batch", &scans, &"--oout", &out], "--out");
    fs::write(scans.join("dryside.toml"), "grad = 2\n").unwrap();
    refused(&[&"batch", &scans, &"--out", &out], "did you mean \"grade\"?");
    fs::write(scans.join("dryside.toml"), "exposure = 90\n").unwrap();
    refused(&[&"batch", &scans, &"--out", &out], "from -6 to 6 (stops");
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
    let before = slipped.replacen("lens = 210 mm\n", "", 1);
    for (at, slip, said) in [
        ("[scan]\n", "[scan]\npictures = [[45, 40], [300, 300]]\n", "did you mean \"picture\"?"),
        ("[measured]\n", "[measured]\npicture = [[45, 40], [300, 300]]\n", "under [scan]"),
        ("[scan]\n", "[setting]\ngrade = \"3\"\n\n[scan]\n", "did you mean \"[settings]\"?"),
        ("[scan]\n", "[scan]\nbase = \"0,21\"\n", "write a number in D, as 0.21"),
    ] {
        let slipped = before.replacen(at, slip, 1);
        fs::write(&path, &slipped).unwrap();
        let again = run();
        assert_eq!(again.status.code(), Some(1), "{slip}");
        assert!(printed(&again).contains(said), "{slip}: {}", printed(&again));
        assert_eq!(fs::read_to_string(&path).unwrap(), slipped);
    }
    // In quotes a base is a base, as a grade is a grade.
    fs::write(&path, before.replacen("[scan]\n", "[scan]\nbase = \"0.21\"\n", 1)).unwrap();
    assert!(run().status.success());
    assert_eq!(bench::notes(&path)["measured"]["base_source"].as_str(), Some("given"));
}

#[test]
fn measuring_names_what_cannot_be_measured_and_goes_on() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let run = dryside(&[&"measure", &folder.path().join("none.tif"), &folder.path().join("coil.tif"), &"--json"]);
    assert_eq!(run.status.code(), Some(1));
    let report: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert!(report["scans"][0]["error"].as_str().unwrap().contains("no such file"));
    assert_eq!(report["scans"][1]["frames"].as_array().unwrap().len(), 1);
}

#[test]
fn nobody_elses_file_is_replaced() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    fs::create_dir_all(out.join("flat")).unwrap();
    fs::write(out.join("flat/coil.tif"), b"a day's retouching").unwrap();
    let run = |more: &[&str]| {
        let folder = folder.path();
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &folder, &"--out", &out];
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        dryside(&words)
    };
    let refused = run(&[]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(printed(&refused).contains("by other hands: move it away"), "{}", printed(&refused));
    assert_eq!(fs::read(out.join("flat/coil.tif")).unwrap(), b"a day's retouching");
    assert!(run(&["--force"]).status.success());
    // Retouched after it was made: left as it is, also when the settings change, and when the size is the same.
    let flat = fs::read(out.join("flat/coil.tif")).unwrap();
    let mut spotted = flat.clone();
    spotted[5000] ^= 1;
    for (retouched, said) in [([&flat[..], b"retouched"].concat(), "changed by hand, kept"), (spotted, "up to date")] {
        fs::write(out.join("flat/coil.tif"), &retouched).unwrap();
        assert!(printed(&run(&[])).contains(said), "{}", printed(&run(&[])));
        let refused = run(&["--grade", "4"]);
        assert_eq!(refused.status.code(), Some(1));
        assert!(printed(&refused).contains("saved back from an editor"), "{}", printed(&refused));
        assert_eq!(fs::read(out.join("flat/coil.tif")).unwrap(), retouched);
    }
}

#[test]
fn a_run_that_was_broken_off_is_finished_by_the_next() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let run = |more: &[&str]| {
        let folder = folder.path();
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &folder, &"--out", &out, &"--no-sheet"];
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        dryside(&words)
    };
    assert!(run(&[]).status.success());
    let whole = bench::files(&out);
    // As it stands between the files and the closing notes of another run: the notes name the files, without a key.
    assert!(run(&["--crop", "none"]).status.success());
    let path = out.join("flat/coil.notes.toml");
    let key = bench::notes(&path)["record"]["key"].as_str().unwrap().to_owned();
    let text = fs::read_to_string(&path).unwrap();
    let sizes = with_files_in_the_making(&text);
    fs::write(&path, sizes.replace(&format!("key = \"{key}\""), "key = \"\"")).unwrap();
    fs::write(out.join("flat/.dryside-half.part"), b"half").unwrap();
    assert!(run(&[]).status.success());
    assert!(bench::files(&out) == whole, "the first settings' files are back, and nothing else is there");
}

/// The notes with the sizes of files in the making.
fn with_files_in_the_making(text: &str) -> String {
    let mut in_frames = false;
    let line = |line: &str| {
        if line.starts_with('[') {
            in_frames = line.starts_with("[[flat") || line.starts_with("[[print");
        }
        if in_frames && line.starts_with("bytes = ") { "bytes = 0".to_owned() } else { line.to_owned() }
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n") + "\n"
}

#[test]
fn a_scan_named_like_a_frame_of_another_is_told() {
    let folder = tempfile::tempdir().unwrap();
    // Two pictures side by side on one film, and a scan that has the name of the first.
    let (width, height) = (900u32, 420u32);
    let density = |x: u32, y: u32| match (x, y.min(height - 1 - y)) {
        (_, 0..=11) | (0..=11, _) | (888.., _) => 3.2,
        (_, 12..=25) | (12..=25 | 440..=459 | 874..=887, _) => 0.20,
        _ => 0.20 + 0.5 + 0.3 * (f64::from(x) / 60.0).sin() * (f64::from(y) / 40.0).cos(),
    };
    let code = |x, y| (65_535.0 * 10f64.powf(-density(x, y))) as u16;
    let codes: Vec<u16> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect();
    let file = fs::File::create(folder.path().join("strip.tif")).unwrap();
    let mut encoder = tiff::encoder::TiffEncoder::new(file).unwrap();
    encoder.write_image::<tiff::encoder::colortype::Gray16>(width, height, &codes).unwrap();
    bench::sheet(&folder.path().join("strip-1.tif"), 1.0);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear"]);
    assert_eq!(run.status.code(), Some(1), "{}", printed(&run));
    let said = printed(&run);
    assert!(said.contains("strip.tif: its frame strip-1 would have the files of strip-1.tif"), "{said}");
    assert!(out.join("flat/strip-1.tif").is_file() && !out.join("flat/strip-2.tif").exists());
    // Alone it gives both frames, with notes of their own.
    fs::remove_file(folder.path().join("strip-1.tif")).unwrap();
    let out = top.path().join("alone");
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear"]).status.success());
    assert!(out.join("flat/strip-1.tif").is_file() && out.join("proof/strip-2.jpg").is_file());
    assert_eq!(bench::notes(&out.join("flat/strip.notes.toml"))["flat"]["frames"].as_array().unwrap().len(), 2);
}

#[test]
fn another_roll_with_the_same_names_does_not_take_over_the_results() {
    let (first, second) = (folder_of_sheets(&["scan-1.tif"]), tempfile::tempdir().unwrap());
    bench::sheet(&second.path().join("scan-1.tif"), 0.7);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &first.path(), &"--out", &out]).status.success());
    let made = bench::files(&out);
    let run = dryside(&[&"batch", &second.path(), &"--out", &out]);
    assert_eq!(run.status.code(), Some(1));
    assert!(printed(&run).contains("from another folder"), "{}", printed(&run));
    assert!(printed(&run).contains("table and proof sheet stay as they were"), "{}", printed(&run));
    assert!(bench::files(&out) == made, "flats, proofs, notes, table, sheet and its pages");
    // With a scan of its own the second roll has results to show.
    bench::sheet(&second.path().join("scan-2.tif"), 0.9);
    assert_eq!(dryside(&[&"batch", &second.path(), &"--out", &out]).status.code(), Some(1));
    assert!(fs::read_to_string(out.join("batch.csv")).unwrap().contains("scan-2"));
}

#[test]
fn a_first_run_in_which_every_scan_fails_leaves_a_table_that_says_why() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("empty.tif"), b"").unwrap();
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert_eq!(dryside(&[&"batch", &folder.path(), &"--out", &out]).status.code(), Some(1));
    assert!(fs::read_to_string(out.join("batch.csv")).unwrap().contains("empty.tif"));
}

#[test]
fn a_marked_proof_sheet_is_kept() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let pdf = out.join("sheets/proof-sheet.pdf");
    let run = |more: &str| dryside(&[&"batch", &folder.path(), &"--out", &out, &"--page", &more]);
    assert!(run("a4").status.success());
    let marked = [fs::read(&pdf).unwrap(), b"% a ring around number one".to_vec()].concat();
    fs::write(&pdf, &marked).unwrap();
    assert!(run("a4").status.success(), "nothing has changed, so the sheet is left alone");
    assert_eq!(fs::read(&pdf).unwrap(), marked);
    assert_eq!(run("letter").status.code(), Some(1));
    assert_eq!(fs::read(&pdf).unwrap(), marked);
    fs::remove_file(&pdf).unwrap();
    assert!(run("letter").status.success() && pdf.is_file());
    // As it stands when a run is broken off before its PDF: no key, the hashes of what is there, the hash of the one to
    // be.
    let seal = out.join("sheets/.proof-sheet");
    let whole = fs::read_to_string(&seal).unwrap();
    let (_, hashes) = whole.split_once('\n').unwrap();
    fs::write(&seal, format!("\n{hashes}{}\n", "0".repeat(64))).unwrap();
    assert!(run("letter").status.success());
    assert_eq!(fs::read_to_string(&seal).unwrap(), whole);
}

#[test]
fn numbers_that_no_negative_has_are_not_believed() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let path = out.join("flat/coil.notes.toml");
    let text = fs::read_to_string(&path).unwrap();
    let number = |key: &str| text.lines().find(|l| l.starts_with(&format!("{key} = "))).unwrap().to_owned();
    let first = bench::files(&out);
    for wrong in
        ["rebate = nan", "rebate = 1e300", "thin = inf", "dense = -9.0", "width = 0", "number = 7", "base = 'clear'"]
    {
        let key = wrong.split(' ').next().unwrap();
        fs::write(&path, text.replacen(&number(key), wrong, 1)).unwrap();
        let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]);
        assert!(run.status.success(), "{wrong}: {}", printed(&run));
        assert!(bench::files(&out) == first, "{wrong}: measured and made again");
    }
    let nonsense = top.path().join("m.toml");
    fs::write(&nonsense, text.replace(&number("thin"), "thin = nan")).unwrap();
    let ends = format!("match={}", nonsense.display());
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--ends", &ends]);
    assert_eq!(run.status.code(), Some(2), "{}", printed(&run));
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_cannot_be_printed_are_no_success() {
    use std::process::{Command, Stdio};
    let folder = folder_of_sheets(&["coil.tif"]);
    let full = || Stdio::from(fs::OpenOptions::new().write(true).open("/dev/full").unwrap());
    let mut command = Command::new(env!("CARGO_BIN_EXE_dryside"));
    let run = command.arg("measure").arg(folder.path().join("coil.tif")).stdout(full()).output().unwrap();
    assert_eq!(run.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&run.stderr).contains("cannot be printed"));
}

/// TOML 1.0: blanks in a table's name are none of it, and a name may stand in quotes.
#[test]
fn notes_are_read_as_toml_and_not_by_their_letters() {
    let folder = folder_of_sheets(&["coil.tif", "keg.tif", "rope.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let notes = |name: &str| out.join("flat").join(name).with_extension("notes.toml");
    for (name, table) in [("coil", "[ scan ]"), ("keg", "[\"scan\"]")] {
        let text = fs::read_to_string(notes(name)).unwrap();
        fs::write(notes(name), text.replacen("[scan]", table, 1)).unwrap();
    }
    // Emptied notes are no form that waits for its scan either.
    fs::write(notes("rope"), "").unwrap();
    let run = dryside(&[&"mark", &"hold", &out]);
    assert!(run.status.code() == Some(1) && printed(&run).contains("rope.notes.toml"), "{}", printed(&run));
    for name in ["coil", "keg"] {
        assert!(fs::read_to_string(notes(name)).unwrap().contains("hold"), "{name} is marked");
    }
}

#[test]
fn a_print_of_a_frame_that_the_scan_no_longer_has_is_told_and_the_others_are_made() {
    let folder = folder_of_sheets(&["coil.tif", "keg.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let size: [&dyn AsRef<std::ffi::OsStr>; 3] = [&"--size", &"4x5cm", &"--allow-upsampling"];
    let scans: [&dyn AsRef<std::ffi::OsStr>; 2] = [&"--scans", &folder.path()];
    let run = dryside(&[&[&"print" as &dyn AsRef<std::ffi::OsStr>, &out][..], &size, &scans].concat());
    assert!(run.status.success(), "{}", printed(&run));
    let path = out.join("flat/coil.notes.toml");
    let text = fs::read_to_string(&path).unwrap();
    let print = text.find("[[prints]]").unwrap();
    for wrong in ["frame = 0", "frame = 7"] {
        fs::write(&path, text[..print].to_owned() + &text[print..].replacen("frame = 1", wrong, 1)).unwrap();
        fs::remove_dir_all(out.join("print")).unwrap();
        let run = dryside(&[&[&"print" as &dyn AsRef<std::ffi::OsStr>, &"--from", &out][..], &scans].concat());
        assert!(run.status.code() == Some(1) && printed(&run).contains("print it anew"), "{wrong}: {}", printed(&run));
        assert!(
            fs::read_dir(out.join("print")).unwrap().any(|e| e.unwrap().path().ends_with("keg-4x5cm.tif")),
            "{wrong}"
        );
    }
}

/// A named pipe (mkfifo, POSIX) under the name of notes: whoever read it would wait for ever.
#[cfg(unix)]
#[test]
fn a_pipe_among_the_notes_is_told_and_not_waited_for() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    fs::create_dir_all(out.join("flat")).unwrap();
    let pipe = out.join("flat/keg.notes.toml");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]);
    assert!(run.status.code() == Some(1) && printed(&run).contains("no ordinary file"), "{}", printed(&run));
    fs::remove_file(&pipe).unwrap();
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
}

/// A named pipe (mkfifo, POSIX) under the name of a file that is to be written: whoever looked whose it is would wait
/// for ever. It is told, what else is to be done is done, and when it is away the next run needs no more.
#[cfg(unix)]
#[test]
fn a_pipe_in_the_place_of_a_sheet_or_a_page_is_told_and_not_waited_for() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let batch = || dryside(&[&"batch", &folder.path(), &"--out", &out]);
    let pipe = |path: &Path| {
        let _ = fs::remove_file(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        assert!(std::process::Command::new("mkfifo").arg(path).status().unwrap().success());
    };
    // Before the first run, and after one that has sealed what it made.
    for _ in 0..2 {
        for name in ["sheets/proof-sheet.pdf", "sheets/proof-sheet-1.jpg", "batch.html"] {
            let path = out.join(name);
            pipe(&path);
            let run = batch();
            let told = format!("{}: it is no ordinary file: move it away", path.display());
            assert!(run.status.code() == Some(1) && printed(&run).contains(&told), "{name}: {}", printed(&run));
            assert!(out.join("batch.csv").is_file());
            fs::remove_file(&path).unwrap();
        }
        assert!(batch().status.success() && out.join("sheets/proof-sheet.pdf").is_file());
    }
    for (task, name) in [("strip", "strip/coil.pdf"), ("loupe", "loupe/coil.png")] {
        pipe(&out.join(name));
        let run = dryside(&[&task, &out.join("coil"), &"--scans", &folder.path()]);
        assert!(run.status.code() == Some(1), "{name}: {}", printed(&run));
        assert!(printed(&run).contains("it was put there or changed by other hands"), "{name}: {}", printed(&run));
    }
}

/// A file as long as a telephone's film under the name of a proof is not read into memory: its frame says so on sheet
/// and page.
#[test]
fn a_giant_file_in_the_place_of_a_proof_is_told_in_its_frame() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let batch = || dryside(&[&"batch", &folder.path(), &"--out", &out]);
    assert!(batch().status.success());
    fs::File::create(out.join("proof/coil.jpg")).unwrap().set_len(300 << 20).unwrap();
    assert!(printed(&batch()).contains("changed by hand, kept"));
    let page = fs::read_to_string(out.join("batch.html")).unwrap();
    assert!(page.contains("the proof cannot be shown: it has 300 MB, too large for a picture that was made here"));
}
