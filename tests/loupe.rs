//! The loupe as its user holds it: crops against the flat positive, sharpness against edges of known blur.

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::pdf::{Kept, kept_pictures};
use bench::{dryside, printed, samples, scan_of};
use tiff::encoder::{TiffEncoder, colortype::Gray16};

/// A folder of scans with its results beside it.
struct Loft {
    top: tempfile::TempDir,
}

impl Loft {
    /// With a scan of these net densities, `size` pixels in a rebate of 40, at 1200 pixels an inch.
    fn new(size: (u32, u32), net: impl Fn(f64, f64) -> f64, orientation: u16) -> Self {
        let loft = Self { top: tempfile::tempdir().expect("a folder") };
        fs::create_dir(loft.scans()).expect("a folder");
        draw(&loft.scans().join("coil.tif"), size, net, orientation);
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

    fn look(&self, words: &[&str]) -> (String, Option<i32>) {
        let frame = self.out().join("coil");
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"loupe", &frame];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        (printed(&run), run.status.code())
    }

    /// The crops of its page, 16 bits deep.
    fn crops(&self) -> Vec<Kept> {
        let all = kept_pictures(&self.out().join("loupe/coil.pdf"));
        all.into_iter().filter(|picture| picture.bits == 16).collect()
    }
}

fn draw(path: &Path, (width, height): (u32, u32), net: impl Fn(f64, f64) -> f64, orientation: u16) {
    let (all_wide, all_high) = (width + 80, height + 80);
    // Chance without a seed to carry: a hash of the place (splitmix64's last steps, from memory), four of them added.
    let chance = |x: u32, y: u32| {
        let throw = |n: u64| {
            let n = (u64::from(x) << 32 | u64::from(y)).wrapping_add(n).wrapping_mul(0x9E37_79B9_7F4A_7C15);
            let n = (n ^ (n >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        };
        (1..=4).map(throw).sum::<f64>()
    };
    let code = |x: u32, y: u32| {
        let inside = (40..40 + width).contains(&x) && (40..40 + height).contains(&y);
        let net = if inside { net(f64::from(x) - 39.5, f64::from(y) - 39.5) } else { 0.0 };
        (65_535.0 * 10f64.powf(-0.2 - net - 0.02 * chance(x, y))).round() as u16
    };
    let codes: Vec<u16> = (0..all_high).flat_map(|y| (0..all_wide).map(move |x| code(x, y))).collect();
    scan_of(path, (all_wide, all_high), &codes, (1200, orientation));
}

/// A step from 0 to 1, blurred by a bell of this spread: its integral by the logistic curve of Bowling and others
/// (2009, from memory), off by 0.00014 at most.
fn step(away: f64, spread: f64) -> f64 {
    let z = away / spread;
    1.0 / (1.0 + (-0.070_56 * z * z * z - 1.5976 * z).exp())
}

/// Boards with edges five degrees askew every 130 pixels, as on the chart of ISO 12233 (common practice): in the left
/// half with a blur of 1.2 pixels, in the right one of 4.
fn boards(x: f64, y: f64) -> f64 {
    let spread = if x < 650.0 { 1.2 } else { 4.0 };
    let (sin, cos) = 5f64.to_radians().sin_cos();
    let across = (x * cos + y * sin) / 130.0;
    let (number, away) = (across.floor(), (across - across.floor() - 0.5) * 130.0);
    let tone = |n: f64| if n.rem_euclid(2.0) < 1.0 { 0.3 } else { 0.9 };
    // A calm lower part, so that grain shows.
    if y > 640.0 { 0.6 } else { tone(number) + (tone(number + 1.0) - tone(number)) * step(away, spread) }
}

fn upright(codes: &[u16], (width, height): (u32, u32), orientation: u16) -> (Vec<u16>, usize) {
    let (width, height) = (width as usize, height as usize);
    match orientation {
        // TIFF 6.0: row 0 is the right side, column 0 the top.
        6 => {
            let turned = (0..width).flat_map(|y| (0..height).map(move |x| codes[(height - 1 - x) * width + y]));
            (turned.collect(), height)
        }
        _ => (codes.to_vec(), width),
    }
}

#[test]
fn crops_are_pixels_of_the_flat_positive() {
    for orientation in [1, 6] {
        let loft = Loft::new((1300, 900), boards, orientation);
        let (said, status) = loft.look(&["--at", "700,500"]);
        assert_eq!(status, Some(0), "{said}");
        let (size, codes) = samples(&loft.out().join("flat/coil.tif"));
        let (flat, columns) = upright(&codes, size, orientation);
        let crops = loft.crops();
        assert_eq!(crops.len(), 1 + 2 + 4, "the place given, two sharp ones, the corners");
        let places: Vec<Option<(usize, usize)>> = crops.iter().map(|crop| crop.place_in(&flat, columns)).collect();
        assert!(places.iter().all(Option::is_some), "orientation {orientation}: {places:?}");
        // Corners lie within a little of those of the flat.
        let near = |x: usize, y: usize| places.iter().flatten().any(|p| p.0.abs_diff(x) < 12 && p.1.abs_diff(y) < 12);
        let (right, below) = (columns - crops[0].width, flat.len() / columns - crops[0].height);
        assert!(near(0, 0) && near(right, 0) && near(0, below) && near(right, below), "{places:?}");
    }
}

/// Closed form: the blur that was drawn comes back, where it was drawn, as the width of an edge from a tenth to nine
/// tenths of its way, 2.563 spreads (tables of the normal distribution); grain of 0.01 D a pixel lies over all.
#[test]
fn the_sharp_half_is_told_from_the_soft_one() {
    let loft = Loft::new((1300, 900), boards, 1);
    let (said, status) = loft.look(&[]);
    assert_eq!(status, Some(0), "{said}");
    let row: Vec<&str> = said.lines().find(|line| line.starts_with("coil")).unwrap().split_whitespace().collect();
    let blur = row[1].parse::<f64>().unwrap() / 2.563;
    assert!((blur - 1.2).abs() < 0.3, "{said}");
    // A tenth of the contrast is left at 0.3415 / blur cycles a pixel; a print carries half a cycle (computed).
    let size = |at: usize| row[at].parse::<f64>().unwrap();
    let shares = size(6) / size(2);
    assert!((shares - 0.683 / blur).abs() < 0.06, "{said}");
    assert!((size(2) - 1300.0 / 300.0 * 2.54).abs() < 0.2, "{said}");
    let (flat_size, flat) = samples(&loft.out().join("flat/coil.tif"));
    let crops = loft.crops();
    let places = crops.iter().filter_map(|crop| Some((crop.width, crop.place_in(&flat, flat_size.0 as usize)?.0)));
    let in_sharp_half = places.filter(|(width, x)| x + width / 2 < 650).count();
    assert_eq!(in_sharp_half, 4, "two corners and both of the sharpest");
}

#[test]
fn pages_of_the_loupe_stand_behind_a_proof_sheet() {
    let loft = Loft::new((1300, 900), boards, 6);
    let proof = |words: &[&str]| {
        let out = loft.out();
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"proof", &out, &"--loupe"];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        (printed(&run), run.status.code())
    };
    let (said, status) = proof(&[]);
    assert!(status == Some(0) && said.contains("1 frame on 3 pages"), "{said}");
    let (size, codes) = samples(&loft.out().join("flat/coil.tif"));
    let (flat, columns) = upright(&codes, size, 6);
    let crops = || {
        let all = kept_pictures(&loft.out().join("sheets/proof-sheet.pdf"));
        all.into_iter().filter(|picture| picture.bits == 16).collect::<Vec<_>>()
    };
    assert_eq!(crops().len(), 2, "two sharp places");
    assert!(crops().iter().all(|crop| crop.place_in(&flat, columns).is_some()), "pixels of the flat positive");
    // ISO 216 A4 at 200 pixels an inch.
    let page = image::open(loft.out().join("sheets/proof-sheet-3.jpg")).expect("a page").into_luma8();
    assert_eq!((page.width(), page.height()), (1654, 2339));
    assert!(proof(&[]).0.contains("up to date"));
    // A print stands in the notes and not on these pages.
    let (coil, scans) = (loft.out().join("coil"), loft.scans());
    let print = dryside(&[&"print", &coil, &"--scans", &scans, &"--size", &"4x3cm", &"--allow-upsampling"]);
    assert!(print.status.success(), "{}", printed(&print));
    assert!(proof(&[]).0.contains("up to date"));
    // Without its scan the page says so, and so does each run until it is back.
    let away = loft.top.path().join("away");
    fs::rename(loft.scans(), &away).expect("moved");
    for _ in 0..2 {
        let (said, status) = proof(&[]);
        assert!(status == Some(1) && said.contains("say where the scans are with --scans"), "{said}");
        assert!(said.contains("1 frame on 3 pages") && crops().is_empty(), "{said}");
    }
    let (said, status) = proof(&["--scans", &away.display().to_string()]);
    assert!(status == Some(0) && crops().len() == 2, "{said}");
    let (said, status) = proof(&["--page", "10x10cm"]);
    assert!(status == Some(2) && said.contains("10x10cm is too small for a look through the loupe: use"), "{said}");
}

#[test]
fn a_frame_without_detail_is_not_called_unsharp() {
    let loft = Loft::new((900, 700), |x, _| 0.4 + 0.0006 * x, 1);
    let (said, status) = loft.look(&[]);
    assert_eq!(status, Some(0), "{said}");
    let row: Vec<&str> = said.lines().find(|line| line.starts_with("coil")).unwrap().split_whitespace().collect();
    assert!(row[1] == "-" && row[6] == "-", "{said}");
    assert_eq!(loft.crops().len(), 4, "the corners are shown all the same");
}

#[test]
fn odd_frames_get_a_page_or_a_reason() {
    let loft = Loft { top: tempfile::tempdir().unwrap() };
    fs::create_dir(loft.scans()).unwrap();
    let codes: Vec<u16> = (0..1600u32).map(|i| (9000 + i % 40 * 700 + i / 40 * 90) as u16).collect();
    let file = fs::File::create(loft.scans().join("coil.tif")).unwrap();
    TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(40, 40, &codes)).unwrap();
    let run = dryside(&[&"batch", &loft.scans(), &"--no-sheet"]);
    assert!(run.status.success(), "{}", printed(&run));
    let (said, status) = loft.look(&[]);
    assert_eq!(status, Some(0), "{said}");
    assert!(!loft.crops().is_empty());
    let (said, status) = loft.look(&["--at", "20,20", "--at=-3,700"]);
    assert!(status == Some(1) && said.contains("coil: --at -3,700 lies outside its picture"), "{said}");
    let (said, status) = loft.look(&["--at", "somewhere"]);
    assert!(status == Some(2) && said.contains("two numbers of pixels"), "{said}");
    fs::write(loft.out().join("loupe/coil.pdf"), b"a note").unwrap();
    let (said, status) = loft.look(&[]);
    assert!(status == Some(1) && said.contains("changed by other hands"), "{said}");
    assert_eq!(loft.look(&["--force"]).1, Some(0));
    fs::remove_dir_all(loft.scans()).unwrap();
    let (said, status) = loft.look(&[]);
    assert!(status == Some(1) && said.contains("say where the scans are with --scans"), "{said}");
}
