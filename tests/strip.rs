//! Test strips as their user makes them: each patch held against the print it promises, and against the closed-form
//! paper.

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::pdf::{Kept, kept_pictures};
use bench::{dryside, files, notes, printed, scan_of};
use tiff::encoder::{TiffEncoder, colortype::Gray16};

/// A folder of scans with its results beside it.
struct Loft {
    top: tempfile::TempDir,
}

const BASE: f64 = 0.20;

impl Loft {
    /// With a scan of these net densities, 500 x 400 pixels in a rebate of 40, at 200 pixels an inch.
    fn new(net: impl Fn(u32, u32) -> f64, orientation: u16) -> Self {
        let loft = Self { top: tempfile::tempdir().expect("a folder") };
        fs::create_dir(loft.scans()).expect("a folder");
        draw(&loft.scans().join("coil.tif"), net, orientation);
        let run = dryside(&[&"batch", &loft.scans(), &"--encoding", &"linear", &"--no-sheet"]);
        assert!(run.status.success(), "{}", printed(&run));
        loft
    }

    fn scans(&self) -> PathBuf {
        self.top.path().join("loft")
    }

    fn out(&self) -> PathBuf {
        self.top.path().join("loft-out")
    }

    fn run(&self, words: &[&str]) -> (String, Option<i32>) {
        let frame = self.out().join("coil");
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&words[0], &frame];
        all.extend(words[1..].iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        (printed(&run), run.status.code())
    }

    /// Makes a strip; gives what was said, and its pictures.
    fn strip(&self, words: &[&str]) -> (String, Vec<Kept>) {
        let (said, status) = self.run(&[&["strip"], words].concat());
        assert_eq!(status, Some(0), "{said}");
        (said, kept_pictures(&self.out().join("strip/coil.pdf")))
    }

    /// Prints the frame at a size in mm and gives its codes and their columns.
    fn print(&self, (width, height): (u32, u32), words: &[&str]) -> (Vec<u16>, usize) {
        let folder = tempfile::tempdir().expect("a folder");
        let (size, out) = (format!("{width}x{height}mm"), folder.path().display().to_string());
        let fixed = ["print", "--size", &size, "--as", "png", "--allow-upsampling", "--out", &out];
        let (said, status) = self.run(&[&fixed, words].concat());
        assert_eq!(status, Some(0), "{said}");
        let file = files(folder.path()).into_iter().next().expect("a print").0;
        let picture = image::open(file).expect("it opens").into_luma8();
        (picture.as_raw().iter().map(|code| u16::from(*code)).collect(), picture.width() as usize)
    }
}

fn draw(path: &Path, net: impl Fn(u32, u32) -> f64, orientation: u16) {
    let (width, height) = (580u32, 480u32);
    let density = |x: u32, y: u32| {
        let inside = (40..540).contains(&x) && (40..440).contains(&y);
        BASE + if inside { net(x - 40, y - 40) } else { 0.0 }
    };
    // A little grain, so that no two places are alike.
    let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
    let code = |x, y| (65_535.0 * 10f64.powf(-density(x, y) - 0.02 * grain(x, y))).round() as u16;
    let codes: Vec<u16> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect();
    scan_of(path, (width, height), &codes, (200, orientation));
}

/// Steps of net density side by side.
const STEPS: [f64; 5] = [0.10, 0.34, 0.62, 0.97, 1.33];

fn steps(x: u32, _: u32) -> f64 {
    STEPS[(x / 100) as usize]
}

/// The millimetres, at 300 pixels an inch, of which so many pixels are the rounded number.
fn millimetres(pixels: usize) -> u32 {
    (pixels as f64 * 25.4 / 300.0 - 0.043).ceil() as u32
}

/// The millimetres of the print that a grid is a part of, as they are told.
fn grid_print(said: &str) -> (u32, u32) {
    let words: Vec<&str> = said.lines().find(|line| line.starts_with("coil")).expect("a row").split("  ").collect();
    let size = words.iter().find(|word| word.ends_with(" mm")).expect("a size").trim_end_matches(" mm");
    let (width, height) = size.trim().split_once(" x ").expect("two sides");
    (width.parse().expect("a number"), height.parse().expect("a number"))
}

