//! Papers as their user asks about them, and makes one.

mod bench;

use std::fs;
use std::path::Path;

use bench::{dryside, folder_of_sheets, notes, printed};

const PAPERS: [&str; 3] = ["glossy", "semi-matt", "matt"];
const GRADES: [&str; 12] = ["00", "0", "1/2", "1", "1 1/2", "2", "2 1/2", "3", "3 1/2", "4", "4 1/2", "5"];

/// R by table, whole grades as published: ANSI PH2.2-1966 band middles (quoted; 00 from a data sheet), makers' data
/// sheets (quoted). Half grades are the mean of their neighbours, worked out here again.
const TABLES: [(&str, [f64; 7]); 4] = [
    ("bands", [180.0, 155.0, 127.5, 105.0, 87.5, 72.5, 57.5]),
    ("rc", [180.0, 160.0, 130.0, 110.0, 90.0, 60.0, 40.0]),
    ("rc-later", [160.0, 130.0, 110.0, 90.0, 70.0, 60.0, 50.0]),
    ("fibre", [170.0, 140.0, 110.0, 95.0, 80.0, 60.0, 50.0]),
];

fn nominal(whole: [f64; 7], grade: usize) -> f64 {
    match (grade, grade % 2) {
        (0, _) => whole[0],
        (_, 1) => whole[grade.div_ceil(2)],
        _ => (whole[grade / 2] + whole[grade / 2 + 1]) / 2.0,
    }
}

/// What `--csv` prints, as numbers.
fn curve(words: &[&str]) -> Vec<(f64, f64)> {
    let words: Vec<&dyn AsRef<std::ffi::OsStr>> = words.iter().map(|w| w as _).collect();
    let run = dryside(&words);
    assert!(run.status.success(), "{}", printed(&run));
    let text = String::from_utf8(run.stdout).expect("it is text");
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("log_exposure,density"));
    let number = |word: &str| word.parse::<f64>().expect("a number");
    lines.map(|line| line.split_once(',').map(|(x, d)| (number(x), number(d))).expect("two columns")).collect()
}

/// Log exposure at which a printed curve crosses a density: a straight line between two rows.
fn crossing(curve: &[(f64, f64)], density: f64) -> f64 {
    let i = curve.iter().position(|(_, d)| *d >= density).expect("the curve gets there");
    let ((x0, d0), (x1, d1)) = (curve[i - 1], curve[i]);
    x0 + (x1 - x0) * (density - d0) / (d1 - d0)
}

/// ISO 6846:1992 (quoted), from the printed rows alone: T at Dmin + 0.04, S at Dmin + 0.90 (Dmax - Dmin), R = 100 (log
/// H_S - log H_T); Dmin and Dmax are the paper's, of its data file.
fn iso_range(curve: &[(f64, f64)], dmin: f64, dmax: f64) -> f64 {
    100.0 * (crossing(curve, dmin + 0.9 * (dmax - dmin)) - crossing(curve, dmin + 0.04))
}

fn ends(paper: &str) -> (f64, f64) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("src/paper/papers/{paper}.toml"));
    let data = notes(&file);
    let density = |name: &str| data[name]["density"].as_float().expect("a density");
    (density("dmin"), density("dmax"))
}

