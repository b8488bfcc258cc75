//! Names that change under a person's hands: scans that exchange theirs, forms that wait for their scans, files that
//! nothing replaces.
#![allow(clippy::unwrap_used)]

mod bench;

use std::ffi::OsStr;
use std::fs;
use std::path::Path;

use bench::{dryside, files, folder_of_sheets, printed};

#[test]
fn scans_that_have_exchanged_their_names_are_told_and_no_notes_go_to_another_negative() {
    let scans = folder_of_sheets(&["coil.tif", "keg.tif", "loft.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let batch = || dryside(&[&"batch", &scans.path(), &"--out", &out, &"--encoding", &"linear"]);
    assert!(batch().status.success());
    assert!(dryside(&[&"mark", &"print", &out.join("coil")]).status.success());
    let before = files(&out.join("flat"));
    let exchange = || {
        let at = |name: &str| scans.path().join(name);
        fs::rename(at("coil.tif"), at("aside")).unwrap();
        fs::rename(at("keg.tif"), at("coil.tif")).unwrap();
        fs::rename(at("aside"), at("keg.tif")).unwrap();
    };
    exchange();
    let told = batch();
    assert_eq!(told.status.code(), Some(1));
    let words = printed(&told);
    assert!(words.contains("coil.tif: this is the scan that its notes know as keg.tif"), "{words}");
    assert!(words.contains("keg.tif: this is the scan that its notes know as coil.tif"), "{words}");
    assert!(files(&out.join("flat")) == before, "nothing of either is touched");
    exchange();
    assert!(batch().status.success());
    assert!(files(&out.join("flat")) == before);
}

#[test]
fn forms_that_wait_for_their_scans_are_no_failures() {
    let scans = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &scans.path(), &"--out", &out, &"--encoding", &"linear"]).status.success());
    let form = fs::read_to_string(out.join("flat/coil.notes.toml")).unwrap();
    let form = form.split("\n[scan]").next().unwrap().to_owned() + "\ntitle = \"Loft\"\n";
    fs::write(out.join("flat/loft.notes.toml"), form).unwrap();
    for words in [&["proof"][..], &["mark", "print"]] {
        let mut all: Vec<&dyn AsRef<OsStr>> = words.iter().map(|word| word as &dyn AsRef<OsStr>).collect();
        all.push(&out);
        let told = dryside(&all);
        assert!(told.status.success(), "{words:?}: {}", printed(&told));
    }
    assert!(printed(&dryside(&[&"notes", &"show", &out])).contains("Loft"));
    let told = dryside(&[&"mark", &"print", &out.join("flat/loft.notes.toml")]);
    assert!(!told.status.success() && printed(&told).contains("no measured frame"), "{}", printed(&told));
}

#[test]
fn no_layout_and_no_plot_takes_the_place_of_a_scan() {
    let scans = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (out, shown) = (top.path().join("out"), top.path().join("shown"));
    assert!(dryside(&[&"batch", &scans.path(), &"--out", &out, &"--encoding", &"linear"]).status.success());
    let scan = scans.path().join("coil.tif");
    let before = fs::read(&scan).unwrap();
    let printing: [&dyn AsRef<OsStr>; 9] = [
        &"print",
        &out.join("coil"),
        &"--size",
        &"3x2cm",
        &"--out",
        &shown,
        &"--allow-upsampling",
        &"--scans",
        &scans.path(),
    ];
    let told = dryside(&printing);
    assert!(told.status.success(), "{}", printed(&told));
    let print = shown.join("coil-3x2cm.tif");
    let told = dryside(&[&"layout", &print, &"--page", &"a4", &"--out", &scan, &"--force"]);
    assert!(!told.status.success() && printed(&told).contains("dryside did not make"), "{}", printed(&told));
    // A plot of its own gives way to another; a picture of other hands does not.
    let png = top.path().join("rope.png");
    for paper in ["glossy", "matt"] {
        let told = dryside(&[&"paper", &paper, &"--plot", &png, &"--force"]);
        assert!(told.status.success(), "{}", printed(&told));
    }
    fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/png/interlaced.png"), &png).unwrap();
    let told = dryside(&[&"paper", &"glossy", &"--plot", &png, &"--force"]);
    assert!(!told.status.success(), "{}", printed(&told));
    let told = dryside(&[&"layout", &scan, &"--page", &"a4"]);
    assert!(!told.status.success(), "{}", printed(&told));
    assert!(fs::read(&scan).unwrap() == before && !scans.path().join("layout").exists());
}

#[cfg(unix)]
#[test]
fn notes_keep_their_rights_and_those_that_are_protected_stay() {
    use std::os::unix::fs::PermissionsExt;
    let scans = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(dryside(&[&"batch", &scans.path(), &"--out", &out, &"--encoding", &"linear"]).status.success());
    let notes = out.join("flat/coil.notes.toml");
    let rights = |mode| fs::set_permissions(&notes, fs::Permissions::from_mode(mode)).unwrap();
    rights(0o600);
    assert!(dryside(&[&"mark", &"print", &out.join("coil")]).status.success());
    assert_eq!(fs::metadata(&notes).unwrap().permissions().mode() & 0o777, 0o600);
    rights(0o444);
    let before = fs::read(&notes).unwrap();
    let told = dryside(&[&"mark", &"skip", &out.join("coil")]);
    assert!(!told.status.success() && printed(&told).contains("write-protected"), "{}", printed(&told));
    assert!(fs::read(&notes).unwrap() == before);
}
