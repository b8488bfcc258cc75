//! A batch in shares, as its user runs it on several machines.

mod bench;

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::thread;

use bench::{dryside, files, notes, printed, samples, sheet};
use tiff::encoder::{TiffEncoder, colortype::Gray16};

/// A folder with all that scans of a batch have to settle between them: seven sheets of which one has no rebate, a roll
/// of three frames, a strip one of whose frames would have the name of a sheet, two files with one name, and one that
/// is torn.
fn loft() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    for (i, name) in ["coil", "lantern", "float", "barrel", "block", "strip-2"].iter().enumerate() {
        sheet(&path(&format!("{name}.tif")), 1.0 - 0.1 * i as f64);
    }
    let ((width, height), codes) = samples(&path("coil.tif"));
    let cut = (60..height - 60).flat_map(|y| (60..width - 60).map(move |x| (y * width + x) as usize));
    grey(&path("cut.tif"), width - 120, height - 120, &cut.map(|i| codes[i]).collect::<Vec<_>>());
    strip(&path("strip.tif"), 0.4);
    strip(&path("roll.tif"), 0.6);
    fs::copy(path("coil.tif"), path("coil.tiff")).expect("a copy");
    let whole = fs::read(path("block.tif")).expect("it is there");
    fs::write(path("torn.tif"), &whole[..whole.len() / 2]).expect("a file");
    fs::write(path("dryside.toml"), "encoding = \"linear\"\nends = \"common\"\n").expect("a file");
    folder
}

fn grey(path: &Path, width: u32, height: u32, codes: &[u16]) {
    let file = fs::File::create(path).expect("a file");
    TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(width, height, codes)).expect("a TIFF");
}

/// Three frames side by side on a base of 0.20.
fn strip(path: &Path, tone: f64) {
    let (width, height) = (1200u32, 420u32);
    let density = |x: u32, y: u32| {
        let (u, v) = (f64::from(x % 400), f64::from(y));
        let inside = (20..380).contains(&(x % 400)) && (40..380).contains(&y);
        0.20 + if inside { tone + 0.2 * (u / 31.0).sin() * (v / 23.0).cos() + 0.1 * f64::from(x / 400) } else { 0.0 }
    };
    let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
    let code = |x, y| (65_535.0 * 10f64.powf(-density(x, y) - 0.01 * grain(x, y))) as u16;
    grey(path, width, height, &(0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect::<Vec<_>>());
}

fn share(scans: &Path, out: &Path, share: &str, more: &[&str]) -> Output {
    let mut words: Vec<&dyn AsRef<OsStr>> = vec![&"batch", &scans, &"--out", &out, &"--share", &share];
    words.extend(more.iter().map(|word| word as &dyn AsRef<OsStr>));
    dryside(&words)
}

/// Both passes over all shares in one folder of results, all of a pass at the same time.
fn all_shares(scans: &Path, out: &Path, of: u32, more: &[&str]) {
    for pass in [&["--measure-only"][..], &[]] {
        thread::scope(|scope| {
            for number in 1..=of {
                let words = [pass, more].concat();
                scope.spawn(move || {
                    let run = share(scans, out, &format!("{number}/{of}"), &words);
                    assert!(run.status.code().is_some_and(|code| code < 2), "{}", printed(&run));
                });
            }
        });
    }
}

/// What a batch leaves for its user, with names below `out`.
fn results(out: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let of_batch =
        |path: &Path| ["flat", "proof", "straight", "sheets", "batch.csv"].iter().any(|name| path.starts_with(name));
    let all =
        files(out).into_iter().map(|(path, bytes)| (path.strip_prefix(out).expect("it is below").to_owned(), bytes));
    // When proofs were made goes into the seal of the sheet.
    all.filter(|(path, _)| of_batch(path) && !path.ends_with(".proof-sheet")).collect()
}

fn assert_same(joined: &[(PathBuf, Vec<u8>)], single: &[(PathBuf, Vec<u8>)]) {
    let names = |files: &[(PathBuf, Vec<u8>)]| files.iter().map(|(path, _)| path.clone()).collect::<Vec<_>>();
    assert_eq!(names(joined), names(single));
    for ((path, a), (_, b)) in joined.iter().zip(single) {
        assert!(a == b, "{} differs:\n{}\n{}", path.display(), text(a), text(b));
    }
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap_or("(no text)")
}

#[test]
fn shares_that_are_gathered_leave_what_one_run_leaves() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let (single, joined) = (top.path().join("single"), top.path().join("joined"));
    let before = files(scans.path());
    // One of the scans has a base and a subject from a person.
    for out in [&single, &joined] {
        fs::create_dir_all(out.join("flat")).unwrap();
        let by_hand = "[shot]\nsubject = \"Barrel of tar\"\n\n[scan]\nbase = 0.25\n";
        fs::write(out.join("flat/barrel.notes.toml"), by_hand).unwrap();
    }
    let run = dryside(&[&"batch", &scans.path(), &"--out", &single]);
    let said = printed(&run);
    // The folder has all that it should.
    for word in
        ["base-of-batch", "roll-3", "torn.tif: ", "coil.tiff: ", "strip.tif: its frame strip-2", "share the ends"]
    {
        assert!(said.contains(word), "{word} in\n{said}");
    }
    all_shares(scans.path(), &joined, 3, &[]);
    assert!(!joined.join("batch.csv").exists() && !joined.join("sheets").exists(), "a share lays out neither");
    let gather = || dryside(&[&"batch", &"--gather", &joined]);
    // What a share that was killed leaves.
    let leftover = joined.join("flat/.dryside-x.part");
    fs::write(&leftover, b"half").unwrap();
    let run = gather();
    assert!(!leftover.exists());
    assert_eq!(run.status.code(), Some(1), "some failed, as in one run");
    assert!(printed(&run).contains("3 shares gathered: 11 scans, 10 frames, 3 failed"), "{}", printed(&run));
    assert_same(&results(&joined), &results(&single));

    // Nothing is left for a whole run there, and nothing changes when shares or gathering are run again.
    let run = printed(&dryside(&[&"batch", &scans.path(), &"--out", &joined]));
    assert_eq!(run.matches("up to date").count(), 10, "{run}");
    all_shares(scans.path(), &joined, 3, &[]);
    gather();
    assert_same(&results(&joined), &results(&single));
    assert_eq!(files(scans.path()), before, "no scan was touched");
}

