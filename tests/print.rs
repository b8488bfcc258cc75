//! Prints at size as their user makes them, held against the closed-form paper and other libraries' readers.

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::{dryside, files, notes, printed, samples, scan_of, sheet};
use tiff::decoder::Decoder;
use tiff::encoder::{TiffEncoder, colortype::Gray16};
use tiff::tags::Tag;

/// A folder of scans with its results beside it.
struct Loft {
    top: tempfile::TempDir,
}

impl Loft {
    /// With the scan `coil.tif` that `draw` makes.
    fn new(draw: impl Fn(&Path)) -> Self {
        let loft = Self { top: tempfile::tempdir().expect("a folder") };
        fs::create_dir(loft.scans()).expect("a folder");
        draw(&loft.scans().join("coil.tif"));
        loft.batch();
        loft
    }

    fn scans(&self) -> PathBuf {
        self.top.path().join("loft")
    }

    fn out(&self) -> PathBuf {
        self.top.path().join("loft-out")
    }

    fn notes(&self) -> PathBuf {
        self.out().join("flat/coil.notes.toml")
    }

    fn batch(&self) {
        let run = dryside(&[&"batch", &self.scans(), &"--encoding", &"linear", &"--no-sheet"]);
        assert!(run.status.success(), "{}", printed(&run));
    }

    /// Prints the frame with further words; gives what was said and the exit status.
    fn print(&self, words: &str) -> (String, Option<i32>) {
        self.run(&self.out().join("coil"), words)
    }

    fn run(&self, frame: &Path, words: &str) -> (String, Option<i32>) {
        let words: Vec<&str> = words.split_whitespace().collect();
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"print", &frame];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        (printed(&run), run.status.code())
    }

    fn made(&self, file: &str) -> PathBuf {
        self.out().join("print").join(file)
    }
}

#[test]
fn prints_of_several_notes_or_of_a_folder_are_made_again() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    for name in ["keg", "lantern"] {
        sheet(&loft.scans().join(format!("{name}.tif")), 0.8);
    }
    loft.batch();
    let size = "--size 20x25mm --allow-upsampling";
    assert!(loft.print(size).1 == Some(0) && loft.run(&loft.out().join("keg"), size).1 == Some(0));
    let made = ["coil-20x25mm.tif", "keg-20x25mm.tif"].map(|file| loft.made(file));
    let before = made.each_ref().map(|file| fs::read(file).unwrap());
    let notes = |name: &str| loft.out().join(format!("flat/{name}.notes.toml"));
    let from = |named: &[&Path]| {
        let words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"print", &"--from"];
        dryside(
            &words.into_iter().chain(named.iter().map(|path| path as &dyn AsRef<std::ffi::OsStr>)).collect::<Vec<_>>(),
        )
    };
    // The lantern has no print, and that is no fault.
    for named in [&[loft.out()][..], &[notes("coil"), notes("lantern"), notes("keg")]] {
        made.iter().for_each(|file| fs::remove_file(file).unwrap());
        let run = from(&named.iter().map(PathBuf::as_path).collect::<Vec<_>>());
        assert!(run.status.success(), "{}", printed(&run));
        assert!(made.each_ref().map(|file| fs::read(file).unwrap()) == before, "to the byte");
    }
    let run = from(&[&notes("lantern")]);
    assert!(
        run.status.code() == Some(2) && printed(&run).contains("these notes tell of no print"),
        "{}",
        printed(&run)
    );
}

const BASE: f64 = 0.20;
/// Five patches side by side in the picture, net of base.
const PATCHES: [f64; 5] = [0.10, 0.34, 0.62, 0.97, 1.33];

/// A picture of five patches, 500 x 400 pixels in a rebate of 40, in linear codes at 200 pixels an inch. Turned: how
/// TIFF's Orientation says it must be turned.
fn patches(path: &Path, orientation: u16) {
    let (width, height) = (580u32, 480u32);
    let density = |x: u32, y: u32| {
        let inside = (40..540).contains(&x) && (40..440).contains(&y);
        BASE + if inside { PATCHES[((x - 40) / 100) as usize] } else { 0.0 }
    };
    // A little grain, so that no tone is a flat step.
    let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
    let code = |x, y| (65_535.0 * 10f64.powf(-density(x, y) - 0.004 * grain(x, y))).round() as u16;
    let codes: Vec<u16> = (0..height).flat_map(|y| (0..width).map(move |x| code(x, y))).collect();
    scan_of(path, (width, height), &codes, (200, orientation));
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().or(value.as_integer().map(|i| i as f64)).expect("a number")
}

/// Print density on the closed-form paper (logistic: Dmin 0.05, DN 2.05; k from R by the ISO 6846 end points, quoted),
/// written out here again.
fn on_paper(net: f64, r: f64, x0: f64) -> f64 {
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let k = (logit(0.9) - logit(0.04 / 2.05)) / (r / 100.0);
    0.05 + 2.05 / (1.0 + (-k * (x0 - net)).exp())
}

/// Reflection density of a 16-bit sRGB code (IEC 61966-2-1).
fn density_of(code: u16) -> f64 {
    let v = f64::from(code) / 65_535.0;
    -(if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }).log10()
}

