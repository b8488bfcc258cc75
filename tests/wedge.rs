//! Calibrating by a step tablet, as its user does it.

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::{dryside, notes, printed, ropewalk, samples};
use dryside::light::{Calibration, Density};
use dryside::notes::WedgeFile;
use tiff::encoder::{TiffEncoder, colortype::Gray16};

/// Stray light of this share of full light (arithmetic: D' = -log10((10^-D + f)/(1 + f))).
const STRAY: f64 = 0.003;
/// Open light on the scanner, of full scale.
const EXPOSURE: f64 = 0.94;

/// As the scanner reads a density: stray light and its exposure.
fn scanner(d: f64) -> f64 {
    -(EXPOSURE * (10f64.powf(-d) + STRAY) / (1.0 + STRAY)).log10()
}

/// A scan drawn from densities: stray light, the scanner's lens, noise, 16 linear bits.
struct Drawing {
    size: (u32, u32),
    exposure: f64,
    /// Standard deviation of the noise, in codes.
    noise: f64,
    /// Passes of a lens that spreads a point over three pixels.
    blur: usize,
}

impl Drawing {
    fn new(width: u32, height: u32) -> Self {
        Self { size: (width, height), exposure: EXPOSURE, noise: 14.0, blur: 2 }
    }

    fn save(&self, path: &Path, density: impl Fn(f64, f64) -> f64) {
        let (width, height) = (self.size.0 as usize, self.size.1 as usize);
        let light = |i: usize| {
            let d = density((i % width) as f64 + 0.5, (i / width) as f64 + 0.5);
            self.exposure * (10f64.powf(-d) + STRAY) / (1.0 + STRAY)
        };
        let mut light: Vec<f64> = (0..width * height).map(light).collect();
        for _ in 0..self.blur {
            for step in [1, width] {
                let sharp = light.clone();
                for i in step..light.len() - step {
                    light[i] = (sharp[i - step] + 2.0 * sharp[i] + sharp[i + step]) / 4.0;
                }
            }
        }
        // The sum of twelve even numbers is nearly normal, with a standard deviation of 1 (common practice); xorshift.
        let mut state = 88_172_645_463_325_252u64;
        let mut even = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let codes: Vec<u16> = light
            .into_iter()
            .map(|t| {
                let noise = (0..12).map(|_| even()).sum::<f64>() - 6.0;
                (65_535.0 * t + self.noise * noise).round().clamp(0.0, 65_535.0) as u16
            })
            .collect();
        let file = fs::File::create(path).expect("a file");
        TiffEncoder::new(file)
            .and_then(|mut e| e.write_image::<Gray16>(self.size.0, self.size.1, &codes))
            .expect("a TIFF");
    }
}

/// A step tablet of `densities` in the middle of a scan, density rising towards `degrees` clockwise from the right.
fn tablet(path: &Path, densities: &[f64], degrees: f64, around: f64) {
    tablet_on(&Drawing::new(0, 0), path, densities, degrees, around);
}

fn tablet_on(drawing: &Drawing, path: &Path, densities: &[f64], degrees: f64, around: f64) {
    let (wide, high) = (40.0, 110.0);
    let length = wide * densities.len() as f64;
    let upright = (degrees / 90.0).round() as i32 % 2 != 0;
    let size = (length as u32 + 160, 260);
    let size = if upright { (size.1, size.0) } else { size };
    let (sin, cos) = degrees.to_radians().sin_cos();
    let centre = (f64::from(size.0) / 2.0, f64::from(size.1) / 2.0);
    Drawing { size, ..*drawing }.save(path, |x, y| {
        let (x, y) = (x - centre.0, y - centre.1);
        let (along, across) = (x * cos + y * sin, -x * sin + y * cos);
        let step = ((along + length / 2.0) / wide).floor();
        let inside = across.abs() < high / 2.0 && (0.0..densities.len() as f64).contains(&step);
        if inside { densities[step as usize] } else { around }
    });
}

/// Step tablets begin at 0.05 and go in steps of 0.15 or 0.10 (laboratory test manual, read).
fn known(steps: usize) -> Vec<f64> {
    let apart = if steps == 21 { 0.15 } else { 0.10 };
    (0..steps).map(|i| 0.05 + apart * i as f64).collect()
}

fn calibrate(folder: &Path, more: &[&str]) -> (WedgeFile, String) {
    let run = wedge(folder, more);
    assert!(run.status.success(), "{}", printed(&run));
    let text = fs::read_to_string(folder.join("made/tablet.wedge.toml")).expect("it was written");
    (WedgeFile::parse(&text).expect("it is whole"), printed(&run))
}

