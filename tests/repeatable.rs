//! One negative always starts from the same place, however it was scanned. The negative is drawn, scanned and compared
//! by `examples/repeatable`, which prints what is held here.

mod bench;
#[path = "../examples/repeatable/flats.rs"]
mod flats;
#[path = "../examples/repeatable/negative.rs"]
mod negative;

use bench::{dryside, printed};
use negative::{REFERENCE, Scanned};

/// Mean of the differences of two flat positives, and what 99 % of them stay below, in L*: a third of, and just, what
/// the eye tells side by side (common practice: 1 L*).
const MEAN: f64 = 0.3;
const MOST: f64 = 1.0;

fn tones(negative: &[f64], how: Scanned) -> Vec<f64> {
    let folder = tempfile::tempdir().expect("a folder");
    let (scans, out) = (folder.path().join("scans"), folder.path().join("out"));
    std::fs::create_dir(&scans).expect("a folder");
    negative::scan(negative, how, &scans.join("coil.tif")).expect("written");
    let run = dryside(&[&"batch", &scans, &"--out", &out, &"--encoding", &how.encoding, &"--no-sheet"]);
    assert!(run.status.success(), "{}", printed(&run));
    flats::tones(&out.join("flat/coil.tif"), &out.join("flat/coil.notes.toml"), how).expect("a flat positive and notes")
}

#[test]
fn flat_positives_of_one_negative_agree_however_it_was_scanned() {
    let read = |sky: f64| {
        let negative = negative::negative(0.06, sky);
        let reference = tones(&negative, REFERENCE);
        assert!(reference.len() > 15_000);
        for how in negative::others() {
            let apart = flats::apart(&reference, &tones(&negative, how));
            assert!(apart.mean < MEAN && apart.most < MOST, "sky {sky}, {}: {apart:?}", how.name);
        }
        reference
    };
    // Two negatives, however, do not agree.
    assert!(flats::apart(&read(0.0), &read(0.25)).mean > 10.0 * MEAN);
}