/// A paper of one's own: the built-in matt one under another name.
fn own_paper(path: &Path, dmax: &str) {
    let matt = include_str!("../src/paper/papers/matt.toml").replace("neutral matt", "loft matt");
    fs::write(path, matt.replace("density = 1.55", &format!("density = {dmax}"))).expect("a file");
}

/// Paper, table, placing, dry-down and the two parts of an exposure are named in table, notes, share and joined sheet
/// as in those of one run; of a frame that is printed otherwise, too.
#[test]
fn shares_are_printed_as_one_run_prints() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let (single, joined) = (top.path().join("single"), top.path().join("joined"));
    let paper = top.path().join("loft.paper.toml");
    own_paper(&paper, "1.50");
    for out in [&single, &joined] {
        fs::create_dir_all(out.join("flat")).unwrap();
        let by_hand = "[settings]\npaper = 'glossy'\nplace = 'shadows'\ndry-down = '3%'\nsplit = 'none'\n";
        fs::write(out.join("flat/barrel.notes.toml"), by_hand).unwrap();
        // A spot that cannot be read fails its scan, and leaves it its voice in what is common.
        fs::write(out.join("flat/cut.notes.toml"), "[settings]\nplace = '9000,20=V'\n").unwrap();
    }
    let paper = paper.to_str().unwrap();
    let place = "200,250=VI";
    let parts = "00 -1, 5 +0";
    let how = format!(
        "encoding = 'linear'\nends = 'common'\npaper = '{paper}'\ngrades = 'rc'\nplace = '{place}'\ndry-down = '8%'\nsplit = '{parts}'\n"
    );
    fs::write(scans.path().join("dryside.toml"), how).unwrap();
    let run = printed(&dryside(&[&"batch", &scans.path(), &"--out", &single]));
    assert!(run.contains("cut.tif: place: ") && run.contains("paper loft matt") && run.contains("about "), "{run}");
    all_shares(scans.path(), &joined, 3, &[]);
    let run = printed(&dryside(&[&"batch", &"--gather", &joined]));
    assert!(run.contains("3 shares gathered: 11 scans, 9 frames, 4 failed"), "{run}");
    assert_same(&results(&joined), &results(&single));

    let table = fs::read(joined.join("batch.csv")).unwrap();
    let rows: Vec<BTreeMap<String, String>> =
        csv::Reader::from_reader(&table[..]).deserialize().collect::<Result<_, _>>().unwrap();
    let of = |frame: &str| rows.iter().find(|row| row["frame"] == frame).unwrap();
    let told = |frame: &str| ["paper", "place", "dry_down", "split"].map(|name| of(frame)[name].clone());
    assert_eq!(told("coil"), ["loft matt", place, "8.0", parts]);
    assert_eq!(told("barrel"), ["neutral glossy", "shadows", "3.0", ""]);
    assert!(!of("coil")["equivalent"].is_empty() && of("coil")["table"] == of("barrel")["table"]);
    let notes = notes(&joined.join("flat/coil.notes.toml"));
    assert_eq!(notes["print"]["paper"].as_str(), Some("loft matt"));
    assert_eq!(notes["measured"]["spot"]["at"].as_array().map(Vec::len), Some(2));
    let record = fs::read_to_string(joined.join("shares/1-of-3.toml")).unwrap();
    assert!(record.contains("paper = \"loft matt\"") && record.contains(&format!("place = \"{place}\"")), "{record}");
}

