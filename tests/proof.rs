//! Proof sheets as their user lays them: straight pictures held against a published table, marks, strips, what is gone.

mod bench;

use std::fs;
use std::path::{Path, PathBuf};

use bench::{dryside, files, notes, printed, sheet};
use tiff::encoder::{TiffEncoder, colortype::Gray16};
use tiff::tags::Tag;

/// Straight proof on the R 110 paper (Dmin 0.05, Dmax 2.10, logistic) with film base at S: net density to print density
/// (closed form, computed; the rule itself is that of teaching handouts).
const STRAIGHT: [(f64, f64); 8] = [
    (0.00, 1.8950),
    (0.10, 1.7673),
    (0.30, 1.3403),
    (0.50, 0.7849),
    (0.70, 0.3684),
    (0.90, 0.1669),
    (1.10, 0.0900),
    (1.30, 0.0633),
];

const BASE: f64 = 0.20;

/// A wedge of eight fields, 80 x 300 pixels each, in a rebate of 40; linear codes at 300 pixels an inch.
fn wedge(path: &Path) {
    let (width, height) = (720u32, 380u32);
    let density = |x: u32, y: u32| match (40..680).contains(&x) && (40..340).contains(&y) {
        true => BASE + STRAIGHT[((x - 40) / 80) as usize].0,
        false => BASE,
    };
    let codes: Vec<u16> = (0..height)
        .flat_map(|y| (0..width).map(move |x| (65_535.0 * 10f64.powf(-density(x, y))).round() as u16))
        .collect();
    let file = fs::File::create(path).expect("a file");
    let mut encoder = TiffEncoder::new(file).expect("a TIFF");
    let mut image = encoder.new_image::<Gray16>(width, height).expect("an image");
    image.resolution(tiff::tags::ResolutionUnit::Inch, tiff::encoder::Rational { n: 300, d: 1 });
    image.encoder().write_tag(Tag::Software, "bench").expect("a tag");
    image.write_data(&codes).expect("written");
}

/// A folder of scans with its results beside it.
struct Loft {
    top: tempfile::TempDir,
}

impl Loft {
    fn new(scans: &[&str]) -> Self {
        let loft = Self { top: tempfile::tempdir().expect("a folder") };
        fs::create_dir(loft.scans()).expect("a folder");
        scans.iter().enumerate().for_each(|(i, name)| sheet(&loft.scans().join(name), 1.0 - 0.2 * i as f64));
        loft
    }

    fn scans(&self) -> PathBuf {
        self.top.path().join("loft")
    }

    fn out(&self) -> PathBuf {
        self.top.path().join("loft-out")
    }

    fn notes(&self, scan: &str) -> PathBuf {
        self.out().join(format!("flat/{scan}.notes.toml"))
    }

    fn batch(&self, words: &str) -> (String, Option<i32>) {
        self.run("batch", &self.scans(), &format!("--encoding linear {words}"))
    }

    fn proof(&self, words: &str) -> (String, Option<i32>) {
        self.run("proof", &self.out(), words)
    }

    fn run(&self, task: &str, path: &Path, words: &str) -> (String, Option<i32>) {
        let words: Vec<&str> = words.split_whitespace().collect();
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&task, &path];
        all.extend(words.iter().map(|word| word as &dyn AsRef<std::ffi::OsStr>));
        let run = dryside(&all);
        (printed(&run), run.status.code())
    }

    fn mark(&self, scan: &str, marks: &str) {
        let path = self.notes(scan);
        let text = fs::read_to_string(&path).expect("there are notes");
        fs::write(&path, format!("{text}\n[marks]\n{marks}\n")).expect("written");
    }
}

fn well((said, status): (String, Option<i32>)) -> String {
    assert_eq!(status, Some(0), "{said}");
    said
}

