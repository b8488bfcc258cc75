//! What each room costs for the pixels of one scan, beside copying them: `cargo bench`. All in one run, so that ratios
//! can be told; what they were stands in `docs/performance.md`.
#![allow(clippy::unwrap_used, missing_docs)]

use std::io::{Cursor, Write};
use std::path::PathBuf;
use std::sync::LazyLock;

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use dryside::film::{self, Dust, Given};
use dryside::light::{Densitometer, Density, Encoding, PixelsPerInch, grey_profile};
use dryside::plane::{Across, Band, Down, Histogram, Overview, Size, Table};
use dryside::save::{self, Colours, DeepTiff, Error, Packing, grey_jpeg, write_tiff};
use dryside::scan::{self, Channel, Rows, Scan};
use dryside::sheet::{self, Frame, Head, Lay, PageSize, Part, Picture, Sheet};
use dryside::{flat, flat::Law};
use rayon::prelude::*;

fn main() {
    divan::main();
}

/// 16.8 megapixels: more than any cache holds, as a scan is.
const SIZE: Size = Size { width: 4096, height: 4096 };
const PROOF: Size = Size { width: 1600, height: 1600 };

/// A slope with grain in the low bits, as film has it: such codes hardly compress.
static CODES: LazyLock<Vec<u16>> = LazyLock::new(|| {
    let grain = |i: u32| (i.wrapping_mul(2_654_435_761) >> 21) as u16;
    (0..SIZE.pixels() as u32).map(|i| (8000 + i / SIZE.width * 8) as u16 + grain(i)).collect()
});

fn bytes() -> BytesCount {
    BytesCount::of_slice(CODES.as_slice())
}

fn tiff(packing: Packing) -> Vec<u8> {
    let picture = DeepTiff {
        size: SIZE,
        colours: Colours::Grey,
        packing,
        differenced: packing == Packing::Deflate,
        icc: &grey_profile(&Encoding::Linear),
        resolution: PixelsPerInch::new(1200.0).map(|ppi| (ppi, ppi)),
        orientation: 1,
        software: "bench",
        carried: &[],
        exif: &[],
    };
    let mut file = Cursor::new(Vec::with_capacity(3 * SIZE.pixels() as usize));
    write_tiff(&mut file, &picture, |strips| CODES.chunks(1 << 18).try_for_each(|rows| strips.rows(rows)))
        .map_err(|e: Error| e.to_string())
        .unwrap();
    file.into_inner()
}

fn scan(packing: Packing) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("scan.tif");
    std::fs::write(&path, tiff(packing)).unwrap();
    (folder, path)
}

#[divan::bench]
fn a_memcpy(bencher: Bencher<'_, '_>) {
    let mut to = vec![0; CODES.len()];
    bencher.counter(bytes()).bench_local(|| to.copy_from_slice(black_box(&CODES)));
}

/// What scans and packed files are to be held against: they use all threads.
#[divan::bench]
fn a_memcpy_by_all_threads(bencher: Bencher<'_, '_>) {
    let mut to = vec![0; CODES.len()];
    let copy = |(to, from): (&mut [u16], &[u16])| to.copy_from_slice(black_box(from));
    let band = 1 << 18;
    bencher.counter(bytes()).bench_local(|| to.par_chunks_mut(band).zip(CODES.par_chunks(band)).for_each(copy));
}

fn read(scan: &Scan) -> Option<u16> {
    let last = |band: &Band<'_>| band.samples().last().copied();
    let mut code = None;
    scan.read(Channel::Green, Rows::All, last, |of_band| -> Result<(), scan::Error> {
        code = of_band;
        Ok(())
    })
    .unwrap();
    code
}

#[divan::bench(args = [Packing::None, Packing::PackBits, Packing::Lzw, Packing::Deflate])]
fn scan_decode(bencher: Bencher<'_, '_>, packing: Packing) {
    let (_folder, path) = scan(packing);
    let scan = scan::open(&path).unwrap();
    bencher.counter(bytes()).bench_local(|| read(&scan));
}

#[divan::bench]
fn scan_kept(bencher: Bencher<'_, '_>) {
    let (_folder, path) = scan(Packing::Lzw);
    let mut scan = scan::open(&path).unwrap();
    scan.keep(Channel::Green).unwrap();
    bencher.counter(bytes()).bench_local(|| read(&scan));
}

#[divan::bench]
fn plane_histogram(bencher: Bencher<'_, '_>) {
    bencher.counter(bytes()).bench_local(|| {
        let mut histogram = Histogram::default();
        histogram.add(black_box(&CODES));
        histogram
    });
}

fn flat_table() -> Table {
    let law = Law::between(Density::new(0.1), Density::new(1.3));
    flat::table(&Densitometer::new(&Encoding::Linear), Density::new(0.1), &law, &Encoding::Gamma(2.2))
}

