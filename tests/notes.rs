//! Notes as a photographer keeps them, through the program.
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::{dryside, folder_of_sheets, printed};

/// A folder of one sheet, coil, worked through; and its notes.
fn made() -> (tempfile::TempDir, tempfile::TempDir, PathBuf) {
    let (scans, top) = (folder_of_sheets(&["coil.tif"]), tempfile::tempdir().unwrap());
    assert!(batch(scans.path(), top.path(), &[]).0);
    let notes = top.path().join("flat/coil.notes.toml");
    (scans, top, notes)
}

fn batch(scans: &Path, out: &Path, more: &[&str]) -> (bool, String) {
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &scans, &"--out", &out, &"--no-sheet"];
    words.extend(more.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
    let run = dryside(&words);
    (run.status.success(), printed(&run))
}

fn notes(words: &[&dyn AsRef<std::ffi::OsStr>]) -> (Option<i32>, String) {
    let run = dryside(&[&[&"notes" as &dyn AsRef<std::ffi::OsStr>], words].concat());
    (run.status.code(), printed(&run))
}

#[test]
fn forms_laid_in_the_evening_are_what_the_batch_takes_up_in_the_morning() {
    let top = tempfile::tempdir().unwrap();
    let scans = top.path().join("loft");
    let (status, told) =
        notes(&[&"new", &scans, &"--holders", &"7", &"--set", &"film=pan sheet 100", &"--set", &"date=2026-11-25"]);
    assert_eq!(status, Some(0), "{told}");
    assert!(
        told.contains("2 forms laid out") && told.contains("scan under the same names: holder-07a to holder-07b"),
        "{told}"
    );
    let file = top.path().join("loft-out/flat/holder-07a.notes.toml");
    let form = fs::read_to_string(&file).unwrap();
    for line in [
        "holder = \"7\"\n",
        "side = \"a\"\n",
        "film = \"pan sheet 100\"\n",
        "date = 2026-11-25\n",
        "# shutter = \"10m 20s\"\n",
    ] {
        assert!(form.contains(line), "{form}");
    }
    // Written in by hand, and once more laid out: nothing of it is lost.
    let by_hand = form.replace("# subject = \"coil of tarred rope\"", "subject = 'hank of twine' # wet");
    fs::write(&file, &by_hand).unwrap();
    let (_, told) = notes(&[&"new", &scans, &"holder-07a.tif", &"coil"]);
    assert!(told.contains("holder-07a: there already, kept as it is") && told.contains("1 form laid out"), "{told}");
    assert_eq!(fs::read_to_string(&file).unwrap(), by_hand);
    // The scans come.
    let sheets = folder_of_sheets(&["holder-07a.tif"]);
    fs::rename(sheets.path(), &scans).unwrap();
    let run = dryside(&[&"batch", &scans, &"--no-sheet"]);
    assert!(run.status.success(), "{}", printed(&run));
    let after = fs::read_to_string(&file).unwrap();
    assert!(after.starts_with(&by_hand) && after.contains("\n[scan]\n"), "{after}");
    let (_, told) = notes(&[&"show", &top.path().join("loft-out/holder-07a")]);
    assert!(told.contains("hank of twine") && told.contains("2026-11-25"), "{told}");
}

#[test]
fn forms_are_not_laid_for_names_that_are_none_or_with_fields_that_cannot_be() {
    let top = tempfile::tempdir().unwrap();
    let scans = top.path().join("loft");
    for (words, told) in [
        (vec!["a/b"], "\"a/b\" is no name of a scan"),
        (vec!["../coil"], "is no name of a scan"),
        (vec![".coil"], "is no name of a scan"),
        (vec![], "there are no scans yet: name the sheets"),
        (vec!["coil", "--set", "aperture=f/banana"], "\"f/banana\" is no aperture"),
        (vec!["--holders", "0"], "are no holders"),
    ] {
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"new", &scans];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let (status, said) = notes(&all);
        assert!(status == Some(2) && said.contains(told), "{words:?}: {said}");
    }
    assert!(!top.path().join("loft-out").exists(), "nothing was made");
}

