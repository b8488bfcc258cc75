//! `dryside layout`: finished prints on one paper, pixel by pixel.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs::{self, File};
use std::io::{BufReader, Cursor};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use dryside::batch::{Captions, LayoutDone, LayoutOrder, make_layout};
use dryside::light::{Encoding, Millimetres, PixelsPerInch, grey_profile, srgb_profile};
use dryside::plane::Size;
use dryside::save::{self, Colours, DeepTiff, Packing};
use dryside::scan::Halt;
use dryside::sheet::{LayoutPaper, Stand};
use tiff::decoder::{Decoder, DecodingResult};
use tiff::tags::Tag;

fn mm(length: f64) -> Millimetres {
    Millimetres::new(length)
}

/// A print of noise, so that no pixel can be mistaken for its neighbour.
struct Noise {
    path: PathBuf,
    size: Size,
    samples: Vec<u16>,
}

fn noise(folder: &Path, name: &str, (width, height): (u32, u32), colours: Colours, ppi: f64) -> Noise {
    let size = Size { width, height };
    let count = size.pixels() * colours.samples() as u64;
    let samples: Vec<u16> = (0..count).map(|i| (i * 40_503 + i * i * 31 + width as u64) as u16).collect();
    let icc = if colours == Colours::Grey { grey_profile(&Encoding::Srgb) } else { srgb_profile() };
    let path = folder.join(name);
    write(&path, &samples, size, colours, PixelsPerInch::new(ppi), &icc, Packing::None);
    Noise { path, size, samples }
}

fn write(
    path: &Path,
    samples: &[u16],
    size: Size,
    colours: Colours,
    ppi: Option<PixelsPerInch>,
    icc: &[u8],
    packing: Packing,
) {
    let picture = DeepTiff {
        size,
        colours,
        packing,
        differenced: packing != Packing::None,
        icc,
        resolution: ppi.map(|ppi| (ppi, ppi)),
        orientation: 1,
        software: "test",
        carried: &[],
        exif: &[],
    };
    let file = File::create(path).unwrap();
    save::write_tiff(file, &picture, |strips| strips.rows(samples)).unwrap();
}

fn order(prints: &[&Noise], paper: &str, out: &Path) -> LayoutOrder {
    LayoutOrder {
        prints: prints.iter().map(|print| print.path.clone()).collect(),
        paper: paper.parse().unwrap(),
        margin: mm(10.0),
        gap: mm(10.0),
        stand: Stand::Centred,
        cut_marks: false,
        key_line: false,
        captions: Captions::None,
        editions: Vec::new(),
        out: Some(out.to_owned()),
        force: false,
    }
}

/// Width, height, samples and profile of a TIFF, by the `tiff` crate's own decoder.
fn read(path: &Path) -> (u32, u32, Vec<u16>, Vec<u8>) {
    let mut reader = Decoder::new(BufReader::new(File::open(path).unwrap())).unwrap();
    let (width, height) = reader.dimensions().unwrap();
    let DecodingResult::U16(samples) = reader.read_image().unwrap() else { panic!("it is not 16 bit") };
    (width, height, samples, reader.get_tag_u8_vec(Tag::IccProfile).unwrap())
}

/// The first pixel of each print, from where it is told to lie.
fn places(done: &LayoutDone) -> Vec<(usize, usize)> {
    let pixel = |length: Millimetres| {
        let pixels = length.pixels(done.ppi);
        assert!((pixels - pixels.round()).abs() < 1e-6, "prints lie on whole pixels");
        pixels.round() as usize
    };
    done.prints.iter().map(|print| (pixel(print.at.0), pixel(print.at.1))).collect()
}

fn told(order: &LayoutOrder) -> String {
    make_layout(order, &Halt::default()).unwrap_err()
}

