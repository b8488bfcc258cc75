//! Frames are marked from the command line, and chosen by their marks.
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs;

use bench::{dryside, folder_of_sheets, printed};

#[test]
fn a_mark_is_written_found_and_taken_away_and_nothing_else_moves() {
    let (scans, top) = (folder_of_sheets(&["coil.tif", "keg.tif"]), tempfile::tempdir().unwrap());
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &scans.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let notes = out.join("flat/coil.notes.toml");
    let hand = fs::read_to_string(&notes).unwrap().replacen("\n[shot]\n", "\n[shot]  # mine\nsubject = 'a coil'\n", 1);
    fs::write(&notes, &hand).unwrap();
    let coil = out.join("coil");
    let run = dryside(&[&"mark", &"print", &coil, &"--remark", &"burn in the window"]);
    assert!(run.status.success() && printed(&run).contains("coil: print"), "{}", printed(&run));
    let marked = fs::read_to_string(&notes).unwrap();
    assert!(marked.contains("1 = { mark = \"print\", remark = \"burn in the window\" }"), "{marked}");
    let found = printed(&dryside(&[&"notes", &"find", &out, &"mark=print", &"remark=*window"]));
    assert_eq!(found.trim(), coil.display().to_string());
    // In the notes of a frame the same path comes out.
    assert_eq!(printed(&dryside(&[&"notes", &"find", &coil, &"mark=print"])).trim(), coil.display().to_string());
    assert!(dryside(&[&"mark", &"none", &coil]).status.success());
    let after = fs::read_to_string(&notes).unwrap();
    assert_eq!(after.replace("\n[marks]\n", ""), hand, "only the table's name stays");
    // A mark is no field of the shot.
    let told = printed(&dryside(&[&"notes", &"set", &coil, &"mark=print"]));
    assert!(told.contains("dryside mark print"), "{told}");
    assert_eq!(dryside(&[&"mark", &"perhaps", &coil]).status.code(), Some(2));
    let told = dryside(&[&"mark", &"hold", &out.join("lantern"), &out.join("keg")]);
    assert_eq!(told.status.code(), Some(1));
    assert!(printed(&told).contains("keg: hold") && printed(&told).contains("no such frame"), "{}", printed(&told));
}

#[test]
fn measures_given_out_are_those_of_the_notes() {
    let (scans, top) = (folder_of_sheets(&["coil.tif"]), tempfile::tempdir().unwrap());
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &scans.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let table = printed(&dryside(&[&"notes", &"export", &out]));
    let batch = fs::read(out.join("batch.csv")).unwrap();
    let row = |bytes: &[u8]| -> std::collections::HashMap<String, String> {
        csv::Reader::from_reader(bytes).deserialize().next().unwrap().unwrap()
    };
    let (given, written) = (row(table.as_bytes()), row(&batch));
    for column in ["base", "thin", "median", "dense", "range", "r"] {
        assert_eq!(given[column].parse::<f64>().unwrap(), written[column].parse::<f64>().unwrap(), "{column}");
    }
}
