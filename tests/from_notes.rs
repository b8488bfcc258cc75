//! Results remade from their notes, as the user runs it: `dryside batch --from-notes`.
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::{dryside, files, folder_of_sheets, printed, sheet};

/// Everything that a batch made but the hidden files in which it keeps what it knows of sheet and page.
fn made(out: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let hidden = |path: &Path| path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
    files(out).into_iter().filter(|(path, _)| !hidden(path)).collect()
}

/// Leaves of the results nothing but the notes.
fn leave_the_notes(out: &Path) {
    for (path, _) in files(out) {
        if path.extension().is_none_or(|ending| ending != "toml") {
            fs::remove_file(path).unwrap();
        }
    }
}

#[test]
fn from_scan_and_notes_alone_everything_comes_back_to_the_byte() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    fs::write(loft.join("mine.toml"), include_str!("../src/paper/tables/fibre.toml")).unwrap();
    fs::write(
        loft.join("dryside.toml"),
        "ends = 'common'\ngrades = 'mine.toml'\ncompression = 'deflate'\nrights = 'the ropewalk'\nxmp = 'beside'\n",
    )
    .unwrap();
    let run = dryside(&[&"batch", &loft, &"--out", &out, &"--split", &"00 -1, 5 -1 1/2", &"--dry-down", &"8%"]);
    assert!(run.status.success(), "{}", printed(&run));
    let before = made(&out);
    leave_the_notes(&out);

    // Another paper table, other settings and another flag: what was decided stands.
    let harder = include_str!("../src/paper/tables/fibre.toml").replace("r = 1", "r = 2");
    fs::write(loft.join("mine.toml"), harder).unwrap();
    fs::write(loft.join("dryside.toml"), "ends = 'each'\ngrades = 'mine.toml'\nencoding = 'auto'\n").unwrap();
    let run = dryside(&[&"batch", &loft, &"--out", &out, &"--from-notes", &"--exposure", &"1/2"]);
    let told = printed(&run);
    assert!(run.status.success(), "{told}");
    let differ: Vec<_> = before.iter().zip(&made(&out)).filter(|(a, b)| a != b).map(|(a, _)| a.0.clone()).collect();
    assert!(differ.is_empty() && made(&out).len() == before.len(), "{differ:?}\n{told}");
    assert!(told.contains("10 files made again to the byte"), "{told}");
    for said in [
        "coil.tif, lantern.tif: exposure: 0 in its notes, 0.5 by a flag now: ",
        "ends: common in its notes, each by dryside.toml now: ",
        "rights: the ropewalk in its notes, none by default now: ",
        "mine.toml, grades 1, r: 170 in its notes, 270 now: ",
    ] {
        assert!(told.contains(said), "{said}\n{told}");
    }
    let again = printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--from-notes"]));
    assert!(again.contains("10 files as their notes say, 0 files made again"), "{again}");
}

#[test]
fn a_scan_that_is_another_by_now_is_told_and_nothing_is_made_of_it() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    let first = made(&out);
    sheet(&loft.join("coil.tif"), 0.5);
    let from_notes = |more: &str| dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--from-notes", &more]);

    // While its files are there it is told, and nothing is wrong.
    let run = from_notes("--dry-run");
    assert!(run.status.success() && printed(&run).contains("coil.tif: codes (BLAKE3): "), "{}", printed(&run));
    fs::remove_file(out.join("flat/coil.tif")).unwrap();
    fs::remove_file(out.join("proof/lantern.jpg")).unwrap();
    let run = from_notes("--jobs=1");
    let told = printed(&run);
    assert_eq!(run.status.code(), Some(1), "{told}");
    assert!(told.contains("it was scanned or edited anew") && told.contains("nothing is made from a scan"), "{told}");
    assert!(!out.join("flat/coil.tif").exists() && told.contains("1 file made again to the byte"), "{told}");
    let run = from_notes("--force");
    assert!(run.status.success() && printed(&run).contains("1 made again and other than before"), "{}", printed(&run));

    // The scan of the notes, put back: the file made from the other one is known as the program's own.
    sheet(&loft.join("coil.tif"), 1.0);
    fs::remove_file(out.join("flat/coil.tif")).unwrap();
    assert!(from_notes("--jobs=1").status.success());
    let flat = |files: &[(PathBuf, Vec<u8>)]| files.iter().find(|(path, _)| path.ends_with("flat/coil.tif")).cloned();
    assert!(flat(&made(&out)) == flat(&first), "to the byte as at first");
}