/// Machines without a common disk: what was measured is carried from one to the other.
#[test]
fn shares_with_folders_of_their_own_are_gathered_in_another() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let (single, joined) = (top.path().join("single"), top.path().join("joined"));
    dryside(&[&"batch", &scans.path(), &"--out", &single]);
    // More shares than scans: some have nothing to do.
    let shares: Vec<_> = (1..=12).map(|n| (format!("{n}/12"), top.path().join(format!("out-{n}")))).collect();
    for (k, out) in &shares {
        assert!(share(scans.path(), out, k, &["--measure-only"]).status.code().is_some_and(|code| code < 2));
    }
    for (_, from) in &shares {
        for (path, bytes) in files(&from.join("measured")) {
            for (_, to) in &shares {
                fs::write(to.join("measured").join(path.file_name().unwrap()), &bytes).unwrap();
            }
        }
    }
    for (k, out) in &shares {
        assert!(share(scans.path(), out, k, &[]).status.code().is_some_and(|code| code < 2));
    }
    let gather = |more: &[&dyn AsRef<OsStr>]| {
        let mut words: Vec<&dyn AsRef<OsStr>> = vec![&"batch", &"--gather"];
        words.extend(shares.iter().map(|(_, out)| out as &dyn AsRef<OsStr>));
        words.extend(more);
        dryside(&words)
    };
    assert!(printed(&gather(&[])).contains("say with --out where"));
    assert!(printed(&gather(&[&"--out", &scans.path()])).contains("in the folder of the scans"));
    assert!(!scans.path().join("batch.csv").exists());
    let run = gather(&[&"--out", &joined]);
    assert!(printed(&run).contains("12 shares gathered: 11 scans, 10 frames, 3 failed"), "{}", printed(&run));
    let mut everything = results(&joined);
    for (_, out) in &shares {
        everything.extend(results(out));
    }
    everything.sort();
    assert_same(&everything, &results(&single));
    let twice = dryside(&[&"batch", &"--gather", &shares[0].1, &shares[0].1, &"--out", &joined]);
    assert!(printed(&twice).contains("share 1/12 is in"), "{}", printed(&twice));
}

#[test]
fn a_share_waits_until_all_have_measured() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let out = top.path().join("loft out");
    let run = share(scans.path(), &out, "1/2", &[]);
    assert_eq!(run.status.code(), Some(2));
    assert!(printed(&run).contains("11 scans are not measured yet"), "{}", printed(&run));
    assert!(printed(&run).contains("run shares 1/2, 2/2 with --measure-only first") && !out.exists());
    let run = share(scans.path(), &out, "1/2", &["--measure-only"]);
    assert!(printed(&run).contains("share 1/2: 4 of 5 scans measured, 1 failed"), "{}", printed(&run));
    assert!(!out.join("flat").exists(), "nothing is made");
    assert!(printed(&share(scans.path(), &out, "1/2", &[])).contains("run share 2/2 with --measure-only first"));
    assert!(printed(&dryside(&[&"batch", &"--gather", &out])).contains("no share was made here"));

    // Another roll whose scans have the same names has not been measured.
    assert!(share(scans.path(), &out, "2/2", &["--measure-only"]).status.code().is_some_and(|code| code < 2));
    let other = top.path().join("other-roll");
    fs::create_dir(&other).unwrap();
    for (path, bytes) in files(scans.path()) {
        fs::write(other.join(path.file_name().unwrap()), bytes).unwrap();
    }
    assert!(printed(&share(&other, &out, "1/2", &[])).contains("11 scans are not measured yet"));
    let run = share(scans.path(), &out, "1/2", &[]);
    assert!(printed(&run).contains("share 1/2: 5 scans, "), "{}", printed(&run));
    // The next step can be pasted.
    let quote = if cfg!(windows) { '"' } else { '\'' };
    let next = format!("gather them: dryside batch --gather {quote}{}{quote}\n", out.display());
    assert!(printed(&run).contains(&next), "{next} in\n{}", printed(&run));
}

