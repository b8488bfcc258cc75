//! The pictures in a PDF, as they were put in: read with the flate2 library and by ISO 32000-1, 8.9.5.

use std::fs;
use std::io::Read;
use std::path::Path;

/// A grey picture without loss.
pub(crate) struct Kept {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) bits: usize,
    /// A code for each pixel, row after row.
    pub(crate) codes: Vec<u16>,
}

/// All of them, in no order.
pub(crate) fn kept_pictures(path: &Path) -> Vec<Kept> {
    let pdf = fs::read(path).expect("there is a PDF");
    let mut found = Vec::new();
    for at in places(&pdf, b"/Subtype/Image").chain(places(&pdf, b"/Subtype /Image")) {
        let start = last(&pdf[..at], b"<<").expect("a dictionary begins");
        let stream = at + places(&pdf[at..], b"stream").next().expect("a stream follows");
        let head = String::from_utf8_lossy(&pdf[start..stream]).into_owned();
        let number = |key: &str| -> Option<usize> {
            let rest = &head[head.find(key)? + key.len()..];
            rest.trim_start().split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()
        };
        let (Some(width), Some(height)) = (number("/Width"), number("/Height")) else { continue };
        let bits = number("/BitsPerComponent").expect("it has a depth");
        if !head.contains("/FlateDecode") {
            continue;
        }
        assert!(!head.contains("/Interpolate true"), "not to be smoothed: {head}");
        let body = &pdf[stream + b"stream".len()..];
        let body = body.strip_prefix(b"\r").unwrap_or(body);
        let body = body.strip_prefix(b"\n").unwrap_or(body);
        let mut bytes = Vec::new();
        flate2::read::ZlibDecoder::new(body).read_to_end(&mut bytes).expect("it unpacks");
        let codes: Vec<u16> = match bits {
            8 => bytes.iter().map(|byte| u16::from(*byte)).collect(),
            _ => bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect(),
        };
        assert_eq!(codes.len(), width * height, "{head}");
        found.push(Kept { width, height, bits, codes });
    }
    found
}

impl Kept {
    /// Where this picture lies in a larger one of `width` columns, code by code.
    pub(crate) fn place_in(&self, codes: &[u16], width: usize) -> Option<(usize, usize)> {
        let height = codes.len() / width;
        let rows = || 0..self.height;
        let fits = |x: usize, y: usize| {
            rows()
                .all(|row| codes[(y + row) * width + x..][..self.width] == self.codes[row * self.width..][..self.width])
        };
        let (last_x, last_y) = (width.checked_sub(self.width)?, height.checked_sub(self.height)?);
        (0..=last_y).flat_map(|y| (0..=last_x).map(move |x| (x, y))).find(|(x, y)| fits(*x, *y))
    }
}

fn places<'a>(bytes: &'a [u8], part: &'a [u8]) -> impl Iterator<Item = usize> + 'a {
    bytes.windows(part.len()).enumerate().filter(move |(_, window)| *window == part).map(|(at, _)| at)
}

fn last(bytes: &[u8], part: &[u8]) -> Option<usize> {
    bytes.windows(part.len()).rposition(|window| window == part)
}
