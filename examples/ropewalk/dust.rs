//! Dust and hairs on the film: opaque, so dark in the scan and white in a print.

use std::f64::consts::TAU;

use crate::noise::Dice;

/// What fell on the film, and how much.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dust {
    pub(crate) specks: usize,
    pub(crate) hairs: usize,
}

/// Darkens a scan (transmittances, `width` across) where dust lies; `scale` is pixels a millimetre.
pub(crate) fn settle_dust(scan: &mut [f64], width: usize, scale: f64, dust: Dust, seed: u64) {
    let height = scan.len() / width;
    let mut dice = Dice::new(seed, 40);
    for _ in 0..dust.specks {
        let (x, y) = (dice.between(0.0, width as f64), dice.between(0.0, height as f64));
        // Many small, few large: 0.05 to 0.32 mm.
        let radius = scale * (0.05 + 0.27 * dice.unit().powi(4));
        let (long, turn, opaque) = (dice.between(1.0, 2.2), dice.between(0.0, TAU), dice.between(0.6, 0.97));
        let (sin, cos) = turn.sin_cos();
        let mut darken = |dx: f64, dy: f64, x: f64, y: f64| {
            let d = ((dx * cos + dy * sin) / long).hypot(dy * cos - dx * sin) - radius;
            cover(scan, width, (x, y), opaque * (0.5 - d).clamp(0.0, 1.0));
        };
        let reach = (radius * long + 2.0).ceil() as i64;
        for j in -reach..=reach {
            for i in -reach..=reach {
                let (px, py) = (x.floor() + i as f64, y.floor() + j as f64);
                darken(px + 0.5 - x, py + 0.5 - y, px, py);
            }
        }
    }
    for _ in 0..dust.hairs {
        hair(scan, (width, height), scale, &mut dice);
    }
}

/// A hair: thin, 8 to 20 mm long, curling.
fn hair(scan: &mut [f64], size: (usize, usize), scale: f64, dice: &mut Dice) {
    let mut at = (dice.between(0.15, 0.85) * size.0 as f64, dice.between(0.15, 0.85) * size.1 as f64);
    let (mut heading, mut curl) = (dice.between(0.0, TAU), dice.between(-0.012, 0.012));
    let length = (scale * dice.between(8.0, 20.0)) as usize * 3;
    let opaque = dice.between(0.5, 0.8);
    // A third of a pixel a step, each step laid on the four pixels about it.
    for _ in 0..length {
        heading += curl;
        curl += dice.between(-0.0009, 0.0009);
        at = (at.0 + heading.cos() / 3.0, at.1 + heading.sin() / 3.0);
        let (x, y) = (at.0 - 0.5, at.1 - 0.5);
        let (fx, fy) = (x - x.floor(), y - y.floor());
        for (dx, dy, share) in [
            (0.0, 0.0, (1.0 - fx) * (1.0 - fy)),
            (1.0, 0.0, fx * (1.0 - fy)),
            (0.0, 1.0, (1.0 - fx) * fy),
            (1.0, 1.0, fx * fy),
        ] {
            cover(scan, size.0, (x.floor() + dx, y.floor() + dy), 0.5 * opaque * share);
        }
    }
}

fn cover(scan: &mut [f64], width: usize, at: (f64, f64), opaque: f64) {
    if at.0 >= 0.0
        && at.1 >= 0.0
        && (at.0 as usize) < width
        && let Some(light) = scan.get_mut(at.1 as usize * width + at.0 as usize)
    {
        *light *= 1.0 - opaque;
    }
}
