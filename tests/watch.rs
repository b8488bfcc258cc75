//! Scans are worked on as the scanner finishes them, none before it is whole, and none is lost.
#![allow(clippy::unwrap_used)]
#![cfg(unix)]

mod bench;

use std::fs::{self, File};
use std::io::Write;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{scope, sleep};
use std::time::{Duration, Instant};

use bench::{dryside, folder_of_sheets, printed};

/// Waits for something that must come; gives up after a time in which even a busy machine has come to it.
fn until(what: &str, is_so: impl Fn() -> bool) {
    let begun = Instant::now();
    while !is_so() {
        assert!(begun.elapsed() < Duration::from_secs(90), "still not so: {what}");
        sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_folder_that_is_not_there_is_refused_and_one_that_goes_is_waited_for() {
    let ready = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (scans, out, away) = (top.path().join("scans"), top.path().join("out"), top.path().join("away"));
    let refused = dryside(&[&"watch", &scans, &"--out", &out]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(!printed(&refused).contains("watching"), "{}", printed(&refused));
    fs::create_dir(&scans).unwrap();
    let mut watch = Command::new(env!("CARGO_BIN_EXE_dryside"));
    watch.arg("watch").arg(&scans).arg("--out").arg(&out).args(["--encoding", "linear"]);
    let log = top.path().join("log");
    let told = || fs::read_to_string(&log).unwrap();
    let mut run = watch.stdout(Stdio::null()).stderr(File::create(&log).unwrap()).spawn().unwrap();
    until("it is watched", || told().contains("watching"));
    fs::rename(&scans, &away).unwrap();
    until("it is told to be away", || told().contains("is away: waiting for it"));
    fs::copy(ready.path().join("coil.tif"), away.join("coil.tif")).unwrap();
    fs::rename(&away, &scans).unwrap();
    until("coil is made", || out.join("flat/coil.tif").is_file() && out.join("batch.html").is_file());
    Command::new("kill").arg("-INT").arg(run.id().to_string()).status().unwrap();
    run.wait().unwrap();
    assert_eq!(told().matches("watching").count(), 2, "{}", told());
}

#[test]
fn each_scan_is_worked_on_when_it_is_whole_and_nothing_is_lost() {
    let ready = folder_of_sheets(&["coil.tif", "keg.tif", "loft.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (scans, out) = (top.path().join("scans"), top.path().join("out"));
    fs::create_dir(&scans).unwrap();
    let bytes = |name: &str| fs::read(ready.path().join(name)).unwrap();
    let made = |name: &str| out.join(format!("flat/{name}.tif")).is_file();
    let mut watch = Command::new(env!("CARGO_BIN_EXE_dryside"));
    watch.arg("watch").arg(&scans).arg("--out").arg(&out).args(["--encoding", "linear"]);
    let run = watch.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();

    // One that grows, and stops for a while with its head written and its end missing; others come whole meanwhile, and
    // files of other kinds change hundreds of times a second.
    let (quiet, coil) = (AtomicBool::new(false), bytes("coil.tif"));
    scope(|scope| {
        scope.spawn(|| {
            while !quiet.load(Ordering::Relaxed) {
                fs::write(scans.join("scanner.log"), b"band").unwrap();
                sleep(Duration::from_millis(2));
            }
        });
        let mut growing = File::create(scans.join("coil.tif")).unwrap();
        growing.write_all(&coil[..coil.len() / 2]).unwrap();
        fs::write(scans.join("keg.tif"), bytes("keg.tif")).unwrap();
        until("keg is made", || made("keg"));
        assert!(!made("coil"), "half a scan was worked on");
        growing.write_all(&coil[coil.len() / 2..]).unwrap();
        until("coil is made", || made("coil"));
        quiet.store(true, Ordering::Relaxed);
    });
    // One that is scanned anew.
    let notes = || fs::read_to_string(out.join("flat/keg.notes.toml")).unwrap_or_default();
    let before = notes();
    fs::write(scans.join("keg.tif"), bytes("loft.tif")).unwrap();
    until("keg is made anew", || notes() != before && notes().contains("codes_blake3") && made("keg"));
    until("its notes are finished", || !notes().contains("key = \"\""));

    Command::new("kill").arg("-INT").arg(run.id().to_string()).status().unwrap();
    let ended = run.wait_with_output().unwrap();
    let told = printed(&ended);
    assert!(ended.status.success(), "{told}");
    assert!(told.contains("coil: base 0.20") && told.contains("keg: base 0.20"), "{told}");
    assert!(!told.contains("cut short"), "{told}");
    // What comes while nobody watches is not lost. (It has a say in the base of all, so the others may be made anew.)
    fs::write(scans.join("loft.tif"), bytes("loft.tif")).unwrap();
    let run = || printed(&dryside(&[&"batch", &scans, &"--out", &out, &"--encoding", &"linear"]));
    assert!(run().contains("3 scans, 3 frames") && made("loft"));
    assert_eq!(run().matches("up to date").count(), 3);
}
