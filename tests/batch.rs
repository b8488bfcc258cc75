//! A batch as its user runs it.

mod bench;

use std::fs;

use bench::{dryside, files, folder_of_sheets, notes, printed, ropewalk, samples, sheet};

fn out() -> (tempfile::TempDir, std::path::PathBuf) {
    let top = tempfile::tempdir().expect("a folder");
    let out = top.path().join("out");
    (top, out)
}

#[test]
fn the_demo_becomes_flats_proofs_notes_a_table_and_a_sheet() {
    let (_top, out) = out();
    let before = files(&ropewalk());
    let run = dryside(&[&"batch", &ropewalk(), &"--out", &out]);
    assert!(run.status.success(), "{}", printed(&run));
    for n in 1..=6 {
        for file in
            [format!("flat/sheet-0{n}.tif"), format!("flat/sheet-0{n}.notes.toml"), format!("proof/sheet-0{n}.jpg")]
        {
            assert!(out.join(&file).is_file(), "{file}");
        }
    }
    let table = fs::read_to_string(out.join("batch.csv")).unwrap();
    assert_eq!(table.lines().count(), 7);
    assert!(fs::read(out.join("sheets/proof-sheet.pdf")).unwrap().starts_with(b"%PDF-"));
    assert!(out.join("sheets/proof-sheet-1.jpg").is_file());
    assert!(printed(&run).contains("6 scans, 6 frames"));
    assert_eq!(files(&ropewalk()), before, "no scan was touched");
}

/// The promise of the flat positive, held on a real file: scan codes and flat codes are read by the `tiff` library, the
/// formula is that of the notes, written out here again from CIE 15 and the flat law.
#[test]
fn net_density_comes_back_from_a_flat_positive_and_its_notes_within_half_a_code() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif"]);
    assert!(
        dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear", &"--no-sheet"]).status.success()
    );
    let notes = notes(&out.join("flat/coil.notes.toml"));
    let flat = &notes["flat"]["frames"][0];
    let number = |value: &toml::Value| value.as_float().or(value.as_integer().map(|i| i as f64)).unwrap();
    let (thin, dense) = (number(&flat["thin"]), number(&flat["dense"]));
    let (lo, hi) = (number(&notes["flat"]["lo"]), number(&notes["flat"]["hi"]));
    let base = number(&notes["measured"]["base"]);
    let slope = (hi - lo) / (dense - thin);
    let code_of = |net: f64| {
        let l = match net {
            n if n < thin => lo * (slope * (n - thin) / lo).exp(),
            n if n <= dense => lo + slope * (n - thin),
            n => 100.0 - (100.0 - hi) * (-slope * (n - dense) / (100.0 - hi)).exp(),
        };
        let y = if l > 8.0 { ((l + 16.0) / 116.0).powi(3) } else { l * 27.0 / 24_389.0 };
        65_535.0 * y.powf(1.0 / 2.2)
    };
    let area: Vec<usize> = flat["area"].as_array().unwrap().iter().map(|v| v.as_integer().unwrap() as usize).collect();
    let ((width, _), scan) = samples(&folder.path().join("coil.tif"));
    let (size, made) = samples(&out.join("flat/coil.tif"));
    assert_eq!((size.0 as usize, size.1 as usize), (area[2], area[3]));
    for (i, code) in made.iter().enumerate() {
        let (x, y) = (area[0] + i % area[2], area[1] + i / area[2]);
        let net = -(f64::from(scan[y * width as usize + x]) / 65_535.0).log10() - base;
        assert!((f64::from(*code) - code_of(net)).abs() <= 0.5 + 1e-6, "pixel {x}, {y}: net {net} became {code}");
        assert!((1..65_535).contains(code), "nothing is clipped");
    }
    assert_eq!(number(&flat["at_zero"]) + number(&flat["at_full_scale"]), 0.0);
}

