//! Files written by the `tiff`, `png` and `image` libraries, none of which has a part in reading them back but for
//! JPEG.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use dryside::light::Encoding;
use dryside::plane::Band;
use dryside::scan::{self, Channel, Compression, Error, Format, Rows, Scan};
use proptest::prelude::*;
use tiff::encoder::{TiffEncoder, colortype};

fn codes(scan: &Scan, channel: Channel) -> Vec<u16> {
    let mut all = Vec::new();
    let of_band = |band: &Band<'_>| band.samples().to_vec();
    scan.read(channel, Rows::All, of_band, |codes| {
        all.extend(codes);
        Ok::<_, Error>(())
    })
    .unwrap();
    all
}

fn written(write: impl FnOnce(&Path)) -> (tempfile::TempDir, Scan) {
    let folder = tempfile::tempdir().unwrap();
    // Named against its kind: the bytes decide.
    let path = folder.path().join("scan.txt");
    write(&path);
    let scan = scan::open(&path).unwrap();
    (folder, scan)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_tiff_of_the_tiff_library_reads_back(
        width in 1u32..90, height in 1u32..70, seed in any::<u32>(), packing in 0usize..4, predictor in any::<bool>(),
        big in any::<bool>(),
    ) {
        let compressions = [
            tiff::encoder::Compression::Uncompressed,
            tiff::encoder::Compression::Lzw,
            tiff::encoder::Compression::Deflate(tiff::encoder::DeflateLevel::Fast),
            tiff::encoder::Compression::Packbits,
        ];
        let predictor = if predictor && matches!(packing, 1 | 2) {
            tiff::encoder::Predictor::Horizontal
        } else {
            tiff::encoder::Predictor::None
        };
        let samples: Vec<u16> =
            (0..width * height * 3).map(|i| (i.wrapping_mul(seed | 1) >> 9 & 0xFFFF) as u16).collect();
        let (_folder, scan) = written(|path| {
            let file = BufWriter::new(File::create(path).unwrap());
            if big {
                let encoder = TiffEncoder::new_big(file).unwrap();
                let mut encoder = encoder.with_compression(compressions[packing]).with_predictor(predictor);
                encoder.write_image::<colortype::RGB16>(width, height, &samples).unwrap();
            } else {
                let encoder = TiffEncoder::new(file).unwrap();
                let mut encoder = encoder.with_compression(compressions[packing]).with_predictor(predictor);
                encoder.write_image::<colortype::RGB16>(width, height, &samples).unwrap();
            }
        });
        for (k, channel) in [Channel::Red, Channel::Green, Channel::Blue].into_iter().enumerate() {
            let wanted: Vec<u16> = samples.chunks(3).map(|pixel| pixel[k]).collect();
            prop_assert_eq!(codes(&scan, channel), wanted);
        }
        prop_assert_eq!(scan.facts().big, big);
    }
}

#[test]
fn pngs_of_all_kinds_that_are_read_give_their_codes() {
    let (width, height) = (37u32, 29u32);
    let kinds = [
        (png::ColorType::Grayscale, 1, 1),
        (png::ColorType::GrayscaleAlpha, 2, 1),
        (png::ColorType::Rgb, 3, 3),
        (png::ColorType::Rgba, 4, 3),
    ];
    for (kind, per_pixel, colours) in kinds {
        for depth in [png::BitDepth::Eight, png::BitDepth::Sixteen] {
            let bytes = if depth == png::BitDepth::Eight { 1 } else { 2 };
            let data: Vec<u8> =
                (0..width * height * per_pixel * bytes).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
            let (_folder, scan) = written(|path| {
                let mut encoder = png::Encoder::new(File::create(path).unwrap(), width, height);
                encoder.set_color(kind);
                encoder.set_depth(depth);
                // 94488 pixels a metre are 2400 an inch.
                encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: 94488, yppu: 94488, unit: png::Unit::Meter }));
                encoder.set_source_gamma(png::ScaledFloat::new(0.5));
                encoder.write_header().unwrap().write_image_data(&data).unwrap();
            });
            let pixels = data.chunks((per_pixel * bytes) as usize);
            let wanted: Vec<u16> = pixels
                .map(|pixel| {
                    let green = if colours == 3 { 1 } else { 0 };
                    if bytes == 1 {
                        u16::from(pixel[green]) * 257
                    } else {
                        u16::from_be_bytes([pixel[2 * green], pixel[2 * green + 1]])
                    }
                })
                .collect();
            assert_eq!(codes(&scan, Channel::Green), wanted, "{kind:?} {depth:?}");
            let facts = scan.facts();
            assert_eq!(
                (facts.format, facts.channels, u32::from(facts.extra_channels)),
                (Format::Png, colours, per_pixel - u32::from(colours))
            );
            assert!((facts.resolution.unwrap().x.value() - 2400.0).abs() < 0.01);
            assert_eq!(facts.declared, Some(Encoding::Gamma(2.0)));
        }
    }
}

