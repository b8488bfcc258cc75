//! Nothing is lost: runs that are killed, stopped, or run into a disk that takes no more.
#![allow(clippy::unwrap_used)]
#![cfg(unix)]

mod bench;

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use bench::{dryside, files, folder_of_sheets, printed};

/// Moments at which runs are killed, spread over the time that one takes; `DRYSIDE_KILLS` asks for more.
fn kills() -> u32 {
    std::env::var("DRYSIDE_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(12)
}

const NAMES: [&str; 4] = ["coil.tif", "keg.tif", "loft.tif", "mast.tif"];

fn batch(scans: &Path, out: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_dryside"));
    command.arg("batch").arg(scans).arg("--out").arg(out).args(["--encoding", "linear"]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Every file with its path in the folder; none if there is no folder.
fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    if !folder.is_dir() {
        return BTreeMap::new();
    }
    let within = |(path, bytes): (PathBuf, Vec<u8>)| (path.strip_prefix(folder).unwrap().to_owned(), bytes);
    files(folder).into_iter().map(within).collect()
}

fn is_hidden(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'))
}

#[test]
fn a_run_killed_at_any_moment_leaves_whole_files_and_is_finished_by_the_next() {
    let scans = folder_of_sheets(&NAMES);
    let before = contents(scans.path());
    let top = tempfile::tempdir().unwrap();
    let undisturbed = top.path().join("undisturbed");
    let begun = Instant::now();
    assert!(batch(scans.path(), &undisturbed).status().unwrap().success());
    let time = begun.elapsed();
    let expected = contents(&undisturbed);
    let count = kills();
    let mut cut_short = 0;
    for number in 0..count {
        let out = top.path().join(format!("killed-{number}"));
        let mut run = batch(scans.path(), &out).spawn().unwrap();
        sleep(time.mul_f64(f64::from(number) / f64::from(count)));
        run.kill().unwrap();
        if !run.wait().unwrap().success() {
            cut_short += 1;
        }
        for (path, bytes) in contents(&out).into_iter().filter(|(path, _)| !is_hidden(path)) {
            let whole = match path.to_string_lossy().as_ref() {
                // Notes are written twice, first without what was made.
                name if name.ends_with(".notes.toml") => {
                    str::from_utf8(&bytes).is_ok_and(|t| t.parse::<toml::Table>().is_ok())
                }
                _ => bytes == expected[&path],
            };
            assert!(whole, "{} after kill {number}", path.display());
        }
        assert!(batch(scans.path(), &out).status().unwrap().success(), "the run after kill {number}");
        let after = contents(&out);
        assert_eq!(after.keys().collect::<Vec<_>>(), expected.keys().collect::<Vec<_>>(), "after kill {number}");
        // The sheet's seal knows the proofs by when they were made.
        for (path, bytes) in after.iter().filter(|(path, _)| !is_hidden(path)) {
            assert!(bytes == &expected[path], "{} differs after kill {number}", path.display());
        }
    }
    assert!(cut_short > count / 4, "only {cut_short} of {count} runs were cut short");
    assert!(contents(scans.path()) == before, "scans are never written to");
}

#[test]
fn a_folder_that_cannot_be_written_is_told_in_a_line_and_nothing_is_touched() {
    let scans = folder_of_sheets(&NAMES[..1]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    assert!(batch(scans.path(), &out).status().unwrap().success());
    let before = contents(&out);
    fs::set_permissions(out.join("flat"), fs::Permissions::from_mode(0o555)).unwrap();
    // Root may write everywhere; then there is nothing to be seen here.
    let bound = fs::write(out.join("flat/probe"), "").is_err();
    let run = dryside(&[&"batch", &scans.path(), &"--out", &out, &"--encoding", &"linear", &"--force"]);
    fs::set_permissions(out.join("flat"), fs::Permissions::from_mode(0o755)).unwrap();
    if bound {
        assert_eq!(run.status.code(), Some(1), "{}", printed(&run));
        assert!(printed(&run).contains("flat"), "{}", printed(&run));
        assert!(contents(&out) == before);
    }
}

#[test]
fn results_that_are_moved_away_while_a_run_is_at_work_are_told() {
    let scans = folder_of_sheets(&NAMES);
    let top = tempfile::tempdir().unwrap();
    let (out, away) = (top.path().join("out"), top.path().join("away"));
    let mut run = batch(scans.path(), &out).stderr(Stdio::piped()).spawn().unwrap();
    let begun = Instant::now();
    // Past the making of its folders: that they go just then is told as wrong usage.
    let at_work = || fs::read_dir(out.join("flat")).is_ok_and(|mut files| files.next().is_some());
    while !at_work() && begun.elapsed() < Duration::from_secs(20) {
        sleep(Duration::from_millis(1));
    }
    fs::rename(&out, &away).unwrap();
    let told = run.wait().map(|status| status.code()).unwrap();
    assert!(told == Some(1) || told == Some(0), "{told:?}");
    // What had been made is whole, there or here, and a run with its folder back finishes.
    fs::remove_dir_all(&out).ok();
    fs::rename(&away, &out).unwrap();
    assert!(batch(scans.path(), &out).status().unwrap().success());
    assert_eq!(contents(&out).keys().filter(|path| path.extension().is_some_and(|e| e == "tif")).count(), NAMES.len());
}

#[test]
fn a_run_that_is_asked_to_stop_says_how_to_go_on_and_leaves_whole_files() {
    let scans = folder_of_sheets(&NAMES);
    let top = tempfile::tempdir().unwrap();
    let undisturbed = top.path().join("undisturbed");
    assert!(batch(scans.path(), &undisturbed).status().unwrap().success());
    let expected = contents(&undisturbed);
    let mut stopped = 0;
    for (number, signal) in ["INT", "TERM", "INT", "TERM", "INT", "TERM"].into_iter().enumerate() {
        let out = top.path().join(format!("stopped-{number}"));
        let run = batch(scans.path(), &out).arg("--jobs=1").stderr(Stdio::piped()).spawn().unwrap();
        let notes = out.join("flat").join(if number < 3 { "coil.notes.toml" } else { "keg.notes.toml" });
        let begun = Instant::now();
        while !notes.exists() && begun.elapsed() < Duration::from_secs(20) {
            sleep(Duration::from_millis(1));
        }
        Command::new("kill").arg(format!("-{signal}")).arg(run.id().to_string()).status().unwrap();
        let ended = run.wait_with_output().unwrap();
        let told = printed(&ended);
        // It may have been done already.
        if ended.status.code() == Some(130) {
            stopped += 1;
            assert!(told.contains("of 4 scans are made") && told.contains("run the same again"), "{told}");
        } else {
            assert!(ended.status.success(), "{told}");
        }
        let parts = contents(&out).into_keys().filter(|path| path.extension().is_some_and(|e| e == "part")).count();
        assert_eq!(parts, 0, "nothing is left in the making");
        assert!(batch(scans.path(), &out).status().unwrap().success());
        let after: BTreeMap<_, _> = contents(&out).into_iter().filter(|(path, _)| !is_hidden(path)).collect();
        assert!(after.iter().all(|(path, bytes)| bytes == &expected[path]), "after {signal}");
        assert_eq!(after.len(), expected.keys().filter(|path| !is_hidden(path)).count());
    }
    assert!(stopped > 0, "no run was stopped in time");
}

#[test]
fn a_layout_is_never_written_among_scans_or_over_results() {
    let scans = folder_of_sheets(&NAMES[..1]);
    let top = tempfile::tempdir().unwrap();
    let loft = top.path().join("loft");
    fs::create_dir(&loft).unwrap();
    fs::copy(scans.path().join("coil.tif"), loft.join("coil.tif")).unwrap();
    let out = top.path().join("loft-out");
    assert!(batch(&loft, &out).status().unwrap().success());
    let coil = out.join("coil");
    let run = dryside(&[&"print", &coil, &"--size", &"4x3cm", &"--ppi", &"200"]);
    assert!(run.status.success(), "{}", printed(&run));
    let (print, before) = (out.join("print/coil-4x3cm.tif"), contents(top.path()));
    for target in
        [loft.join("coil.tif"), loft.join("new.tif"), out.join("flat/coil.tif"), out.join("sheets/proof-sheet.pdf")]
    {
        let run = dryside(&[&"layout", &print, &"--page", &"a4", &"--out", &target, &"--force"]);
        assert_eq!(run.status.code(), Some(2), "{}", printed(&run));
        assert!(printed(&run).contains("--out"), "{}", printed(&run));
    }
    assert!(contents(top.path()) == before);
    let run = dryside(&[&"layout", &print, &"--page", &"a4"]);
    assert!(run.status.success(), "{}", printed(&run));
}
