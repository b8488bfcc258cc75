//! The scanner's own noise, told from grain, and the density from which it hides the picture.
//!
//! A scanner's noise does not know its neighbour: it is as strong between one pixel and the next as over any distance.
//! And in light it never grows towards the dark. Grain and picture come through the lens, which softens them, and grain
//! in density grows no faster than density. These three tell the one from the other.

use crate::light::{CODES, Density};
use crate::plane::{Histogram, Overview};

use super::FrameFound;
use super::ends::TELLS;

/// Pixels of a row that are looked at together, eight threes.
const RUN: usize = 24;
/// The calm quarter of the runs of one level shows the noise; the others may hold detail.
const CALM: f64 = 0.25;
/// What that quarter lies below, for noise of spread 1 a pixel: lower quartile of the mean of eight |a - 2 b + c|, by
/// numerical experiment with two million runs.
const CALM_RUN: f64 = 1.584;
/// Fewest runs that show the noise of a level: its lower quartile is then known to a twentieth.
const FEWEST: u32 = 24;
/// Levels a unit of density, and how far they go: beyond any flatbed.
const LEVELS_A_UNIT: f32 = 10.0;
const LEVELS: usize = 45;
/// Spreads are counted by the leading bits of their numbers: eight bins an octave, from 2^-24 to 1.
const BIN_BITS: u32 = 20;
const FIRST_BIN: u32 = (127 - 24) << 3;
const SPREADS: usize = 24 << 3;
/// Grain is judged where the film is at least this much denser than the frame's thin end, in D: next to base there is
/// fog, which follows no law.
const GRAINY: f64 = 0.2;
/// The least of some twenty levels is by chance less than the true one by a tenth or so; grain may be more by this
/// factor.
const CHANCE: f64 = 1.15;
/// Density of fog, from which grain is counted, in D (common practice: 0.05 to 0.15).
const FOG: f64 = 0.1;
/// Film or holder darker than this, in light, is opaque: D 2.
const OPAQUE: f32 = 0.01;
/// Least share of the overview that opaque surroundings cover, before they are taken for such.
const LEAST_OPAQUE: f64 = 0.01;

/// How much neighbouring pixels of a frame differ, counted by level of light.
#[derive(Clone, Debug, PartialEq)]
pub struct Noise {
    /// Runs by level, dense last, and spread.
    runs: Vec<[u32; SPREADS]>,
}

impl Default for Noise {
    fn default() -> Self {
        Self { runs: vec![[0; SPREADS]; LEVELS] }
    }
}

impl Noise {
    /// Looks at part of a row, each code standing for `light[code]` (0 to 1 of full scale).
    ///
    /// # Panics
    /// If `light` has not a value for each code.
    pub fn add(&mut self, codes: &[u16], light: &[f32]) {
        let light: &[f32; CODES] = light.try_into().expect("light has a value for each code");
        for run in codes.chunks_exact(RUN) {
            let (mut sum, mut spread) = (0.0, 0.0);
            for three in run.as_chunks::<3>().0 {
                let (a, b, c) =
                    (light[usize::from(three[0])], light[usize::from(three[1])], light[usize::from(three[2])]);
                sum += a + b + c;
                spread += (a - 2.0 * b + c).abs();
            }
            if sum > 0.0 {
                let level = -(sum / RUN as f32).log10() * LEVELS_A_UNIT;
                let bin = ((spread / 8.0).to_bits() >> BIN_BITS).saturating_sub(FIRST_BIN) as usize;
                self.runs[(level.max(0.0) as usize).min(LEVELS - 1)][bin.min(SPREADS - 1)] += 1;
            }
        }
    }

    /// Adds what another has counted.
    pub fn merge(&mut self, other: &Self) {
        for (mine, theirs) in self.runs.iter_mut().flatten().zip(other.runs.iter().flatten()) {
            *mine += theirs;
        }
    }

