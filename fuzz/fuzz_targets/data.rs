//! Any text as each of the files of figures: a calibration, a paper, a table of grades, a film, readings, densities, a
//! share.
#![no_main]

use dryside::light::Profile;
use dryside::meter::read_film;
use dryside::notes::{MeasuredFile, ShareFile, WedgeFile, densities, readings};
use dryside::paper::{read_paper, read_table};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = Profile::parse(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let _ = (WedgeFile::parse(text), read_paper(text), read_table(text), read_film(text));
    let _ = (readings(text), densities(text), MeasuredFile::parse(text), ShareFile::parse(text));
});
