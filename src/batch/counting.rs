//! A scan's pixels counted: every one of them, once.

use crate::film::{Dust, Evened, FrameFound, Noise, Squares};
use crate::plane::{Band, Histogram, Shelf, Size};
use crate::scan::{self, Channel, Rows, Scan};

/// What is counted: the frames' own pixels, without dust.
pub(super) struct Counting<'a> {
    pub frames: &'a [FrameFound],
    pub squares: Vec<Option<Squares>>,
    pub dust: Dust,
    pub size: Size,
    pub light: &'a [f32],
}

/// What was counted of a frame.
pub(super) struct Counts {
    pub histogram: Histogram,
    pub evened: Option<Evened>,
    pub noise: Noise,
}

/// What a thread counts of a frame, whichever bands it gets: plain numbers, which may be added in any order.
#[derive(Clone, Default)]
struct Tally {
    histogram: Histogram,
    noise: Noise,
}

impl Tally {
    fn merge(&mut self, other: &Self) {
        self.histogram.merge(&other.histogram);
        self.noise.merge(&other.noise);
    }
}

/// What is known of a band: the squares of each frame that has a part in it, and the hashes of its rows.
type Counted = (Vec<Option<Evened>>, Vec<blake3::Hash>);

/// Pixels that are looked at for noise, at least, where a scan has as many: 0.1 % of them are some 170 runs.
const PIXELS_FOR_NOISE: u64 = 4_000_000;

impl Counting<'_> {
    /// The exact histogram and the noise of each frame, and the fingerprint of the codes.
    pub(super) fn count(&self, scan: &Scan, channel: Channel) -> Result<(Vec<Counts>, String), scan::Error> {
        let mut codes = blake3::Hasher::new();
        let tallies = Shelf::default();
        let none = || vec![Tally::default(); self.frames.len()];
        let spare = Shelf::default();
        let empty = || self.squares.iter().map(|squares| squares.map(Evened::new)).collect();
        let mut evened: Vec<_> = empty();
        let count = |band: &Band<'_>| {
            let mut evened: Vec<Option<Evened>> = spare.take().unwrap_or_else(empty);
            evened.iter_mut().flatten().for_each(Evened::clear);
            let hashes = tallies.lend(none, |tallies| self.count_band(*band, tallies, &mut evened));
            (evened, hashes)
        };
        scan.read(channel, Rows::All, count, |(squares, hashes): Counted| -> Result<(), scan::Error> {
            for (sum, squares) in evened.iter_mut().flatten().zip(squares.iter().flatten()) {
                sum.merge(squares);
            }
            spare.put(squares);
            for hash in hashes {
                codes.update(hash.as_bytes());
            }
            Ok(())
        })?;
        let mut all = none();
        for tallies in tallies.into_all() {
            all.iter_mut().zip(&tallies).for_each(|(sum, tally)| sum.merge(tally));
        }
        let with_squares = |(Tally { histogram, noise }, evened)| Counts { histogram, evened, noise };
        let counts = all.into_iter().zip(evened).map(with_squares).collect();
        Ok((counts, codes.finalize().to_hex().to_string()))
    }

    /// Counts for each frame that has a part in the band, and gives the hashes of its rows.
    fn count_band(&self, band: Band<'_>, tallies: &mut [Tally], evened: &mut [Option<Evened>]) -> Vec<blake3::Hash> {
        let noise_rows = (self.size.pixels() / PIXELS_FOR_NOISE).max(1) as u32;
        let mut hashes = Vec::new();
        for (y, row) in band.rows() {
            for ((tally, frame), evened) in tallies.iter_mut().zip(self.frames).zip(&mut *evened) {
                for span in frame.spans(y, self.size.width, &self.dust) {
                    tally.histogram.add(&row[span.clone()]);
                    if let Some(evened) = evened {
                        evened.add(y, span.start, &row[span.clone()], self.light);
                    }
                    if y.is_multiple_of(noise_rows) {
                        tally.noise.add(&row[span], self.light);
                    }
                }
            }
            hashes.push(row_hash(row));
        }
        hashes
    }
}

/// The fingerprint of a scan's codes, as it is written down when the scan is measured.
///
/// # Errors
/// When the scan cannot be read.
pub(super) fn fingerprint(scan: &Scan, channel: Channel) -> Result<String, scan::Error> {
    let mut codes = blake3::Hasher::new();
    let hashes = |band: &Band<'_>| -> Vec<_> { band.rows().map(|(_, row)| row_hash(row)).collect() };
    scan.read(channel, Rows::All, hashes, |hashes| -> Result<(), scan::Error> {
        hashes.iter().for_each(|hash: &blake3::Hash| {
            codes.update(hash.as_bytes());
        });
        Ok(())
    })?;
    Ok(codes.finalize().to_hex().to_string())
}

fn row_hash(row: &[u16]) -> blake3::Hash {
    if cfg!(target_endian = "little") {
        return blake3::hash(bytemuck::cast_slice(row));
    }
    blake3::hash(&row.iter().flat_map(|code| code.to_le_bytes()).collect::<Vec<u8>>())
}