#[test]
fn a_field_is_set_and_everything_else_stays_to_the_byte() {
    let (_scans, top, file) = made();
    let before = fs::read_to_string(&file).unwrap();
    let hand = before.replace("[shot]\n", "[shot]   # mine\naperture   = 'f/8'  # wide open\nplate = 3\n");
    let crlf = format!("\u{feff}{}", hand.replace('\n', "\r\n"));
    fs::write(&file, &crlf).unwrap();
    let (status, told) =
        notes(&[&"set", &top.path().join("coil"), &"aperture=f/22 1/2", &"readings.shadow.metered=2m"]);
    assert_eq!(status, Some(0), "{told}");
    let after = fs::read_to_string(&file).unwrap();
    let expected = crlf
        .replace("'f/8'", "\"f/22 1/2\"")
        .replace("plate = 3\r\n", "plate = 3\r\n\r\n[shot.readings]\r\nshadow = { metered = \"2m\" }\r\n");
    assert_eq!(after, expected);
    // And a batch keeps that, line ends and mark as well.
    let (well, told) = batch(_scans.path(), top.path(), &["--force"]);
    assert!(well, "{told}");
    let again = fs::read_to_string(&file).unwrap();
    let own = &expected[..expected.find("[scan]").unwrap()];
    assert!(again.starts_with(own) && !again.replace("\r\n", "").contains('\n'), "{again:?}");
    // Nothing is written when one of the fields cannot be.
    let (status, told) = notes(&[&"set", &file, &"film=pan", &"date=31.02."]);
    assert!(status == Some(2) && told.contains("date: \"31.02.\" is no date: write it as 2026-11-25"), "{told}");
    assert_eq!(fs::read_to_string(&file).unwrap(), again);
}

#[cfg(unix)]
#[test]
fn linked_notes_stay_a_link() {
    let (scans, top, file) = made();
    let real = top.path().join("coil.toml");
    fs::rename(&file, &real).unwrap();
    std::os::unix::fs::symlink(&real, &file).unwrap();
    assert!(batch(scans.path(), top.path(), &["--force", "--grade", "3"]).0);
    assert_eq!(notes(&[&"set", &file, &"film=pan"]).0, Some(0));
    assert!(file.is_symlink());
    let text = fs::read_to_string(&real).unwrap();
    assert!(text.contains("film = \"pan\"") && text.contains("grade = \"3\""), "{text}");
}

#[test]
fn a_wrong_field_is_told_with_its_place_and_keeps_nothing_from_being_made() {
    let (scans, top, file) = made();
    let text = fs::read_to_string(&file).unwrap();
    let hand = "[shot]\naperture = \"f/banana\"\nshutter = -4\ndate = \"31.02.\"\nsubject = \"coil\"\nspeed = nan\n";
    fs::write(&file, text.replace("[shot]\n", hand)).unwrap();
    let line = |what: &str| fs::read_to_string(&file).unwrap().lines().position(|l| l.starts_with(what)).unwrap() + 1;
    let (status, told) = notes(&[&"check", &top.path()]);
    assert_eq!(status, Some(1), "{told}");
    for (key, column, what) in [
        ("aperture", 12, "aperture: \"f/banana\" is no aperture: write it as f/22"),
        ("shutter", 11, "shutter: \"-4\" is no time"),
        ("date", 8, "date: \"31.02.\" is no date"),
        ("speed", 9, "speed: \"NaN\": write the speed as a number"),
    ] {
        assert!(told.contains(&format!("line {}, column {column}: {what}", line(key))), "{told}");
    }
    assert!(told.contains("1 notes file looked through: 1 with something that cannot be read"), "{told}");
    assert!(batch(scans.path(), top.path(), &["--force"]).0);
    assert!(fs::read_to_string(&file).unwrap().contains(hand), "what cannot be read is kept as well");
    // A mark as well, and notes that are named twice are one.
    fs::write(&file, format!("{text}\n[marks]\n1 = \"prnt\"\n")).unwrap();
    let (status, told) = notes(&[&"check", &file, &top.path().join("coil")]);
    assert!(status == Some(1) && told.contains("[marks] 1: \"prnt\" is no mark: use print, hold or skip"), "{told}");
    assert!(told.contains("1 notes file looked through: 1 with something that cannot be read"), "{told}");
    // A value that no field takes names the file.
    let (_, told) = notes(&[&"set", &file, &"date=31.02."]);
    assert!(told.contains("coil.notes.toml: date: \"31.02.\" is no date"), "{told}");
}

