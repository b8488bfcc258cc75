//! The patches of a step tablet read at the scan's full resolution.

use crate::film::wedge::{Patch, Reading};
use crate::light::{Densitometer, Density};
use crate::plane::{Area, Band};
use crate::scan::{self, Channel, Rows, Scan};

/// Pixels of a patch that are read, about: enough that noise of a tenth of the light is a thousandth of it on average.
const ENOUGH: u64 = 40_000;

/// The codes of one patch, in four quarters.
type Quarters = [Vec<u16>; 4];

/// A patch with the stride at which it is read.
struct Wanted {
    patch: Patch,
    bounds: Area,
    stride: usize,
}

/// Reads every patch: light is the mean of the middle half of its pixels by rank, so that dust, scratches and small
/// figures printed on it do not count, and neither does the grain of noise. The standard error comes from the quarters
/// of the patch: it holds what the lamp and a finger do, too.
///
/// # Errors
/// When the scan cannot be read.
pub(super) fn read(
    scan: &Scan,
    channel: Channel,
    bench: &Densitometer,
    patches: &[Patch],
) -> Result<Vec<Reading>, scan::Error> {
    let size = scan.facts().size;
    let wanted: Vec<_> = patches
        .iter()
        .map(|patch| {
            let bounds = patch.area.bounds(size);
            let stride = (bounds.size().pixels() / ENOUGH).max(1) as usize;
            Wanted { patch: *patch, bounds, stride }
        })
        .collect();
    let mut codes: Vec<Quarters> = wanted.iter().map(|_| Quarters::default()).collect();
    let of_band = |band: &Band<'_>| pick_out(*band, &wanted, size.width);
    scan.read(channel, Rows::All, of_band, |parts| -> Result<(), scan::Error> {
        for (k, quarter, mut more) in parts {
            codes[k][quarter].append(&mut more);
        }
        Ok(())
    })?;
    let bits = scan.facts().bits;
    let step = if bits < 16 { u16::MAX / ((1 << bits) - 1) } else { 1 };
    Ok(wanted.iter().zip(codes).map(|(wanted, quarters)| reading(wanted.patch.sure, quarters, bench, step)).collect())
}

/// What a band holds of the patches: patch, quarter, codes.
fn pick_out(band: Band<'_>, wanted: &[Wanted], width: u32) -> Vec<(usize, usize, Vec<u16>)> {
    let mut found = Vec::new();
    for (y, row) in band.rows() {
        for (k, Wanted { patch, bounds, stride }) in wanted.iter().enumerate() {
            if !bounds.rows().contains(&y) {
                continue;
            }
            let lower = 2 * usize::from(y - bounds.y >= bounds.height / 2);
            let span = patch.area.row_span(y, width);
            let middle = span.start + span.len() / 2;
            // Every row begins elsewhere, so that the pixels taken lie scattered.
            let from = (span.start + (y as usize * 7) % stride).min(span.end);
            let taken = |part: std::ops::Range<usize>| row[part].iter().step_by(*stride).copied().collect::<Vec<_>>();
            let half = from + middle.saturating_sub(from).next_multiple_of(*stride);
            let half = half.min(span.end);
            found.push((k, lower, taken(from..half)));
            found.push((k, lower + 1, taken(half..span.end)));
        }
    }
    found
}

fn reading(sure: bool, mut quarters: Quarters, bench: &Densitometer, step: u16) -> Reading {
    let apart: Vec<f64> = quarters.iter_mut().filter_map(|codes| light(codes, bench)).map(density).collect();
    let mean = apart.iter().sum::<f64>() / apart.len() as f64;
    let variance = apart.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / (apart.len() as f64 - 1.0);
    // Of the mean of so many quarters.
    let spread = (variance / apart.len() as f64).sqrt();
    let mut all = quarters.concat();
    let scanner = light(&mut all, bench).map_or(f64::INFINITY, density);
    let clipped = all.iter().filter(|code| **code == u16::MAX).count();
    let error = spread.hypot(rounding(&all, bench, step));
    let at_full_scale = clipped as f64 / all.len().max(1) as f64;
    Reading { scanner: Density::new(scanner), error, at_full_scale, sure }
}

/// Mean light of the middle half by rank, of codes that are sorted by it.
fn light(codes: &mut [u16], bench: &Densitometer) -> Option<f64> {
    codes.sort_unstable();
    let middle = &codes[codes.len() / 4..codes.len() - codes.len() / 4];
    let sum: f64 = middle.iter().map(|code| f64::from(bench.light()[usize::from(*code)])).sum();
    (!middle.is_empty()).then(|| sum / middle.len() as f64)
}

fn density(light: f64) -> f64 {
    Density::of(light).value()
}

/// Standard error of rounding to the values of the file, in D: where noise spreads over several of them it averages
/// out.
fn rounding(sorted: &[u16], bench: &Densitometer, step: u16) -> f64 {
    let (Some(low), Some(high)) = (sorted.get(sorted.len() / 4), sorted.get(sorted.len() * 3 / 4)) else {
        return f64::INFINITY;
    };
    if high - low > step {
        return 0.0;
    }
    let d = bench.densities();
    let apart = d[usize::from(low.saturating_sub(step))] - d[usize::from(*low)];
    // Uniform within one value: its width over the square root of 12.
    apart / 12f64.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Encoding;

    /// A patch of light 0.1, D 1.00, with noise of a tenth of it.
    fn patch(dust: usize) -> Quarters {
        [0, 1, 2, 3].map(|quarter| {
            let noisy = (0..900usize).map(|i| 6553 - 655 + ((i * 7919 + quarter * 31) % 1311) as u16);
            noisy.enumerate().map(|(i, code)| if i % 100 < dust { 300 } else { code }).collect()
        })
    }

    #[test]
    fn a_patch_reads_the_same_with_dust_on_a_tenth_of_it() {
        let bench = Densitometer::new(&Encoding::Linear);
        let clean = reading(true, patch(0), &bench, 1);
        let dusty = reading(true, patch(10), &bench, 1);
        assert!((clean.scanner.value() - 1.0).abs() < 0.001, "{clean:?}");
        // The ranks shift by a twentieth of the spread of the noise.
        assert!((dusty.scanner.value() - 1.0).abs() < 0.006, "{dusty:?}");
        assert!(clean.error < 0.001, "{clean:?}");
    }

    #[test]
    fn a_patch_of_one_value_is_as_uncertain_as_its_rounding() {
        let bench = Densitometer::new(&Encoding::Linear);
        // In 8 bits a code of 20 stands for 1/20 of its light: 0.4343 / 20 / sqrt 12 = 0.0063 D.
        let flat = reading(true, [0, 1, 2, 3].map(|_| vec![20 * 257; 100]), &bench, 257);
        assert!((flat.error - 0.0063).abs() < 0.0004, "{flat:?}");
    }

    #[test]
    fn no_light_is_no_density() {
        let bench = Densitometer::new(&Encoding::Linear);
        let black = reading(true, [0, 1, 2, 3].map(|_| vec![0; 100]), &bench, 1);
        assert_eq!(black.scanner.value(), f64::INFINITY);
    }
}