#[test]
fn what_other_hands_changed_stays_and_words_that_changed_are_told() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    fs::write(out.join("proof/coil.jpg"), "mine").unwrap();
    fs::remove_file(out.join("flat/coil.tif")).unwrap();
    let notes = out.join("flat/coil.notes.toml");
    let text = fs::read_to_string(&notes).unwrap().replacen("[shot]\n", "[shot]\nsubject = 'coil'\n", 1);
    fs::write(&notes, text).unwrap();
    sheet(&loft.join("lantern.tif"), 1.0);
    let told = printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--from-notes"]));
    for said in [
        "changed by hand, kept",
        "made, another file",
        "what [shot] and the scan say",
        "lantern.tif: it has no notes yet",
    ] {
        assert!(told.contains(said), "{said}\n{told}");
    }
    assert_eq!(fs::read(out.join("proof/coil.jpg")).unwrap(), b"mine");
    // Another version wrote them, and the scan has another name by now.
    let text = fs::read_to_string(&notes).unwrap();
    let program = text.lines().find(|line| line.starts_with("program = ")).unwrap();
    fs::write(&notes, text.replace(program, "program = \"dryside 0.0.9\"")).unwrap();
    fs::rename(loft.join("coil.tif"), loft.join("hank.tif")).unwrap();
    let told = printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--from-notes"]));
    for said in
        ["program: dryside 0.0.9 in its notes, dryside ", "name: coil.tif in its notes, hank.tif now: it was renamed"]
    {
        assert!(told.contains(said), "{said}\n{told}");
    }
    assert!(!told.contains("hank.tif: it has no notes yet"), "{told}");
    let none = dryside(&[&"batch", &loft, &"--out", &top.path().join("none"), &"--from-notes"]);
    assert!(none.status.code() == Some(2) && printed(&none).contains("no notes here"), "{}", printed(&none));
}

/// A run that is killed by the system for a file that is too large (setrlimit(2): RLIMIT_FSIZE, SIGXFSZ) has written no
/// flat positive.
#[cfg(unix)]
#[test]
fn a_run_that_was_killed_does_not_forget_the_bytes_that_notes_which_hold_tell_of() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    let before = made(&out);
    leave_the_notes(&out);
    // What is set now is only told, and changes no byte.
    fs::write(loft.join("dryside.toml"), "ends = 'common'\n").unwrap();
    let mut killed = std::process::Command::new("sh");
    killed.args(["-c", "ulimit -f 64 && exec \"$@\"", "sh", env!("CARGO_BIN_EXE_dryside"), "batch", "--from-notes"]);
    let killed = killed.arg("--no-sheet").arg(loft).arg("--out").arg(&out).output().unwrap();
    assert!(!killed.status.success() && !out.join("flat/coil.tif").exists(), "{}", printed(&killed));
    let told = printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--from-notes"]));
    assert!(told.contains("made again to the byte") && !told.contains("finished"), "{told}");
    let differ: Vec<_> = before.iter().zip(&made(&out)).filter(|(a, b)| a != b).map(|(a, _)| a.0.clone()).collect();
    assert!(differ.is_empty(), "{differ:?}");
}

#[test]
fn a_paper_that_cannot_be_read_is_told_as_that_and_so_is_a_folder_of_notes() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let (table, text) = (loft.join("mine.toml"), include_str!("../src/paper/tables/fibre.toml"));
    fs::write(&table, text).unwrap();
    fs::write(loft.join("dryside.toml"), "grades = 'mine.toml'\n").unwrap();
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    let from_notes = || dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--from-notes"]);
    // Neither TOML nor text: not a table whose every key was taken away.
    for broken in [b"grades = [".as_slice(), b"\xff\xfe"] {
        fs::write(&table, broken).unwrap();
        let run = from_notes();
        let told = printed(&run);
        assert!(run.status.success() && told.contains("mine.toml cannot be read ("), "{told}");
        assert!(!told.contains("nothing now"), "{told}");
    }
    fs::remove_file(&table).unwrap();
    assert!(printed(&from_notes()).contains("mine.toml is gone"));

    fs::remove_dir_all(out.join("flat")).unwrap();
    assert!(printed(&from_notes()).contains("no notes here"));
    fs::write(out.join("flat"), "").unwrap();
    let run = from_notes();
    assert!(
        run.status.code() == Some(2) && printed(&run).contains("flat: cannot be looked through"),
        "{}",
        printed(&run)
    );
}
