//! Scans that get another name or place, and negatives that are scanned again, as the user meets them.
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs;
use std::path::Path;
use std::thread;

use bench::{dryside, folder_of_sheets, notes, printed, samples, scan_of, sheet_codes};

const BY_HAND: &str = "[shot]\nsubject = 'coil of tarred rope' # from the loft\nfilm   = \"pan sheet 100\"\n";

/// Writes the photographer's part at the head of notes.
fn write_by_hand(path: &Path) {
    let text = fs::read_to_string(path).unwrap().replacen("[shot]\n", BY_HAND, 1);
    fs::write(path, text + "\n[marks]\n1 = \"print\"\n").unwrap();
}

#[test]
fn a_renamed_scan_comes_with_its_notes_marks_and_prints() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let batch = |more: &str| dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &more]);
    assert!(batch("--jobs=1").status.success());
    let (was, now) = (out.join("flat/coil.notes.toml"), out.join("flat/store-07.notes.toml"));
    write_by_hand(&was);
    assert!(batch("--jobs=1").status.success());
    let print = dryside(&[&"print", &out.join("coil"), &"--scans", &loft, &"--size", &"4x5cm", &"--allow-upsampling"]);
    assert!(print.status.success(), "{}", printed(&print));
    let (flat, text) = (samples(&out.join("flat/coil.tif")), fs::read_to_string(&was).unwrap());

    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    let told = printed(&batch("--dry-run"));
    assert!(told.contains("store-07.tif is coil.tif renamed") && was.is_file() && !now.exists(), "{told}");
    let run = batch("--jobs=1");
    assert!(run.status.success(), "{}", printed(&run));
    assert!(printed(&run).contains("store-07.tif is coil.tif renamed: its notes are taken on"), "{}", printed(&run));
    assert!(!was.exists() && !out.join("flat/coil.tif").exists() && !out.join("proof/coil.jpg").exists());
    let taken = fs::read_to_string(&now).unwrap();
    let prints = |text: &str| text[text.find("[[prints]]").unwrap()..].to_owned();
    assert!(taken.contains(BY_HAND) && taken.contains("[marks]\n1 = \"print\"\n"), "{taken}");
    assert_eq!(prints(&taken), prints(&text));
    assert!(samples(&out.join("flat/store-07.tif")) == flat, "the same flat positive");
    let again = printed(&batch("--jobs=1"));
    assert!(again.matches("up to date").count() == 2 && !again.contains("renamed"), "{again}");
    let print = printed(&dryside(&[&"print", &"--from", &now, &"--scans", &loft]));
    assert!(print.contains("up to date"), "{print}");
}

/// Killed by the system for a file that is too large (setrlimit(2): RLIMIT_FSIZE, SIGXFSZ), when its notes have been
/// taken on and no picture is written: the next run still knows the files that have the former name.
#[cfg(unix)]
#[test]
fn a_run_killed_while_a_renamed_scan_is_made_leaves_no_files_under_its_former_name() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let batch = || dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]);
    assert!(batch().status.success());
    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    for _ in 0..2 {
        let mut killed = std::process::Command::new("sh");
        killed.args(["-c", "ulimit -f 64 && exec \"$@\"", "sh", env!("CARGO_BIN_EXE_dryside"), "batch", "--no-sheet"]);
        let killed = killed.arg(loft).arg("--out").arg(&out).output().unwrap();
        assert!(!killed.status.success() && out.join("flat/store-07.notes.toml").exists(), "{}", printed(&killed));
        assert!(
            out.join("flat/coil.tif").exists() && out.join("proof/coil.jpg").exists(),
            "the former ones stay until then"
        );
    }
    let run = batch();
    assert!(run.status.success(), "{}", printed(&run));
    let names =
        |folder: &str| fs::read_dir(out.join(folder)).unwrap().map(|e| e.unwrap().file_name()).collect::<Vec<_>>();
    assert_eq!(names("proof"), ["store-07.jpg"]);
    assert!(!names("flat").iter().any(|name| name.to_string_lossy().contains("coil")), "{:?}", names("flat"));
    assert!(!fs::read_to_string(out.join("flat/store-07.notes.toml")).unwrap().contains("former"));
}