/// The sRGB code (IEC 61966-2-1) at which a print density is shown when the paper's white and black are the screen's
/// (ISO 18619:2015).
fn code(density: f64) -> f64 {
    let light = |d: f64| 10f64.powf(-d);
    let y = (light(density) - light(2.10)) / (light(0.05) - light(2.10));
    255.0 * if y <= 0.003_130_8 { 12.92 * y } else { 1.055 * y.powf(1.0 / 2.4) - 0.055 }
}

#[test]
fn a_straight_picture_on_disk_has_the_tones_of_the_table() {
    let loft = Loft::new(&[]);
    wedge(&loft.scans().join("wedge.tif"));
    fs::create_dir_all(loft.out().join("flat")).expect("a folder");
    fs::write(loft.notes("wedge"), "[scan]\npicture = [[40, 40], [680, 340]]\nbase = 0.2\n").expect("notes");
    well(loft.batch("--grades rc"));
    let check = || {
        let picture = image::open(loft.out().join("straight/wedge.jpg")).expect("it is there").into_luma8();
        let field = f64::from(picture.width()) / 8.0;
        for (number, (net, density)) in STRAIGHT.iter().enumerate() {
            let middle = ((number as f64 + 0.5) * field) as u32;
            let patch = (0..100).map(|i| picture.get_pixel(middle - 5 + i % 10, 140 + i / 10).0[0]);
            let mean = patch.map(f64::from).sum::<f64>() / 100.0;
            assert!((mean - code(*density)).abs() <= 1.0, "net {net}: {mean}, should be {:.1}", code(*density));
        }
    };
    check();
    // And the same out of the flat positive, when the scan is away.
    fs::remove_file(loft.out().join("straight/wedge.jpg")).expect("removed");
    fs::rename(loft.scans(), loft.top.path().join("away")).expect("moved");
    well(loft.proof(""));
    check();
}

#[test]
fn a_batch_ends_with_the_sheet_that_proof_lays() {
    let loft = Loft::new(&["coil.tif", "keg.tif"]);
    well(loft.batch(""));
    let said = well(loft.proof(""));
    assert!(said.contains("2 frames on 2 pages, up to date"), "{said}");
    let before = files(&loft.out().join("sheets"));
    well(loft.proof("--page letter"));
    assert!(files(&loft.out().join("sheets")) != before);
    well(loft.batch(""));
    assert!(files(&loft.out().join("sheets")) == before, "a batch lays its own again");
}

#[test]
fn without_a_sheet_no_straight_picture_is_made_and_an_older_one_goes() {
    let loft = Loft::new(&["coil.tif"]);
    well(loft.batch("--no-sheet"));
    assert!(!loft.out().join("straight").exists());
    // A later run with a sheet makes it, and its notes know it.
    well(loft.batch(""));
    let straight = loft.out().join("straight/coil.jpg");
    assert!(straight.is_file());
    let frame = &notes(&loft.notes("coil"))["print"]["frames"][0];
    assert_eq!(frame["straight"]["bytes"].as_integer(), Some(fs::metadata(&straight).expect("there").len() as i64));
    // One that would no longer be true does not stay.
    well(loft.batch("--no-sheet --base 0.15"));
    assert!(!straight.exists());
}

#[test]
fn a_picture_that_is_gone_is_made_again_to_the_byte() {
    let loft = Loft::new(&["coil.tif", "keg.tif"]);
    well(loft.batch(""));
    let before = files(&loft.out());
    for gone in ["proof/coil.jpg", "straight/coil.jpg", "straight/keg.jpg"] {
        fs::remove_file(loft.out().join(gone)).expect("removed");
    }
    well(loft.proof(""));
    let sheet = |path: &Path| path.starts_with(loft.out().join("sheets"));
    let others =
        |files: Vec<(PathBuf, Vec<u8>)>| files.into_iter().filter(|(path, _)| !sheet(path)).collect::<Vec<_>>();
    assert!(others(files(&loft.out())) == others(before), "pictures and notes are as they were");
    // Neither scan nor flat positive: it is told where, and its box says so; the other is laid.
    fs::remove_file(loft.out().join("straight/coil.jpg")).expect("removed");
    fs::remove_file(loft.out().join("flat/coil.tif")).expect("removed");
    fs::rename(loft.scans(), loft.top.path().join("away")).expect("moved");
    let (said, status) = loft.proof("");
    assert_eq!(status, Some(1));
    assert!(said.contains("coil: a picture of it is gone or torn") && said.contains("--scans FOLDER"), "{said}");
    assert!(said.contains("2 frames on 2 pages"), "{said}");
    well(loft.proof(&format!("--scans {}", loft.top.path().join("away").display())));
}

