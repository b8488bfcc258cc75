//! What comes out does not depend on how the work is divided: threads, memory, packing.
#![allow(clippy::unwrap_used)]

mod bench;

use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::Command;

use bench::{files, notes, samples, sheet_codes};
use tiff::encoder::{Compression, DeflateLevel, Predictor, TiffEncoder, colortype::Gray16};

/// Larger than several bands, so that several threads have something to do.
const SIZE: (u32, u32) = (1100, 1400);

/// The same sheet in each packing, by the `tiff` library, and the same as a PNG by the `image` crate.
fn scans() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let codes = sheet_codes(SIZE, 1.0);
    let packings = [
        ("none", Compression::Uncompressed),
        ("lzw", Compression::Lzw),
        ("deflate", Compression::Deflate(DeflateLevel::Fast)),
        ("packbits", Compression::Packbits),
    ];
    for (name, packing) in packings {
        let file = File::create(folder.path().join(format!("{name}.tif"))).unwrap();
        let encoder = TiffEncoder::new(file).unwrap().with_compression(packing);
        let mut encoder = if name == "deflate" { encoder.with_predictor(Predictor::Horizontal) } else { encoder };
        encoder.write_image::<Gray16>(SIZE.0, SIZE.1, &codes).unwrap();
    }
    let picture = image::ImageBuffer::<image::Luma<u16>, _>::from_raw(SIZE.0, SIZE.1, codes).unwrap();
    picture.save(folder.path().join("png.png")).unwrap();
    folder
}

/// All files of a run with so many threads and jobs and so much memory, with their paths in the results' folder.
fn made(scans: &Path, threads: &str, jobs: &str, memory: &str) -> (tempfile::TempDir, Vec<(PathBuf, Vec<u8>)>) {
    let top = tempfile::tempdir().unwrap();
    let out = top.path().join("out");
    let mut command = Command::new(env!("CARGO_BIN_EXE_dryside"));
    command.arg("batch").arg(scans).arg("--out").arg(&out).args(["--encoding", "linear", "--no-sheet"]);
    let run = command.args(["--jobs", jobs, "--memory", memory]).env("RAYON_NUM_THREADS", threads).output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let all = files(&out).into_iter().map(|(path, bytes)| (path.strip_prefix(&out).unwrap().to_owned(), bytes));
    let all = all.collect();
    (top, all)
}

#[test]
fn every_file_is_the_same_whatever_the_threads_and_the_memory() {
    let scans = scans();
    let (_top, one) = made(scans.path(), "1", "1", "200MB");
    assert_eq!(one.iter().filter(|(path, _)| path.extension().is_some_and(|e| e == "tif")).count(), 5);
    for (threads, jobs, memory) in [("2", "1", "400MB"), ("3", "4", "1GB"), ("8", "2", "200MB")] {
        let (_top, other) = made(scans.path(), threads, jobs, memory);
        assert_eq!(one.len(), other.len());
        for ((path, bytes), (there, others)) in one.iter().zip(&other) {
            assert_eq!(path, there);
            assert!(bytes == others, "{} with {threads} threads, {jobs} jobs, {memory}", path.display());
        }
    }
}

#[test]
fn a_scan_gives_the_same_codes_and_tones_whatever_its_packing() {
    let scans = scans();
    let (top, _) = made(scans.path(), "2", "2", "400MB");
    let flat = top.path().join("out/flat");
    let of = |name: &str| {
        let notes = notes(&flat.join(format!("{name}.notes.toml")));
        let codes = notes["scan"]["codes_blake3"].as_str().unwrap().to_owned();
        (codes, notes["measured"]["frames"].to_string(), samples(&flat.join(format!("{name}.tif"))))
    };
    let plain = of("none");
    for name in ["lzw", "deflate", "packbits", "png"] {
        assert!(of(name) == plain, "{name}");
    }
}