#[test]
fn a_copy_is_no_renamed_scan_and_notes_that_are_there_stay() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let batch = || printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]));
    batch();
    write_by_hand(&out.join("flat/coil.notes.toml"));
    batch();
    fs::copy(loft.join("coil.tif"), loft.join("twin.tif")).unwrap();
    let told = batch();
    assert!(!told.contains("renamed"), "{told}");
    assert!(fs::read_to_string(out.join("flat/coil.notes.toml")).unwrap().contains(BY_HAND));
    assert!(!fs::read_to_string(out.join("flat/twin.notes.toml")).unwrap().contains("tarred"));
    // The first goes, and the second has notes of its own: none of the two is lost.
    fs::remove_file(loft.join("coil.tif")).unwrap();
    let told = batch();
    assert!(!told.contains("renamed") && out.join("flat/coil.notes.toml").is_file(), "{told}");
}

#[test]
fn a_print_finds_its_scan_under_another_name_and_in_another_place() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out, store) = (folder.path(), top.path().join("out"), top.path().join("store"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    fs::create_dir(&store).unwrap();
    fs::rename(loft.join("coil.tif"), store.join("b.tif")).unwrap();
    fs::rename(loft.join("lantern.tif"), store.join("a.tif")).unwrap();
    let print = |frame: &str, scans: &Path| {
        let size: [&dyn AsRef<std::ffi::OsStr>; 3] = [&"--size", &"4x5cm", &"--allow-upsampling"];
        let frame = out.join(frame);
        dryside(&[&[&"print" as &dyn AsRef<std::ffi::OsStr>, &frame, &"--scans", &scans], &size[..]].concat())
    };
    for frame in ["coil", "lantern"] {
        let run = print(frame, &store);
        assert!(run.status.success(), "{}", printed(&run));
    }
    let run = print("coil", loft);
    assert!(!run.status.success() && printed(&run).contains("nor under another name"), "{}", printed(&run));
}

/// The same negative at two thirds of the light: net densities, and so matched flat positives, are the same but for
/// what rounding to whole codes makes.
#[test]
fn a_negative_scanned_again_takes_up_the_words_and_the_ends_of_its_first_scan() {
    let folder = tempfile::tempdir().unwrap();
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let codes = sheet_codes((400, 500), 1.0);
    scan_of(&loft.join("coil.tif"), (400, 500), &codes, (300, 1));
    let batch = |ends: &str| {
        dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &"--encoding", &"linear", &"--ends", &ends])
    };
    assert!(batch("each").status.success());
    write_by_hand(&out.join("flat/coil.notes.toml"));

    let weaker: Vec<u16> = codes.iter().map(|code| (f64::from(*code) * 2.0 / 3.0).round() as u16).collect();
    scan_of(&loft.join("coil-again.tif"), (400, 500), &weaker, (300, 1));
    let set = dryside(&[&"notes", &"new", &loft, &"coil-again", &"--out", &out, &"--set", &"rescan-of=coil"]);
    assert!(set.status.success(), "{}", printed(&set));
    let run = batch("match");
    assert!(run.status.success(), "{}", printed(&run));
    let of = |name: &str| notes(&out.join(format!("flat/{name}.notes.toml")));
    let ends = |name: &str| {
        let frame = &of(name)["flat"]["frames"][0];
        (frame["thin"].as_float().unwrap(), frame["dense"].as_float().unwrap())
    };
    assert_eq!(ends("coil-again"), ends("coil"));
    let (first, second) = (samples(&out.join("flat/coil.tif")).1, samples(&out.join("flat/coil-again.tif")).1);
    let apart = first.iter().zip(&second).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
    // A base read to 0.001 D is 0.06 L* in the middle of the scale: some 60 codes.
    assert!(first.len() == second.len() && apart <= 120, "{apart}");

    let shown = printed(&dryside(&[&"notes", &"show", &out.join("coil-again")]));
    assert!(shown.contains("coil of tarred rope   (coil)"), "{shown}");
    let found = printed(&dryside(&[&"notes", &"find", &out, &"subject=*tarred*"]));
    assert_eq!(found.lines().count(), 2, "{found}");
    let check = |word: &str| {
        let word = format!("rescan-of={word}");
        assert!(dryside(&[&"notes", &"set", &out.join("coil-again"), &word]).status.success());
        dryside(&[&"notes", &"check", &out.join("coil-again")])
    };
    assert!(check("coil").status.success());
    for (wrong, why) in [("rope", "there are no such notes"), ("coil-again", "these are its own notes")] {
        let run = check(wrong);
        assert!(!run.status.success() && printed(&run).contains(why), "{}", printed(&run));
    }
    assert!(
        printed(&batch("match")).contains("there are no such notes") || printed(&batch("match")).contains("own notes")
    );
}