#[divan::bench]
fn flat_one_table(bencher: Bencher<'_, '_>) {
    bencher.bench_local(flat_table);
}

#[divan::bench]
fn plane_table(bencher: Bencher<'_, '_>) {
    let table = flat_table();
    let mut into = Vec::with_capacity(1 << 18);
    bencher.counter(bytes()).bench_local(|| {
        for codes in CODES.chunks(1 << 18) {
            into.clear();
            table.extend(black_box(codes), &mut into);
            black_box(&into);
        }
    });
}

fn reduced(size: Size) -> Overview {
    let bench = Densitometer::new(&Encoding::Linear);
    let (across, mut down) = (Across::new(SIZE.width, size.width), Down::new(SIZE, size));
    let (mut narrow, mut light) = (Vec::new(), Vec::new());
    for row in CODES.chunks_exact(SIZE.width as usize) {
        narrow.clear();
        across.row(row, bench.light(), &mut narrow);
        down.row(&narrow, |done| light.extend_from_slice(done));
    }
    down.finish(|done| light.extend_from_slice(done));
    Overview::new(size, light, SIZE)
}

#[divan::bench]
fn plane_reduce(bencher: Bencher<'_, '_>) {
    bencher.counter(bytes()).bench_local(|| reduced(PROOF));
}

#[divan::bench]
fn code_hash(bencher: Bencher<'_, '_>) {
    let row = |codes: &[u16]| blake3::hash(bytemuck::cast_slice(codes));
    bencher.counter(bytes()).bench_local(|| CODES.chunks_exact(SIZE.width as usize).map(row).for_each(drop));
}

/// A file under its name: hashed and flushed too.
#[divan::bench]
fn save_whole(bencher: Bencher<'_, '_>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("flat.tif");
    let write = |file: &mut save::Making<'_>| file.write_all(bytemuck::cast_slice(&CODES));
    bencher.counter(bytes()).bench_local(|| save::whole::<std::io::Error>(&path, write).unwrap());
}

#[divan::bench(args = [Packing::None, Packing::PackBits, Packing::Lzw, Packing::Deflate])]
fn save_encode(bencher: Bencher<'_, '_>, packing: Packing) {
    bencher.counter(bytes()).bench_local(|| tiff(packing));
}

/// The first demo sheet, which is hardly larger than an overview; it is scanned at 215 ppi.
fn sheet_overview() -> Overview {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ropewalk/sheet-01.tif");
    let scan = scan::open(&path).unwrap();
    let size = scan.facts().size;
    let bench = Densitometer::new(&Encoding::Gamma(2.2));
    let mut light = Vec::new();
    let of_band = |band: &Band<'_>| band.samples().iter().map(|c| bench.light()[usize::from(*c)]).collect::<Vec<_>>();
    scan.read(Channel::Green, Rows::All, of_band, |more| -> Result<(), scan::Error> {
        light.extend(more);
        Ok(())
    })
    .unwrap();
    Overview::new(size, light, size)
}

#[divan::bench]
fn film_find(bencher: Bencher<'_, '_>) {
    let overview = sheet_overview();
    bencher.bench_local(|| film::find(&overview, &Given { ppi: PixelsPerInch::new(215.0), ..Given::default() }));
}

#[divan::bench]
fn film_dust(bencher: Bencher<'_, '_>) {
    let overview = sheet_overview();
    bencher.bench_local(|| Dust::of(&overview));
}

fn greys() -> Vec<u8> {
    reduced(PROOF).light().iter().map(|light| (light * 255.0) as u8).collect()
}

#[divan::bench]
fn save_jpeg(bencher: Bencher<'_, '_>) {
    let greys = greys();
    bencher.bench_local(|| grey_jpeg(&greys, PROOF, None).unwrap());
}

/// A page of nine proofs, each of 2.6 megapixels.
fn page() -> Sheet {
    let proof = grey_jpeg(&greys(), PROOF, None).unwrap();
    let frame = |number: u32| Frame {
        name: format!("coil-{number}"),
        picture: Some(Picture::from_jpeg(proof.clone()).unwrap()),
        ..Frame::default()
    };
    let part =
        Part { name: "graded", kind: String::new(), frames: (1..=9).map(frame).collect(), not_shown: Vec::new() };
    let lay = Lay { page: PageSize::A4, grid: None, contact: false };
    sheet::proof(&[part], None, &Head::default(), &lay).expect("nine frames go on a page")
}

#[divan::bench]
fn sheet_pdf(bencher: Bencher<'_, '_>) {
    let page = page();
    bencher.bench_local(|| page.pdf().unwrap());
}

#[divan::bench]
fn sheet_raster(bencher: Bencher<'_, '_>) {
    let page = page();
    let ppi = PixelsPerInch::new(200.0).unwrap();
    bencher.bench_local(|| page.raster(0, ppi).unwrap());
}