/// Every pixel of the paper is either a print's own, to the code, or what is drawn: white, words, marks.
#[test]
fn the_pixels_of_a_layout_are_those_of_its_prints() {
    for (colours, packing) in [(Colours::Grey, Packing::None), (Colours::Rgb, Packing::Lzw)] {
        let top = tempfile::tempdir().unwrap();
        let sizes = [(301, 400), (700, 233), (640, 512), (90, 700)];
        let prints: Vec<Noise> = sizes
            .iter()
            .enumerate()
            .map(|(i, size)| noise(top.path(), &format!("{i}.tif"), *size, colours, 100.0))
            .collect();
        let last = &prints[3];
        let icc = read(&last.path).3;
        write(&last.path, &last.samples, last.size, colours, PixelsPerInch::new(100.0), &icc, packing);
        let out = top.path().join("wall.tif");
        let mut order = order(&prints.iter().collect::<Vec<_>>(), "a2", &out);
        (order.cut_marks, order.key_line, order.stand) = (true, true, Stand::Raised);
        order.captions = Captions::Given(vec!["Coil; 2026; 2/10".to_owned()]);
        let done = make_layout(&order, &Halt::default()).unwrap();
        let (width, height, samples, profile) = read(&out);
        // ISO 216 A2, 420 x 594 mm, at 100 ppi: 1653.5 x 2338.6.
        assert_eq!([width.min(height), width.max(height)], [1654, 2339]);
        assert_eq!(profile, icc);
        let (across, mut left_over) = (width as usize * colours.samples(), samples.clone());
        for (print, (x, y)) in prints.iter().zip(places(&done)) {
            let row = print.size.width as usize * colours.samples();
            for (down, own) in print.samples.chunks(row).enumerate() {
                let at = (y + down) * across + x * colours.samples();
                assert!(samples[at..at + row] == *own, "{} row {down}", print.path.display());
                left_over[at..at + row].fill(u16::MAX);
            }
        }
        let inked = left_over.iter().filter(|code| **code != u16::MAX).count() as f64 / left_over.len() as f64;
        assert!((0.0005..0.02).contains(&inked), "marks, lines and words, and nothing else: {inked}");
    }
}

/// The PDF holds the same samples, high byte first (ISO 32000-1, 8.9.3), once, and a page of the paper's size.
#[test]
fn the_pdf_holds_the_prints_as_they_are_on_a_page_of_the_papers_size() {
    let top = tempfile::tempdir().unwrap();
    let prints = [
        noise(top.path(), "a.tif", (301, 211), Colours::Grey, 300.0),
        noise(top.path(), "b.tif", (211, 301), Colours::Grey, 300.0),
    ];
    let out = top.path().join("wall.pdf");
    make_layout(&order(&prints.iter().collect::<Vec<_>>(), "13x19in", &out), &Halt::default()).unwrap();
    let pdf = fs::read(&out).unwrap();
    let count = |part: &[u8]| pdf.windows(part.len()).filter(|window| *window == part).count();
    for print in &prints {
        let bytes: Vec<u8> = print.samples.iter().flat_map(|code| code.to_be_bytes()).collect();
        assert_eq!(count(&bytes), 1, "{}", print.path.display());
    }
    assert_eq!(count(b"/BitsPerComponent 16"), 2);
    assert_eq!(count(b"/DCTDecode"), 0);
    // 13 x 19 in are 936 x 1368 points of 1/72 in, turned because one print lies beside the other.
    assert_eq!(count(b"/MediaBox[0 0 1368 936]"), 1);
}

/// The page boxes of every paper, as printed by the PDF itself: ISO 216, ANSI/ASME Y14.1, inches of 25.4 mm, to 0.1 mm.
#[test]
fn every_paper_has_its_size_in_the_pdf() {
    let top = tempfile::tempdir().unwrap();
    let print = noise(top.path(), "a.tif", (60, 100), Colours::Grey, 100.0);
    let inch = 25.4;
    for (paper, width, height) in [
        ("a4", 210.0, 297.0),
        ("a3", 297.0, 420.0),
        ("a2", 420.0, 594.0),
        ("letter", 8.5 * inch, 11.0 * inch),
        ("13x19in", 13.0 * inch, 19.0 * inch),
        ("17x22in", 17.0 * inch, 22.0 * inch),
        ("24x36in", 24.0 * inch, 36.0 * inch),
    ] {
        let out = top.path().join(format!("{paper}.pdf"));
        make_layout(&order(&[&print], paper, &out), &Halt::default()).unwrap();
        let pdf = String::from_utf8_lossy(&fs::read(&out).unwrap()).into_owned();
        let page = pdf.split("/MediaBox[0 0 ").nth(1).and_then(|rest| rest.split(']').next()).unwrap();
        let sides: Vec<f64> = page.split(' ').map(|points| points.parse::<f64>().unwrap() / 72.0 * inch).collect();
        assert!((sides[0] - width).abs() < 0.1 && (sides[1] - height).abs() < 0.1, "{paper}: {sides:?}");
    }
}