/// US Army SS0512 (bellows) and ILFORD film reciprocity leaflet (power law): 2 min on III is 30 s, x 2, x 2.25 is 135
/// s, and that ^ 1.31 is 10 min 18 s.
#[test]
fn what_is_written_is_held_against_the_sums() {
    let (_scans, top, file) = made();
    let frame = top.path().join("coil");
    let set = |fields: &[&str]| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"set", &frame];
        words.extend(fields.iter().map(|field| field as &dyn AsRef<std::ffi::OsStr>));
        let (status, told) = notes(&words);
        assert_eq!(status, Some(0), "{told}");
    };
    set(&["focal=300mm", "bellows=450mm", "factor=2", "reciprocity=1.31", "shutter=10m 20s"]);
    set(&[
        "readings.shadow.metered=2m",
        "readings.shadow.zone=III",
        "readings.highlight.metered=7.5s",
        "readings.highlight.zone=VII",
    ]);
    let (status, told) = notes(&[&"check", &file]);
    assert_eq!(status, Some(0), "{told}");
    for name in ["shadow", "highlight"] {
        assert!(
            told.contains(&format!("{name}: written 10 min 20 s, the sums give 10 min 18 s: they agree")),
            "{told}"
        );
    }
    // The correction forgotten, as it happens: it is told by how much.
    set(&["shutter=2m 15s"]);
    let (status, told) = notes(&[&"check", &file]);
    assert!(
        told.contains("written 2 min 15 s, the sums give 10 min 18 s: what is written is 2.19 stops less"),
        "{told}"
    );
    assert_eq!(status, Some(0), "it may be meant so");
    let (_, told) = notes(&[&"show", &file]);
    assert!(told.contains("bellows: (450/300)^2 = x 2.25") && told.contains("a start for your own tests"), "{told}");
    // A bellows shorter than the lens.
    set(&["bellows=200mm"]);
    let (status, told) = notes(&[&"check", &file]);
    assert!(status == Some(1) && told.contains("bellows of 200 mm is shorter than the focal length 300 mm"), "{told}");
}