#[test]
fn a_link_follows_a_first_scan_that_is_renamed_and_a_broken_one_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let codes = sheet_codes((400, 500), 1.0);
    scan_of(&loft.join("coil.tif"), (400, 500), &codes, (300, 1));
    let weaker: Vec<u16> = codes.iter().map(|code| (f64::from(*code) * 2.0 / 3.0).round() as u16).collect();
    scan_of(&loft.join("coil-again.tif"), (400, 500), &weaker, (300, 1));
    let batch = || dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]);
    assert!(batch().status.success());
    let of = |name: &str| out.join(format!("flat/{name}.notes.toml"));
    write_by_hand(&of("coil"));
    let (own, again) = ("[shot]\nprocess  = 'pyro'\nrescan-of='coil'   # brighter\n", of("coil-again"));
    fs::write(&again, fs::read_to_string(&again).unwrap().replacen("[shot]\n", own, 1)).unwrap();
    assert!(batch().status.success());
    let text = fs::read_to_string(&again).unwrap();

    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    let run = batch();
    let told = printed(&run);
    assert!(run.status.success() && told.contains("renamed") && !told.contains("rescan-unlinked"), "{told}");
    // Its files are made anew, as they say what they are a rescan of; what a person wrote stays to the byte, but for
    // that name.
    let by_person = |text: &str| text[..text.find("\n[scan]").unwrap()].to_owned();
    let now = by_person(&text).replacen("rescan-of='coil'   # brighter", "rescan-of=\"store-07\"   # brighter", 1);
    assert_eq!(by_person(&fs::read_to_string(&again).unwrap()), now);
    let shown = printed(&dryside(&[&"notes", &"show", &out.join("coil-again")]));
    assert!(shown.contains("coil of tarred rope   (store-07)"), "{shown}");

    // First scan and notes are gone: the words that are missing now are told, and the scan's own hold.
    fs::remove_file(loft.join("store-07.tif")).unwrap();
    fs::remove_file(of("store-07")).unwrap();
    let run = batch();
    let told = printed(&run);
    assert!(run.status.success() && told.contains("rescan-of = \"store-07\": there are no such notes"), "{told}");
    let table = fs::read_to_string(out.join("batch.csv")).unwrap();
    assert!(table.contains("rescan-unlinked"), "{table}");
    let told = printed(&dryside(&[&"proof", &out, &"--scans", &loft]));
    assert!(told.contains("there are no such notes"), "{told}");
}

/// As a batch leaves it that is stopped when it has given the notes their new name and has not made the scan yet.
#[test]
fn a_sheet_is_laid_of_notes_that_have_another_name_than_their_scan() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    fs::rename(out.join("flat/coil.notes.toml"), out.join("flat/store-07.notes.toml")).unwrap();
    fs::remove_file(out.join("proof/coil.jpg")).unwrap();
    for more in ["--page=a4", "--loupe"] {
        let run = dryside(&[&"proof", &out, &"--scans", &loft, &more]);
        assert!(run.status.success(), "{}", printed(&run));
        assert!(out.join("proof/coil.jpg").is_file() && !out.join("flat/coil.notes.toml").exists());
    }
}