#[test]
fn a_png_cut_short_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("cut.png");
    let noise: Vec<u8> = (0..200 * 200u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    image::save_buffer(&path, &noise, 200, 200, image::ExtendedColorType::L8).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    std::fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    let scan = scan::open(&path).unwrap();
    let error = scan.read(Channel::Green, Rows::All, |_| (), |()| Ok::<_, Error>(())).unwrap_err();
    assert!(matches!(error, Error::Damaged(_)), "{error}");
}

#[test]
fn a_jpeg_gives_its_codes_nearly() {
    let (width, height) = (64u32, 48u32);
    let smooth: Vec<u8> = (0..height).flat_map(|y| (0..width).map(move |x| (x * 2 + y) as u8)).collect();
    let (_folder, scan) = written(|path| {
        let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(File::create(path).unwrap(), 95);
        encoder.set_pixel_density(image::codecs::jpeg::PixelDensity::dpi(1200));
        encoder.encode(&smooth, width, height, image::ExtendedColorType::L8).unwrap();
    });
    assert!(scan.facts().compression.is_lossy() && scan.facts().compression == Compression::Jpeg);
    assert_eq!(scan.facts().resolution.unwrap().x.value(), 1200.0);
    let got = codes(&scan, Channel::Green);
    assert_eq!(got.len(), smooth.len());
    let worst = got.iter().zip(&smooth).map(|(got, wanted)| (got / 257).abs_diff(u16::from(*wanted))).max();
    assert!(worst.unwrap() <= 4, "{worst:?}");
}

/// A decoder that fills up what is missing would make a torn scan look whole.
#[test]
fn a_jpeg_cut_anywhere_says_so() {
    let smooth: Vec<u8> = (0..48 * 64u32).map(|i| (i % 64 * 2 + i / 64) as u8).collect();
    let mut whole = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut whole).encode(&smooth, 64, 48, image::ExtendedColorType::L8).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("cut.jpg");
    for cut in 3..whole.len() {
        std::fs::write(&path, &whole[..cut]).unwrap();
        assert!(matches!(scan::open(&path), Err(Error::Damaged(_))), "cut at {cut}");
    }
}

/// Made by `tests/fixtures/tiff/make.py` after the PNG standard, and read back there by Pillow.
#[test]
fn an_interlaced_png_gives_its_codes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/png");
    let bytes = std::fs::read(folder.join("interlaced.raw")).unwrap();
    let wanted: Vec<u16> = bytes.as_chunks().0.iter().map(|b| u16::from_le_bytes(*b)).collect();
    assert_eq!(codes(&scan::open(&folder.join("interlaced.png")).unwrap(), Channel::Green), wanted);
}

/// What is carried can be written by the `tiff` library's directory encoder, and reads back the same.
#[test]
fn carried_tags_survive_being_written_again() {
    let said = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/tiff/said.tif");
    let carried = scan::open(&said).unwrap().facts().carried.clone();
    assert!(!carried.main.is_empty() && !carried.exif.is_empty());
    let (_folder, scan) = written(|path| {
        let mut encoder = TiffEncoder::new(BufWriter::new(File::create(path).unwrap())).unwrap();
        let mut exif = encoder.extra_directory().unwrap();
        add(&mut exif, &carried.exif);
        let exif = exif.finish_with_offsets().unwrap();
        let mut image = encoder.new_image::<colortype::Gray16>(2, 1).unwrap();
        add(image.encoder(), &carried.main);
        image.encoder().write_tag(tiff::tags::Tag::ExifDirectory, exif.offset).unwrap();
        image.write_data(&[1, 2]).unwrap();
    });
    assert_eq!(scan.facts().carried.main, carried.main);
    assert_eq!(scan.facts().carried.exif, carried.exif);
}

fn add<W: std::io::Write + std::io::Seek, K: tiff::encoder::TiffKind>(
    encoder: &mut tiff::encoder::DirectoryEncoder<'_, W, K>,
    tags: &[scan::CarriedTag],
) {
    let mut directory = tiff::Directory::empty();
    for tag in tags {
        directory.extend([(tag.tag, encoder.write_entry_bytes(tag.kind, &tag.bytes).unwrap())]);
    }
    encoder.extend_from(&directory);
}