#[test]
fn every_patch_and_every_band_is_what_a_print_has_there() {
    for orientation in [1, 6] {
        let loft = Loft::new(steps, orientation);
        let (said, pictures) = loft.strip(&["--step", "1/2", "--steps", "5"]);
        let row = said.lines().find(|line| line.starts_with("coil")).expect("a row");
        assert_eq!(row.split_whitespace().nth(1), Some("1"), "{said}");
        assert!(pictures.iter().all(|picture| picture.bits == 8));
        assert_eq!(pictures.len(), 5 + 5 * 5);
        // Patches are the size that most pictures have.
        let size = |picture: &Kept| (picture.width, picture.height);
        let patch =
            size(pictures.iter().find(|p| pictures.iter().filter(|o| size(o) == size(p)).count() == 25).unwrap());
        let (patches, bands): (Vec<&Kept>, Vec<&Kept>) = pictures.iter().partition(|picture| size(picture) == patch);
        assert_eq!((patches.len(), bands.len()), (25, 5));
        let side = grid_print(&said);
        for (grade, exposure) in [("0", "-1"), ("1", "0"), ("1", "1/2"), ("2", "1"), ("1 1/2", "-1/2")] {
            let (print, columns) = loft.print(side, &["--grade", grade, "--exposure", exposure]);
            let found = patches.iter().filter(|patch| patch.place_in(&print, columns).is_some()).count();
            assert_eq!(found, 1, "orientation {orientation}, grade {grade}, {exposure}");
        }
        let stands = orientation == 1;
        let (mut wide, mut tall) = (bands[0].width, bands[0].height);
        if stands {
            wide = bands.iter().map(|band| band.width).sum();
        } else {
            tall = bands.iter().map(|band| band.height).sum();
        }
        for (i, exposure) in ["-1", "-1/2", "0", "1/2", "1"].iter().enumerate() {
            let (print, columns) = loft.print((millimetres(wide), millimetres(tall)), &["--exposure", exposure]);
            // A picture that is a little smaller than its sheet lies in the middle of it.
            let (left, top) = ((columns - wide) / 2, (print.len() / columns - tall) / 2);
            assert!(left < 6 && top < 6, "the same print, {said}");
            let at = |length: usize| (length as f64 * i as f64 / 5.0).round() as usize;
            let place = if stands { (left + at(wide), top) } else { (left, top + at(tall)) };
            let found = bands.iter().filter(|band| band.place_in(&print, columns) == Some(place)).count();
            assert_eq!(found, 1, "orientation {orientation}, band {exposure}");
        }
    }
}

/// Print density on the closed-form paper (logistic: Dmin 0.05, DN 2.05; k from R by the ISO 6846 end points, quoted),
/// written out here again.
fn on_paper(net: f64, r: f64, x0: f64) -> f64 {
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let k = (logit(0.9) - logit(0.04 / 2.05)) / (r / 100.0);
    0.05 + 2.05 / (1.0 + (-k * (x0 - net)).exp())
}

/// The code of a print's density on a screen: paper white and black at both ends (black point compensation after ISO
/// 18619, for one channel), then the curve of IEC 61966-2-1.
fn on_screen(density: f64) -> f64 {
    let (relative, black) = (10f64.powf(0.05 - density), 10f64.powf(-2.05));
    let y = (relative - black) / (1.0 - black);
    255.0 * if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * y.powf(1.0 / 2.4) - 0.055 }
}

/// The f-stop strip: t = t0 2^(i s), a third of a stop more from band to band (published; closed form).
#[test]
fn bands_have_the_tones_of_the_closed_form_paper() {
    // Upper and lower half are the ends; between them, along every band, one grey.
    let net = |_: u32, y: u32| {
        if y < 60 {
            0.10
        } else if y >= 340 {
            1.27
        } else {
            0.72
        }
    };
    let loft = Loft::new(net, 1);
    let (_, pictures) = loft.strip(&[]);
    let kept = notes(&loft.out().join("flat/coil.notes.toml"));
    let frame = &kept["print"]["frames"][0];
    let (r, x0) = (frame["r"].as_float().unwrap(), frame["x0"].as_float().unwrap());
    let tallest = pictures.iter().map(|picture| picture.height).max().unwrap();
    let bands: Vec<&Kept> = pictures.iter().filter(|picture| picture.height == tallest).collect();
    assert_eq!(bands.len(), 7);
    let tone = |band: &Kept| {
        let (rows, inner) = (2 * band.height / 5..3 * band.height / 5, band.width / 4..3 * band.width / 4);
        let codes = rows.flat_map(|y| inner.clone().map(move |x| f64::from(band.codes[y * band.width + x])));
        let codes: Vec<f64> = codes.collect();
        codes.iter().sum::<f64>() / codes.len() as f64
    };
    let mut tones: Vec<f64> = bands.iter().map(|band| tone(band)).collect();
    tones.sort_by(|a, b| b.total_cmp(a));
    for (i, tone) in tones.iter().enumerate() {
        let expected = on_screen(on_paper(0.72, r, x0 + (i as f64 - 3.0) / 3.0 * 2f64.log10()));
        assert!((tone - expected).abs() < 1.0, "band {i}: {tone:.2}, expected {expected:.2}");
    }
}