/// A scan copied under two names and then removed: its notes are those of either, and shares at work side by side both
/// see that.
#[test]
fn shares_that_meet_the_same_notes_give_them_away_once() {
    let top = tempfile::tempdir().unwrap();
    let (whole, codes) = (top.path().join("whole"), sheet_codes((400, 500), 1.0));
    let weaker: Vec<u16> = codes.iter().map(|code| (f64::from(*code) * 2.0 / 3.0).round() as u16).collect();
    for round in 0..12 {
        let (loft, out) = (top.path().join("loft"), top.path().join(format!("out-{round}")));
        fs::create_dir_all(&loft).unwrap();
        scan_of(&loft.join("coil.tif"), (400, 500), &codes, (300, 1));
        scan_of(&loft.join("again.tif"), (400, 500), &weaker, (300, 1));
        if round == 0 {
            assert!(dryside(&[&"batch", &loft, &"--out", &whole, &"--no-sheet"]).status.success());
            write_by_hand(&whole.join("flat/coil.notes.toml"));
            let set = dryside(&[&"notes", &"set", &whole.join("again"), &"rescan-of=coil"]);
            assert!(set.status.success(), "{}", printed(&set));
        }
        for (path, bytes) in bench::files(&whole) {
            let to = out.join(path.strip_prefix(&whole).unwrap());
            fs::create_dir_all(to.parent().unwrap()).unwrap();
            fs::write(to, bytes).unwrap();
        }
        for name in ["store-a.tif", "store-b.tif", "store-c.tif"] {
            fs::copy(loft.join("coil.tif"), loft.join(name)).unwrap();
        }
        fs::remove_file(loft.join("coil.tif")).unwrap();
        for pass in ["--measure-only", "--no-sheet"] {
            thread::scope(|scope| {
                for share in ["1/4", "2/4", "3/4", "4/4"] {
                    let (loft, out) = (&loft, &out);
                    scope.spawn(move || {
                        let run = dryside(&[&"batch", &loft, &"--out", &out, &"--share", &share, &pass]);
                        assert!(run.status.success(), "{}", printed(&run));
                    });
                }
            });
        }
        let words = |name: &str| fs::read_to_string(out.join(format!("flat/{name}.notes.toml"))).unwrap();
        let with: Vec<&str> =
            ["store-a", "store-b", "store-c"].into_iter().filter(|name| words(name).contains(BY_HAND)).collect();
        assert!(with.len() == 1 && !out.join("flat/coil.notes.toml").exists(), "{with:?}");
        assert!(words(with[0]).contains("[marks]\n1 = \"print\"\n"));
        assert!(words("again").contains(&format!("rescan-of = \"{}\"", with[0])), "{}", words("again"));
        fs::remove_dir_all(&loft).unwrap();
    }
}

/// Without its notes it would get new ones, and what a person wrote would be left behind for good.
#[test]
fn a_scan_whose_notes_cannot_be_renamed_waits_for_them_and_the_others_are_made() {
    let folder = tempfile::tempdir().unwrap();
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let codes = sheet_codes((400, 500), 1.0);
    scan_of(&loft.join("coil.tif"), (400, 500), &codes, (300, 1));
    let weaker: Vec<u16> = codes.iter().map(|code| (f64::from(*code) * 2.0 / 3.0).round() as u16).collect();
    scan_of(&loft.join("again.tif"), (400, 500), &weaker, (300, 1));
    let batch = || dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]);
    assert!(batch().status.success());
    let of = |name: &str| out.join(format!("flat/{name}.notes.toml"));
    write_by_hand(&of("coil"));
    assert!(dryside(&[&"notes", &"set", &out.join("again"), &"rescan-of=coil"]).status.success());
    // The notes of its rescan must be written in, and a person has protected them.
    let protect = |readonly: bool| {
        let mut rights = fs::metadata(of("again")).unwrap().permissions();
        rights.set_readonly(readonly);
        fs::set_permissions(of("again"), rights).unwrap();
    };
    protect(true);
    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    scan_of(&loft.join("keg.tif"), (400, 500), &sheet_codes((400, 500), 0.8), (300, 1));
    let run = batch();
    let told = printed(&run);
    assert_eq!(run.status.code(), Some(1), "{told}");
    assert!(told.contains("store-07.tif: this is coil.tif renamed, and its notes cannot be given its name"), "{told}");
    assert!(told.contains("it is write-protected: take the protection off"), "{told}");
    assert!(out.join("flat/keg.tif").is_file() && of("coil").is_file() && !of("store-07").exists());
    protect(false);
    assert!(batch().status.success());
    assert!(fs::read_to_string(of("store-07")).unwrap().contains(BY_HAND) && !of("coil").exists());
    assert!(fs::read_to_string(of("again")).unwrap().contains("rescan-of = \"store-07\""));
}