/// ISO 517 (from memory): f/22 is exactly 2^(9/2), and half a stop beyond it 2^(19/4).
#[test]
fn notes_are_given_out_as_numbers_and_as_they_were_written() {
    let (_scans, top, file) = made();
    let frame = top.path().join("coil");
    let fields = ["aperture=f/22 1/2", "shutter=1/60", "development.remarks=fresh", "rating=3"];
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"set", &frame];
    words.extend(fields.iter().map(|field| field as &dyn AsRef<std::ffi::OsStr>));
    assert_eq!(notes(&words).0, Some(0));
    let csv = dryside(&[&"notes", &"export", &frame, &file, &top.path()]);
    let csv = String::from_utf8(csv.stdout).unwrap();
    let mut table = csv::Reader::from_reader(csv.as_bytes());
    let heads = table.headers().unwrap().clone();
    let rows: Vec<_> = table.records().collect::<Result<_, _>>().unwrap();
    let cell = |column: &str| &rows[0][heads.iter().position(|head| head == column).unwrap()];
    assert_eq!(rows.len(), 1, "named three times, and one row");
    assert_eq!(
        ["aperture", "shutter", "development_remarks", "rating"].map(cell),
        ["f/22 1/2", "1/60 s", "fresh", "3"]
    );
    let json = dryside(&[&"notes", &"export", &frame, &"--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let row = &json[0];
    assert!((row["aperture"].as_f64().unwrap() - 4.75f64.exp2()).abs() < 1e-9, "{row}");
    assert!((row["shutter"].as_f64().unwrap() - 1.0 / 60.0).abs() < 1e-12, "{row}");
    assert_eq!((row["aperture_written"].as_str(), row["shutter_written"].as_str()), (Some("f/22 1/2"), Some("1/60 s")));
    assert!(row["grade"].is_number() && row["grade_written"].is_string() && row["exposure"].is_number(), "{row}");
    assert!(row["factor"].is_null() && row["factor_written"].is_null(), "{row}");
    let found = |condition: &str| notes(&[&"find", &top.path(), &condition]).1;
    assert_eq!(found("shutter=1/60").trim(), frame.display().to_string());
    assert_eq!(found("rating>3").trim(), "");
    let (status, told) = notes(&[&"export", &top.path().join("coil-9")]);
    assert!(status == Some(2) && told.contains("there is no such frame, this scan has one frame"), "{told}");
}

#[test]
fn a_slip_is_told_with_line_and_column_and_the_file_is_left_alone() {
    let (scans, top, file) = made();
    for (hand, told) in [
        ("[shot]\nsubject = coil\n", "line 2, column 11"),
        (
            "[shot]\nfilm = 'a'\nlens = 'b'\nfilm = 'c'\n",
            "line 4, column 1: duplicate key: film stands twice in [shot]",
        ),
        ("[shot]\ndate = 2026-02-31\n", "line 2, column 8: invalid date"),
        ("[shot]\ndate = 2026-11\n", "a date without its day stands in quotes, as \"2026-11\""),
        ("[shot]\ndate = 31.02.2026\n", "write a date as 2026-11-25, year first"),
        (&format!("[shot]\ndeep = {}{}\n", "[".repeat(200), "]".repeat(200)), "lie too deep in one another"),
    ] {
        fs::write(&file, hand).unwrap();
        let (well, said) = batch(scans.path(), top.path(), &["--force"]);
        assert!(!well && said.contains(told), "{said}");
        let aside = top.path().join("measured/coil.tif.toml");
        assert!(said.contains("what was measured is in") && said.contains("coil.tif.toml until then"), "{said}");
        assert!(fs::read_to_string(&aside).unwrap().contains("codes_blake3"));
        let (status, said) = notes(&[&"check", &file]);
        assert!(status == Some(1) && said.contains(told), "{said}");
        let (status, said) = notes(&[&"set", &file, &"film=pan"]);
        assert!(status == Some(2) && said.contains(told), "{said}");
        assert_eq!(fs::read_to_string(&file).unwrap(), hand);
    }
    fs::write(&file, vec![b'#'; 50_000_000]).unwrap();
    let (well, said) = batch(scans.path(), top.path(), &[]);
    assert!(!well && said.contains("larger than 16 MB"), "{said}");
    assert_eq!(fs::metadata(&file).unwrap().len(), 50_000_000);
}

#[test]
fn notes_of_an_older_version_are_lifted_and_those_of_a_newer_left_alone() {
    let (scans, top, file) = made();
    let mut text = fs::read_to_string(&file).unwrap().replace("[shot]\n", "[shot]\nfilm = 'pan' # mine\n");
    for (older, grade) in [("", "2"), ("version = 0\n", "3")] {
        fs::write(&file, text.replace("version = 1\n", older)).unwrap();
        let (well, told) = batch(scans.path(), top.path(), &["--grade", grade]);
        assert!(well, "{told}");
        let lifted = fs::read_to_string(&file).unwrap();
        assert!(lifted.contains("\nversion = 1\n") && lifted.contains("[shot]\nfilm = 'pan' # mine\n"), "{lifted}");
        text = lifted;
    }
    let newer = text.replace("version = 1\n", "version = 2\n");
    fs::write(&file, &newer).unwrap();
    let (well, told) = batch(scans.path(), top.path(), &["--force"]);
    assert!(!well && told.contains("version 2, newer than this program knows"), "{told}");
    assert_eq!(notes(&[&"set", &file, &"film=ortho"]).0, Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), newer);
}

/// A sheet of base 0.20 in linear codes with two even patches: net 0.29 around 120,150 and 0.97 around 280,350.
fn sheet_of_patches(path: &Path, (shadow, light): (f64, f64)) {
    let density = |x: u32, y: u32| match (x.min(399 - x), y.min(499 - y)) {
        (0..=11, _) | (_, 0..=11) => 3.2,
        (12..=21, _) | (_, 12..=21) => 0.20,
        _ if (80..160).contains(&x) && (110..190).contains(&y) => 0.20 + shadow,
        _ if (240..320).contains(&x) && (310..390).contains(&y) => 0.20 + light,
        _ => 0.20 + 0.1 + 1.1 * f64::from(x + y) / 900.0,
    };
    let codes: Vec<u16> =
        (0..500).flat_map(|y| (0..400).map(move |x| (65_535.0 * 10f64.powf(-density(x, y))) as u16)).collect();
    let mut file = tiff::encoder::TiffEncoder::new(fs::File::create(path).unwrap()).unwrap();
    file.write_image::<tiff::encoder::colortype::Gray16>(400, 500, &codes).unwrap();
}

