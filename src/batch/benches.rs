//! Densitometers, made once for all scans that are read alike.

use std::sync::{Arc, Mutex, PoisonError};

use crate::light::{Calibration, Densitometer, Encoding};

use super::reading;

/// As many kinds of scans as a folder holds side by side: grey and colour, with a wedge and without.
const KEPT: usize = 4;

/// The densitometers of a run, those made last.
#[derive(Default)]
pub(super) struct Benches(Mutex<Vec<Made>>);

struct Made {
    encoding: Encoding,
    calibration: Option<Calibration>,
    bench: Arc<Densitometer>,
}

impl Benches {
    /// The one for an encoding, and for a calibration if there is one.
    pub(super) fn of(&self, encoding: &Encoding, calibration: Option<&Calibration>) -> Arc<Densitometer> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let same = |made: &Made| made.encoding == *encoding && made.calibration.as_ref() == calibration;
        if let Some(made) = kept.iter().find(|made| same(made)) {
            return Arc::clone(&made.bench);
        }
        let bench = Arc::new(reading::bench(encoding, calibration));
        if kept.len() == KEPT {
            kept.remove(0);
        }
        kept.push(Made { encoding: encoding.clone(), calibration: calibration.cloned(), bench: Arc::clone(&bench) });
        bench
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scans_read_alike_share_one_and_others_get_their_own() {
        let benches = Benches::default();
        let first = benches.of(&Encoding::Srgb, None);
        assert!(Arc::ptr_eq(&first, &benches.of(&Encoding::Srgb, None)));
        for gamma in [1.8, 1.9, 2.0, 2.1, 2.2] {
            let encoding = Encoding::Gamma(gamma);
            assert_eq!(*benches.of(&encoding, None), Densitometer::new(&encoding));
        }
        assert_eq!(benches.0.lock().unwrap().len(), KEPT);
        let again = benches.of(&Encoding::Srgb, None);
        assert!(*again == *first && !Arc::ptr_eq(&again, &first), "made again after it had gone");
    }
}