/// From the scan's density to a tone of the file, held against the formulas of paper and encoding.
#[test]
fn a_print_has_the_tones_that_its_paper_gives_it() {
    let loft = Loft::new(|path| patches(path, 1));
    for (grade, exposure) in [("1", "0"), ("3", "1/3"), ("2.5", "-1/4")] {
        let words = format!("--size 5x4cm --ppi 200 --white paper --grade {grade} --exposure {exposure}");
        let (said, status) = loft.print(&words);
        assert_eq!(status, Some(0), "{said}");
        let noted = notes(&loft.notes());
        let print = noted["prints"].as_array().unwrap().last().unwrap().clone();
        let (base, r, x0) = (number(&print["base"]), number(&print["r"]), number(&print["x0"]));
        assert!((base - BASE).abs() < 0.005);
        let ((width, height), codes) = samples(&loft.made(print["file"].as_str().unwrap()));
        assert_eq!((width, height), (394, 315));
        for (i, patch) in PATCHES.iter().enumerate() {
            let x = (i as u32 * 2 + 1) * width / 10;
            let mean =
                (0..40).map(|d| density_of(codes[((height / 2 - 20 + d) * width + x) as usize])).sum::<f64>() / 40.0;
            let should = on_paper(patch + BASE - base, r, x0);
            assert!((mean - should).abs() < 0.006, "grade {grade}, patch {patch}: {mean} for {should}");
        }
    }
    let noted = notes(&loft.notes());
    let stops: Vec<f64> = noted["prints"].as_array().unwrap().iter().map(|p| number(&p["exposure"])).collect();
    assert_eq!(stops, [0.0, 1.0 / 3.0, -0.25]);
}

/// Where a tone lies on the closed-form paper with its exposure alone, from the ISO 6846 end points and R (quoted):
/// net density of a print density, for film base at x0.
fn net_of(density: f64, white: f64, black: f64, r: f64, x0: f64) -> f64 {
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let k = (logit(0.9) - logit(0.04 / (black - white))) / (r / 100.0);
    x0 - logit((density - white) / (black - white)) / k
}

/// Mean densities of the patches in a print.
fn patch_densities(path: &Path) -> Vec<f64> {
    let ((width, height), codes) = samples(path);
    let mean = |i: u32| {
        let x = (i * 2 + 1) * width / 10;
        (0..40).map(|d| density_of(codes[((height / 2 - 20 + d) * width + x) as usize])).sum::<f64>() / 40.0
    };
    (0..5).map(mean).collect()
}

impl Loft {
    /// Prints it 5 x 4 cm on the paper's own white; gives the file and what is noted of it.
    fn small(&self, words: &[&str]) -> (PathBuf, toml::Value) {
        let coil = self.out().join("coil");
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> =
            vec![&"print", &coil, &"--size", &"5x4cm", &"--ppi", &"200", &"--white", &"paper"];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        assert!(run.status.success(), "{}", printed(&run));
        // Under the head of the table.
        let said = printed(&run);
        let file = said.lines().nth(1).and_then(|row| row.split_whitespace().next()).expect("a row");
        let noted = notes(&self.notes());
        let mut prints = noted["prints"].as_array().expect("prints").iter();
        let print = prints.find(|print| print["file"].as_str() == Some(file)).expect("it is noted");
        (self.made(file), print.clone())
    }

    /// Makes all prints again, each to the byte.
    fn remade(&self) {
        let before = files(&self.out().join("print"));
        fs::remove_dir_all(self.out().join("print")).expect("they go");
        let run = dryside(&[&"print", &"--from", &self.notes()]);
        assert!(run.status.success() && !printed(&run).contains("not the same"), "{}", printed(&run));
        assert!(files(&self.out().join("print")) == before);
    }
}

/// ISO 6846 (quoted): T is Dmin + 0.04, S is Dmin + 0.90 DN. A place as a zone: even steps of L* from black to white, V
/// on the matt paper (D 0.07 and 1.55: L* 93.9 and 19.3, CIE 15) has L* 56.6, D 0.610 (by hand). 8 % less light
/// are 0.0362 in log exposure (arithmetic).
#[test]
fn a_print_is_placed_as_it_is_asked_on_the_paper_that_is_asked() {
    let loft = Loft::new(|path| patches(path, 1));
    let at = |words: &[&str], patch: usize| {
        let (file, print) = loft.small(&[&["--paper", "matt", "--grade", "2"], words].concat());
        assert_eq!(print["paper"].as_str(), Some("neutral matt"));
        (patch_densities(&file)[patch], print)
    };
    let (white, black) = (0.07, 1.55);
    let near = |(density, print): (f64, toml::Value), should: f64| {
        assert!((density - should).abs() < 0.012, "{density} for {should}: {print}");
    };
    near(at(&["--place", "highlights"], 4), white + 0.04);
    near(at(&["--place", "shadows"], 0), white + 0.9 * (black - white));
    // The middle of the third patch.
    let spot = at(&["--place", "290,240=V"], 2);
    assert_eq!(spot.1["place"].as_str(), Some("290,240=V"));
    assert!((number(&spot.1["spot"]) - PATCHES[2]).abs() < 0.006);
    near(spot, 0.610);
    let x0 = |words: &[&str]| number(&at(words, 0).1["x0"]);
    let (wet, dry) = (x0(&[]), x0(&["--dry-down", "8%"]));
    assert!((wet - dry - 0.0362).abs() < 2e-4, "{wet} {dry}");
    // Whatever the frame, film base at S: on the logistic paper that is at x0 of R 105.
    let (_, fixed) = loft.small(&["--place", "fixed", "--grade", "2"]);
    let s = net_of(0.05 + 0.9 * 2.05, 0.05, 2.10, 105.0, number(&fixed["x0"]));
    assert!(s.abs() < 1e-3, "{s}");
    loft.remade();
}