#[test]
fn a_picture_that_is_torn_is_made_again_and_one_of_other_hands_is_not() {
    let loft = Loft::new(&["coil.tif"]);
    well(loft.batch(""));
    let proof = loft.out().join("proof/coil.jpg");
    let whole = fs::read(&proof).expect("there");
    for torn in [whole[..whole.len() * 2 / 3].to_vec(), vec![0; whole.len()], Vec::new()] {
        fs::write(&proof, torn).expect("written");
        well(loft.proof(""));
        assert!(fs::read(&proof).expect("there") == whole);
    }
    let edited = [&whole[..], b"and a note behind it"].concat();
    fs::write(&proof, &edited).expect("written");
    well(loft.proof(""));
    assert!(fs::read(&proof).expect("there") == edited);
}

#[test]
fn each_choice_has_a_sheet_of_its_own_that_says_what_was_chosen() {
    let loft = Loft::new(&["coil.tif", "keg.tif", "sail.tif"]);
    well(loft.batch(""));
    loft.mark("coil", "1 = \"print\"");
    loft.mark("keg", "1 = \"hold\"");
    let of_results = fs::read(loft.out().join("sheets/proof-sheet.pdf")).expect("there");
    let title = |name: &str| {
        let pdf = fs::read(loft.out().join("sheets").join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let text = String::from_utf8_lossy(&pdf).into_owned();
        let (_, rest) = text.split_once("<rdf:li xml:lang=\"x-default\">").expect("a title");
        rest.split_once('<').expect("it ends").0.to_owned()
    };
    for (mark, count) in [("print", 1), ("hold", 1)] {
        let said = well(loft.proof(&format!("--marked {mark}")));
        assert!(said.contains(&format!("proof-sheet-marked-{mark}.pdf")), "{said}");
        assert_eq!(
            title(&format!("proof-sheet-marked-{mark}.pdf")),
            format!("loft: {count} of 3 frames, marked {mark}")
        );
    }
    let chosen = |names: &[&str]| {
        let paths: Vec<PathBuf> = names.iter().map(|name| loft.out().join(name)).collect();
        let mut all: Vec<&dyn AsRef<std::ffi::OsStr>> = vec![&"proof"];
        all.extend(paths.iter().map(|path| path as &dyn AsRef<std::ffi::OsStr>));
        let said = well({
            let run = dryside(&all);
            (printed(&run), run.status.code())
        });
        said.rsplit('/').next().expect("a file").trim().to_owned()
    };
    assert_eq!(chosen(&["keg"]), "proof-sheet-keg.pdf");
    let (one, other) = (chosen(&["keg", "coil"]), chosen(&["keg", "sail"]));
    assert!(one != other && one.starts_with("proof-sheet-keg-and-1-more-"), "{one}, {other}");
    // Two of n choices share one of 2^32 names with a chance of n^2 / 2^33 (birthday bound): of a thousand, one in
    // eight thousand.
    let letters = |name: &str| name.trim_end_matches(".pdf").rsplit('-').next().map(str::len);
    assert_eq!(letters(&one), Some(8), "{one}");
    assert_eq!(title(&one), "loft: 2 frames chosen");
    assert_eq!(chosen(&["keg", "coil"]), one);
    assert!(fs::read(loft.out().join("sheets/proof-sheet.pdf")).expect("there") == of_results);
}

#[test]
fn a_page_that_is_too_large_for_a_picture_is_refused_with_a_resolution_that_does() {
    let loft = Loft::new(&["coil.tif"]);
    well(loft.batch(""));
    let (said, status) = loft.proof("--page 60x90cm --ppi 600");
    // 900 mm at 600 pixels an inch (arithmetic).
    assert!(status == Some(2) && said.contains("21260 pixels"), "{said}");
    let (_, most) = said.split_once("use --ppi ").expect("a resolution");
    let most: u32 = most.split(' ').next().expect("it").parse().expect("a number");
    assert_eq!(most, 462);
    well(loft.proof("--page 5x7 --ppi 600"));
}

#[test]
fn a_straight_picture_of_other_hands_is_left_alone() {
    let loft = Loft::new(&["coil.tif"]);
    well(loft.batch("--no-sheet"));
    fs::create_dir(loft.out().join("straight")).expect("a folder");
    let mine = loft.out().join("straight/coil.jpg");
    fs::write(&mine, "mine").expect("written");
    let (said, status) = loft.proof("");
    assert!(status == Some(1) && said.contains("was put there by other hands: move it away"), "{said}");
    assert_eq!(fs::read(&mine).expect("there"), b"mine");
    let (said, status) = loft.batch("--base 0.21");
    assert!(status == Some(1) && said.contains("was put there or changed by other hands"), "{said}");
}

#[test]
fn pages_of_other_hands_are_neither_overwritten_nor_removed() {
    let loft = Loft::new(&["coil.tif", "keg.tif"]);
    well(loft.batch(""));
    let sheets = loft.out().join("sheets");
    let page = |number: u32| sheets.join(format!("proof-sheet-{number}.jpg"));
    assert!(page(2).exists() && !page(3).exists());
    // Changed: a new sheet is refused, and nothing of it is written.
    fs::write(page(2), "a pencil note, scanned").expect("written");
    let before = files(&sheets);
    let (said, status) = loft.proof("--grid 1x1");
    assert!(
        status == Some(2) && said.contains("proof-sheet-2.jpg: it was put there or changed by other hands"),
        "{said}"
    );
    assert!(files(&sheets) == before);
    well(loft.proof("--grid 1x1 --force"));
    assert!(page(4).exists());
    // In the way of a shorter sheet: the program's own pages go, that of others stays.
    fs::write(page(3), "a pencil note, scanned").expect("written");
    well(loft.proof("--grid 2x2"));
    assert!(!page(4).exists() && fs::read(page(3)).expect("it stays") == b"a pencil note, scanned");
    assert!(well(loft.proof("--grid 2x2")).contains("2 frames on 2 pages, up to date"));
    // A page that is gone is laid again.
    fs::remove_file(page(1)).expect("removed");
    well(loft.proof("--grid 2x2"));
    assert!(page(1).exists());
}

#[test]
fn marked_frames_are_laid_and_printed_alone_and_a_slip_is_told() {
    let loft = Loft::new(&["coil.tif", "keg.tif"]);
    well(loft.batch(""));
    let print = |mark: &str| {
        loft.run("print", &loft.out(), &format!("--marked {mark} --size 1x1cm --scans {}", loft.scans().display()))
    };
    let (said, status) = print("print");
    assert!(
        status == Some(2) && said.contains("no frame here is marked print: mark some first, as dryside mark print"),
        "{said}"
    );
    loft.mark("coil", "1 = { mark = \"print\", remark = \"burn in\" } # mine");
    loft.mark("keg", "1 = \"prnt\"");
    let text = fs::read_to_string(loft.notes("coil")).expect("notes");
    // What is marked is printed; that a mark cannot be read is no success.
    let (said, status) = print("print");
    assert!(said.contains("coil-1x1cm.tif") && !said.contains("keg-1x1cm.tif"), "{said}");
    assert!(status == Some(1) && said.contains("\"prnt\" is no mark: use print, hold or skip"), "{said}");
    let said = well(loft.proof("--marked print"));
    assert!(said.contains("1 frame on 2 pages") && said.contains("proof-sheet-marked-print.pdf"), "{said}");
    assert!(said.contains("\"prnt\" is no mark: use print, hold or skip"), "{said}");
    let said = well(loft.batch(""));
    assert!(said.contains("mark-unread") && said.contains("up to date"), "{said}");
    assert!(loft.proof("--marked skip").0.contains("no frame here is marked skip"));
    // A run that makes the scan again keeps what is written there.
    well(loft.batch("--grade 3"));
    let now = fs::read_to_string(loft.notes("coil")).expect("notes");
    let marks = "[marks]\n1 = { mark = \"print\", remark = \"burn in\" } # mine\n";
    assert!(text.contains(marks) && now.contains(marks), "{now}");
}

#[test]
fn a_paper_that_is_too_small_and_an_unknown_size_are_told() {
    let loft = Loft::new(&["coil.tif"]);
    well(loft.batch(""));
    let (said, status) = loft.proof("--grid 30x30");
    assert!(status == Some(2) && said.contains("a4 is too small for a grid of 30x30"), "{said}");
    let (said, status) = loft.proof("--contact");
    assert!(status == Some(2) && said.contains("coil: its scan does not say its resolution"), "{said}");
    let (said, status) = loft.proof("--page foolscap");
    assert!(status == Some(2) && said.contains("one of them with -landscape"), "{said}");
    let (said, status) = loft.proof(&format!("--out {}", loft.scans().join("sub").display()));
    assert!(status == Some(2) && said.contains("lies in the folder of the scans"), "{said}");
    let (said, status) = loft.run("proof", &loft.out().join("lantern"), "");
    assert!(status == Some(2) && said.contains("no such frame"), "{said}");
}

#[test]
fn a_frame_without_a_size_is_left_out_of_a_contact_sheet_and_told() {
    let loft = Loft::new(&["coil.tif"]);
    wedge(&loft.scans().join("wedge.tif"));
    well(loft.batch(""));
    let (said, status) = loft.proof("--contact");
    assert!(status == Some(1) && said.contains("coil: its scan does not say its resolution"), "{said}");
    assert!(said.contains("contact sheet: 1 frame on 2 pages"), "{said}");
    let (said, status) = loft.proof("--contact --grid 9x9");
    assert!(status == Some(2) && said.contains("a4 is too small for 9 by 9 frames") && said.contains("use"), "{said}");
}

#[test]
fn several_folders_are_joined_where_they_are_told_to() {
    let (one, other) = (Loft::new(&["coil.tif"]), Loft::new(&["coil.tif", "keg.tif"]));
    [&one, &other].into_iter().for_each(|loft| drop(well(loft.batch(""))));
    let run = dryside(&[&"proof", &one.out(), &other.out()]);
    assert!(run.status.code() == Some(2) && printed(&run).contains("say with --out"), "{}", printed(&run));
    let joined = one.top.path().join("joined");
    let run = dryside(&[&"proof", &one.out(), &other.out(), &"--out", &joined, &"--graded", &"--ppi", &"100"]);
    assert!(run.status.success() && printed(&run).contains("3 frames on 1 page"), "{}", printed(&run));
    let page = image::open(joined.join("sheets/proof-sheet-1.jpg")).expect("a page");
    // ISO 216 A4 at 100 pixels an inch.
    assert_eq!((page.width(), page.height()), (827, 1169));
}

#[test]
fn names_of_any_script_and_length_are_laid() {
    let long = format!("{}-014.tif", "rope".repeat(48));
    let loft = Loft::new(&[&long, "\u{5d7}\u{5d1}\u{5dc}-1.tif", "\u{1f4f7}\u{1faa2}.tif"]);
    well(loft.batch(""));
    well(loft.proof("--page 5x7"));
}