#[test]
fn what_changed_after_measuring_is_measured_again() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let out = top.path().join("out");
    // Of a scan whose copy lies beside it nobody can tell which of the two the notes are of.
    fs::remove_file(scans.path().join("coil.tiff")).unwrap();
    all_shares(scans.path(), &out, 2, &[]);
    sheet(&scans.path().join("coil.tif"), 0.4);
    let run = printed(&share(scans.path(), &out, "1/2", &[])) + &printed(&share(scans.path(), &out, "2/2", &[]));
    assert!(run.contains("coil.tif: it has changed since it was measured"), "{run}");
    let run = printed(&share(scans.path(), &out, "1/2", &["--film", "120"]));
    assert!(run.contains("or its settings have: run the share with --measure-only again"), "{run}");
    let run = printed(&share(scans.path(), &out, "1/2", &["--base", "0.3"]));
    assert!(run.contains("or its settings have"), "a base counts in the counsel of all: {run}");
    all_shares(scans.path(), &out, 2, &[]);
    let run = printed(&dryside(&[&"batch", &scans.path(), &"--out", &out]));
    assert_eq!(run.matches("up to date").count(), 10, "{run}");
    sheet(&scans.path().join("keg.tif"), 0.4);
    let run = printed(&share(scans.path(), &out, "1/2", &[])) + &printed(&share(scans.path(), &out, "2/2", &[]));
    assert_eq!(run.matches("keg.tif is not measured yet").count(), 2, "{run}");
}

#[test]
fn a_missing_share_is_told_scan_by_scan() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let out = top.path().join("out");
    all_shares(scans.path(), &out, 3, &[]);
    let gather = || dryside(&[&"batch", &"--gather", &out]);
    gather();
    let whole = fs::read_to_string(out.join("batch.csv")).unwrap();
    let record = out.join("shares/2-of-3.toml");
    let kept = fs::read_to_string(&record).unwrap();
    let theirs = kept.parse::<toml::Table>().unwrap();
    let theirs: Vec<_> = theirs["made"].as_array().unwrap().iter().map(|m| m["file"].as_str().unwrap()).collect();
    assert!((3..=4).contains(&theirs.len()));
    fs::remove_file(&record).unwrap();
    let run = gather();
    assert_eq!(run.status.code(), Some(1));
    assert!(printed(&run).contains("2 of 3 shares gathered: 11 scans, "), "{}", printed(&run));
    for file in theirs {
        let told = format!("{file}: share 2/3 is not made: run it, then gather again");
        assert!(printed(&run).contains(&told), "{told} in\n{}", printed(&run));
    }
    assert_ne!(fs::read_to_string(out.join("batch.csv")).unwrap(), whole);
    fs::write(&record, kept).unwrap();
    gather();
    assert_eq!(fs::read_to_string(out.join("batch.csv")).unwrap(), whole);
}