/// Two exposures add up as exposures: 10^(net density) of a tone is the sum of what each grade alone would print it at
/// (van Kreveld's law of addition, from memory). Grades are matched 0.60 above white in the band middles.
#[test]
fn a_split_print_adds_its_two_exposures() {
    let loft = Loft::new(|path| patches(path, 1));
    let (_, whole) = loft.small(&["--grade", "2"]);
    let (file, print) = loft.small(&["--grade", "2", "--split", "00 -1, 5 -1/2"]);
    assert_eq!(print["split"].as_str(), Some("00 -1, 5 -1/2"));
    let (white, black, base) = (0.05, 2.10, number(&print["base"]));
    let speed = |r: f64| net_of(white + 0.60, white, black, r, 0.0);
    // x0 of a part: on the grade's own scale, where the speed point is that of the whole.
    let part = |r: f64, stops: f64| {
        let x0 = number(&print["x0"]) + speed(number(&print["r"])) - speed(r) + stops * std::f64::consts::LOG10_2;
        move |density: f64| 10f64.powf(net_of(density, white, black, r, x0))
    };
    let (soft, hard) = (part(180.0, -1.0), part(57.5, -0.5));
    // The dense end prints at T (ISO 6846: 0.04 above white) where the parts are shares of one whole.
    let lightest = white + 0.04;
    let dense = net_of(lightest, white, black, number(&whole["r"]), number(&whole["x0"]));
    let beyond_whole = (0.5f64 + 0.5f64.sqrt()).log10();
    assert!(((soft(lightest) + hard(lightest)).log10() - beyond_whole - dense).abs() < 2e-3, "{dense}");
    for (patch, density) in PATCHES.iter().zip(patch_densities(&file)) {
        let (mut low, mut high) = (white + 1e-6, black - 1e-6);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let net = (soft(middle) + hard(middle)).log10();
            if net > patch + BASE - base { low = middle } else { high = middle }
        }
        assert!((density - low).abs() < 0.006, "patch {patch}: {density} for {low}");
    }
    loft.remade();
}

/// A paper and a table of one's own are kept in the notes: gone files are no matter, and changed ones are another
/// print.
#[test]
fn a_print_on_ones_own_paper_is_made_again_without_its_file() {
    let loft = Loft::new(|path| patches(path, 1));
    let (paper, table) = (loft.top.path().join("loft.paper.toml"), loft.top.path().join("loft.grades.toml"));
    let words = |dmax: f64| {
        format!(
            "format = \"dryside paper\"\nversion = 1\nname = \"of the loft\"\n\
             [dmin]\ndensity = 0.08\nsource = \"read\"\n[dmax]\ndensity = {dmax}\nsource = \"read\"\n\
             [shape]\nasymmetry = 1.0\nsource = \"house\"\n"
        )
    };
    let steps = [("00", 170), ("0", 150), ("1", 130), ("2", 110), ("3", 90), ("4", 70), ("5", 50)];
    let rows = steps.map(|(grade, r)| format!("[[grades]]\ngrade = \"{grade}\"\nr = {r}\nsource = \"read\"\n"));
    let head = "format = \"dryside grades\"\nversion = 1\nname = \"loft's\"\nsource = \"read\"\nspeed = \"matched\"\n";
    fs::write(&table, head.to_owned() + &rows.concat()).unwrap();
    fs::write(&paper, words(1.9)).unwrap();
    let asked =
        || loft.small(&["--paper", paper.to_str().unwrap(), "--grades", table.to_str().unwrap(), "--grade", "1"]);
    let (file, print) = asked();
    assert_eq!((print["paper"].as_str(), print["table"].as_str()), (Some("of the loft"), Some("loft's")));
    let (r, x0, base) = (number(&print["r"]), number(&print["x0"]), number(&print["base"]));
    assert_eq!(r, 130.0);
    for (patch, density) in PATCHES.iter().zip(patch_densities(&file)) {
        let net = net_of(density, 0.08, 1.9, r, x0);
        assert!((net - (patch + BASE - base)).abs() < 0.01, "patch {patch}: {net}");
    }
    assert_eq!(asked().0, file, "the same once more");
    fs::write(&paper, words(1.7)).unwrap();
    assert_ne!(asked().0, file, "another paper under its name");
    fs::remove_file(&paper).unwrap();
    fs::remove_file(&table).unwrap();
    loft.remade();
}

/// What was decided for the proof holds for the print, with the paper, until something else is asked.
#[test]
fn a_print_is_as_its_proof_unless_others_are_asked() {
    let loft = Loft::new(|path| patches(path, 1));
    let graded = "--paper matt --grades rc --place 290,240=V --dry-down 8% --exposure 1/3";
    let mut batch: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch"];
    let (scans, split) = (loft.scans(), "00 -1, 5 -1");
    batch.push(&scans);
    let words: Vec<&str> = "--encoding linear --no-sheet".split(' ').chain(graded.split(' ')).collect();
    batch.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
    batch.extend([&"--split" as &dyn AsRef<std::ffi::OsStr>, &split]);
    let run = dryside(&batch);
    assert!(run.status.success(), "{}", printed(&run));
    let (_, print) = loft.small(&[]);
    let proof = notes(&loft.notes());
    let (of_all, of_frame) = (&proof["print"], &proof["print"]["frames"][0]);
    for key in ["paper", "table", "place", "dry_down"] {
        assert_eq!(print[key], of_all[key], "{key}");
    }
    for key in ["grade", "r", "exposure", "x0"] {
        assert_eq!(print[key], of_frame[key], "{key}");
    }
    assert_eq!(print["split"], of_frame["split"]["exposures"]);
    assert_eq!(print["split_grade"], of_frame["split"]["equivalent"]);
    assert_eq!(print["split_r"], of_frame["split"]["r"]);
    let (_, plain) = loft.small(&["--split", "none", "--paper", "glossy", "--place", "highlights"]);
    assert!(plain.get("split").is_none() && plain.get("spot").is_none());
    assert_eq!((plain["paper"].as_str(), &plain["table"]), (Some("neutral glossy"), &of_all["table"]));
    loft.remade();
}