/// Zones of the published test (35 mm film, condenser): III 0.34, VII 0.97. The densities were drawn.
#[test]
fn what_was_placed_is_read_back_from_the_negative() {
    let top = tempfile::tempdir().unwrap();
    let scans = top.path().join("loft");
    fs::create_dir(&scans).unwrap();
    // II 0.21 is a zone below III, VIII 1.18 one above VII: exposed a stop less and developed to N+2, or as it should
    // be.
    for (name, patches) in [("coil", (0.29, 0.97)), ("drum", (0.34, 0.97)), ("hank", (0.21, 1.18))] {
        sheet_of_patches(&scans.join(format!("{name}.tif")), patches);
    }
    let run = dryside(&[&"batch", &scans, &"--encoding", &"linear", &"--no-sheet"]);
    assert!(run.status.success(), "{}", printed(&run));
    let out = top.path().join("loft-out");
    let fields: [&str; 7] = [
        "speed=100",
        "development.n=N",
        "readings.shadow.zone=III",
        "readings.shadow.at=120,150",
        "readings.highlight.zone=VII",
        "readings.highlight.at=280,350",
        "readings.sky.zone=IX",
    ];
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"set", &out];
    words.extend(fields.iter().map(|field| field as &dyn AsRef<std::ffi::OsStr>));
    assert_eq!(notes(&words).0, Some(0));
    let (status, told) = notes(&[&"zones", &out]);
    assert_eq!(status, Some(0), "{told}");
    assert!(told.contains("coil: shadow placed on III: 0.29"), "{told}");
    assert!(
        told.contains("found, 0.34 aimed: 0.05 D thin, as a third of a stop less exposure, reads as II 2/3"),
        "{told}"
    );
    assert!(told.contains("0.97 aimed: as aimed, reads as VII"), "{told}");
    let row = |name: &str| {
        let line = told.lines().find(|l| l.starts_with(&format!("{name} "))).unwrap_or_else(|| panic!("{told}"));
        line.split_whitespace().skip(1).map(str::to_owned).collect::<Vec<_>>()
    };
    // (0.29 - 0.34) / (0.34 - 0.21) is 0.38 of a zone.
    assert_eq!(row("coil")[..3], ["-0.4", "stop", "77"]);
    assert_eq!(row("drum"), ["+0.0", "stop", "100", "N+0.0", "N+0.0"]);
    assert_eq!(row("hank"), ["-1.0", "stop", "50", "N+0.0", "N+2.0"]);
    assert!(told.contains("coil: sky: it has no place: write where it is in the scan, at = [x, y]"), "{told}");
    assert!(told.contains("(3 pictures: too few to say how sure)") && told.contains("scanner densities"), "{told}");
    let plot = top.path().join("zones.svg");
    assert_eq!(notes(&[&"zones", &out, &"--plot", &plot]).0, Some(0));
    assert!(fs::read_to_string(&plot).unwrap().contains("<svg"));
    fs::write(&plot, "mine").unwrap();
    let (status, told) = notes(&[&"zones", &out, &"--plot", &plot]);
    assert!(status == Some(2) && told.contains("there already and is another"), "{told}");
    // Aims of one's own, by a flag and by the settings file.
    let own = "0.08 0.18 0.29 0.48 0.62 0.76 0.97 1.18 1.33";
    let (_, told) = notes(&[&"zones", &out.join("coil"), &"--zones", &own]);
    assert!(told.contains("0.29 aimed: as aimed") && told.contains("zones after aims of your own"), "{told}");
    fs::write(scans.join("dryside.toml"), format!("encoding = \"linear\"\nzones = \"{own}\"\n")).unwrap();
    assert!(notes(&[&"zones", &out.join("coil")]).1.contains("0.29 aimed: as aimed"));
    let (status, told) = notes(&[&"zones", &out, &"--zones", &"thin"]);
    assert!(status == Some(2) && told.contains("nine net densities"), "{told}");
    // A picture that is named twice counts once.
    let coil = out.join("coil");
    let (_, told) = notes(&[&"zones", &coil, &coil, &out.join("flat/coil.tif")]);
    assert!(
        told.matches("shadow placed on III").count() == 1 && told.contains("(one picture: no more than a hint)"),
        "{told}"
    );
    // By its own notes the shutter was open for half as long as the sums give: that is no film speed.
    let hank = out.join("hank");
    assert_eq!(notes(&[&"set", &hank, &"readings.shadow.metered=1s", &"shutter=1/8"]).0, Some(0));
    let (_, told) = notes(&[&"zones", &hank, &"--zones", &"condenser"]);
    assert!(told.contains("shadow placed on III and given 1 stop less: 0.21"), "{told}");
    assert!(
        told.contains("0.21 aimed for that: as aimed") && told.contains("shows the speed that the meter"),
        "{told}"
    );
    assert!(told.contains("highlight placed on VII and given 1 stop less: 1.18"), "{told}");
    // With a film that tires the difference is another for the film, and nothing is concluded.
    assert_eq!(notes(&[&"set", &hank, &"reciprocity=1.31", &"readings.shadow.metered=40s"]).0, Some(0));
    let (_, told) = notes(&[&"zones", &hank, &"--zones", &"condenser"]);
    assert!(told.contains("hank: shadow: another time is written than the sums give"), "{told}");
    // Beyond the table nothing is made up.
    let (_, told) = notes(&[&"zones", &coil, &"--zones", &"0.02 0.05 0.08 0.12 0.16 0.20 0.34 0.36 0.38"]);
    assert!(
        told.contains("coil: highlight: left out of speed and development: the table of zones does not reach there"),
        "{told}"
    );
    assert!(!told.contains("development meant"), "{told}");
    // Five zones are more than film or development do: the place is another.
    assert_eq!(notes(&[&"set", &coil, &"readings.highlight.zone=II"]).0, Some(0));
    let (_, told) = notes(&[&"zones", &coil, &"--zones", &"condenser"]);
    assert!(told.contains("coil: highlight: left out of speed and development: this is more than film"), "{told}");
    // Two places exchanged by a slip: nothing is concluded from such a picture.
    let drum = out.join("drum");
    assert_eq!(notes(&[&"set", &drum, &"readings.shadow.at=280,350", &"readings.highlight.at=120,150"]).0, Some(0));
    let (_, told) = notes(&[&"zones", &drum]);
    assert!(told.contains("drum: a higher zone is no denser than a lower one: check the places"), "{told}");
    assert!(!told.contains("development meant"), "{told}");
    // The pictures say what is written by now. Zones are for looking back: nothing is made again for them.
    assert!(dryside(&[&"batch", &scans, &"--encoding", &"linear", &"--no-sheet"]).status.success());
    fs::write(scans.join("dryside.toml"), "encoding = \"linear\"\nzones = \"condenser\"\n").unwrap();
    let run = dryside(&[&"batch", &scans, &"--encoding", &"linear", &"--no-sheet"]);
    assert_eq!(printed(&run).matches("up to date").count(), 3, "{}", printed(&run));
}