#[test]
fn what_is_up_to_date_is_left_alone_and_what_a_person_wrote_survives() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out]);
    assert!(run().status.success());
    let path = out.join("flat/coil.notes.toml");
    let by_hand = "[shot]\nsubject = 'coil of tarred rope' # from the loft\n\n# my own words\nlens   = \"210 mm\"\n";
    let text = fs::read_to_string(&path).unwrap().replacen("[shot]\n", by_hand, 1);
    fs::write(&path, &text).unwrap();
    // What it says of the picture goes into the files.
    let told = printed(&run());
    assert_eq!((told.matches("up to date").count(), told.matches("  made").count()), (1, 1), "{told}");
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(by_hand), "{text}");

    let stamps = |what: &str| fs::metadata(out.join(what)).unwrap().modified().unwrap();
    let first = [stamps("flat/coil.tif"), stamps("proof/lantern.jpg")];
    let again = run();
    assert_eq!(printed(&again).matches("up to date").count(), 2, "{}", printed(&again));
    assert_eq!([stamps("flat/coil.tif"), stamps("proof/lantern.jpg")], first);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);

    for grade in ["3", "1 1/2", "4"] {
        assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--grade", &grade]).status.success());
        let now = fs::read_to_string(&path).unwrap();
        assert!(now.contains(by_hand) && now.contains(&format!("grade = \"{grade}\"")), "{now}");
    }
}

#[test]
fn a_forced_run_and_a_run_from_the_notes_make_the_same_files() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let run = |more: &str| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &"--no-sheet", &"--out", &out];
        let folder = folder.path();
        words.push(&folder);
        if !more.is_empty() {
            words.push(&more);
        }
        assert!(dryside(&words).status.success());
    };
    run("");
    let first = files(&out);
    run("--force");
    assert!(files(&out) == first, "measured again, nothing differs");
    // Measured numbers now come from the notes, the files are made again.
    fs::remove_file(out.join("flat/coil.tif")).unwrap();
    fs::remove_file(out.join("proof/lantern.jpg")).unwrap();
    run("");
    assert!(files(&out) == first, "made from the notes, nothing differs");
}

#[test]
fn a_flag_beats_the_notes_and_the_notes_beat_the_settings_file() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    fs::write(folder.path().join("dryside.toml"), "grade = 1\nexposure = 0.5\n").unwrap();
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out]).status.success());
    let path = out.join("flat/coil.notes.toml");
    let text =
        fs::read_to_string(&path).unwrap().replacen("[shot]\n", "[shot]\n\n[settings]\ngrade = 4 # hard light\n", 1);
    fs::write(&path, text).unwrap();
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--exposure", &"-1"]).status.success());
    let print = |scan: &str| {
        let notes = notes(&out.join(format!("flat/{scan}.notes.toml")));
        let frame = notes["print"]["frames"][0].clone();
        (frame["grade"].as_str().unwrap().to_owned(), frame["exposure"].as_float().unwrap(), notes)
    };
    let (grade, exposure, record) = print("coil");
    assert_eq!((grade.as_str(), exposure), ("4", -1.0));
    assert_eq!(record["record"]["decided_by"]["grade"].as_str(), Some("notes"));
    assert_eq!(record["record"]["decided_by"]["exposure"].as_str(), Some("flag"));
    assert_eq!(print("lantern").0, "1");
    assert_eq!(print("lantern").2["record"]["decided_by"]["grade"].as_str(), Some("settings"));
}