#[test]
fn the_grid_lies_where_the_ends_meet_or_where_it_is_wanted() {
    let loft = Loft::new(steps, 1);
    let at = |said: &str| -> (f64, f64) {
        let word = said.split_whitespace().find(|word| word.contains(',') && word.len() < 9).expect("a place");
        let (x, y) = word.split_once(',').expect("two numbers");
        (x.parse().expect("a number"), y.parse().expect("a number"))
    };
    // The ends are at the left and at the right: only a window as wide as the frame holds both.
    let (said, _) = loft.strip(&[]);
    assert!((at(&said).0 - 290.0).abs() < 60.0, "{said}");
    let meeting =
        Loft::new(|x, y| if (300..340).contains(&x) && y > 300 { 1.33 } else { 0.1 + 0.0005 * f64::from(x) }, 1);
    let (said, _) = meeting.strip(&[]);
    let (x, y) = at(&said);
    assert!((300.0..460.0).contains(&x) && y > 280.0, "{said}");
    let (said, _) = meeting.strip(&["--at", "150,150"]);
    assert_eq!(at(&said), (150.0, 150.0), "{said}");
    let (said, status) = meeting.run(&["strip", "--at", "20,20"]);
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("coil: --at 20,20 lies outside its picture"), "{said}");
}

#[test]
fn a_strip_takes_what_a_print_takes_and_is_not_recorded() {
    let loft = Loft::new(steps, 1);
    let kept = loft.out().join("flat/coil.notes.toml");
    let before = fs::read(&kept).unwrap();
    let (said, pictures) =
        loft.strip(&["--split", "00 -1, 5 -1", "--paper", "matt", "--exposure", "1/3", "--page", "letter"]);
    assert!(said.contains("00 -1, 5 -1  +1/3") && said.contains("paper neutral matt"), "{said}");
    assert!(said.contains("make a test on your own paper"), "{said}");
    assert_eq!(pictures.len(), 7 + 35);
    let side = grid_print(&said);
    let words = ["--split", "00 -1, 5 -2/3", "--paper", "matt", "--exposure", "2/3"];
    let (print, columns) = loft.print(side, &words);
    let found = pictures.iter().filter(|picture| picture.place_in(&print, columns).is_some()).count();
    assert_eq!(found, 1, "the hard part a third more, a third of a stop more");
    // The print wrote itself into the notes, the strip did not.
    let after = fs::read_to_string(&kept).unwrap();
    assert!(after.as_bytes().starts_with(&before[..before.len() / 2]) && after.matches("[[prints]]").count() == 1);
    for (words, told) in [
        (["--steps", "4"], "an odd number from 3 to 11"),
        (["--step", "3"], "use stops from 0.1 to 2"),
        (["--page", "a0"], "is no page size: use 5x7, a5, 8x10, letter, a4"),
        (["--grade", "9"], "use one of 00"),
    ] {
        let (said, status) = loft.run(&[&["strip"][..], &words].concat());
        assert!(status == Some(2) && said.contains(told), "{said}");
    }
}

#[test]
fn files_of_other_hands_stay_and_the_programs_own_are_replaced() {
    let loft = Loft::new(steps, 1);
    loft.strip(&[]);
    let (pdf, png) = (loft.out().join("strip/coil.pdf"), loft.out().join("strip/coil.png"));
    let first = fs::read(&pdf).unwrap();
    assert!(png.exists());
    loft.strip(&["--grade", "3"]);
    let second = fs::read(&pdf).unwrap();
    assert!(first != second, "its own is replaced");
    for changed in [&pdf, &png] {
        let whole = fs::read(changed).unwrap();
        fs::write(changed, b"a note beside it").unwrap();
        let (said, status) = loft.run(&["strip"]);
        assert!(status == Some(1) && said.contains("changed by other hands"), "{said}");
        assert_eq!(fs::read(changed).unwrap(), b"a note beside it");
        fs::write(changed, whole).unwrap();
    }
    fs::write(&pdf, b"a note").unwrap();
    loft.strip(&["--force"]);
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF"));
}

#[test]
fn odd_frames_get_a_strip_or_a_reason() {
    // One colour all over, without base.
    let blank = Loft::new(|_, _| 0.5, 1);
    blank.strip(&[]);
    // 40 pixels.
    let loft = Loft { top: tempfile::tempdir().unwrap() };
    fs::create_dir(loft.scans()).unwrap();
    let codes: Vec<u16> = (0..1600u32).map(|i| (9000 + i % 40 * 700 + i / 40 * 90) as u16).collect();
    let file = fs::File::create(loft.scans().join("coil.tif")).unwrap();
    TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(40, 40, &codes)).unwrap();
    let run = dryside(&[&"batch", &loft.scans(), &"--no-sheet"]);
    assert!(run.status.success(), "{}", printed(&run));
    let (said, pictures) = loft.strip(&[]);
    assert!(pictures.len() == 42 && said.contains("fewer pixels than the patches"), "{said}");
    // The scan is away.
    fs::remove_file(loft.scans().join("coil.tif")).unwrap();
    let (said, status) = loft.run(&["strip"]);
    assert!(status == Some(1) && said.contains("say where the scans are with --scans"), "{said}");
    let (said, status) = loft.run(&["strip", "--out", &loft.scans().display().to_string()]);
    assert!(status == Some(1), "{said}");
}