/// A scanner that reads every density a sixth too low: the print is that of the true ones, and made again it is the
/// same.
#[test]
fn a_calibrated_scan_is_printed_by_its_true_densities() {
    use dryside::notes::{WedgeFile, WedgeScan, WedgeStep};
    let loft = Loft::new(|path| patches(path, 1));
    let step = |i: u8| {
        let scanner = f64::from(i) * 0.25;
        WedgeStep { scanner, density: 1.2 * scanner, residual: None }
    };
    let scan = WedgeScan {
        file: "tablet.tif".into(),
        modified: "2026-03-14T10:00:00Z".into(),
        channel: None,
        encoding: "linear".into(),
        encoding_source: "given".into(),
    };
    let (program, tablet) = ("dryside".to_owned(), ("of the loft".to_owned(), 9));
    let wedge = WedgeFile { program, scan, tablet, steps: (0..9).map(step).collect() };
    let path = loft.top.path().join("tablet.wedge.toml");
    fs::write(&path, wedge.text()).unwrap();
    let run = dryside(&[&"batch", &loft.scans(), &"--encoding", &"linear", &"--no-sheet", &"--wedge", &path]);
    assert!(run.status.success(), "{}", printed(&run));
    let (said, status) = loft.print("--size 5x4cm --ppi 200 --white paper --grade 1");
    assert_eq!(status, Some(0), "{said}");
    let print = notes(&loft.notes())["prints"][0].clone();
    let (base, r, x0) = (number(&print["base"]), number(&print["r"]), number(&print["x0"]));
    assert!((base - 1.2 * BASE).abs() < 0.005, "{base}");
    let file = loft.made("coil-5x4cm.tif");
    let ((width, height), codes) = samples(&file);
    for (i, patch) in PATCHES.iter().enumerate() {
        let x = (i as u32 * 2 + 1) * width / 10;
        let mean = (0..40).map(|d| density_of(codes[((height / 2 - 20 + d) * width + x) as usize])).sum::<f64>() / 40.0;
        let should = on_paper(1.2 * (patch + BASE) - base, r, x0);
        assert!((mean - should).abs() < 0.006, "patch {patch}: {mean} for {should}");
    }
    let first = fs::read(&file).unwrap();
    fs::remove_file(&file).unwrap();
    assert!(dryside(&[&"print", &"--from", &loft.notes()]).status.success());
    assert!(fs::read(&file).unwrap() == first);
}

/// What the file says, read by the `tiff` library: 5 x 4 cm at 200 ppi are 394 x 315 pixels (arithmetic).
#[test]
fn a_print_says_how_large_it_is_and_what_its_codes_mean() {
    let loft = Loft::new(|path| patches(path, 1));
    assert_eq!(loft.print("--size 5x4cm --ppi 200").1, Some(0));
    let mut reader = Decoder::new(fs::File::open(loft.made("coil-5x4cm.tif")).unwrap()).unwrap();
    assert_eq!(reader.dimensions().unwrap(), (394, 315));
    assert_eq!(reader.get_tag_u32(Tag::ResolutionUnit).unwrap(), 2);
    assert_eq!(reader.get_tag_u32(Tag::Orientation).unwrap(), 1);
    assert_eq!(reader.get_tag_u32(Tag::BitsPerSample).unwrap(), 16);
    let tiff::decoder::ifd::Value::Rational(n, d) = reader.get_tag(Tag::XResolution).unwrap() else {
        panic!("no ratio")
    };
    assert_eq!(f64::from(n) / f64::from(d), 200.0);
    let icc = reader.get_tag_u8_vec(Tag::IccProfile).unwrap();
    assert_eq!(icc, dryside::light::grey_profile(&dryside::light::Encoding::Srgb));
    for (kind, ending) in [("jpeg", "jpg"), ("png", "png")] {
        assert_eq!(loft.print(&format!("--size 5x4cm --ppi 200 --as {kind}")).1, Some(0));
        let picture = image::open(loft.made(&format!("coil-5x4cm.{ending}"))).unwrap();
        assert_eq!((picture.width(), picture.height(), picture.color()), (394, 315, image::ColorType::L8));
    }
}

/// Reflection density 0.05 is sRGB 242 in 8 bits (colour-science 0.4.7); 5 mm at 200 ppi are 39 pixels (arithmetic).
#[test]
fn the_border_is_paper_white_or_the_files_own() {
    let loft = Loft::new(|path| patches(path, 1));
    for (n, white, code) in [("", "full", 255), ("-2", "paper", 242)] {
        let (said, status) = loft.print(&format!("--size 5x4cm --ppi 200 --border 5mm --as png --white {white}"));
        assert_eq!(status, Some(0), "{said}");
        let picture = image::open(loft.made(&format!("coil-5x4cm{n}.png"))).unwrap().into_luma8();
        let (width, height) = picture.dimensions();
        assert_eq!((width, height), (394, 315));
        for (x, y, pixel) in picture.enumerate_pixels() {
            let outside = x.min(width - 1 - x).min(y.min(height - 1 - y));
            assert!(outside >= 39 || pixel[0] == code, "{white}: {} at {x}, {y}", pixel[0]);
        }
        // Within, the thin patch, dark, from the left.
        assert!(picture.get_pixel(60, 150)[0] < 120);
    }
}