#[test]
fn common_and_matched_ends_keep_the_differences_between_frames() {
    let (top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let ends = |out: &std::path::Path, scan: &str| {
        let frame = notes(&out.join(format!("flat/{scan}.notes.toml")))["flat"]["frames"][0].clone();
        (frame["thin"].as_float().unwrap(), frame["dense"].as_float().unwrap())
    };
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--ends", &"each"]).status.success());
    let (coil, lantern) = (ends(&out, "coil"), ends(&out, "lantern"));
    assert_ne!(coil, lantern);
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--ends", &"common"]).status.success());
    let pair = (coil.0.min(lantern.0), coil.1.max(lantern.1));
    assert_eq!([ends(&out, "coil"), ends(&out, "lantern")], [pair, pair]);

    let other = top.path().join("other");
    let earlier = format!("match={}", out.join("flat/coil.notes.toml").display());
    let next = folder_of_sheets(&["float.tif"]);
    assert!(dryside(&[&"batch", &next.path(), &"--out", &other, &"--ends", &earlier]).status.success());
    assert_eq!(ends(&other, "float"), pair);
}

#[test]
fn a_scan_without_rebate_takes_the_base_of_the_batch_and_says_so() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let ((width, height), codes) = samples(&folder.path().join("coil.tif"));
    let cut: Vec<u16> = (60..height - 60)
        .flat_map(|y| (60..width - 60).map(move |x| (y * width + x) as usize))
        .map(|i| codes[i])
        .collect();
    let file = fs::File::create(folder.path().join("cut.tif")).unwrap();
    let mut encoder = tiff::encoder::TiffEncoder::new(file).unwrap();
    encoder.write_image::<tiff::encoder::colortype::Gray16>(width - 120, height - 120, &cut).unwrap();
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear"]);
    assert!(run.status.success());
    let cut = notes(&out.join("flat/cut.notes.toml"));
    assert_eq!(cut["measured"]["base_source"].as_str(), Some("batch"));
    // The sheets were made with a base of 0.20.
    assert!((cut["measured"]["base"].as_float().unwrap() - 0.20).abs() < 0.01);
    assert!(printed(&run).contains("base-of-batch"));
}

#[test]
fn frames_and_base_that_a_person_put_right_are_obeyed_and_kept() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif"]);
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet", &"--frames", &"2"]);
    assert!(printed(&run()).contains("frame-count"));
    let path = out.join("flat/coil.notes.toml");
    let before = notes(&path);
    let [x, y] = [&before["scan"]["width"], &before["scan"]["height"]].map(|v| v.as_integer().unwrap());
    let by_hand = format!(
        "[scan]\npicture = [[[20, 30], [{0}, {y}]], [[{0}, 30], [{x}, {y}]]] # two halves\nbase = 0.25\n",
        x / 2
    );
    fs::write(&path, fs::read_to_string(&path).unwrap().replacen("[scan]\n", &by_hand, 1)).unwrap();
    let second = run();
    assert!(second.status.success() && !printed(&second).contains("frame-count"), "{}", printed(&second));
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains("# two halves\nbase = 0.25\n"), "{text}");
    let after = notes(&path);
    assert_eq!(after["measured"]["base_source"].as_str(), Some("given"));
    assert_eq!(after["record"]["decided_by"]["base"].as_str(), Some("notes"));
    let frames = after["measured"]["frames"].as_array().unwrap();
    assert_eq!(frames.len(), 2);
    assert_eq!(frames[0]["corners"][0].as_array().unwrap()[1].as_float(), Some(30.0));
    assert_eq!(frames[1]["sides"][3].as_str(), Some("given"));
    assert!(out.join("flat/coil-2.tif").is_file());
    assert!(printed(&run()).contains("up to date"));

    fs::write(&path, text.replacen("[20, 30]", "[20, 99999]", 1)).unwrap();
    let wrong = run();
    assert_eq!(wrong.status.code(), Some(1));
    assert!(printed(&wrong).contains("outside the scan"), "{}", printed(&wrong));
}

#[test]
fn a_dry_run_writes_nothing() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif"]);
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--dry-run"]);
    assert!(run.status.success());
    assert!(printed(&run).contains("to measure and make") && !out.exists());
}