    /// Spread of the noise of one pixel, in light, at each level whose runs are enough to show it: (density, spread),
    /// thin first. Grain and detail are still in it.
    fn spreads(&self) -> impl DoubleEndedIterator<Item = (f64, f64)> {
        self.runs.iter().enumerate().filter_map(|(level, spreads)| {
            let total: u32 = spreads.iter().sum();
            let rank = CALM * f64::from(total);
            let mut below = 0.0;
            let (bin, count) = (0u32..).zip(spreads).find(|(_, count)| {
                below += f64::from(**count);
                below >= rank && **count > 0
            })?;
            let within = 1.0 - (below - rank) / f64::from(*count);
            let calm = f32::from_bits(((FIRST_BIN + bin) << BIN_BITS) + (within * f64::from(1 << BIN_BITS)) as u32);
            let spread = if bin == 0 { 0.0 } else { f64::from(calm) / CALM_RUN };
            let density = (level as f64 + 0.5) / f64::from(LEVELS_A_UNIT);
            (total >= FEWEST).then_some((density, spread))
        })
    }

    /// The density from which on the scanner's noise hides a step of 0.05 D, counted over the scanner's full scale.
    /// `thin` is the frame's thin end; `dark` the light that comes from where nothing should: no film is told within
    /// it.
    pub fn hides_from(&self, thin: Density, dark: f64) -> Density {
        let spreads: Vec<(f64, f64)> = self.spreads().collect();
        let Some((densest, _)) = spreads.last().copied() else {
            return Density::new(f64::INFINITY);
        };
        // Spread over light is spread in density over log10 e.
        let relative = |(density, spread): &(f64, f64)| spread / Density::new(*density).transmittance();
        // The spread of grain in density grows as the root of density (Siedentopf's law, from memory). Here it may grow
        // as density itself, so that no film's is taken for the scanner's, which grows tenfold a unit, or by the root
        // of that.
        let grown = |density: f64| (density - thin.value()).max(0.0) + FOG;
        // 1. Grain for each unit of density can be no stronger than where it shows least.
        let grainy = spreads.iter().filter(|(density, _)| *density >= thin.value() + GRAINY);
        let grain = grainy.map(|at| CHANCE * relative(at) / grown(at.0)).fold(f64::INFINITY, f64::min);
        // 2. The scanner's noise at a density can be no stronger, in light, than at any thinner one; grain is taken
        //    off. Denser than what was seen, it is taken to be no weaker.
        let noise = |density: f64| {
            let light = Density::new(density).transmittance();
            let thinner = spreads.iter().filter(|(at, _)| *at <= density + 0.5 / f64::from(LEVELS_A_UNIT));
            let most = thinner.map(|(_, spread)| *spread).fold(f64::INFINITY, f64::min);
            let grain = if grain.is_finite() { grain * grown(density) * light } else { 0.0 };
            (most * most - grain * grain).max(0.0).sqrt()
        };
        let told = |density: f64| {
            let light = Density::new(density).transmittance();
            std::f64::consts::LOG10_E * noise(density.min(densest)) <= TELLS * (light - dark)
        };
        // 3. The densest hundredth that is told.
        let hundredths = (0..=100 * LEVELS / LEVELS_A_UNIT as usize).rev().map(|h| h as f64 / 100.0);
        Density::new(hundredths.into_iter().find(|density| told(*density)).unwrap_or(0.0))
    }

    /// Share of the frame's pixels, 0 to 1, that is denser than that.
    pub fn hidden(&self, histogram: &Histogram, densities: &[f64], thin: Density, dark: f64) -> f64 {
        let from = self.hides_from(thin, dark).value();
        let first = densities.partition_point(|density| *density > from).min(usize::from(u16::MAX)) as u16;
        1.0 - histogram.upwards_of(first).total() as f64 / histogram.total().max(1) as f64
    }
}

