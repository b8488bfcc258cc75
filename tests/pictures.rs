//! Overview pictures and dust maps, as their user orders them.

mod bench;

use std::fs;
use std::path::Path;

use bench::{dryside, files, notes, printed, ropewalk};
use tiff::encoder::{TiffEncoder, colortype::Gray16};

/// A sheet on a calm sky: a holder, a rebate of 0.20, a picture of 0.8 D that brightens a little, linear codes; and
/// eight specks on it, small, sharp and dark.
fn dusty_sheet(path: &Path) {
    const SPECKS: [(u32, u32); 8] =
        [(80, 90), (140, 260), (200, 120), (260, 400), (300, 200), (320, 80), (100, 420), (220, 300)];
    let (width, height) = (400u32, 500u32);
    let density = |x: u32, y: u32| match (x.min(width - 1 - x), y.min(height - 1 - y)) {
        (0..=11, _) | (_, 0..=11) => 3.2,
        (12..=31, _) | (_, 12..=31) => 0.20,
        _ if SPECKS.iter().any(|(u, v)| x.abs_diff(*u) < 2 && y.abs_diff(*v) < 2) => 2.2,
        _ => 0.8 + 0.4 * f64::from(y) / f64::from(height),
    };
    let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
    let code = |x, y| 65_535.0 * 10f64.powf(-density(x, y) - 0.01 * grain(x, y));
    let codes: Vec<u16> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y) as u16)).collect();
    let file = fs::File::create(path).expect("a file");
    TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(width, height, &codes)).expect("a TIFF");
}

#[test]
fn the_specks_of_a_drawn_sheet_are_counted_in_report_and_notes() {
    let (top, out) = bench_out();
    let scans = top.path().join("loft");
    fs::create_dir(&scans).unwrap();
    dusty_sheet(&scans.join("sky.tif"));
    let run = dryside(&[&"measure", &"--json", &"--encoding", &"linear", &scans.join("sky.tif")]);
    let report: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    let dust = &report["scans"][0]["frames"][0]["dust"];
    assert_eq!(dust["count"], 8, "{report}");
    // Nine pixels each, of a frame of 336 x 436.
    let share = dust["share"].as_f64().unwrap();
    assert!((share / (8.0 * 9.0 / (336.0 * 436.0)) - 1.0).abs() < 0.02, "{share}");
    assert!(dryside(&[&"batch", &scans, &"--out", &out, &"--encoding", &"linear"]).status.success());
    let frame = &notes(&out.join("flat/sky.notes.toml"))["measured"]["frames"][0];
    assert_eq!(frame["dust"].as_integer(), Some(8));
    assert!((frame["dust_share"].as_float().unwrap() - share).abs() < 1e-6);
}

fn bench_out() -> (tempfile::TempDir, std::path::PathBuf) {
    let top = tempfile::tempdir().expect("a folder");
    let out = top.path().join("out");
    (top, out)
}

#[test]
fn pictures_are_drawn_when_asked_for_of_scans_that_are_up_to_date_too() {
    let (_top, out) = bench_out();
    let scans = ropewalk();
    let before = files(&scans);
    assert!(dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet"]).status.success());
    assert!(!out.join("explain").exists() && !out.join("dust").exists(), "nobody asked for them");
    let made = files(&out.join("flat"));
    let run = dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet", &"--explain", &"--dust-map"]);
    assert!(run.status.success() && printed(&run).contains("up to date"), "{}", printed(&run));
    assert!(printed(&run).contains(&format!("pictures: {}", out.join("explain").display())));
    for n in 1..=6 {
        for folder in ["explain", "dust"] {
            let picture = image::open(out.join(folder).join(format!("sheet-0{n}.png"))).unwrap();
            assert_eq!(picture.color(), image::ColorType::L8);
            assert!(picture.width().max(picture.height()).abs_diff(1600) < 30, "{folder} {n}");
            let codes = picture.into_luma8();
            let white = codes.iter().filter(|code| **code == 255).count() as f64 / codes.len() as f64;
            assert!((0.05..0.6).contains(&white), "paper around a picture: {white}");
        }
    }
    assert_eq!((files(&out.join("flat")), files(&scans)), (made, before), "nothing else was written");
    // Again: the same bytes.
    let pictures = files(&out.join("explain"));
    assert!(dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet", &"--explain"]).status.success());
    assert_eq!(files(&out.join("explain")), pictures);
}

#[test]
fn a_picture_of_other_hands_is_left_alone_and_the_others_are_drawn() {
    let (_top, out) = bench_out();
    let folder = bench::folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let order = |more: &str| {
        dryside(&[&"batch", &folder.path(), &"--out", &out, &"--encoding", &"linear", &"--explain", &more])
    };
    fs::create_dir_all(out.join("explain")).unwrap();
    let theirs = out.join("explain/coil.png");
    fs::write(&theirs, b"a drawing").unwrap();
    let run = order("--no-sheet");
    assert_eq!(run.status.code(), Some(1));
    assert!(printed(&run).contains("coil.png: it was put there or changed by other hands"), "{}", printed(&run));
    assert_eq!(fs::read(&theirs).unwrap(), b"a drawing");
    assert!(image::open(out.join("explain/lantern.png")).is_ok() && out.join("flat/coil.tif").is_file());
    assert!(order("--force").status.success());
    assert!(image::open(&theirs).is_ok());
    // One of ours that somebody has drawn on is theirs.
    let mut drawn_on = image::open(&theirs).unwrap().into_luma8();
    drawn_on.put_pixel(5, 5, image::Luma([0]));
    drawn_on.save(&theirs).unwrap();
    assert_eq!(order("--no-sheet").status.code(), Some(1));
}

#[test]
fn a_dry_run_draws_nothing() {
    let (_top, out) = bench_out();
    let folder = bench::folder_of_sheets(&["coil.tif"]);
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out, &"--explain", &"--dust-map", &"--dry-run"]);
    assert!(run.status.success() && !out.exists());
}
