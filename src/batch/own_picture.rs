//! A picture that the program made, read again for a sheet or a page: whatever lies there by now, it is never waited
//! for and never more than memory holds.

use std::fs::{self, File};
use std::io::{self, Cursor, Read};
use std::path::Path;

use image::ImageDecoder;
use image::codecs::jpeg::JpegDecoder;

/// Most bytes of the file, which is held whole: a proof of 1600 pixels a side has 2.5 MB unpacked.
const FILE: u64 = 64 << 20;
/// Most pixels: unpacked they are held whole, too. A JPEG scan may have as many.
const PIXELS: u64 = 200_000_000;

/// The bytes of a JPEG. Whether it can be drawn is told by whoever draws it.
///
/// # Errors
/// When it cannot be read, is no ordinary file, or too large to be the program's: what to do.
pub(super) fn jpeg(path: &Path) -> io::Result<Vec<u8>> {
    let facts = fs::metadata(path)?;
    if !facts.is_file() {
        return Err(io::Error::other("it is no ordinary file: move it away, and run dryside batch again"));
    }
    let too_large = |what: String| {
        let advice = "too large for a picture that was made here: move it away, and run dryside batch again";
        Err(io::Error::other(format!("{what}, {advice}")))
    };
    if facts.len() > FILE {
        return too_large(format!("it has {} MB", facts.len() >> 20));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(FILE).read_to_end(&mut bytes)?;
    let size = JpegDecoder::new(Cursor::new(&bytes)).map(|header| header.dimensions());
    match size {
        Ok((width, height)) if u64::from(width) * u64::from(height) > PIXELS => {
            too_large(format!("it has {width} x {height} pixels"))
        }
        _ => Ok(bytes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Size;
    use crate::save;

    #[test]
    fn what_is_too_large_is_told_before_it_is_held() {
        let top = tempfile::tempdir().unwrap();
        let path = top.path().join("coil.jpg");
        let small = save::grey_jpeg(&[90; 35], Size { width: 7, height: 5 }, None).unwrap();
        fs::write(&path, &small).unwrap();
        assert_eq!(jpeg(&path).unwrap(), small);
        // The start of a frame says height and width behind length and bits (ISO/IEC 10918-1, B.2.2): 65,535 each.
        let frame = small.windows(2).position(|pair| pair == [0xFF, 0xC0]).unwrap();
        let mut giant = small.clone();
        giant[frame + 5..frame + 9].fill(0xFF);
        fs::write(&path, &giant).unwrap();
        let told = jpeg(&path).unwrap_err().to_string();
        assert!(told.starts_with("it has 65535 x 65535 pixels, too large"), "{told}");
        // A file without blocks on the disk, as long as a telephone's film.
        File::create(&path).unwrap().set_len(300 << 20).unwrap();
        let told = jpeg(&path).unwrap_err().to_string();
        assert!(told.starts_with("it has 300 MB, too large") && told.contains("move it away"), "{told}");
        fs::write(&path, b"no JPEG").unwrap();
        assert_eq!(jpeg(&path).unwrap(), b"no JPEG", "that is told by whoever draws it");
    }
}