#[test]
fn every_paper_in_every_grade_of_every_table_has_the_range_that_it_says() {
    for paper in PAPERS {
        let (dmin, dmax) = ends(paper);
        for (table, whole) in TABLES {
            for (i, grade) in GRADES.into_iter().enumerate() {
                let rows = curve(&["paper", paper, "--grades", table, "--grade", grade, "--csv"]);
                let what = format!("{paper}, {table}, grade {grade}");
                let (r, told) = (iso_range(&rows, dmin, dmax), nominal(whole, i));
                assert!((r - told).abs() < 1.0, "{what}: R {r}, not {told}");
                assert!(rows.windows(2).all(|w| w[1].1 > w[0].1), "{what}: strictly rising");
                assert!((rows[0].1 - dmin).abs() < 0.005, "{what}: Dmin");
                assert!((rows[rows.len() - 1].1 - dmax).abs() < 0.005, "{what}: Dmax");
                // C1: no jump in the slope from row to row that its own neighbours do not lead up to.
                let slopes: Vec<f64> = rows.windows(2).map(|w| (w[1].1 - w[0].1) / 0.01).collect();
                let steepest = slopes.iter().copied().fold(0.0, f64::max);
                let jump = slopes.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max);
                assert!(jump < 0.1 * steepest, "{what}: the slope jumps by {jump} of {steepest}");
                // Data sheets (quoted): matched 0.60 above white, 4 to 5 one stop slower where the table says so.
                let slower = if table != "bands" && i >= 9 { std::f64::consts::LOG10_2 } else { 0.0 };
                assert!((crossing(&rows, dmin + 0.60) - slower).abs() < 1e-3, "{what}: speed");
            }
        }
    }
}

#[test]
fn papers_and_tables_are_listed_with_their_sources() {
    let all = printed(&dryside(&[&"paper"]));
    for word in ["glossy", "neutral semi-matt", "1.55", "bands: ANSI PH2.2-1966 band middles", "rc-later", "116.25"] {
        assert!(all.contains(word), "{word}\n{all}");
    }
    let one = printed(&dryside(&[&"paper", &"matt", &"--grades", &"rc"]));
    for word in
        ["paper neutral matt, grades after a variable-contrast RC", "+1 stop", "half grades are published nowhere"]
    {
        assert!(one.contains(word), "{word}\n{one}");
    }
}

#[test]
fn unknown_names_are_told_what_there_is() {
    for (words, told) in [
        (vec!["paper", "pearl"], "\"pearl\" is no paper: use glossy, semi-matt, matt, or a file of your own (.toml)"),
        (vec!["paper", "--grade", "7"], "\"7\" is no grade: use one of 00, 0"),
        (vec!["paper", "--grades", "x"], "\"x\" is no table of grades: use bands, rc, rc-later, fibre"),
        (vec!["paper", "gone.toml"], "gone.toml: no such paper: check its name and folder"),
        (vec!["paper", "--plot", "family.pdf"], "family.pdf: a plot is drawn as .svg or .png"),
        (vec!["paper", "--range", "9", "--plot", "a.svg"], "use a number from 0.1 to 4"),
        (vec!["paper", "fit", "gone.csv"], "gone.csv: there are no such readings"),
    ] {
        let words: Vec<&dyn AsRef<std::ffi::OsStr>> = words.iter().map(|w| w as _).collect();
        let run = dryside(&words);
        assert_eq!(run.status.code(), Some(2), "{}", printed(&run));
        assert!(printed(&run).contains(told), "{told}\n{}", printed(&run));
    }
}

#[test]
fn a_family_is_drawn_as_svg_and_png_and_other_files_are_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["family.svg", "family.png"] {
        let file = folder.path().join(name);
        let draw = |grade: &str, more: &[&str]| {
            let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> =
                vec![&"paper", &"matt", &"--grade", &grade, &"--plot", &file];
            words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
            dryside(&words)
        };
        assert!(draw("2", &[]).status.success() && draw("2", &[]).status.success(), "the same once more");
        let first = fs::read(&file).unwrap();
        let run = draw("4", &[]);
        assert!(run.status.code() == Some(2) && printed(&run).contains("is another"), "{}", printed(&run));
        assert!(fs::read(&file).unwrap() == first);
        assert!(draw("4", &["--force"]).status.success());
        assert!(fs::read(&file).unwrap() != first);
    }
    let svg = fs::read_to_string(folder.path().join("family.svg")).unwrap();
    assert!(
        svg.contains("Paper: neutral matt")
            && svg.contains("as grade 4 holds it")
            && svg.matches("<polyline").count() > 24
    );
    bench::sheet(&folder.path().join("coil.tif"), 1.0);
    let out = tempfile::tempdir().unwrap();
    let batch = printed(&dryside(&[&"batch", &folder.path(), &"--out", &out.path(), &"--no-sheet"]));
    assert!(batch.contains("1 scan, 1 frame"), "a plot among the scans is no scan: {batch}");
    let png = image::open(folder.path().join("family.png")).unwrap();
    assert_eq!((png.width(), png.height()), (1654, 2339), "A4 at 200 pixels an inch");
}