/// Exposure read back from the print itself, by the closed-form paper: in the middle none more, at the middle of a side
/// the amount, in a corner as much as two cards give, log2(1 + 2 (2^a - 1)).
#[test]
fn burnt_in_edges_get_the_exposure_that_was_asked_for() {
    let even = |path: &Path| {
        let grain = |x: u32, y: u32| f64::from((x * 7919 + y * 104_729 + x * y * 31) % 1009) / 1009.0 - 0.5;
        let inside = |x: u32, y: u32| (40..640).contains(&x) && (40..520).contains(&y);
        let net = |x: u32, y: u32| if inside(x, y) { 0.7 } else { 0.0 };
        let code = |x, y| (65_535.0 * 10f64.powf(-BASE - net(x, y) - 0.002 * grain(x, y))).round() as u16;
        let codes: Vec<u16> = (0..560).flat_map(|y| (0..680).map(move |x| code(x, y))).collect();
        let file = fs::File::create(path).expect("a file");
        TiffEncoder::new(file).and_then(|mut e| e.write_image::<Gray16>(680, 560, &codes)).expect("a TIFF");
    };
    let loft = Loft::new(even);
    for amount in [0.25, 1.0] {
        let words = format!("--size 5x4cm --ppi 200 --white paper --fill --grade 2 --edge-burn {amount}");
        assert_eq!(loft.print(&words).1, Some(0));
        let noted = notes(&loft.notes());
        let print = noted["prints"].as_array().unwrap().last().unwrap().clone();
        let (r, x0) = (number(&print["r"]), number(&print["x0"]));
        assert_eq!(number(&print["edge_burn"]), amount);
        let ((width, height), codes) = samples(&loft.made(print["file"].as_str().unwrap()));
        // Stops by which the tone of a place lies beyond that of an even exposure: the one that prints its density.
        let stops = |x: u32, y: u32| {
            let around = (0..9).map(|i| codes[((y + i / 3) * width + x + i % 3) as usize]);
            let density = around.map(density_of).sum::<f64>() / 9.0;
            let (mut low, mut high) = (-1.0, 4.0);
            for _ in 0..50 {
                let middle: f64 = (low + high) / 2.0;
                let more = on_paper(0.7 - middle * std::f64::consts::LOG10_2, r, x0);
                if more < density { low = middle } else { high = middle }
            }
            low
        };
        let (across, down) = (width / 2, height / 2);
        let corner = (1.0 + 2.0 * (f64::exp2(amount) - 1.0)).log2();
        for (x, y, should) in [
            (across, down, 0.0),
            (0, down, amount),
            (width - 3, down, amount),
            (across, 0, amount),
            (across, height - 3, amount),
            (0, 0, corner),
            (width - 3, height - 3, corner),
        ] {
            // Grain of 0.002 D, and the base read to as much, are 0.01 stop; the nine pixels are not quite at the edge.
            assert!((stops(x, y) - should).abs() < 0.03, "{amount}: {} for {should} at {x}, {y}", stops(x, y));
        }
        // A third of the shorter side in, there is none.
        assert!(stops(height / 3 + 2, down).abs() < 0.02);
        let along: Vec<f64> = (0..across).step_by(8).map(|x| stops(x, down)).collect();
        assert!(along.windows(2).all(|w| w[1] < w[0] + 0.01), "{along:?}");
    }
}

/// Lab of a 16-bit sRGB colour through the `palette` library, from the D65 of its definition to the D50 of print by
/// Bradford's matrix.
fn lab(rgb: &[u16]) -> [f64; 3] {
    use palette::chromatic_adaptation::AdaptIntoUnclamped;
    use palette::white_point::{D50, D65};
    use palette::{IntoColor, Lab, Srgb, Xyz};
    let [r, g, b] = [rgb[0], rgb[1], rgb[2]].map(|code| f64::from(code) / 65_535.0);
    let at_d65: Xyz<D65, f64> = Srgb::new(r, g, b).into_color();
    let at_d50: Xyz<D50, f64> = at_d65.adapt_into_unclamped();
    let lab: Lab<D50, f64> = at_d50.into_color();
    [lab.l, lab.a, lab.b]
}

/// Pixel for pixel beside the neutral print: lightness stays within 0.5, white stays white, and the hue is the one
/// asked for.
#[test]
fn a_toned_print_keeps_its_lightness_and_its_white() {
    let loft = Loft::new(|path| patches(path, 1));
    let print = |words: &str, file: &str| {
        let (said, status) = loft.print(&format!("--size 5x4cm --ppi 100 --border 3mm {words}"));
        assert_eq!(status, Some(0), "{said}");
        loft.made(file)
    };
    let (size, neutral) = samples(&print("", "coil-5x4cm.tif"));
    let path = print("--tone warm", "coil-5x4cm-2.tif");
    let (toned_size, warm) = samples(&path);
    assert_eq!((toned_size, warm.len()), (size, 3 * neutral.len()));
    let mut strongest: f64 = 0.0;
    for (grey, rgb) in neutral.iter().zip(warm.chunks_exact(3)) {
        let ([l, ..], [toned, a, b]) = (lab(&[*grey; 3]), lab(rgb));
        assert!((toned - l).abs() < 0.1, "L* {l} became {toned}");
        assert!((-0.2..2.0).contains(&a) && (-0.2..6.5).contains(&b), "{a} {b} at L* {l}");
        strongest = strongest.max(b);
    }
    assert!(strongest > 5.0, "{strongest}");
    assert_eq!(warm[..3], [65_535; 3], "paper white");
    let icc = Decoder::new(fs::File::open(path).unwrap()).unwrap().get_tag_u8_vec(Tag::IccProfile).unwrap();
    assert_eq!(icc, dryside::light::srgb_profile());
    // In 8 bits, and with the paper's own white, which stays neutral too.
    let grey = image::open(print("--as png --white paper", "coil-5x4cm.png")).unwrap().into_luma8();
    let cool = image::open(print("--as png --white paper --tone cool", "coil-5x4cm-2.png")).unwrap().into_rgb8();
    for (grey, cool) in grey.pixels().zip(cool.pixels()) {
        let wide = |codes: [u8; 3]| codes.map(|code| u16::from(code) * 257);
        let ([l, ..], [toned, ..]) = (lab(&wide([grey[0]; 3])), lab(&wide(cool.0)));
        assert!((toned - l).abs() < 0.5, "L* {l} became {toned}");
    }
    assert_eq!(cool.get_pixel(0, 0).0, [242; 3]);
    let jpeg = image::open(print("--as jpeg --tone warm", "coil-5x4cm.jpg")).unwrap();
    assert_eq!(jpeg.color(), image::ColorType::Rgb8);
}