fn wedge(folder: &Path, more: &[&str]) -> std::process::Output {
    let (scan, out) = (folder.join("tablet.tif"), folder.join("made"));
    let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"wedge", &scan, &"--out", &out];
    words.extend(more.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
    dryside(&words)
}

/// Largest error of the calibration over densities 0.05 to 2.5, none of them the tablet's own.
fn worst(file: &WedgeFile) -> f64 {
    let steps: Vec<_> = file.steps.iter().map(|s| (Density::new(s.scanner), Density::new(s.density))).collect();
    let calibration = Calibration::through(&steps).expect("it rises");
    let off = |d: f64| (calibration.density(Density::new(scanner(d))).value() - d).abs();
    (0..=245).map(|i| off(0.05 + 0.01 * f64::from(i) + 0.003)).fold(0.0, f64::max)
}

/// Stray light of 0.3 % makes D 1.00, 1.30, 2.00 and 3.00 read 0.988, 1.276, 1.887 and 2.399 (computed from the formula
/// above, and here to show that there is something to undo). Calibrated, densities up to 2.5 come back within 0.02, the
/// accuracy of a bench densitometer (makers' manuals, from memory).
#[test]
fn a_tablet_undoes_stray_light_whichever_way_round_it_lies() {
    let exposure = -EXPOSURE.log10();
    for (d, reads) in [(1.00, 0.988), (1.30, 1.276), (2.00, 1.887), (3.00, 2.399)] {
        assert!((scanner(d) - exposure - reads).abs() < 0.0005);
    }
    for (degrees, around) in [(0.0, 0.0), (91.7, 4.0), (178.2, 0.0), (269.0, 4.0), (2.0, 0.15)] {
        let folder = tempfile::tempdir().unwrap();
        tablet(&folder.path().join("tablet.tif"), &known(21), degrees, around);
        let (file, _) = calibrate(folder.path(), &["--encoding", "linear"]);
        assert_eq!((file.tablet.0.as_str(), file.steps.len()), ("21 x 0.15", 21), "{degrees}");
        let worst = worst(&file);
        assert!(worst < 0.02, "{worst} off at {degrees} degrees, {around} around");
    }
}

#[test]
fn the_number_of_steps_tells_which_tablet_it_is() {
    for (steps, around, reach) in [(31, 0.0, 3.05), (31, 4.0, 3.05), (41, 0.0, 3.2), (41, 4.0, 3.2)] {
        let folder = tempfile::tempdir().unwrap();
        tablet(&folder.path().join("tablet.tif"), &known(steps), 181.0, around);
        let (file, told) = calibrate(folder.path(), &["--encoding", "linear"]);
        assert_eq!(file.tablet, (format!("{steps} x 0.10"), steps));
        // With stray light of 0.3 % the steps beyond D 3.2 are 0.015 apart and less.
        assert!(file.steps.last().unwrap().density >= reach - 0.001, "{told}");
        assert!(worst(&file) < 0.02, "{steps} in {around}: {}", worst(&file));
    }
}

#[test]
fn a_tablet_of_its_own_densities_is_read_by_its_list() {
    let folder = tempfile::tempdir().unwrap();
    let own: Vec<f64> = (0..15).map(|i| 0.04 + 0.17 * f64::from(i) + 0.004 * f64::from(i * i % 5)).collect();
    tablet(&folder.path().join("tablet.tif"), &own, 90.5, 0.0);
    let list = folder.path().join("list.txt");
    let lines: String = own.iter().rev().map(|d| format!("{d:.3}\n")).collect();
    fs::write(&list, format!("# densest first\n{lines}")).unwrap();
    let (file, _) = calibrate(folder.path(), &["--encoding", "linear", "--densities", list.to_str().unwrap()]);
    assert_eq!(file.tablet, ("list.txt".to_owned(), 15));
    assert!(worst(&file) < 0.02, "{}", worst(&file));
    let plot = image::open(folder.path().join("made/tablet.wedge.png")).unwrap().into_luma8();
    // A4 at 200 pixels an inch (ISO 216: 210 x 297 mm).
    assert_eq!(plot.dimensions(), (1654, 2339));
}

fn refused(folder: &Path, more: &[&str], status: i32, what: &str) {
    let run = wedge(folder, more);
    let told = printed(&run);
    assert_eq!(run.status.code(), Some(status), "{told}");
    assert!(told.contains(what) && told.lines().count() == 1, "{told}");
    assert!(!folder.join("made/tablet.wedge.toml").exists() && !folder.join("made/tablet.wedge.png").exists());
}