/// The way of a person's own paper: print a wedge, read it, fit it, print on it. The readings are those of the glossy
/// paper at R 50, every 0.15: a monotone cubic reads 50.95 there (computed).
#[test]
fn a_paper_of_ones_own_is_fitted_found_and_printed_on() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let k = (9f64.ln() - ((0.04 / 2.05f64) / (1.0 - 0.04 / 2.05)).ln()) / 0.5;
    let rows = (-12..=12).map(|i| {
        let x = 0.15 * f64::from(i);
        format!("{x:.2},{:.4}\n", 0.05 + 2.05 / (1.0 + (-k * x).exp()))
    });
    let readings = folder.path().join("loft.csv");
    fs::write(&readings, "log_exposure,density\n".to_owned() + &rows.collect::<String>()).unwrap();
    let run = dryside(&[&"paper", &"fit", &readings, &"--out", &folder.path(), &"--name", &"loft paper"]);
    assert!(run.status.success(), "{}", printed(&run));
    assert!(printed(&run).contains("R 50.9") || printed(&run).contains("R 51.0"), "{}", printed(&run));
    assert!(printed(&run).contains("ISO range class 50"), "{}", printed(&run));
    let file = folder.path().join("loft.paper.toml");
    assert!((notes(&file)["found"]["r"].as_float().unwrap() - 50.95).abs() < 0.06);
    let word = file.to_str().unwrap();
    for (i, grade) in GRADES.into_iter().enumerate() {
        let rows = curve(&["paper", word, "--grade", grade, "--csv"]);
        assert!((iso_range(&rows, 0.05, 2.10) - nominal(TABLES[0].1, i)).abs() < 1.0, "grade {grade}");
        assert!(rows.windows(2).all(|w| w[1].1 > w[0].1), "grade {grade}");
    }
    fs::write(folder.path().join("dryside.toml"), "paper = 'loft.paper.toml'\n").unwrap();
    let out = tempfile::tempdir().unwrap();
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out.path()]);
    let first = run();
    assert!(printed(&first).contains("paper loft paper, grades after ANSI"), "{}", printed(&first));
    assert_eq!(notes(&out.path().join("flat/coil.notes.toml"))["print"]["paper"].as_str(), Some("loft paper"));
    assert!(printed(&run()).contains("up to date"));
    // Another black under the same name is another paper.
    let darker = fs::read_to_string(&file).unwrap().replace("density = 2.1000", "density = 2.2000");
    fs::write(&file, darker).unwrap();
    assert!(printed(&run()).contains("  made"), "what is in the file counts");
}

#[test]
fn readings_that_make_no_paper_leave_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path().join("loft.csv");
    for (rows, told) in [
        ("0,0.05\n0.3,0.5\n0.6,2.0\n", "3 readings are too few: print at least 7 steps"),
        (
            "0,0.05\n0.1,0.05\n0.2,0.3\n0.3,0.9\n0.4,0.7\n0.5,1.9\n0.6,2.1\n0.7,2.1\n",
            "density falls from 0.90 to 0.70 at log exposure 0.40",
        ),
        ("0,0.05\n0.1,pale\n", "line 3: \"pale\" is no density"),
        ("", "0 readings are too few"),
    ] {
        fs::write(&readings, format!("log_exposure,density\n{rows}")).unwrap();
        let run = dryside(&[&"paper", &"fit", &readings, &"--out", &folder.path()]);
        assert_eq!(run.status.code(), Some(2), "{}", printed(&run));
        assert!(printed(&run).contains(told), "{told}\n{}", printed(&run));
        assert!(!folder.path().join("loft.paper.toml").exists());
    }
}

