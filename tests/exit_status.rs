//! One rule for how all commands end, as scripts ask for it: 0 all well; 1 something that is there failed, the rest is
//! done; 2 nothing was done; 130 stopped (README, "Exit status").
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs;
use std::path::Path;

use bench::{dryside, folder_of_sheets, printed};

/// Runs words parted by blanks, in which ~ stands for the folder of all; gives the status and what was told.
fn ends(top: &Path, words: &str) -> (Option<i32>, String) {
    let words: Vec<String> = words.split(' ').map(|word| word.replace('~', &top.display().to_string())).collect();
    let run = dryside(&words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>).collect::<Vec<_>>());
    (run.status.code(), printed(&run))
}

/// Results of two sheets, whose scans lie beside them.
fn loft() -> tempfile::TempDir {
    let top = tempfile::tempdir().unwrap();
    let scans = folder_of_sheets(&["coil.tif", "keg.tif"]);
    fs::create_dir(top.path().join("loft")).unwrap();
    for name in ["coil.tif", "keg.tif"] {
        fs::copy(scans.path().join(name), top.path().join("loft").join(name)).unwrap();
    }
    let (status, told) = ends(top.path(), "batch ~/loft --no-sheet");
    assert_eq!(status, Some(0), "{told}");
    top
}

#[test]
fn what_names_nothing_that_is_there_begins_nothing() {
    let top = loft();
    for words in [
        "strip ~/loft-out/rope",
        "strip ~/loft-out/coil-4",
        "strip ~/loft-out/rope ~/loft-out/sail",
        "loupe ~/loft-out/rope",
        "loupe ~/loft-out/coil-4",
        "print ~/loft-out/rope --size 4x5cm",
        "print ~/loft-out/coil-4 --size 4x5cm",
        "print --from ~/loft-out/rope",
        "print --from ~/loft-out/coil-4",
        "print --from ~/loft-out/coil",
        "print ~/loft-out --marked hold --size 4x5cm",
        "proof ~/loft-out/rope",
        "proof ~/loft-out/coil-4",
        "proof ~/loft-out --marked hold",
        "mark print ~/loft-out/rope",
        "mark print ~/loft-out/coil-4",
        "layout ~/rope.tif --on a4",
        "table ~/nowhere",
        "notes set ~/loft-out/rope film=pan",
        "notes show ~/loft-out/rope",
        "notes check ~/loft-out/rope",
        "notes export ~/loft-out/rope",
        "notes export ~/loft-out/coil-4",
        "notes zones ~/loft-out/rope",
        "notes find ~/nowhere grade=2",
        "measure ~/rope.tif",
        "measure --json ~/rope.tif ~/sail.tif",
        "wedge ~/rope.tif",
        "paper ~/rope.toml",
        "paper fit ~/rope.csv",
        "batch ~/nowhere",
        "batch --gather ~/nowhere",
        "batch --from-notes ~/nowhere",
        "watch ~/nowhere",
        "measure",
        "unknown",
    ] {
        let (status, told) = ends(top.path(), words);
        assert!(status == Some(2) && !told.trim().is_empty(), "{words}: {status:?} {told}");
    }
    // Each wrong name is told.
    let told = ends(top.path(), "strip ~/loft-out/rope ~/loft-out/sail").1;
    assert_eq!(told.matches("there is no such frame").count(), 2, "{told}");
}

#[test]
fn where_one_of_several_fails_the_others_are_done() {
    let top = loft();
    fs::write(top.path().join("loft/torn.tif"), b"II*\0").unwrap();
    for (words, made) in [
        ("strip ~/loft-out/rope ~/loft-out/coil", "strip/coil.pdf"),
        ("loupe ~/loft-out/rope ~/loft-out/coil", "loupe/coil.pdf"),
        ("print ~/loft-out/rope ~/loft-out/coil --size 2x2cm --allow-upsampling", "print/coil-2x2cm.tif"),
        ("print --from ~/loft-out/rope ~/loft-out/coil", "print/coil-2x2cm.tif"),
        ("proof ~/loft-out/rope ~/loft-out/coil", "sheets/proof-sheet-coil.pdf"),
        ("batch ~/loft --no-sheet", "flat/coil.tif"),
    ] {
        let made = top.path().join("loft-out").join(made);
        // What stands there since before would vouch for nothing.
        let _ = fs::remove_file(&made);
        let (status, told) = ends(top.path(), words);
        assert!(status == Some(1) && made.is_file(), "{words}: {status:?} {told}");
    }
    let (status, told) = ends(top.path(), "mark print ~/loft-out/rope ~/loft-out/coil");
    let notes = fs::read_to_string(top.path().join("loft-out/flat/coil.notes.toml")).unwrap();
    assert!(status == Some(1) && notes.contains("1 = \"print\""), "{told}");
    let (status, told) = ends(top.path(), "measure ~/rope.tif ~/loft/coil.tif");
    assert!(status == Some(1) && told.lines().any(|line| line.contains("/coil.tif      1  ")), "{told}");
    // Of several notes one that cannot be read is told, and the others are given out; to write and to show is for all
    // or none.
    fs::write(top.path().join("loft-out/flat/hemp.notes.toml"), "[shot]\nfilm = pan\n").unwrap();
    for (words, ends_with) in [
        ("notes export ~/loft-out", 1),
        ("notes find ~/loft-out grade=99", 1),
        ("notes zones ~/loft-out", 1),
        ("notes check ~/loft-out", 1),
        ("notes set ~/loft-out film=pan", 2),
        ("notes show ~/loft-out", 2),
    ] {
        let (status, told) = ends(top.path(), words);
        assert!(status == Some(ends_with) && told.contains("hemp.notes.toml"), "{words}: {status:?} {told}");
    }
    fs::remove_file(top.path().join("loft-out/flat/hemp.notes.toml")).unwrap();
    // What is there and cannot be worked on is no slip in the command, be it alone.
    for words in ["measure ~/loft/torn.tif", "wedge ~/loft/torn.tif"] {
        let (status, told) = ends(top.path(), words);
        assert_eq!(status, Some(1), "{words}: {told}");
    }
    fs::remove_file(top.path().join("loft/keg.tif")).unwrap();
    assert_eq!(ends(top.path(), "strip ~/loft-out/keg").0, Some(1), "a frame whose scan is away");
    // Nothing found is no fault.
    let (status, told) = ends(top.path(), "notes find ~/loft-out grade=99");
    assert!(status == Some(0) && told.is_empty(), "{told}");
    assert!(ends(top.path(), "--help").1.contains("Exit status: 0 all well; 1 something failed"));
}

/// While a run holds the folder of results (flock(2), as the standard library has it), all commands that write there
/// begin nothing.
#[test]
fn where_another_run_is_at_work_nothing_is_begun() {
    let top = loft();
    let held = fs::File::open(top.path().join("loft-out/.dryside-at-work")).unwrap();
    held.lock().unwrap();
    for words in [
        "mark print ~/loft-out/coil",
        "strip ~/loft-out/coil",
        "loupe ~/loft-out/coil",
        "print ~/loft-out/coil --size 2x2cm --allow-upsampling",
        "proof ~/loft-out",
        "batch ~/loft",
    ] {
        let (status, told) = ends(top.path(), words);
        assert!(status == Some(2) && told.contains("another dryside is at work here"), "{words}: {status:?} {told}");
    }
    drop(held);
    assert_eq!(ends(top.path(), "mark print ~/loft-out/coil").0, Some(0));
}