#[test]
fn what_is_no_readable_tablet_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (folder, scan) = (folder.path(), folder.path().join("tablet.tif"));
    for sheet in ["sheet-01.tif", "sheet-04.tif"] {
        fs::copy(ropewalk().join(sheet), &scan).unwrap();
        refused(folder, &[], 1, "tablet.tif: no row of steps");
    }
    for flat in [0.0, 0.6, 9.0] {
        Drawing::new(600, 300).save(&scan, |_, _| flat);
        refused(folder, &["--encoding", "linear"], 1, "no row of steps");
    }
    // A smooth wedge has no steps, and 18 steps are no tablet.
    Drawing::new(900, 300).save(&scan, |x, _| x / 300.0);
    refused(folder, &["--encoding", "linear"], 1, "no row of steps");
    tablet(&scan, &known(31)[..18], 0.0, 0.0);
    refused(folder, &["--encoding", "linear"], 1, "18 steps are in it");
    tablet(&scan, &known(21), 0.0, 0.0);
    refused(folder, &["--encoding", "linear", "--steps", "31"], 1, "21 steps are in it, the tablet has 31");
    refused(folder, &["--encoding", "linear", "--steps", "17"], 2, "use 21, 31 or 41");
    // Codes read by the wrong curve: everything is twice as dense.
    refused(folder, &["--encoding", "gamma2.2"], 1, "or the scan's encoding with --encoding");
    tablet_on(&Drawing { exposure: 1.4, ..Drawing::new(0, 0) }, &scan, &known(21), 0.0, 4.0);
    refused(folder, &["--encoding", "linear"], 1, "step 1 is at the scanner's full scale: scan again, darker");
    // Step 9 is as dark as step 10 should be.
    let mut dirty = known(21);
    dirty[8] += 0.12;
    tablet(&scan, &dirty, 0.0, 0.0);
    refused(folder, &["--encoding", "linear"], 1, "off what the other steps say");
    let list = folder.join("list.csv");
    fs::write(&list, "0.05\n0.20\n0.35\n0.30\n0.5\n0.6\n").unwrap();
    refused(folder, &["--densities", list.to_str().unwrap()], 2, "density 4 of the list, 0.30, breaks the order");
}