/// Results of a coil and a keg, with words in the notes of both; then the keg lies under the coil's name, and another
/// negative, if there is one, under the keg's.
fn one_over_another(new: bool) -> (tempfile::TempDir, tempfile::TempDir, [(std::path::PathBuf, String); 2]) {
    let (folder, top) = (folder_of_sheets(&["coil.tif", "keg.tif"]), tempfile::tempdir().unwrap());
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    let notes = ["coil", "keg"].map(|name| {
        let path = out.join(format!("flat/{name}.notes.toml"));
        let set = dryside(&[&"notes", &"set", &path, &format!("subject=words of the {name}")]);
        assert!(set.status.success(), "{}", printed(&set));
        let text = fs::read_to_string(&path).unwrap();
        (path, text)
    });
    fs::rename(loft.join("keg.tif"), loft.join("coil.tif")).unwrap();
    if new {
        bench::sheet(&loft.join("keg.tif"), 0.7);
    }
    (folder, top, notes)
}

/// Neither run makes one of the two: what the first wrote would hide from the second whose words these are.
#[test]
fn a_scan_moved_over_another_is_told_in_every_run_and_so_is_what_took_its_name() {
    for new in [true, false] {
        let (folder, top, notes) = one_over_another(new);
        let out = top.path().join("out");
        for _ in 0..2 {
            let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]);
            let told = printed(&run);
            assert_eq!(run.status.code(), Some(1), "{told}");
            assert!(told.contains("coil.tif: this is the scan that its notes know as keg.tif"), "{told}");
            assert_eq!(
                told.contains("keg.tif: the notes under its name are of the scan that is coil.tif"),
                new,
                "{told}"
            );
            for (path, text) in &notes {
                assert_eq!(&fs::read_to_string(path).unwrap(), text);
            }
        }
    }
}

#[test]
fn shares_tell_it_whichever_comes_first() {
    for order in [["1/2", "2/2"], ["2/2", "1/2"]] {
        let (folder, top, notes) = one_over_another(true);
        let out = top.path().join("out");
        let share =
            |share: &str, pass: &str| dryside(&[&"batch", &folder.path(), &"--out", &out, &"--share", &share, &pass]);
        for number in order {
            assert!(share(number, "--measure-only").status.success());
        }
        for number in order {
            let run = share(number, "--no-sheet");
            let told = printed(&run);
            assert!(run.status.code() == Some(1) && told.contains("give scans and notes the same names"), "{told}");
        }
        for (path, text) in &notes {
            assert_eq!(&fs::read_to_string(path).unwrap(), text, "{order:?}");
        }
    }
}

/// The codes of a scan stand in notes with a slip by their letters, and a scan whose own notes have one is read for its
/// codes.
#[test]
fn notes_with_a_slip_hide_no_exchange() {
    for slip in [0, 1] {
        let (folder, top, notes) = one_over_another(true);
        let out = top.path().join("out");
        fs::write(&notes[slip].0, notes[slip].1.replacen("[shot]\n", "[shot]\nfilm = pan\n", 1)).unwrap();
        let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]);
        let told = printed(&run);
        assert!(run.status.code() == Some(1) && told.contains("give scans and notes the same names"), "{told}");
        let (path, text) = &notes[1 - slip];
        assert_eq!(&fs::read_to_string(path).unwrap(), text, "{told}");
    }
}