#[test]
fn proofs_are_placed_as_they_are_told() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let out = tempfile::tempdir().unwrap();
    let made = |more: &[&str]| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &"--encoding", &"linear", &"--grade", &"2"];
        let (scans, out) = (folder.path(), out.path());
        words.extend([&scans as &dyn AsRef<std::ffi::OsStr>, &"--out", &out]);
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&words);
        assert!(run.status.success(), "{}", printed(&run));
        let notes = notes(&out.join("flat/coil.notes.toml"));
        (notes.clone(), notes["print"]["frames"][0]["x0"].as_float().unwrap())
    };
    let number = |value: &toml::Value| value.as_float().unwrap();
    // The logistic paper at R 105 (closed form): k, T and S by hand.
    let k = (9f64.ln() - (0.04 / 2.05f64 / (1.0 - 0.04 / 2.05)).ln()) / 1.05;
    let (t, s) = ((0.04 / 2.05f64 / (1.0 - 0.04 / 2.05)).ln() / k, 9f64.ln() / k);
    let (plain, x0) = made(&[]);
    let frame = plain["measured"]["frames"][0].clone();
    let (thin, dense) = (number(&frame["thin"]), number(&frame["dense"]));
    assert!((x0 - (t + dense)).abs() < 2e-4, "highlights at T");
    assert_eq!(plain["print"]["place"].as_str(), Some("highlights"));
    assert!((made(&["--place", "shadows"]).1 - (s + thin)).abs() < 2e-4, "shadows at S");
    assert!((made(&["--place", "fixed"]).1 - s).abs() < 2e-4, "film base at S");
    let third = made(&["--place", "fixed", "--exposure", "1/3"]).1 - s;
    assert!((third - std::f64::consts::LOG10_2 / 3.0).abs() < 2e-4, "a third of a stop");
    let dry = made(&["--dry-down", "8%"]).1 - x0;
    assert!((dry - 0.92f64.log10()).abs() < 2e-4, "8 % less exposure");

    // A spot, read here from the scan itself: linear codes, 40 pixels across as the scan says no resolution.
    let spotted = made(&["--place", "200,250=V"]);
    let ((width, _), codes) = bench::samples(&folder.path().join("coil.tif"));
    let (mut light, mut pixels) = (0.0, 0.0);
    for y in 230..270u32 {
        for x in 180..220u32 {
            if (f64::from(x) + 0.5 - 200.0).hypot(f64::from(y) + 0.5 - 250.0) < 20.0 {
                light += f64::from(codes[(y * width + x) as usize]) / 65_535.0;
                pixels += 1.0;
            }
        }
    }
    let net = -(light / pixels).log10() - number(&spotted.0["measured"]["base"]);
    // Zone V: half-way in L* from black (D 2.10, L* 7.17) to white (D 0.05, L* 95.63; colour-science): L* 51.40, D
    // 0.7075.
    let zone = ((51.40f64 + 16.0) / 116.0).powi(3);
    let share = (-zone.log10() - 0.05) / 2.05;
    let five = (share / (1.0 - share)).ln() / k;
    assert!((spotted.1 - (five + net)).abs() < 1e-3, "{} and not {}", spotted.1, five + net);
    let run = dryside(&[&"batch", &folder.path(), &"--out", &out.path(), &"--place", &"9000,20=V"]);
    assert!(run.status.code() == Some(1) && printed(&run).contains("is not all in the scan"), "{}", printed(&run));
}