/// Across the edge of two patches: sharpened, the edge is steeper and overshoots on both sides; patches and border keep
/// their tone.
#[test]
fn a_print_is_sharpened_only_when_asked_and_only_at_its_edges() {
    let loft = Loft::new(|path| patches(path, 1));
    let row = |words: &str, file: &str| {
        let (said, status) = loft.print(&format!("--size 6x5cm --ppi 200 --border 5mm --grade 00 {words}"));
        assert_eq!(status, Some(0), "{said}");
        let ((width, height), codes) = samples(&loft.made(file));
        let at = (height / 2 * width) as usize;
        codes[at..at + width as usize].iter().map(|code| f64::from(*code)).collect::<Vec<_>>()
    };
    let plain = row("", "coil-6x5cm.tif");
    let sharp = row("--sharpen 1", "coil-6x5cm-2.tif");
    assert_eq!(plain.len(), 472);
    assert_eq!(sharp[..39], plain[..39], "the border");
    let steepest = |row: &[f64]| row[60..400].windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
    assert!(steepest(&sharp) > 1.3 * steepest(&plain), "{} for {}", steepest(&sharp), steepest(&plain));
    // 394 pixels of picture from 39 on: the middles of patches.
    for patch in 0..5 {
        let middle = 39 + 39 + 79 * patch;
        assert!((sharp[middle] - plain[middle]).abs() < 300.0, "patch {patch}");
    }
}

/// TIFF 6.0, Orientation 6: stored rows are columns from the right, so the thin patch, stored at the left, shows at the
/// top.
#[test]
fn a_scan_that_lies_on_its_side_is_printed_upright() {
    let loft = Loft::new(|path| patches(path, 6));
    assert_eq!(loft.print("--size 5x4cm --ppi 200").1, Some(0));
    let ((width, height), codes) = samples(&loft.made("coil-5x4cm.tif"));
    assert_eq!((width, height), (315, 394), "the sheet is turned to suit the picture");
    let row = |y: u32| codes[(y * width + width / 2) as usize];
    assert!(row(10) < row(120) && row(120) < row(380), "the thin end prints black");
}

#[test]
fn a_print_is_made_again_from_its_notes_to_the_byte() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    let (said, _) = loft.print("--size 24x30mm --ppi 300 --grade 3 --exposure -1/3");
    assert!(said.contains("made"), "{said}");
    let first = fs::read(loft.made("coil-24x30mm.tif")).unwrap();
    let text = fs::read_to_string(loft.notes()).unwrap();

    // The batch moves on to other decisions; the print's own stay.
    let batch =
        |grade: &str| dryside(&[&"batch", &loft.scans(), &"--encoding", &"linear", &"--no-sheet", &"--grade", &grade]);
    assert!(batch("1").status.success());
    fs::remove_file(loft.made("coil-24x30mm.tif")).unwrap();
    let again = |out: Option<&Path>| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"print", &"--from"];
        let notes = loft.notes();
        words.push(&notes);
        if let Some(out) = &out {
            words.extend([&"--out" as &dyn AsRef<std::ffi::OsStr>, out]);
        }
        printed(&dryside(&words))
    };
    let said = again(None);
    assert!(said.contains("made") && !said.contains("not the same"), "{said}");
    assert!(fs::read(loft.made("coil-24x30mm.tif")).unwrap() == first);
    assert!(again(None).contains("up to date"));
    let elsewhere = loft.top.path().join("wall");
    assert!(again(Some(&elsewhere)).contains("made"));
    assert!(fs::read(elsewhere.join("coil-24x30mm.tif")).unwrap() == first);
    let prints = |text: &str| text[text.find("[[prints]]").unwrap()..].to_owned();
    assert_eq!(prints(&fs::read_to_string(loft.notes()).unwrap()), prints(&text), "and the notes say what they said");
    // Noted before prints could be placed in other ways.
    let (batch, prints) = text.split_at(text.find("[[prints]]").unwrap());
    let old = prints.replacen("place = \"highlights\"\n", "", 1).replacen("dry_down = 0.0\n", "", 1);
    assert_eq!(old.lines().count() + 2, prints.lines().count());
    fs::write(loft.notes(), batch.to_owned() + &old).unwrap();
    fs::remove_dir_all(loft.out().join("print")).unwrap();
    assert!(again(None).contains("made"));
    assert!(fs::read(loft.made("coil-24x30mm.tif")).unwrap() == first);
}

