//! Any bytes as a scan: refused with a cause, or read to the last row; and what is whole is read alike with and without
//! salvage.
#![no_main]

use std::cell::RefCell;
use std::fs;
use std::path::Path;

use dryside::plane::Band;
use dryside::scan::{self, Channel, Error, Rows, Torn};
use libfuzzer_sys::fuzz_target;
use tempfile::NamedTempFile;

/// Larger ones would make a run slow, not deeper.
const PIXELS: u64 = 1 << 22;

thread_local! {
    static FILE: RefCell<NamedTempFile> = RefCell::new(NamedTempFile::new().expect("a file"));
}

fn read(path: &Path, torn: Torn) -> Result<(u64, u64), Error> {
    let scan = scan::open_torn(path, torn)?;
    let pixels = scan.facts().size.pixels();
    let (mut count, mut sum) = (0, 0u64);
    if pixels <= PIXELS {
        let of_band = |band: &Band<'_>| {
            let codes = band.samples();
            (codes.len() as u64, codes.iter().map(|code| u64::from(*code)).sum::<u64>())
        };
        scan.read(Channel::Green, Rows::All, of_band, |(codes, of_them)| {
            (count, sum) = (count + codes, sum + of_them);
            Ok::<_, Error>(())
        })?;
        assert_eq!(count, pixels, "a row is missing or too many");
    }
    Ok((count, sum))
}

fuzz_target!(|bytes: &[u8]| {
    FILE.with_borrow_mut(|file| {
        fs::write(file.path(), bytes).expect("room for the file");
        let whole = read(file.path(), Torn::Refuse);
        let salvaged = read(file.path(), Torn::Salvage);
        if let Ok(whole) = whole {
            assert_eq!(salvaged.ok(), Some(whole));
        }
    });
});