/// TOML as JSON; dates become words.
fn as_json(value: &toml::Value) -> serde_json::Value {
    match value {
        toml::Value::String(word) => word.as_str().into(),
        toml::Value::Integer(number) => (*number).into(),
        toml::Value::Float(number) => (*number).into(),
        toml::Value::Boolean(is) => (*is).into(),
        toml::Value::Datetime(date) => date.to_string().into(),
        toml::Value::Array(list) => list.iter().map(as_json).collect(),
        toml::Value::Table(table) => table.iter().map(|(key, value)| (key.clone(), as_json(value))).collect(),
    }
}

/// JSON Schema 2020-12, held by a library that knows nothing of dryside.
#[test]
fn the_demos_notes_and_every_example_are_valid_by_the_schema() {
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/notes.schema.json");
    let schema: serde_json::Value = serde_json::from_str(&fs::read_to_string(schema).unwrap()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let errors = |text: &str| -> Vec<String> {
        let json = as_json(&text.parse::<toml::Table>().unwrap().into());
        validator.iter_errors(&json).map(|e| format!("{}: {e}", e.instance_path())).collect()
    };
    let top = tempfile::tempdir().unwrap();
    let scans = bench::ropewalk();
    // Of all that can stand in notes: a place, a split, prints.
    let more = ["--place", "500,400=V", "--split", "00 -1, 5 -1"];
    assert!(batch(&scans, top.path(), &more).0);
    let frame = top.path().join("sheet-01");
    let print = dryside(&[&"print", &frame, &"--size", &"6x5cm", &"--ppi", &"100", &"--scans", &scans]);
    assert!(print.status.success(), "{}", printed(&print));
    for field in dryside::notes::FIELDS {
        let field = format!("{}={}", field.name.replace('*', "shadow"), field.example);
        assert_eq!(notes(&[&"set", &frame, &field]).0, Some(0), "{field}");
    }
    let read = |n: u32| fs::read_to_string(top.path().join(format!("flat/sheet-0{n}.notes.toml"))).unwrap();
    for n in 1..=6 {
        assert_eq!(errors(&read(n)), Vec::<String>::new(), "sheet {n}");
    }
    let text = read(1);
    assert!(text.contains("[[prints]]") && text.contains("[measured.spot]") && text.contains("keywords"), "{text}");
    // It can fail.
    for (from, to) in [
        ("[record]\n", "[record]\nmine = 3\n"),
        ("version = 1\n", "version = 2\n"),
        ("base_source = \"", "base_source = \"un"),
        ("focal = \"300mm\"", "focal = true"),
        ("number = 1\n", "number = \"one\"\n"),
    ] {
        assert!(text.contains(from), "{from}");
        assert!(!errors(&text.replacen(from, to, 1)).is_empty(), "{to}");
    }
    let form = top.path().join("new");
    assert_eq!(notes(&[&"new", &form, &"coil"]).0, Some(0));
    assert_eq!(
        errors(&fs::read_to_string(top.path().join("new-out/flat/coil.notes.toml")).unwrap()),
        Vec::<String>::new()
    );
}

#[cfg(unix)]
#[test]
fn several_notes_are_written_all_or_none() {
    let (_scans, top, file) = made();
    let before = fs::read_to_string(&file).unwrap();
    let wire = top.path().join("flat/wire.notes.toml");
    std::os::unix::fs::symlink("gone.toml", &wire).unwrap();
    let (status, told) = notes(&[&"set", &top.path(), &"film=pan sheet 100"]);
    assert!(status == Some(2) && told.contains("mend the link; none of them was written"), "{told}");
    assert_eq!(fs::read_to_string(&file).unwrap(), before);
    // Nor is a link that leads nowhere what was meant by another name.
    let (_, told) = notes(&[&"show", &top.path().join("wires")]);
    assert!(told.contains("there is no such frame") && !told.contains("did you mean"), "{told}");
    fs::remove_file(&wire).unwrap();
    fs::write(&wire, "[shot]\n").unwrap();
    assert_eq!(notes(&[&"set", &top.path(), &"film=pan sheet 100"]).0, Some(0));
    assert!([&file, &wire].iter().all(|path| fs::read_to_string(path).unwrap().contains("film = \"pan sheet 100\"")));
}

/// POSIX lets a system give a process no more than 20 open files (limits.h: _POSIX_OPEN_MAX); here it gives 64, fewer
/// than there are notes.
#[cfg(unix)]
#[test]
fn more_notes_are_written_together_than_the_system_opens_files() {
    let top = tempfile::tempdir().unwrap();
    fs::create_dir(top.path().join("flat")).unwrap();
    let all: Vec<PathBuf> = (1..=120).map(|n| top.path().join(format!("flat/coil-{n}.notes.toml"))).collect();
    all.iter().for_each(|path| fs::write(path, "[shot]\n").unwrap());
    let mut run = std::process::Command::new("sh");
    run.args(["-c", "ulimit -n 64 && exec \"$@\"", "sh", env!("CARGO_BIN_EXE_dryside"), "notes", "set"]);
    let run = run.arg(top.path()).arg("film=pan").output().unwrap();
    assert!(run.status.success(), "{}", printed(&run));
    assert!(all.iter().all(|path| fs::read_to_string(path).unwrap() == "[shot]\nfilm = \"pan\"\n"));
    assert_eq!(fs::read_dir(top.path().join("flat")).unwrap().count(), 120, "and nothing beside them");
}

#[test]
fn what_is_no_table_and_what_no_lens_has_is_told() {
    let (_scans, _top, file) = made();
    let program = fs::read_to_string(&file).unwrap();
    let program = &program[program.find("\n[scan]").unwrap()..];
    for (by_hand, said) in [
        ("shot = 3\n", "line 1, column 8: shot: it is no table: write the fields below a line [shot]"),
        (
            "[shot]\nreadings = 3\n",
            "line 2, column 12: readings: it is no table: write the fields below a line [shot.readings]",
        ),
        ("[shot]\nshadow = \"III\"\n", "shadow: it is no table"),
        ("[shot]\nmovements = { front = 2 }\n", "movements.front: it is no table"),
        ("marks = 3\n", "marks is no table: write [marks]"),
        ("[shot]\naperture = \"f/0.001\"\n", "\"f/0.001\" is no aperture"),
        ("[shot]\nfocal = \"1e9mm\"\n", "\"1e9mm\" is no length of a lens or a bellows"),
        ("[shot]\nspeed = 0\n", "write the speed as a number"),
        ("[shot]\nspeed = nan\n", "write the speed as a number"),
        ("[shot]\nshutter = 0\n", "\"0\" is no time"),
        ("[shot]\nshutter = \"-2s\"\n", "\"-2s\" is no time"),
        ("[shot]\naperture = \"f/banana\"\n", "\"f/banana\" is no aperture"),
        ("[shot]\ndate = \"2026-02-31\"\n", "2026-02-31"),
        ("[shot]\nrescan-of = \"rope\"\n", "rescan-of = \"rope\": there are no such notes"),
    ] {
        fs::write(&file, format!("{by_hand}\n{program}")).unwrap();
        let (status, told) = notes(&[&"check", &file]);
        assert!(status == Some(1) && told.contains(said), "{by_hand}{told}");
    }
    // A print of what is marked does not pass over marks that cannot be read.
    fs::write(&file, format!("marks = 3\n\n[shot]\n{program}")).unwrap();
    let run = dryside(&[&"print", &file, &"--marked", &"print", &"--size", &"4x5cm"]);
    assert!(run.status.code() == Some(1) && printed(&run).contains("marks is no table"), "{}", printed(&run));
}

#[test]
fn frames_are_found_by_times_with_their_unit_and_a_column_that_is_none_is_told_with_all_there_are() {
    let (_scans, top, file) = made();
    assert_eq!(notes(&[&"set", &file, &"shutter=1m30s", &"focal=12in"]).0, Some(0));
    let found = |condition: &str| notes(&[&"find", &top.path(), &condition]);
    for (condition, lines) in [
        ("shutter>1s", 1),
        ("shutter>=1m30s", 1),
        ("shutter<1/2", 0),
        ("shutter>2m", 0),
        ("focal_mm>11in", 1),
        ("focal_mm<300mm", 0),
    ] {
        let (status, told) = found(condition);
        assert!(status == Some(0) && told.lines().count() == lines, "{condition}: {told}");
    }
    let (status, told) = found("weather=fair");
    assert!(
        status == Some(2) && told.contains("is no column: there are scan, frame, ") && told.contains("rating"),
        "{told}"
    );
    assert!(found("shuter>1s").1.contains("did you mean shutter?"));
}

#[test]
fn forms_are_laid_beside_scans_and_nowhere_else() {
    let (scans, top, file) = made();
    let told = |folder: &Path| {
        let (status, told) = notes(&[&"new", &folder]);
        assert_eq!(status, Some(2), "{told}");
        told
    };
    assert!(told(&scans.path().join("coil.tif")).contains("this is a file: give the folder"));
    assert!(told(file.parent().unwrap()).contains("this lies in a folder of results"));
    assert!(told(top.path()).contains("these are results, and their scans have notes already"));
}

#[test]
fn each_film_has_a_speed_of_its_own() {
    let top = tempfile::tempdir().unwrap();
    let scans = top.path().join("loft");
    fs::create_dir(&scans).unwrap();
    for (name, patches) in [("coil", (0.29, 0.97)), ("hank", (0.21, 1.18))] {
        sheet_of_patches(&scans.join(format!("{name}.tif")), patches);
    }
    assert!(dryside(&[&"batch", &scans, &"--encoding", &"linear", &"--no-sheet"]).status.success());
    let out = top.path().join("loft-out");
    let shadow = ["readings.shadow.zone=III", "readings.shadow.at=120,150"];
    for (name, film) in [("coil", "film=pan sheet 100"), ("hank", "film=ortho sheet")] {
        assert_eq!(notes(&[&"set", &out.join(name), &film, &shadow[0], &shadow[1]]).0, Some(0));
    }
    let (_, told) = notes(&[&"zones", &out]);
    assert!(told.contains("pan sheet 100: shadows: the film shows 0.4 stop less speed"), "{told}");
    assert!(told.contains("ortho sheet: shadows: the film shows 1.0 stop less speed"), "{told}");
}