/// What stands in the way of the check holds up what it guards, and nothing else.
#[cfg(unix)]
#[test]
fn where_notes_cannot_be_looked_through_only_scans_that_are_as_noted_are_made() {
    let folder = folder_of_sheets(&["coil.tif", "keg.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let batch = || dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]);
    assert!(batch().status.success());
    let coil = out.join("flat/coil.notes.toml");
    let before = fs::read_to_string(&coil).unwrap();
    bench::sheet(&loft.join("coil.tif"), 0.7);
    // A folder by the name of notes cannot be read as such, whoever asks.
    fs::create_dir(out.join("flat/sail.notes.toml")).unwrap();
    let run = batch();
    let told = printed(&run);
    assert_eq!(run.status.code(), Some(1), "{told}");
    assert!(told.contains("coil.tif: whether the notes under its name are its own cannot be told"), "{told}");
    assert!(told.contains("sail.notes.toml") && told.matches("cannot be told").count() == 1, "{told}");
    assert_eq!(fs::read_to_string(&coil).unwrap(), before);
    fs::remove_dir(out.join("flat/sail.notes.toml")).unwrap();
    assert!(batch().status.success());
}

/// In one run or in shares: what is written under one name would tell of another negative.
#[test]
fn scans_that_exchanged_their_names_are_told_by_shares_as_by_one_run() {
    let folder = folder_of_sheets(&["coil.tif", "keg.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    assert!(dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]).status.success());
    write_by_hand(&out.join("flat/coil.notes.toml"));
    let before = fs::read_to_string(out.join("flat/coil.notes.toml")).unwrap();
    fs::rename(loft.join("coil.tif"), top.path().join("aside.tif")).unwrap();
    fs::rename(loft.join("keg.tif"), loft.join("coil.tif")).unwrap();
    fs::rename(top.path().join("aside.tif"), loft.join("keg.tif")).unwrap();
    let share = |share: &str, pass: &str| dryside(&[&"batch", &loft, &"--out", &out, &"--share", &share, &pass]);
    for number in ["1/2", "2/2"] {
        assert!(share(number, "--measure-only").status.success());
    }
    for number in ["1/2", "2/2"] {
        let run = share(number, "--no-sheet");
        let told = printed(&run);
        assert!(run.status.code() == Some(1) && told.contains("the scan that its notes know as"), "{told}");
    }
    let told = printed(&dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet"]));
    assert_eq!(told.matches("the scan that its notes know as").count(), 2, "{told}");
    assert_eq!(fs::read_to_string(out.join("flat/coil.notes.toml")).unwrap(), before);
}

/// Its words would stand under the new negative, and the renamed scan would get new notes.
#[test]
fn a_renamed_scan_whose_name_another_negative_took_is_told_and_no_words_go_astray() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let top = tempfile::tempdir().unwrap();
    let (loft, out) = (folder.path(), top.path().join("out"));
    let batch = |more: &str| dryside(&[&"batch", &loft, &"--out", &out, &"--no-sheet", &more]);
    assert!(batch("--jobs=1").status.success());
    let notes = out.join("flat/coil.notes.toml");
    write_by_hand(&notes);
    let before = fs::read_to_string(&notes).unwrap();
    fs::rename(loft.join("coil.tif"), loft.join("store-07.tif")).unwrap();
    bench::sheet(&loft.join("coil.tif"), 0.7);
    let run = batch("--jobs=1");
    let told = printed(&run);
    assert!(run.status.code() == Some(1) && told.contains("are of the scan that is store-07.tif by now"), "{told}");
    assert!(told.contains("store-07.tif: its notes lie under the name of coil.tif"), "{told}");
    assert!(fs::read_to_string(&notes).unwrap() == before && !out.join("flat/store-07.notes.toml").exists());
    // The new one gets a name of its own: all is well.
    fs::rename(loft.join("coil.tif"), loft.join("store-08.tif")).unwrap();
    let run = batch("--jobs=1");
    assert!(run.status.success(), "{}", printed(&run));
    assert!(fs::read_to_string(out.join("flat/store-07.notes.toml")).unwrap().contains(BY_HAND));
    assert!(!fs::read_to_string(out.join("flat/store-08.notes.toml")).unwrap().contains(BY_HAND));
}