#[test]
fn every_print_keeps_its_file_and_the_same_one_is_not_made_twice() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    let print = |more: &str| loft.print(&format!("--size 24x30mm --ppi 300 {more}")).0;
    assert!(print("").contains("coil-24x30mm.tif") && print("").contains("up to date"));
    assert!(print("--grade 4").contains("coil-24x30mm-2.tif"));
    let first = fs::read(loft.made("coil-24x30mm.tif")).unwrap();
    assert!(first != fs::read(loft.made("coil-24x30mm-2.tif")).unwrap());
    // Spotted by hand since.
    let mut spotted = first.clone();
    let at = spotted.len() / 2;
    spotted[at] ^= 0xff;
    fs::write(loft.made("coil-24x30mm.tif"), &spotted).unwrap();
    assert!(print("").contains("changed by hand, kept"));
    assert!(fs::read(loft.made("coil-24x30mm.tif")).unwrap() == spotted);
    assert!(print("--force").contains("made"));
    assert!(fs::read(loft.made("coil-24x30mm.tif")).unwrap() == first);
    // What the photographer wrote, and the program's other tables, are as they were.
    let text = fs::read_to_string(loft.notes()).unwrap();
    assert_eq!(text.matches("[[prints]]").count(), 2);
    loft.batch();
    assert_eq!(fs::read_to_string(loft.notes()).unwrap(), text);
}

#[test]
fn what_cannot_be_printed_is_told_in_one_line_with_what_to_do() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    for (words, status, told) in [
        ("--size 0x24cm", 2, "is no size of a sheet: give width and height"),
        ("--size 30x24", 2, "as 30x24cm"),
        ("", 2, "--size"),
        ("--size 3x2cm --ppi 0", 2, "use a number from 10 to 10000"),
        ("--size 3x2cm --sharpen 3", 2, "use a number from 0 to 2"),
        ("--size 3x2cm --tone sepia", 2, "use neutral, warm or cool, or points"),
        ("--size 3x2cm --edge-burn -1/4", 2, "use a number from 0 to 2 (stops"),
        ("--size 3x2cm --edge-burn 3", 2, "use a number from 0 to 2 (stops"),
        ("--size 3x2cm --grade 7", 2, "is no grade: use one of 00, 0, 1/2"),
        ("--size 3x2cm --exposure 9", 2, "use a number from -6 to 6"),
        ("--size 3x2cm --paper velvet", 2, "is no paper: use glossy, semi-matt, matt, or a file"),
        ("--size 3x2cm --paper velvet.toml", 1, "velvet.toml: no such paper"),
        ("--size 3x2cm --grades 7", 2, "is no table of grades: use bands, rc"),
        ("--size 3x2cm --place middle", 2, "use highlights, shadows, fixed, or X,Y=ZONE"),
        ("--size 3x2cm --place 1,1=V", 1, "coil: place: "),
        ("--size 3x2cm --dry-down 50%", 2, "use a number from 0 to 30"),
        ("--size 3x2cm --split 5-1,00-1", 2, "soft exposure comes first"),
        ("--size 3x2cm --fit --fill", 2, "cannot be used with"),
        ("--size 3x2cm --as gif", 2, "is no kind of picture file: use tiff (16 bits), jpeg or png"),
        // 356 x 456 pixels of picture at 300 ppi are 3.0 x 3.9 cm; a hair is masked off.
        ("--size 30x24cm", 1, "at this resolution it can be 3.0 x 3.8 cm large"),
    ] {
        let (said, code) = loft.print(words);
        assert!(code == Some(status) && said.contains(told), "{words}: {code:?} {said}");
    }
    assert!(!loft.out().join("print").exists() || files(&loft.out().join("print")).is_empty());
    assert_eq!(loft.print("--size 8x6cm --allow-upsampling").1, Some(0));
    let (said, code) = loft.run(&loft.out().join("lantern"), "--size 3x2cm");
    assert!(code == Some(2) && said.contains("no such frame"), "{said}");
    let (said, code) = loft.print(&format!("--size 2x2cm --out {}", loft.scans().display()));
    assert!(code == Some(1) && said.contains("stays as it is"), "{said}");
}

#[test]
fn a_flag_beats_the_notes_own_settings_and_those_beat_the_proof() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    let by_hand = "[settings]\ngrade = \"4\"\nexposure = \"-1/2\"\n";
    let noted = fs::read_to_string(loft.notes()).unwrap();
    let graded = |words: &str| {
        let (said, status) = loft.print(&format!("--size 20x25mm {words}"));
        assert_eq!(status, Some(0), "{said}");
        let print = notes(&loft.notes())["prints"].as_array().unwrap().last().unwrap().clone();
        (print["grade"].as_str().unwrap().to_owned(), number(&print["exposure"]))
    };
    let proof = notes(&loft.notes())["print"]["frames"][0]["grade"].as_str().unwrap().to_owned();
    assert_eq!(graded(""), (proof, 0.0));
    fs::write(loft.notes(), noted.replacen("[shot]\n", &format!("[shot]\n\n{by_hand}"), 1)).unwrap();
    assert_eq!(graded(""), ("4".to_owned(), -0.5));
    assert_eq!(graded("--grade 2 --exposure 1/4"), ("2".to_owned(), 0.25));
    assert!(fs::read_to_string(loft.notes()).unwrap().contains(by_hand));
}