#[test]
fn a_roll_is_cut_to_what_lies_on_it() {
    let top = tempfile::tempdir().unwrap();
    let print = noise(top.path(), "a.tif", (900, 500), Colours::Grey, 100.0);
    let out = top.path().join("roll.tif");
    let order = LayoutOrder { paper: LayoutPaper::Roll(mm(609.6)), ..order(&[&print, &print, &print], "a4", &out) };
    make_layout(&order, &Halt::default()).unwrap();
    let (width, height, ..) = read(&out);
    // Two lie beside one another on 24 in, the third below: 10 mm are 39.4 pixels, rounded up.
    assert_eq!((width, height), (2400, 40 + 500 + 40 + 500 + 40));
}

/// The limit of a page is that of readers of PDF: 14,400 units of 1/72 in, 5.08 m (ISO 32000-1, annex C).
#[test]
fn a_roll_that_is_too_long_for_a_pdf_can_be_a_tiff() {
    let top = tempfile::tempdir().unwrap();
    let print = noise(top.path(), "a.tif", (100, 400), Colours::Grey, 25.4);
    let roll = |out: &str| LayoutOrder {
        paper: LayoutPaper::Roll(mm(150.0)),
        ..order(&[&print; 13], "a4", &top.path().join(out))
    };
    for out in ["roll", "roll.pdf"] {
        let told = told(&roll(out));
        assert!(told.contains("would be 5.34 m long") && told.contains("a TIFF alone with --out NAME.tif"), "{told}");
    }
    assert!(!top.path().join("roll.tif").exists());
    make_layout(&roll("roll.tif"), &Halt::default()).unwrap();
    assert_eq!(read(&top.path().join("roll.tif")).1, 5340);
}

#[test]
fn eight_bits_become_sixteen_and_a_jpeg_lies_beside_a_tiff() {
    let top = tempfile::tempdir().unwrap();
    let deep = noise(top.path(), "a.tif", (120, 80), Colours::Grey, 240.0);
    let grey: Vec<u8> = (0..80 * 120u32).map(|i| (i * 7 % 251) as u8).collect();
    let size = Size { width: 80, height: 120 };
    let ppi = PixelsPerInch::new(240.0).unwrap();
    let jpeg = save::grey_jpeg(&grey, size, Some(ppi)).unwrap();
    let png = save::grey_png(&grey, size, ppi).unwrap();
    fs::write(top.path().join("b.jpg"), &jpeg).unwrap();
    fs::write(top.path().join("c.png"), &png).unwrap();
    let out = top.path().join("three");
    let mut order = order(&[&deep], "a4", &out);
    order.prints.extend([top.path().join("b.jpg"), top.path().join("c.png")]);
    let done = make_layout(&order, &Halt::default()).unwrap();
    assert_eq!(done.files, [top.path().join("three.tif"), top.path().join("three.pdf")]);
    let unknown = |advice: &String| advice.contains("no notes name it as a print of dryside");
    assert!(done.advice.len() == 3 && done.advice.iter().all(unknown), "{:?}", done.advice);
    let (width, _, samples, _) = read(&done.files[0]);
    // The `image` crate's own decoder, and the samples themselves.
    let decoded = image::load_from_memory(&jpeg).unwrap().into_luma8().into_raw();
    for ((x, y), own) in places(&done)[1..].iter().zip([decoded, grey]) {
        for (down, own) in own.chunks(80).enumerate() {
            let at = (y + down) * width as usize + x;
            let wanted: Vec<u16> = own.iter().map(|code| u16::from(*code) * 257).collect();
            assert_eq!(samples[at..at + 80], wanted);
        }
    }
}

