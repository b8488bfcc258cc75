//! `OUT/batch.html`: the page of a batch, through the program, on the demo scans.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn dryside(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_dryside")).args(words).output().expect("runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Two of the demo scans, under names that do their worst where the disk takes them.
fn scans(top: &Path) -> PathBuf {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ropewalk");
    let scans = top.join("loft & tow");
    fs::create_dir(&scans).unwrap();
    let first = if cfg!(windows) { "a 50 % #1.tif" } else { "a <script> \"50 %\" #1?.tif" };
    for (from, to) in [("sheet-01.tif", first), ("sheet-02.tif", "\u{5d0}\u{5d1}\u{1f9f5}.tif")] {
        fs::copy(demo.join(from), scans.join(to)).unwrap();
    }
    scans
}

struct Batch {
    top: tempfile::TempDir,
    scans: PathBuf,
}

impl Batch {
    fn new() -> Self {
        let top = tempfile::tempdir().unwrap();
        let scans = scans(top.path());
        Self { top, scans }
    }

    fn run(&self, out: &str, more: &[&str]) -> (Output, PathBuf) {
        let out = self.top.path().join(out);
        let words = ["batch", self.scans.to_str().unwrap(), "--out", out.to_str().unwrap()];
        (dryside(&[&words[..], more].concat()), out.join("batch.html"))
    }
}

fn page(path: &Path) -> String {
    fs::read_to_string(path).expect("there is a page")
}

/// References in the page to files beside it, as they are written.
fn links(page: &str) -> Vec<String> {
    let all = page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
    all.filter(|to| !to.starts_with('#')).map(str::to_owned).collect()
}

/// RFC 3986, 2.1: %XX is one byte.
fn decoded(reference: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = reference.as_bytes();
    while let [first, more @ ..] = rest {
        if *first == b'%' {
            bytes.push(u8::from_str_radix(std::str::from_utf8(&more[..2]).unwrap(), 16).unwrap());
            rest = &more[2..];
        } else {
            bytes.push(*first);
            rest = more;
        }
    }
    String::from_utf8(bytes).unwrap()
}

#[test]
fn every_frame_is_on_the_page_and_every_file_it_names_is_there() {
    let batch = Batch::new();
    fs::write(batch.scans.join("torn <i>.tif"), b"II*\0junk").unwrap();
    let (output, path) = batch.run("out", &[]);
    assert_eq!(output.status.code(), Some(1), "one scan failed");
    assert!(text(&output.stdout).contains("logbook: "), "{}", text(&output.stdout));
    let page = page(&path);
    assert!(page.contains("<title>loft &amp; tow: logbook of a batch</title>"));
    assert!(!page.contains("<script") && !page.contains("<i>"), "names are no markup");
    assert_eq!(page.matches("<article").count(), 2);
    assert_eq!(page.matches("src=\"data:image/jpeg;base64,").count(), 2);
    assert_eq!(page.matches("class=\"spread\"").count(), 2, "each has a histogram");
    assert!(page.contains("torn &lt;i&gt;.tif"));
    assert!(page.contains("base unlike batch") || page.contains("range beyond grades"));
    let links = links(&page);
    assert_eq!(links.len(), 2 + 2 * 3, "table and sheet; flat, proof and notes of each: {links:?}");
    for link in links {
        let file = path.parent().unwrap().join(decoded(&link));
        assert!(file.is_file(), "{link}");
    }
}

#[test]
fn the_page_is_left_alone_while_nothing_changed_and_made_again_when_something_did() {
    let batch = Batch::new();
    let (_, path) = batch.run("out", &[]);
    let before = (page(&path), fs::metadata(&path).unwrap().modified().unwrap());
    batch.run("out", &[]);
    assert_eq!(fs::metadata(&path).unwrap().modified().unwrap(), before.1);
    batch.run("out", &["--grade", "3"]);
    assert_ne!(page(&path), before.0);
    batch.run("out", &["--grade", "auto", "--no-sheet"]);
    assert_ne!(page(&path), before.0, "without sheets it is not laid out");
    batch.run("other/out", &[]);
    assert_eq!(page(&batch.top.path().join("other/out/batch.html")), before.0, "the same batch is the same page");
}

#[test]
fn a_word_in_the_notes_comes_onto_the_page() {
    let batch = Batch::new();
    let (_, path) = batch.run("out", &[]);
    let notes = path.parent().unwrap().join("flat/\u{5d0}\u{5d1}\u{1f9f5}.notes.toml");
    let written = fs::read_to_string(&notes).unwrap();
    fs::write(&notes, written.replace("[shot]\n", "[shot]\nsubject = \"Blocks & <tackle>\"\n")).unwrap();
    batch.run("out", &[]);
    assert!(page(&path).contains("Blocks &amp; &lt;tackle&gt;"));
    // What it is called at the light table goes before that.
    let written = fs::read_to_string(&notes).unwrap();
    fs::write(&notes, written.replace("[shot]\n", "[shot]\ntitle = \"Riggers' wall\"\n")).unwrap();
    batch.run("out", &[]);
    assert!(page(&path).contains("Riggers' wall") && !page(&path).contains("Blocks &amp;"));
}

#[test]
fn a_page_that_other_hands_changed_is_left_and_told() {
    let batch = Batch::new();
    let (_, path) = batch.run("out", &[]);
    fs::write(&path, page(&path) + "<!-- mine -->").unwrap();
    let (output, _) = batch.run("out", &["--grade", "3"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("batch.html: it was put there or changed by other hands"));
    assert!(page(&path).ends_with("<!-- mine -->"));
    assert_eq!(batch.run("out", &["--grade", "3", "--force"]).0.status.code(), Some(0));
    assert!(!page(&path).contains("mine"));
}

/// Notes of an earlier program have no histogram: nothing else is missing, and the page says what to do.
#[test]
fn notes_without_a_histogram_are_read() {
    let batch = Batch::new();
    let (_, path) = batch.run("out", &[]);
    for notes in fs::read_dir(path.parent().unwrap().join("flat")).unwrap().map(|entry| entry.unwrap().path()) {
        if notes.to_string_lossy().ends_with(".notes.toml") {
            let written = fs::read_to_string(&notes).unwrap();
            let (before, tones) = written.split_once("[measured.frames.tones]").expect("there is one");
            let after = &tones[tones.find("\n[").expect("a table follows")..];
            fs::write(&notes, before.to_owned() + after.trim_start_matches('\n')).unwrap();
        }
    }
    let (output, _) = batch.run("out", &[]);
    assert!(text(&output.stdout).contains("up to date") && output.status.success(), "{}", text(&output.stdout));
    let page = page(&path);
    assert!(!page.contains("class=\"spread\"") && page.contains("run the batch with --force to see it"));
}

#[test]
fn shares_that_are_gathered_make_the_page_of_one_run() {
    let batch = Batch::new();
    let (_, whole) = batch.run("whole", &[]);
    for share in ["1/2", "2/2"] {
        batch.run("parts", &["--share", share, "--measure-only"]);
    }
    for share in ["1/2", "2/2"] {
        batch.run("parts", &["--share", share]);
    }
    let parts = batch.top.path().join("parts");
    assert!(dryside(&["batch", "--gather", parts.to_str().unwrap()]).status.success());
    assert_eq!(page(&parts.join("batch.html")), page(&whole));
}