#[test]
fn frames_of_one_scan_are_printed_one_or_all_and_the_scan_stays_as_it_is() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    let text = fs::read_to_string(loft.notes()).unwrap();
    let two = "[scan]\npicture = [[[22, 22], [378, 240]], [[22, 260], [378, 478]]]\n";
    fs::write(loft.notes(), text.replacen("[scan]\n", two, 1)).unwrap();
    loft.batch();
    let before = files(&loft.scans());
    let print = |frame: &str| loft.run(&loft.out().join(frame), "--size 20x12mm");
    assert_eq!(print("proof/coil-2.jpg").1, Some(0));
    assert!(loft.made("coil-2-20x12mm.tif").is_file() && !loft.made("coil-1-20x12mm.tif").exists());
    let (said, status) = print("coil");
    assert!(status == Some(0) && said.contains("coil-1-20x12mm.tif") && said.contains("up to date"), "{said}");
    let (said, status) = print("coil-3");
    assert!(status == Some(2) && said.contains("this scan has 2 frames"), "{said}");
    assert!(files(&loft.scans()) == before);
}

/// Every decision that is read back from the notes is held against what it can be.
#[test]
fn a_print_whose_notes_were_changed_is_told_by_its_file() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    assert_eq!(loft.print("--size 20x25mm --ppi 300").1, Some(0));
    let text = fs::read_to_string(loft.notes()).unwrap();
    let at = text.find("[[prints]]").unwrap();
    let code = text[at..].split("codes_blake3 = \"").nth(1).unwrap()[..8].to_owned();
    for (from, to, told) in [
        ("size = \"20x25mm\"", "size = \"0x25mm\"", "is no size of a sheet"),
        ("ppi = 300.0", "ppi = 0.0", "ppi 0 is not from 10"),
        ("ppi = 300.0", "ppi = nan", "ppi NaN is not from 10"),
        ("ppi = 300.0\n", "", "missing field `ppi`"),
        (
            "paper = \"neutral glossy\"",
            "paper = \"velvet\"",
            "there is no paper \"velvet\" here: there are neutral glossy, neutral semi-matt, neutral matt",
        ),
        ("table = \"ANSI", "table = \"BANSI", "there is no table of grades \"BANSI"),
        ("grade = \"1", "grade = \"9", "is no grade"),
        ("\nr = 1", "\nr = 2", "is no placing in grade"),
        ("\nx0 = ", "\nx0 = nan #", "is no placing in grade"),
        ("tone = \"neutral\"", "split = \"5, 00\"\ntone = \"neutral\"", "each with its stops"),
        ("tone = \"neutral\"", "paper_file = \"velvet\"\ntone = \"neutral\"", "its paper_file: "),
        ("tone = \"neutral\"", "tone = \"sepia\"", "is no tone"),
        ("white = \"full\"", "white = \"off\"", "use full or paper"),
        ("border = 0.0", "border = -3.0", "border -3 is not from 0"),
        ("exposure = 0.0", "exposure = 9.0", "exposure 9 is not from -6 to 6"),
        ("exposure = 0.0", "exposure = nan", "exposure NaN is not from -6 to 6"),
        ("dry_down = 0.0", "dry_down = 90.0", "dry_down 90 is not from 0 to 30"),
        ("edge_burn = 0.0", "edge_burn = 7.0", "edge_burn 7 is not from 0 to 2"),
        ("orientation = 1", "orientation = 9", "9 is no orientation"),
        ("channel = \"green\"", "channel = \"cyan\"", "cyan"),
        ("file = \"coil-20x25mm.tif\"", "file = \"../coil.tif\"", "is no name of a file"),
        (code.as_str(), "00000000", "made anew since: print the frame anew"),
        ("codes_blake3", "wedge = \"ab\"\ncodes_blake3", "another calibration, or without one"),
    ] {
        assert!(text[at..].contains(from), "{from}: {}", &text[at..]);
        fs::write(loft.notes(), format!("{}{}", &text[..at], text[at..].replacen(from, to, 1))).unwrap();
        let run = dryside(&[&"print", &"--from", &loft.notes()]);
        assert!(run.status.code() == Some(1) && printed(&run).contains(told), "{from}: {}", printed(&run));
        assert_eq!(files(&loft.out().join("print")).len(), 1, "{from}");
    }
}

#[test]
fn notes_that_do_not_suit_their_scan_are_refused() {
    let loft = Loft::new(|path| sheet(path, 1.0));
    let text = fs::read_to_string(loft.notes()).unwrap();
    let small = "--size 20x25mm";
    let told = |change: &dyn Fn()| {
        change();
        let (said, code) = loft.print(small);
        assert_eq!(code, Some(1), "{said}");
        fs::write(loft.notes(), &text).unwrap();
        said
    };
    let write = |from: &str, to: &str| {
        assert!(text.contains(from));
        fs::write(loft.notes(), text.replacen(from, to, 1)).unwrap();
    };
    assert!(told(&|| write("\nversion = 1", "\nversion = 2")).contains("use a newer dryside"));
    assert!(told(&|| write("[measured]", "[measure]")).contains("run dryside batch on the scans first"));
    let said = told(&|| write("[scan]\n", "[scan]\npicture = [[30, 30], [300, 400]]\n"));
    assert!(said.contains("picture was put right here since"), "{said}");
    assert!(told(&|| fs::write(loft.notes(), "prints = 3\n".to_owned() + &text).unwrap()).contains("list of prints"));

    // The scan is made anew under its name, a little darker: as long as before, and yet another.
    sheet(&loft.scans().join("coil.tif"), 0.95);
    let (said, code) = loft.print(small);
    assert!(code == Some(1) && said.contains("no longer the scan"), "{said}");
    assert!(said.contains("measure it anew with dryside batch"), "{said}");
    assert!(!loft.made("coil-20x25mm.tif").exists());
    loft.batch();
    assert_eq!(loft.print(small).1, Some(0));
    fs::remove_file(loft.scans().join("coil.tif")).unwrap();
    assert!(loft.print(small).0.contains("with --scans"));
}