/// A paper, a table and a grade are named wherever a grade is: on the screen, in the table of the batch, in the notes;
/// for one scan alone, too.
#[test]
fn paper_and_table_are_named_wherever_a_grade_is() {
    let folder = folder_of_sheets(&["coil.tif", "lantern.tif"]);
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let run = || dryside(&[&"batch", &folder.path(), &"--out", &out, &"--grades", &"fibre"]);
    assert!(run().status.success());
    let path = out.join("flat/lantern.notes.toml");
    let text = fs::read_to_string(&path).unwrap();
    let own = "[settings]\npaper = 'matt'\ngrade = '2 1/2'\nplace = 'shadows'\n\n[shot]\n";
    fs::write(&path, text.replacen("[shot]\n", own, 1)).unwrap();
    let told = printed(&run());
    let fibre = "a variable-contrast fibre paper's data sheet";
    for word in
        [format!("paper neutral glossy, grades after {fibre}"), format!("paper neutral matt, grades after {fibre}")]
    {
        assert!(told.contains(&word), "{word}\n{told}");
    }
    let notes = notes(&path);
    assert_eq!(notes["print"]["paper"].as_str(), Some("neutral matt"));
    assert_eq!(notes["print"]["table"].as_str(), Some(fibre));
    assert_eq!(notes["print"]["place"].as_str(), Some("shadows"));
    assert_eq!(notes["record"]["settings"]["paper"].as_str(), Some("matt"));
    assert_eq!(notes["record"]["decided_by"]["paper"].as_str(), Some("notes"));
    let table = fs::read(out.join("batch.csv")).unwrap();
    let mut table = csv::Reader::from_reader(&table[..]);
    let column = |name: &str, table: &mut csv::Reader<&[u8]>| table.headers().unwrap().iter().position(|h| h == name);
    let (paper, grades) = (column("paper", &mut table).unwrap(), column("table", &mut table).unwrap());
    let rows: Vec<_> = table.records().map(|row| row.unwrap()).collect();
    assert_eq!((&rows[0][paper], &rows[1][paper]), ("neutral glossy", "neutral matt"));
    assert_eq!(&rows[0][grades], fibre);
}

/// Arithmetic: half of the light twice in one grade is the whole of it, to the byte of the proof.
#[test]
fn a_split_exposure_adds_up() {
    let folder = folder_of_sheets(&["coil.tif"]);
    let proof = |more: &[&str]| {
        let out = tempfile::tempdir().unwrap();
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &"--grades", &"rc", &"--grade", &"2"];
        let (scans, path) = (folder.path(), out.path());
        words.extend([&scans as &dyn AsRef<std::ffi::OsStr>, &"--out", &path]);
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&words);
        assert!(run.status.success(), "{}", printed(&run));
        let notes = notes(&out.path().join("flat/coil.notes.toml"));
        (fs::read(out.path().join("proof/coil.jpg")).unwrap(), notes["print"]["frames"][0].clone(), printed(&run))
    };
    let whole = proof(&[]);
    let halves = proof(&["--split", "2 -1, 2 -1"]);
    assert!(whole.0 == halves.0, "two halves print as the whole");
    let split = &halves.1["split"];
    assert_eq!((split["equivalent"].as_str(), split["r"].as_float()), (Some("2"), Some(110.0)));
    let mixed = proof(&["--split", "00 -1, 5 +0"]);
    let r = mixed.1["split"]["r"].as_float().unwrap();
    assert!(r > 40.0 && r < 180.0 && mixed.0 != whole.0, "{r}");
    assert!(mixed.2.contains("about "), "{}", mixed.2);
}

/// ISO 6846, introduction: paper range and negative range are to be equal. The demo's faded sheet (truth.toml) has less
/// than the 0.575 of grade 5, so every softer print is flatter still.
#[test]
fn a_frame_too_short_for_the_hardest_grade_is_told_in_every_grade() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(bench::ropewalk().join("sheet-02.tif"), folder.path().join("sheet-02.tif")).unwrap();
    for more in [
        &[][..],
        &["--grade", "00"],
        &["--grade", "2", "--place", "fixed"],
        &["--split", "00 -1, 5 -1"],
        &["--grade", "5", "--split", "5 -1, 5 -1"],
    ] {
        let out = tempfile::tempdir().unwrap();
        let (scans, path) = (folder.path(), out.path());
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"batch", &scans, &"--out", &path];
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        let told = printed(&dryside(&words));
        assert_eq!(told.matches("shorter than grade 5 needs: it will print flat").count(), 1, "{more:?}\n{told}");
    }
}