#[test]
fn prints_that_do_not_belong_together_are_told_in_what() {
    let top = tempfile::tempdir().unwrap();
    let folder = top.path();
    let grey = noise(folder, "grey.tif", (60, 40), Colours::Grey, 300.0);
    let fine = noise(folder, "fine.tif", (60, 40), Colours::Grey, 360.0);
    let toned = noise(folder, "toned.tif", (60, 40), Colours::Rgb, 300.0);
    let other = noise(folder, "other.tif", (60, 40), Colours::Grey, 300.0);
    let gamma = grey_profile(&Encoding::Gamma(2.2));
    write(&other.path, &other.samples, other.size, Colours::Grey, PixelsPerInch::new(300.0), &gamma, Packing::None);
    let sizeless = noise(folder, "sizeless.tif", (60, 40), Colours::Grey, 300.0);
    let icc = grey_profile(&Encoding::Srgb);
    write(&sizeless.path, &sizeless.samples, sizeless.size, Colours::Grey, None, &icc, Packing::None);
    let out = folder.join("wall.tif");
    for (second, what) in [
        (
            &fine,
            "it is of 360 ppi, and grey.tif is of 300 ppi: a paper has one resolution: make them with the same --ppi",
        ),
        (&toned, "it is in colour, and grey.tif is grey: lay neutral and toned prints on papers of their own"),
        (&other, "it is in one profile, and grey.tif is in another"),
        (&sizeless, "its size is not known: make it with dryside print"),
    ] {
        let told = told(&order(&[&grey, second], "a4", &out));
        assert!(told.starts_with(&second.path.display().to_string()) && told.contains(what), "{told}");
    }
    assert!(!out.exists());
    let gone = LayoutOrder { prints: vec![folder.join("gone.tif")], ..order(&[&grey], "a4", &out) };
    assert!(told(&gone).contains("gone.tif: there is no such file"));
}

#[test]
fn too_small_a_paper_is_refused_with_one_that_would_do() {
    let top = tempfile::tempdir().unwrap();
    // 300 x 200 mm at 254 ppi.
    let print = noise(top.path(), "a.tif", (3000, 2000), Colours::Grey, 254.0);
    let out = top.path().join("wall.tif");
    let refused = told(&order(&[&print], "a4", &out));
    assert!(refused.contains("a4 is too small") && refused.ends_with("use --page a3"), "{refused}");
    make_layout(&order(&[&print], "a3", &out), &Halt::default()).unwrap();
    let narrow = LayoutOrder { cut_marks: true, gap: mm(3.0), ..order(&[&print], "a2", &out) };
    assert!(told(&narrow).contains("a --margin of 5mm and a --gap of 10mm or more"));
}

#[test]
fn no_print_is_written_over_and_no_other_file_unasked() {
    let top = tempfile::tempdir().unwrap();
    let print = noise(top.path(), "a.tif", (60, 40), Colours::Grey, 100.0);
    let mut over = order(&[&print], "a4", &print.path);
    over.force = true;
    assert!(told(&over).contains("a.tif: this is one of the prints"));
    let out = top.path().join("wall.tif");
    let first = order(&[&print], "a4", &out);
    make_layout(&first, &Halt::default()).unwrap();
    let before = fs::read(&out).unwrap();
    make_layout(&first, &Halt::default()).expect("the same file may come once more");
    let other = LayoutOrder { key_line: true, ..first };
    make_layout(&other, &Halt::default()).expect("its own earlier layout gives way");
    assert!(fs::read(&out).unwrap() != before);
    let drawn_on = [&before[..], b"a note"].concat();
    fs::write(&out, &drawn_on).unwrap();
    assert!(told(&other).contains("wall.tif: another file of this name is there"));
    assert!(fs::read(&out).unwrap() == drawn_on);
    make_layout(&LayoutOrder { force: true, ..other }, &Halt::default()).unwrap();
    assert!(fs::read(&out).unwrap() != drawn_on);
}

#[test]
fn a_print_that_is_cut_short_is_named() {
    let top = tempfile::tempdir().unwrap();
    let print = noise(top.path(), "a.png", (10, 10), Colours::Grey, 100.0);
    let grey: Vec<u8> = (0..90_000u64).map(|i| (i * i % 253) as u8).collect();
    let png = save::grey_png(&grey, Size { width: 300, height: 300 }, PixelsPerInch::new(100.0).unwrap()).unwrap();
    fs::write(&print.path, &png[..png.len() / 2]).unwrap();
    for out in ["wall.tif", "wall.pdf"] {
        let out = top.path().join(out);
        let refused = told(&order(&[&print], "a4", &out));
        assert!(refused.starts_with(&format!("{}: ", print.path.display())), "{refused}");
        assert!(!out.exists());
    }
}

fn dryside(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_dryside")).args(words).output().expect("runs")
}

