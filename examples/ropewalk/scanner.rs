//! The flatbed: lamp, lens, stray light, noise. From what lies on the glass to linear light.

use rayon::prelude::*;

use crate::bed::{Bed, Passes, Place};
use crate::dust::{Dust, settle_dust};
use crate::film::{Emulsion, Latent};
use crate::noise::Dice;

/// A scanner and how it was set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Flatbed {
    pub(crate) ppi: f64,
    /// Linear light of open light, full scale 1.
    pub(crate) lamp: f64,
    /// Part of the light that strays.
    pub(crate) stray: f64,
    pub(crate) seed: u64,
}

/// Light through the holder's black plastic.
const BLACK: f64 = 0.0004;
/// Blur of the lens, standard deviation in pixels.
const LENS: f64 = 0.8;

/// Linear light of every pixel, full scale 1.
#[derive(Clone, Debug)]
pub(crate) struct Scan {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// As the scanner delivers it, one plane a channel.
    pub(crate) planes: Vec<Vec<f64>>,
    /// The same without dust, grain and noise.
    pub(crate) clean: Vec<f64>,
    /// Net density of the film at the pixel's middle, bare rebate 0; for pixels without film nothing.
    pub(crate) net: Vec<Option<f64>>,
}

impl Flatbed {
    pub(crate) fn scale(&self) -> f64 {
        self.ppi / 25.4
    }

    /// Scans; `channels` is 1 or 3, `tint` the density each channel adds.
    pub(crate) fn scan(&self, bed: &Bed, latent: &Latent, film: &Emulsion, dust: Dust, tint: &[f64]) -> Scan {
        let (w, h) = bed.covered();
        let (width, height) = ((w * self.scale()).round() as usize, (h * self.scale()).round() as usize);
        // 1. Light through whatever lies there, nine looks a pixel.
        let through: Vec<(f64, Option<f64>)> = (0..width * height)
            .into_par_iter()
            .map(|i| self.look((i % width, i / width), (width, height), bed, latent, film))
            .collect();
        let net: Vec<Option<f64>> = through.iter().map(|look| look.1).collect();
        let clear: Vec<f64> = through.into_iter().map(|look| look.0).collect();
        // 2. Grain and dust are on the film.
        let grain = self.grain(width, height);
        let mut dirty: Vec<f64> = (0..clear.len())
            .map(|i| match net[i] {
                Some(net) => clear[i] * 10f64.powf(-grain[i] * film.grain * (net + film.base).sqrt()),
                None => clear[i],
            })
            .collect();
        settle_dust(&mut dirty, width, self.scale(), dust, self.seed);
        // 3. Lens, stray light, lamp; then each channel its own noise.
        let clean = self.optics(clear, width);
        let seen = self.optics(dirty, width);
        let planes = (0..tint.len())
            .map(|channel| {
                let gain = 10f64.powf(-tint[channel]);
                let noisy = |i: usize| {
                    let mut dice = Dice::new(self.seed + 7, (i * 4 + channel) as u64);
                    let light = seen[i] * if net[i].is_some() { gain } else { 1.0 };
                    light + (2.5e-5f64.powi(2) + light.max(0.0) * 2.6e-4f64.powi(2)).sqrt() * dice.bell()
                };
                (0..seen.len()).into_par_iter().map(noisy).collect()
            })
            .collect();
        Scan { width, height, planes, clean, net }
    }

    /// Where a pixel's place is on the glass, from the middle.
    pub(crate) fn place(&self, x: f64, y: f64, size: (usize, usize)) -> Place {
        Place { x: (x - size.0 as f64 / 2.0) / self.scale(), y: (y - size.1 as f64 / 2.0) / self.scale() }
    }

    fn look(
        &self,
        at: (usize, usize),
        size: (usize, usize),
        bed: &Bed,
        latent: &Latent,
        film: &Emulsion,
    ) -> (f64, Option<f64>) {
        let one = |dx: f64, dy: f64| match bed.at(self.place(at.0 as f64 + dx, at.1 as f64 + dy, size)) {
            Passes::Nothing => (BLACK, None),
            Passes::Open => (1.0, None),
            Passes::Film { exposed, across, down } => {
                let exposure = exposed * latent.at(across, down);
                let net = if exposure > 0.0 { film.net(exposure.log10()) } else { 0.0 };
                (10f64.powf(-film.base - net), Some(net))
            }
        };
        let sum: f64 = (0..9).map(|k| one((f64::from(k % 3) + 0.5) / 3.0, (f64::from(k / 3) + 0.5) / 3.0).0).sum();
        (sum / 9.0, one(0.5, 0.5).1)
    }

    /// Noise of standard deviation 1 that hangs together over about a pixel and a half.
    fn grain(&self, width: usize, height: usize) -> Vec<f64> {
        let mut field: Vec<f64> =
            (0..width * height).into_par_iter().map(|i| Dice::new(self.seed + 3, i as u64).bell()).collect();
        blur(&mut field, width, 0.6);
        let spread = (field.iter().map(|g| g * g).sum::<f64>() / field.len() as f64).sqrt();
        field.iter_mut().for_each(|g| *g /= spread);
        field
    }

    fn optics(&self, mut light: Vec<f64>, width: usize) -> Vec<f64> {
        let mut strayed = light.clone();
        for _ in 0..3 {
            boxed(&mut strayed, width, 45);
        }
        blur(&mut light, width, LENS);
        let height = light.len() / width;
        light.par_iter_mut().enumerate().for_each(|(i, light)| {
            let (x, y) = ((i % width) as f64 / width as f64 - 0.5, (i / width) as f64 / height as f64 - 0.5);
            // The lamp is a little brighter in the middle, and not quite the same on both sides.
            let lamp = self.lamp * (1.0 - 0.010 * x * x - 0.006 * y * y + 0.002 * x);
            *light = lamp * (*light * (1.0 - self.stray) + strayed[i] * self.stray);
        });
        light
    }
}

/// Blurs with a bell of `sigma` pixels, both ways; edges repeat.
fn blur(plane: &mut [f64], width: usize, sigma: f64) {
    let reach = (3.0 * sigma).ceil() as isize;
    let taps: Vec<f64> = (-reach..=reach).map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp()).collect();
    let total: f64 = taps.iter().sum();
    let height = plane.len() / width;
    for (step, length) in [(1, width), (width, height)] {
        let before = plane.to_vec();
        plane.par_iter_mut().enumerate().for_each(|(i, value)| {
            let at = (i / step % length) as isize;
            let start = i - at as usize * step;
            let sum: f64 = taps
                .iter()
                .enumerate()
                .map(|(k, tap)| {
                    let j = (at + k as isize - reach).clamp(0, length as isize - 1) as usize;
                    tap * before[start + j * step]
                })
                .sum();
            *value = sum / total;
        });
    }
}

/// Blurs with a box of `reach` pixels each way, both ways, by running sums.
fn boxed(plane: &mut [f64], width: usize, reach: usize) {
    let height = plane.len() / width;
    for (step, length, lines, next) in [(1, width, height, width), (width, height, width, 1)] {
        for line in 0..lines {
            let at = |j: isize| line * next + j.clamp(0, length as isize - 1) as usize * step;
            let row: Vec<f64> = (0..length).map(|j| plane[at(j as isize)]).collect();
            let value = |j: isize| row[j.clamp(0, length as isize - 1) as usize];
            let reach = reach as isize;
            let mut sum: f64 = (-reach..=reach).map(value).sum();
            for j in 0..length as isize {
                plane[at(j)] = sum / (2 * reach + 1) as f64;
                sum += value(j + reach + 1) - value(j - reach);
            }
        }
    }
}