/// What is told is what a run then does: a scan that was only touched has the same base again, and the others stay.
#[test]
fn a_dry_run_tells_what_a_run_then_does() {
    let (_top, out) = out();
    let folder = folder_of_sheets(&["coil.tif", "keg.tif", "rope.tif", "tow.tif"]);
    let folder = folder.path();
    let batch = |more: &str| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &folder, &"--out", &out, &"--no-sheet"];
        let more: Vec<&str> = more.split_whitespace().collect();
        words.extend(more.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        printed(&dryside(&words))
    };
    batch("");
    assert!(batch("--dry-run").contains("4 scans: 4 up to date; nothing written"));
    let touched = fs::File::options().append(true).open(folder.join("coil.tif")).unwrap();
    touched.set_modified(std::time::SystemTime::now() + std::time::Duration::from_secs(60)).unwrap();
    let told = batch("--dry-run");
    assert!(told.contains("4 scans: 1 to measure and make, 3 up to date; nothing written"), "{told}");
    assert!(told.contains("may change the base of the batch"), "{told}");
    let done = batch("");
    assert_eq!((done.matches("up to date").count(), done.matches("  made").count()), (3, 1), "{done}");
    let told = batch("--dry-run --grade 3");
    assert!(told.contains("4 scans: 4 to make; nothing written") && !told.contains("may change"), "{told}");
    for name in ["coil.tif", "keg.tif", "rope.tif", "tow.tif"] {
        fs::write(folder.join(name), b"no scan").unwrap();
    }
    let told = batch("--dry-run");
    assert!(told.contains("4 scans: 4 failed (named below); nothing written"), "{told}");
}

/// Exif and resolution of a scan arrive in the flat positive; read back by the `kamadak-exif` library.
#[test]
fn what_the_scanner_wrote_into_the_file_stays_with_it() {
    let (_top, out) = out();
    assert!(dryside(&[&"batch", &ropewalk(), &"--out", &out, &"--no-sheet"]).status.success());
    let mut file = std::io::BufReader::new(fs::File::open(out.join("flat/sheet-05.tif")).unwrap());
    let facts = exif::Reader::new().read_from_container(&mut file).unwrap();
    let field = |tag| facts.get_field(tag, exif::In::PRIMARY).unwrap().display_value().to_string();
    assert_eq!(field(exif::Tag::Model), "\"Flatbed of the ropewalk\"");
    assert_eq!(field(exif::Tag::DateTime), "2026-03-14 10:05:00");
    assert_eq!(field(exif::Tag::XResolution), "207");
    assert_eq!(field(exif::Tag::ResolutionUnit), "inch");
}

#[test]
fn a_stronger_negative_prints_softer() {
    let folder = tempfile::tempdir().unwrap();
    sheet(&folder.path().join("hard.tif"), 1.3);
    sheet(&folder.path().join("soft.tif"), 0.6);
    let (_top, out) = out();
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear"]).status.success());
    let r =
        |scan: &str| notes(&out.join(format!("flat/{scan}.notes.toml")))["print"]["frames"][0]["r"].as_float().unwrap();
    // ISO 6846, introduction: paper range goes with negative range. 1.3 x 1.2 and 0.6 x 1.2 D.
    assert!(r("hard") > 150.0 && r("soft") < 80.0, "R {} and {}", r("hard"), r("soft"));
}

/// Some programs write into ImageDescription how the samples of their file lie; in another file that would be wrong.
#[test]
fn a_description_for_programs_is_not_handed_on() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let ((width, height), codes) = samples(&folder.path().join("coil.tif"));
    for (name, words) in [("words.tif", "coil of rope"), ("layout.tif", "{\"shape\": [500, 400]}")] {
        let file = fs::File::create(folder.path().join(name)).unwrap();
        let mut encoder = tiff::encoder::TiffEncoder::new(file).unwrap();
        let mut image = encoder.new_image::<tiff::encoder::colortype::Gray16>(width, height).unwrap();
        image.encoder().write_tag(tiff::tags::Tag::ImageDescription, words).unwrap();
        image.write_data(&codes).unwrap();
    }
    let (_top, out) = out();
    assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
    let description = |name: &str| {
        let file = fs::File::open(out.join("flat").join(name)).unwrap();
        let mut reader = tiff::decoder::Decoder::new(file).unwrap();
        reader.get_tag_ascii_string(tiff::tags::Tag::ImageDescription).ok()
    };
    assert_eq!(description("words.tif").as_deref(), Some("coil of rope"));
    assert_eq!(description("layout.tif"), None);
}