#[test]
fn another_file_of_that_name_is_not_replaced_without_force() {
    let folder = tempfile::tempdir().unwrap();
    tablet(&folder.path().join("tablet.tif"), &known(21), 0.0, 0.0);
    let before = fs::read(folder.path().join("tablet.tif")).unwrap();
    calibrate(folder.path(), &["--encoding", "linear"]);
    calibrate(folder.path(), &["--encoding", "linear"]);
    let made = folder.path().join("made/tablet.wedge.toml");
    let by_hand = fs::read_to_string(&made).unwrap() + "# mine\n";
    fs::write(&made, &by_hand).unwrap();
    let run = wedge(folder.path(), &["--encoding", "linear"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(printed(&run).contains("--force") && fs::read_to_string(&made).unwrap() == by_hand);
    calibrate(folder.path(), &["--encoding", "linear", "--force"]);
    assert_ne!(fs::read_to_string(&made).unwrap(), by_hand);
    assert_eq!(fs::read(folder.path().join("tablet.tif")).unwrap(), before, "the scan is as it was");
}

#[test]
fn where_the_calibration_cannot_be_written_its_plot_alone_is_left() {
    let folder = tempfile::tempdir().unwrap();
    tablet(&folder.path().join("tablet.tif"), &known(21), 0.0, 0.0);
    // A folder that is not empty cannot be replaced by a file.
    let made = folder.path().join("made");
    fs::create_dir_all(made.join("tablet.wedge.toml/tray")).unwrap();
    let run = wedge(folder.path(), &["--encoding", "linear", "--force"]);
    assert_eq!(run.status.code(), Some(2), "{}", printed(&run));
    let left: Vec<_> = fs::read_dir(&made).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert!(left.len() == 2 && left.iter().any(|name| name.to_string_lossy().ends_with(".png")), "{left:?}");
    assert!(made.join("tablet.wedge.toml/tray").is_dir(), "what was there is there");
}

/// Densities of the negative's patches, base of 0.20 included: the thinnest and the densest each a tenth of the
/// picture.
const PATCHES: [f64; 10] = [0.35, 0.55, 0.80, 1.05, 1.30, 1.30, 1.55, 1.85, 2.15, 2.45];
const BASE: f64 = 0.20;

/// A patch's density at a place in the picture.
fn patch(x: f64, y: f64) -> f64 {
    let (column, row) = ((x / 50.0) as usize, (y / 50.0) as usize);
    PATCHES[(column * 7 + row * 3) % 10]
}

/// A sheet in a black holder: base, and a picture of patches.
fn negative(path: &Path) {
    let (width, height) = (560.0, 660.0);
    Drawing::new(560, 660).save(path, |x, y| match x.min(width - x).min(y.min(height - y)) {
        edge if edge < 14.0 => 4.0,
        edge if edge < 30.0 => BASE,
        _ => patch(x - 30.0, y - 30.0),
    });
}

/// A folder with a tablet's calibration in it, and one of scans whose settings file names it.
fn roll() -> (tempfile::TempDir, PathBuf) {
    let top = tempfile::tempdir().expect("a folder");
    tablet(&top.path().join("tablet.tif"), &known(21), 180.0, 0.0);
    let scans = top.path().join("scans");
    fs::create_dir(&scans).expect("a folder");
    negative(&scans.join("coil.tif"));
    let (out, scan) = (scans.clone(), top.path().join("tablet.tif"));
    assert!(dryside(&[&"wedge", &scan, &"--encoding", &"linear", &"--out", &out]).status.success());
    fs::write(scans.join("dryside.toml"), "wedge = 'tablet.wedge.toml'\nencoding = 'linear'\n").expect("a file");
    (top, scans)
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().or(value.as_integer().map(|i| i as f64)).expect("a number")
}

#[test]
fn a_calibrated_batch_notes_true_densities_and_puts_them_into_the_flat_positive() {
    let (top, scans) = roll();
    let out = top.path().join("out");
    let run = dryside(&[&"batch", &scans, &"--out", &out]);
    assert!(run.status.success(), "{}", printed(&run));
    assert!(printed(&run).contains("1 scan, 1 frame") && printed(&run).contains("densities by tablet.wedge.toml"));
    let noted = notes(&out.join("flat/coil.notes.toml"));
    let frame = &noted["measured"]["frames"][0];
    let plain = [&noted["measured"]["base"], &frame["thin"], &frame["median"], &frame["dense"]].map(number);
    for (got, want) in plain.into_iter().zip([BASE, 0.35 - BASE, 1.30 - BASE, 2.45 - BASE]) {
        // The scan's noise reaches into the ends, at D 2.45 by its 99.9 percentile among patches of a tenth of the
        // picture.
        let noise = if want > 2.0 { 0.06 } else { 0.0 };
        assert!((-0.02..=0.02 + noise).contains(&(got - want)), "{got}, not {want}: {plain:?}");
    }
    let wedge = &noted["scan"]["wedge"];
    let hash = blake3::hash(&fs::read(scans.join("tablet.wedge.toml")).unwrap()).to_hex().to_string();
    assert_eq!((wedge["file"].as_str(), wedge["blake3"].as_str()), (Some("tablet.wedge.toml"), Some(&*hash)));
    assert_eq!(wedge["points"].as_array().unwrap().len(), 21);

    // From the flat positive and its notes, by the formulas of the notes, to net density: in the middle of every patch.
    let flat = &noted["flat"]["frames"][0];
    let (lo, hi) = (number(&noted["flat"]["lo"]), number(&noted["flat"]["hi"]));
    let (thin, dense) = (number(&flat["thin"]), number(&flat["dense"]));
    let slope = (hi - lo) / (dense - thin);
    let net_of = |code: f64| {
        let y = (code / 65_535.0).powf(2.2);
        // CIE 15.
        let l = if y > 216.0 / 24_389.0 { 116.0 * y.cbrt() - 16.0 } else { y * 24_389.0 / 27.0 };
        match l {
            l if l < lo => thin + lo / slope * (l / lo).ln(),
            l if l <= hi => thin + (l - lo) / slope,
            l => dense - (100.0 - hi) / slope * ((100.0 - l) / (100.0 - hi)).ln(),
        }
    };
    let area: Vec<f64> = flat["area"].as_array().unwrap().iter().map(number).collect();
    let ((width, _), codes) = samples(&out.join("flat/coil.tif"));
    for (column, row) in (0..10).flat_map(|c| (0..12).map(move |r| (c, r))) {
        let (x, y) = (55.0 + 50.0 * f64::from(column), 55.0 + 50.0 * f64::from(row));
        let at = |dx: f64, dy: f64| (y + dy - area[1]) as usize * width as usize + (x + dx - area[0]) as usize;
        let near = (-15..15).flat_map(|dx| (-15..15).map(move |dy| (f64::from(dx), f64::from(dy))));
        let mut around: Vec<u16> = near.map(|(dx, dy)| codes[at(dx, dy)]).collect();
        around.sort_unstable();
        let (got, want) = (net_of(f64::from(around[450])), patch(x - 30.0, y - 30.0) - BASE);
        assert!((got - want).abs() <= 0.02, "patch {column}, {row}: {got}, not {want}");
    }

    // Without the calibration the same scan reads thinner: there was something to put right.
    let plainly = top.path().join("plainly");
    assert!(dryside(&[&"batch", &scans, &"--out", &plainly, &"--wedge", &"none"]).status.success());
    let noted = notes(&plainly.join("flat/coil.notes.toml"));
    assert!(number(&noted["measured"]["frames"][0]["dense"]) < 2.15 && noted["scan"].get("wedge").is_none());
    // And true densities cannot be matched to the ends of scanner densities.
    let ends = format!("match={}", plainly.join("flat/coil.notes.toml").display());
    let mixed = dryside(&[&"batch", &scans, &"--out", &top.path().join("mixed"), &"--ends", &ends]);
    assert_eq!(mixed.status.code(), Some(2), "{}", printed(&mixed));
    assert!(printed(&mixed).contains("the other the scanner's"));
}

#[test]
fn another_calibration_under_the_same_name_is_measured_with() {
    let (top, scans) = roll();
    let out = top.path().join("out");
    let run = || printed(&dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet"]));
    assert!(run().contains("made"));
    assert!(run().contains("up to date"));
    let base = || number(&notes(&out.join("flat/coil.notes.toml"))["measured"]["base"]);
    let before = base();
    let path = scans.join("tablet.wedge.toml");
    let mut file = WedgeFile::parse(&fs::read_to_string(&path).unwrap()).unwrap();
    file.steps.iter_mut().for_each(|step| step.density += 0.1);
    fs::write(&path, file.text()).unwrap();
    assert!(run().contains("made"));
    assert!((base() - before - 0.1).abs() < 0.001, "{} after {before}", base());
    assert!(run().contains("up to date"));
    // A damaged one stops the batch before anything is made.
    fs::write(&path, file.text().replacen("density = ", "density = -", 9)).unwrap();
    let stopped = dryside(&[&"batch", &scans, &"--out", &out]);
    assert_eq!(stopped.status.code(), Some(2));
    assert!(printed(&stopped).contains("tablet.wedge.toml: line "), "{}", printed(&stopped));
}

#[test]
fn measure_takes_a_calibration_and_says_what_its_densities_are() {
    let (_top, scans) = roll();
    let (scan, calibration) = (scans.join("coil.tif"), scans.join("tablet.wedge.toml"));
    let report = |more: &[&dyn AsRef<std::ffi::OsStr>]| -> serde_json::Value {
        let words: [&dyn AsRef<std::ffi::OsStr>; 5] = [&"measure", &"--json", &"--encoding", &"linear", &scan];
        let run = dryside(&[&words[..], more].concat());
        assert!(run.status.success(), "{}", printed(&run));
        serde_json::from_slice::<serde_json::Value>(&run.stdout).unwrap()["scans"][0].clone()
    };
    let (true_ones, plain) = (report(&[&"--wedge", &calibration]), report(&[]));
    assert_eq!([&true_ones["scan"]["densities"], &plain["scan"]["densities"]], ["wedge", "scanner"]);
    let base = |report: &serde_json::Value| report["base"]["density"].as_f64().unwrap();
    assert!((base(&true_ones) - BASE).abs() < 0.01 && (base(&plain) - scanner(BASE)).abs() < 0.01);
    let missing = dryside(&[&"measure", &scan, &"--wedge", &"nowhere.toml"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(printed(&missing).contains("nowhere.toml: no such calibration"));
}

/// A negative denser than the tablet's last step, 2.45 against 2.0.
#[test]
fn what_lies_beyond_the_last_step_carries_a_warning() {
    let (top, scans) = roll();
    let path = scans.join("tablet.wedge.toml");
    let mut file = WedgeFile::parse(&fs::read_to_string(&path).unwrap()).unwrap();
    file.steps.truncate(14);
    fs::write(&path, file.text()).unwrap();
    let out = top.path().join("out");
    let told = printed(&dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet"]));
    assert!(
        told.contains("beyond-wedge: frame 1 reaches density 2.") && told.contains("the wedge only 2.00"),
        "{told}"
    );
    assert!(printed(&dryside(&[&"batch", &scans, &"--out", &out, &"--no-sheet"])).contains("up to date"));
}