/// From scan to paper: the caption is that of the notes which name the print.
#[test]
fn a_print_has_its_title_from_its_notes() {
    let top = tempfile::tempdir().unwrap();
    let (scans, out) = (top.path().join("loft"), top.path().join("loft-out"));
    fs::create_dir(&scans).unwrap();
    fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ropewalk/sheet-01.tif"), scans.join("coil.tif"))
        .unwrap();
    assert!(dryside(&["batch", scans.to_str().unwrap(), "--no-sheet"]).status.success());
    let frame = out.join("coil");
    assert!(dryside(&["print", frame.to_str().unwrap(), "--size", "9x7cm", "--ppi", "200"]).status.success());
    let print = out.join("print/coil-9x7cm.tif");
    let laid = |more: &[&str]| {
        let output = dryside(&[&["layout", print.to_str().unwrap(), "--page", "a4"], more].concat());
        (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    let (told, error) = laid(&[]);
    assert!(told.contains("no caption: its notes have no title: write title"), "{told}{error}");
    let notes = out.join("flat/coil.notes.toml");
    let written = fs::read_to_string(&notes).unwrap();
    let shot = "[shot]\ntitle = \"Coil of tarred rope\"\nphotographer = \"Hanna Seil\"\nkeywords = [\"rope\", \"tar\"]\ndate = 2026-03-12  # a date\nedition = \"2/10\"\n";
    fs::write(&notes, written.replace("[shot]\n", shot)).unwrap();
    let (told, _) = laid(&["--gap", "40cm"]);
    assert!(told.is_empty(), "a slip of the hand");
    let (told, _) = laid(&["--cut-marks"]);
    assert!(told.contains("Coil of tarred rope") && !told.contains("no caption"), "{told}");
    let name = "coil-9x7cm-on-a4";
    for ending in ["tif", "pdf"] {
        assert!(out.join(format!("layout/{name}.{ending}")).is_file(), "{told}");
    }
    assert!(told.contains("at 100 %"));
    // Its own edition, told apart from that of the notes; and what is no print is told.
    let words = |more: &[&str]| {
        let (_, error) = laid(more);
        assert!(error.is_empty(), "{error}");
        let pdf = out.join(format!("layout/{name}.pdf"));
        let text = Command::new("pdftotext").args([pdf.to_str().unwrap(), "-"]).output();
        text.ok().map(|output| String::from_utf8(output.stdout).unwrap())
    };
    for (more, edition) in [(&["--edition", "3/10"][..], "3/10"), (&[], "2/10")] {
        assert!(words(more).is_none_or(|words| words.contains(&format!("2026 \u{b7} {edition}"))));
    }
    let flat = out.join("flat/coil.tif");
    let output = dryside(&["layout", flat.to_str().unwrap(), "--page", "a2"]);
    let told_of_flat = String::from_utf8(output.stdout).unwrap();
    assert!(told_of_flat.contains("coil.tif: it is a flat positive"), "{told_of_flat}");
    // TIFF 6.0: Artist; ISO 32000-1, 14.3.3: Author, Keywords.
    let mut tiff = Decoder::new(Cursor::new(fs::read(out.join(format!("layout/{name}.tif"))).unwrap())).unwrap();
    assert_eq!(tiff.get_tag_ascii_string(Tag::Artist).unwrap(), "Hanna Seil");
    let pdf = fs::read(out.join(format!("layout/{name}.pdf"))).unwrap();
    let has = |word: &str| pdf.windows(word.len()).any(|part| part == word.as_bytes());
    assert!(
        has("/Author") && has("Hanna Seil") && has("/Keywords") && has("Coil of tarred rope"),
        "document information"
    );
    let usage = dryside(&["layout", print.to_str().unwrap()]);
    assert_eq!(usage.status.code(), Some(2), "no paper");
    // The print lies there as it was made, behind another reader too.
    let page = read(&out.join(format!("layout/{name}.tif")));
    let own = read(&print);
    let whole: Vec<&[u16]> = page.2.chunks(page.0 as usize).collect();
    let first = &own.2[..own.0 as usize];
    assert!(whole.iter().any(|row| row.windows(first.len()).any(|part| part == first)));
    assert!(Decoder::new(Cursor::new(fs::read(&print).unwrap())).is_ok());
}