#[test]
fn open_light_at_full_scale_stays_up_to_date_too() {
    let folder = tempfile::tempdir().unwrap();
    let codes: Vec<u16> =
        (0..200 * 300u32).map(|i| if i % 7 == 0 { 65_535 } else { 2000 + (i % 30_000) as u16 }).collect();
    let file = fs::File::create(folder.path().join("bare.tif")).unwrap();
    let mut encoder = tiff::encoder::TiffEncoder::new(file).unwrap();
    encoder.write_image::<tiff::encoder::colortype::Gray16>(200, 300, &codes).unwrap();
    let (_top, out) = out();
    let run = || printed(&dryside(&[&"batch", &folder.path(), &"--out", &out]));
    assert!(run().contains("no-base"));
    assert!(run().contains("up to date"));
}

#[test]
fn a_given_base_is_kept_from_run_to_run() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let (_top, out) = out();
    let run = || printed(&dryside(&[&"batch", &folder.path(), &"--out", &out, &"--base", &"0.20035"]));
    assert!(run().contains("made"));
    for _ in 0..3 {
        assert!(run().contains("up to date"));
    }
}

#[test]
fn a_changed_scan_is_made_again() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let (_top, out) = out();
    let run = || printed(&dryside(&[&"batch", &folder.path(), &"--out", &out]));
    assert!(run().contains("made"));
    sheet(&folder.path().join("coil.tif"), 0.7);
    assert!(run().contains("made"));
    assert!(run().contains("up to date"));
}

/// Notes are a person's to write in: a path in them must not reach out of the results.
#[test]
fn a_path_in_the_notes_removes_nothing_outside_the_results() {
    let folder = folder_of_sheets(&["coil.tif"]);
    for relative in [true, false] {
        let (top, out) = out();
        assert!(dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet"]).status.success());
        let precious = top.path().join("precious.tif");
        fs::copy(out.join("flat/coil.tif"), &precious).unwrap();
        let path = out.join("flat/coil.notes.toml");
        let text = fs::read_to_string(&path).unwrap();
        let (begin, end) = (text.find("[[flat.frames]]").unwrap(), text.find("[print]").unwrap());
        let file = if relative { "../../precious.tif".to_owned() } else { precious.display().to_string() };
        let second = text[begin..end].replace("number = 1", "number = 2").replace("coil.tif", &file);
        fs::write(&path, format!("{}{second}{}", &text[..end], &text[end..])).unwrap();
        let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet", &"--grade", &"3"]);
        assert!(run.status.success(), "{}", printed(&run));
        assert!(precious.is_file(), "{file}");
    }
}

#[test]
fn a_tilted_frame_that_the_scan_cuts_is_up_to_date_the_second_time() {
    let (_top, out) = out();
    let folder = tempfile::tempdir().unwrap();
    let (width, height) = (420u32, 700u32);
    let density = |x: u32, y: u32| {
        let (u, v) = (f64::from(x) - 210.0, f64::from(y) - 350.0);
        let (sin, cos) = 0.9f64.to_radians().sin_cos();
        let (across, down) = (cos * u + sin * v, cos * v - sin * u);
        let inside = across.abs() < 208.0 && down.abs() < 330.0;
        0.2 + if inside { 0.6 + 0.3 * (across / 17.0).sin() + 0.2 * (down / 23.0).cos() } else { 0.0 }
    };
    let code = |x, y| (65_535.0 * 10f64.powf(-density(x, y))) as u16;
    let codes: Vec<u16> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect();
    let file = fs::File::create(folder.path().join("tilted.tif")).unwrap();
    let mut encoder = tiff::encoder::TiffEncoder::new(file).unwrap();
    encoder.write_image::<tiff::encoder::colortype::Gray16>(width, height, &codes).unwrap();
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out, &"--no-sheet", &"--encoding", &"linear"]);
    assert!(run().status.success());
    let again = run();
    assert!(printed(&again).contains("up to date"), "{}", printed(&again));
}