/// Light that comes from where none should, 0 to 1: the median of what is opaque around the frames, by stray light and
/// the scanner's own black; 0 where nothing opaque is in the scan.
pub fn darkness(overview: &Overview, frames: &[FrameFound]) -> f64 {
    let (size, scale) = (overview.size(), overview.scale());
    let corners: Vec<_> = frames.iter().map(|f| f.corners.scaled(1.0 / scale.0, 1.0 / scale.1)).collect();
    let mut dark = Vec::new();
    for y in 0..size.height {
        let spans: Vec<_> = corners.iter().map(|quad| quad.row_span(y, size.width)).collect();
        let outside = (0..size.width).filter(|x| spans.iter().all(|span| !span.contains(&(*x as usize))));
        dark.extend(outside.map(|x| overview.at(x, y)).filter(|light| *light < OPAQUE));
    }
    if (dark.len() as f64) < LEAST_OPAQUE * size.pixels() as f64 {
        return 0.0;
    }
    let middle = dark.len() / 2;
    f64::from(*dark.select_nth_unstable_by(middle, f32::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::{Point, Quad, Size};

    /// Chance that comes out the same every time (splitmix64, from memory), as a bell: twelve throws added.
    struct Dice(u64);

    impl Dice {
        fn bell(&mut self) -> f64 {
            let mut throw = || {
                self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
                let n = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
                let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
                ((n ^ (n >> 31)) >> 11) as f64 / (1u64 << 53) as f64
            };
            (0..12).map(|_| throw()).sum::<f64>() - 6.0
        }
    }

    /// Light from density and a throw of the dice; film of D 0.2 to `dense`, 400 rows of 480 pixels, each of one
    /// density.
    fn seen(dense: f64, bits: u32, mut light: impl FnMut(f64, &mut Dice) -> f64) -> Noise {
        let linear: Vec<f32> = (0..CODES).map(|c| c as f32 / 65_535.0).collect();
        let (mut noise, mut dice) = (Noise::default(), Dice(7));
        let full = f64::from((1u32 << bits) - 1);
        for row in 0..400 {
            let density = 0.2 + (dense - 0.2) * f64::from(row) / 399.0;
            let code = |light: f64| ((light.clamp(0.0, 1.0) * full).round() / full * 65_535.0).round() as u16;
            let codes: Vec<u16> = (0..480).map(|_| code(light(density, &mut dice))).collect();
            noise.add(&codes, &linear);
        }
        noise
    }

    const THIN: Density = Density::new(0.22);

    fn clear(density: f64) -> f64 {
        10f64.powf(-density)
    }

    #[test]
    fn noise_of_a_known_spread_is_measured_at_every_level() {
        let noise = seen(2.4, 16, |d, dice| clear(d) + 1e-3 * dice.bell());
        let spreads: Vec<(f64, f64)> = noise.spreads().collect();
        assert!(spreads.len() >= 20, "{spreads:?}");
        assert!(spreads.iter().all(|(_, spread)| (spread / 1e-3 - 1.0).abs() < 0.08), "{spreads:?}");
    }

    /// Closed form: a step of 0.05 D is hidden where log10 e s / T = 0.05, so T = 8.686 s; for s = 1e-3 D is 2.061.
    /// Where the noise is that of light itself, s = b sqrt T, sqrt T = 8.686 b; for b = 0.01, D 2.122. That one grows
    /// hardly faster than grain, and part of it is taken for grain: it is noticed up to 0.25 D late, and never early.
    #[test]
    fn the_scanners_noise_hides_what_arithmetic_says() {
        let read = seen(2.4, 16, |d, dice| clear(d) + 1e-3 * dice.bell());
        assert!((read.hides_from(THIN, 0.0).value() - 2.061).abs() < 0.05, "{:?}", read.hides_from(THIN, 0.0));
        let shot = seen(2.4, 16, |d, dice| clear(d) + 0.01 * clear(d).sqrt() * dice.bell());
        assert!((2.10..2.37).contains(&shot.hides_from(THIN, 0.0).value()), "{:?}", shot.hides_from(THIN, 0.0));
        // It was seen only in thinner places: in light it is no weaker further on.
        let thinner = seen(1.6, 16, |d, dice| clear(d) + 1e-3 * dice.bell());
        assert!((thinner.hides_from(THIN, 0.0).value() - 2.061).abs() < 0.08, "{:?}", thinner.hides_from(THIN, 0.0));
    }

    /// From none to coarse, stronger from pixel to pixel than any lens lets it be; growing as the root of density and
    /// faster.
    #[test]
    fn grain_is_no_noise_of_the_scanner() {
        for (grain, power) in [(0.02, 0.5), (0.05, 0.5), (0.12, 0.5), (0.08, 0.8)] {
            let grainy = |d: f64, dice: &mut Dice| clear(d + grain * (d - 0.15).powf(power) * dice.bell());
            let noise = seen(2.4, 16, |d, dice| grainy(d, dice) + 2e-5 * dice.bell());
            // The densest film there is has D 2.4.
            assert!(noise.hides_from(THIN, 0.0).value() > 2.7, "{grain} {power}: {:?}", noise.hides_from(THIN, 0.0));
            // And it does not cover the scanner's own for long, even where it is three times as strong.
            let both = seen(2.4, 16, |d, dice| grainy(d, dice) + 2e-3 * dice.bell());
            let from = both.hides_from(THIN, 0.0).value();
            assert!((1.6..2.4).contains(&from), "{grain} {power}: {from}, without grain 1.760");
        }
    }

    /// Closed form: T - 0.003 = 8.686 s, so for s = 5e-4 D is 2.135 rather than 2.362.
    #[test]
    fn light_that_strays_over_opaque_places_hides_film_too() {
        let noise = seen(2.4, 16, |d, dice| clear(d) + 5e-4 * dice.bell());
        assert!((noise.hides_from(THIN, 0.0).value() - 2.362).abs() < 0.05);
        assert!((noise.hides_from(THIN, 0.003).value() - 2.135).abs() < 0.04);
    }

    #[test]
    fn where_nothing_is_seen_nothing_is_hidden() {
        assert_eq!(Noise::default().hides_from(THIN, 0.0).value(), f64::INFINITY);
        let eight_bits = seen(1.5, 8, |d, _| clear(d));
        assert!(eight_bits.hides_from(THIN, 0.0).value() > 4.0);
    }

    #[test]
    fn the_share_hidden_is_counted_pixel_by_pixel() {
        let noise = seen(2.4, 16, |d, dice| clear(d) + 1e-3 * dice.bell());
        let densities: Vec<f64> = (0..CODES).map(|c| -(c as f64 / 65_535.0).log10()).collect();
        let mut histogram = Histogram::default();
        histogram.add(&[400; 10]);
        histogram.add(&[6554; 990]);
        // D 2.21 and D 1.00.
        assert!((noise.hidden(&histogram, &densities, THIN, 0.0) - 0.01).abs() < 1e-9);
    }

    #[test]
    fn the_darkness_around_a_frame_is_that_of_its_holder() {
        let size = Size { width: 100, height: 100 };
        let corner = |x, y| Point { x, y };
        let corners = Quad([corner(40.0, 40.0), corner(160.0, 40.0), corner(160.0, 160.0), corner(40.0, 160.0)]);
        let frame = FrameFound::given(corners);
        let overview = |holder: f32| {
            let light = |x: u32, y: u32| if (20..80).contains(&x) && (20..80).contains(&y) { 0.001 } else { holder };
            let all = (0..100).flat_map(|y| (0..100).map(move |x| light(x, y))).collect();
            Overview::new(size, all, Size { width: 200, height: 200 })
        };
        assert!((darkness(&overview(0.004), &[frame]) - 0.004).abs() < 1e-7);
        assert_eq!(darkness(&overview(0.5), &[frame]), 0.0);
    }
}