/// A print of a step tablet on a flatbed, drawn here: 21 steps of 0.15 through the logistic paper of R 105 (closed
/// form), white border, noise of the scanner, 16 linear bits. ISO 6846, 6.2 (quoted) permits 3 % of error in R.
#[test]
fn a_scan_of_a_printed_wedge_makes_a_paper() {
    let folder = tempfile::tempdir().unwrap();
    let scan = folder.path().join("print.tif");
    let k = (9f64.ln() - (0.04 / 2.05f64 / (1.0 - 0.04 / 2.05)).ln()) / 1.05;
    let (width, height) = (1150u32, 300u32);
    let density = |x: u32, y: u32| {
        let step = (i64::from(x) - 50).div_euclid(50);
        if !(0..21).contains(&step) || !(60..240).contains(&y) {
            return 0.05;
        }
        0.05 + 2.05 / (1.0 + (-k * (1.4 - 0.15 * step as f64)).exp())
    };
    let mut state = 88_172_645_463_325_252u64;
    let mut noise = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % 2001) as f64 / 100.0 - 10.0
    };
    let mut codes = Vec::new();
    for y in 0..height {
        codes.extend((0..width).map(|x| (0.9 * 65_535.0 * 10f64.powf(-density(x, y)) + noise()) as u16));
    }
    let file = fs::File::create(&scan).unwrap();
    tiff::encoder::TiffEncoder::new(file)
        .and_then(|mut e| e.write_image::<tiff::encoder::colortype::Gray16>(width, height, &codes))
        .unwrap();
    let fit = |more: &[&str]| {
        let mut words: Vec<&dyn AsRef<std::ffi::OsStr>> =
            vec![&"paper", &"fit", &scan, &"--encoding", &"linear", &"--out"];
        let out = folder.path();
        words.push(&out);
        words.extend(more.iter().map(|w| w as &dyn AsRef<std::ffi::OsStr>));
        dryside(&words)
    };
    let run = fit(&[]);
    assert!(run.status.code() == Some(2) && printed(&run).contains("give --apart 0.15"), "{}", printed(&run));
    let run = fit(&["--apart", "0.15"]);
    assert!(run.status.success(), "{}", printed(&run));
    assert!(printed(&run).contains("scan read as linear (given)"), "{}", printed(&run));
    let found = notes(&folder.path().join("print.paper.toml"));
    let r = found["found"]["r"].as_float().unwrap();
    assert!((r / 105.0 - 1.0).abs() < 0.03, "{r}\n{}", printed(&run));
    let depth = found["found"]["dmax"].as_float().unwrap() - found["found"]["dmin"].as_float().unwrap();
    assert!((depth - 2.05).abs() < 0.02, "{depth}");
    // The same codes in the sRGB curve, without a profile: what was assumed is said.
    let srgb = |code: &u16| {
        let y = f64::from(*code) / 65_535.0;
        // IEC 61966-2-1.
        let shown = if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * y.powf(1.0 / 2.4) - 0.055 };
        (shown * 65_535.0).round() as u16
    };
    let codes: Vec<u16> = codes.iter().map(srgb).collect();
    let bare = folder.path().join("bare.tif");
    tiff::encoder::TiffEncoder::new(fs::File::create(&bare).unwrap())
        .and_then(|mut e| e.write_image::<tiff::encoder::colortype::Gray16>(width, height, &codes))
        .unwrap();
    let run = dryside(&[&"paper", &"fit", &bare, &"--apart", &"0.15", &"--out", &folder.path()]);
    assert!(run.status.success(), "{}", printed(&run));
    for told in ["scan read as srgb (assumed)", "no embedded profile, srgb is assumed"] {
        assert!(printed(&run).contains(told), "{told}\n{}", printed(&run));
    }
    // A folder's other picture holds no steps.
    let other = dryside(&[
        &"paper",
        &"fit",
        &bench::ropewalk().join("sheet-01.tif"),
        &"--apart",
        &"0.15",
        &"--out",
        &folder.path(),
    ]);
    assert!(other.status.code() == Some(2) && printed(&other).contains("no row of steps"), "{}", printed(&other));
}