#[test]
fn shares_that_were_not_made_alike_are_not_gathered() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let out = top.path().join("out");
    all_shares(scans.path(), &out, 2, &[]);
    let record = out.join("shares/2-of-2.toml");
    let kept = fs::read_to_string(&record).unwrap();
    let gather = || printed(&dryside(&[&"batch", &"--gather", &out]));
    let with = |from: &str, to: &str| {
        assert!(kept.contains(from), "{from} in\n{kept}");
        fs::write(&record, kept.replacen(from, to, 1)).unwrap();
        gather()
    };
    let program = format!("program = \"{}\"", dryside::save::PROGRAM);
    assert!(with(&program, "program = \"dryside 0.0.9\"").contains("made by dryside 0.0.9, and this is dryside"));
    assert!(with("version = 1", "version = 2").contains("it is of version 2"));
    assert!(with("share = \"2/2\"", "share = \"2/3\"").contains("one of 2 shares"));
    assert!(with("folder = \"", "folder = \"other-").contains("gather the shares of one folder"));
    assert!(with("\"torn.tif\"", "\"worn.tif\"").contains("the folder of scans has changed between"));
    assert!(with("in_common = \"", "in_common = \"0").contains("different measurements"));
    assert!(with("[settings]", "[settings").contains("2-of-2.toml: "));
    assert!(!out.join("batch.csv").exists(), "nothing was gathered");

    let run = share(scans.path(), &out, "2/2", &["--grade", "3"]);
    assert!(run.status.code().is_some_and(|code| code < 2), "{}", printed(&run));
    assert!(gather().contains("was made with grade auto"), "{}", gather());
    let run = share(scans.path(), &out, "1/2", &["--grade", "3"]);
    assert!(run.status.code().is_some_and(|code| code < 2), "{}", printed(&run));
    assert!(gather().contains("2 shares gathered"));

    // How proofs are printed is a setting, too; of files of one's own counts what is in them.
    let [here, there, other] = ["here", "there", "other"].map(|folder| {
        fs::create_dir(top.path().join(folder)).unwrap();
        top.path().join(folder).join("loft.paper.toml")
    });
    [(&here, "1.50"), (&there, "1.50"), (&other, "1.45")].into_iter().for_each(|(path, dmax)| own_paper(path, dmax));
    let [here, there, other] = [&here, &there, &other].map(|path| path.to_str().unwrap());
    let alike = ["--grade", "3", "--paper", here];
    let made = |share_of: &str, more: &[&str]| {
        let run = share(scans.path(), &out, share_of, more);
        assert!(run.status.code().is_some_and(|code| code < 2), "{}", printed(&run));
    };
    made("1/2", &alike);
    for (more, told) in [
        (&["--paper", "matt"][..], "with matt: make"),
        (&["--paper", other], "was made with paper loft matt ("),
        (&["--paper", here, "--grades", "fibre"], "was made with grades bands"),
        (&["--paper", here, "--place", "fixed"], "was made with place highlights"),
        (&["--paper", here, "--place", "200,250=V"], "with 200,250=V: make"),
        (&["--paper", here, "--dry-down", "8%"], "was made with dry-down 0%"),
        (&["--paper", here, "--split", "00 -1, 5 -1"], "was made with split none"),
    ] {
        made("2/2", &[&["--grade", "3"], more].concat());
        assert!(gather().contains(told), "{told} in\n{}", gather());
    }
    made("2/2", &["--grade", "3", "--paper", there]);
    assert!(gather().contains("2 shares gathered: 11 scans, 10 frames, 3 failed"), "{}", gather());
    ["1/2", "2/2"].iter().for_each(|share_of| made(share_of, &["--grade", "3"]));

    // Another run since: its notes have another key, and a file that was taken away is missed.
    dryside(&[&"batch", &scans.path(), &"--out", &out, &"--grade", &"2", &"--no-sheet"]);
    assert!(gather().contains("coil.notes.toml: not as share"), "{}", gather());
    dryside(&[&"batch", &scans.path(), &"--out", &out, &"--grade", &"3", &"--no-sheet"]);
    assert!(gather().contains("11 scans, 10 frames, 3 failed"));
    fs::remove_file(out.join("flat/coil.tif")).unwrap();
    assert!(gather().contains("flat/coil.tif: it is not there any more"));
}

#[test]
fn a_measuring_pass_that_was_broken_off_goes_on_where_it_stopped() {
    let (top, scans) = (tempfile::tempdir().unwrap(), loft());
    let out = top.path().join("out");
    assert!(share(scans.path(), &out, "1/1", &["--measure-only"]).status.code().is_some_and(|code| code < 2));
    let stamp = |name: &str| fs::read(out.join("measured").join(name)).unwrap();
    let coil = stamp("coil.tif.toml");
    // What is not written down is measured; what is, is believed: a hand in the file shows it.
    fs::remove_file(out.join("measured/coil.tif.toml")).unwrap();
    let float = out.join("measured/float.tif.toml");
    let by_hand = fs::read_to_string(&float).unwrap().replacen("dust = 0", "dust = 77", 1);
    assert!(by_hand.contains("dust = 77"));
    fs::write(&float, &by_hand).unwrap();
    share(scans.path(), &out, "1/1", &["--measure-only"]);
    assert_eq!(stamp("coil.tif.toml"), coil);
    assert_eq!(fs::read_to_string(&float).unwrap(), by_hand);
    share(scans.path(), &out, "1/1", &["--measure-only", "--force"]);
    assert!(!fs::read_to_string(&float).unwrap().contains("dust = 77"));
}
