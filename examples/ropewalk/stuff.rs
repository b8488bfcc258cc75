//! What things are made of: how light a spot is, how it shines and how rough it feels.

use crate::noise::{cloud, noise, share};
use crate::vector::{V3, v};

/// A material; `tone` is its reflectance.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Stuff {
    /// Sawn wood, its grain along the thing's own x.
    Plank {
        tone: f64,
        seed: u64,
    },
    /// Wood turned or bent, its grain along the thing's own y.
    Stave {
        tone: f64,
        seed: u64,
    },
    Plaster {
        tone: f64,
        seed: u64,
    },
    Hemp {
        tone: f64,
    },
    /// Iron, or brass: dark, or bright, and shiny.
    Metal {
        tone: f64,
        shine: f64,
    },
    /// A thin shell of glass; `clear` is what one wall lets through.
    Glass {
        clear: f64,
    },
    /// Gives light of its own, this much radiance.
    Glow(f64),
}

/// One spot of a surface.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    /// Diffuse reflectance.
    pub(crate) tone: f64,
    /// Strength and sharpness (Blinn-Phong exponent) of the shine.
    pub(crate) shine: f64,
    pub(crate) sharp: f64,
}

impl Stuff {
    /// The spot at `p`, seen from the thing.
    pub(crate) fn spot(&self, p: V3) -> Spot {
        match *self {
            Stuff::Plank { tone, seed } => timber(p, tone, seed),
            Stuff::Stave { tone, seed } => timber(v(p.y, p.x, p.z), tone, seed),
            Stuff::Plaster { tone, seed } => {
                let stain = cloud(p * 1.6, 4, seed);
                let speck = cloud(p * 45.0, 3, seed + 9);
                let crack = cloud(p * 3.1 + v(3.0, 1.0, 0.0), 4, seed + 30).abs();
                let torn = (cloud(p * 2.2, 2, seed + 40) * 3.0).clamp(0.0, 1.0);
                let line = 1.0 - 0.35 * torn * (1.0 - crack / 0.007).clamp(0.0, 1.0);
                Spot { tone: tone * (1.0 + 0.16 * stain + 0.07 * speck) * line, shine: 0.0, sharp: 1.0 }
            }
            Stuff::Hemp { tone } => {
                let worn = cloud(p * 14.0, 3, 77);
                let hair = noise(p * 900.0, 78);
                Spot { tone: tone * (1.0 + 0.16 * worn + 0.13 * hair), shine: 0.012, sharp: 12.0 }
            }
            Stuff::Metal { tone, shine } => {
                let rust = cloud(p * 40.0, 4, 41);
                Spot { tone: tone * (1.0 + 0.18 * rust), shine: shine * (0.75 - 0.5 * rust).max(0.1), sharp: 38.0 }
            }
            Stuff::Glass { .. } => Spot { tone: 0.0, shine: 1.0, sharp: 900.0 },
            Stuff::Glow(_) => Spot { tone: 0.0, shine: 0.0, sharp: 1.0 },
        }
    }

    /// How high the surface stands at `p` (metres), for the small roughness the form leaves out.
    pub(crate) fn height(&self, p: V3) -> f64 {
        match *self {
            Stuff::Plank { seed, .. } => 0.0006 * fibres(p, seed),
            Stuff::Stave { seed, .. } => 0.0006 * fibres(v(p.y, p.x, p.z), seed),
            Stuff::Plaster { seed, .. } => 0.0065 * cloud(p * 9.0, 3, seed + 3) + 0.0011 * cloud(p * 75.0, 2, seed + 4),
            Stuff::Hemp { .. } => 0.0002 * noise(p * 700.0, 5),
            Stuff::Metal { .. } => 0.00012 * cloud(p * 120.0, 2, 6),
            Stuff::Glass { .. } | Stuff::Glow(_) => 0.0,
        }
    }

    /// Whether `height` says anything.
    pub(crate) fn is_rough(&self) -> bool {
        !matches!(self, Stuff::Glass { .. } | Stuff::Glow(_))
    }
}

/// Fine fibres along x, -1 to 1.
fn fibres(p: V3, seed: u64) -> f64 {
    0.6 * noise(v(p.x * 5.0, p.y * 190.0, p.z * 190.0), seed + 11)
        + 0.4 * noise(v(p.x * 14.0, p.y * 520.0, p.z * 520.0), seed + 12)
}

/// Old wood: year rings about a far pith, knots, fibres and dirt.
fn timber(p: V3, tone: f64, seed: u64) -> Spot {
    // 1. Knots: one in about 0.7 m, each bending the rings round itself.
    let cell = (p.x / 0.7).floor();
    let key = (cell as i64) as u64;
    let knot = v(
        (cell + 0.2 + 0.6 * share(seed, key)) * 0.7,
        0.12 * (share(seed + 1, key) - 0.5),
        0.10 * (share(seed + 2, key) - 0.5),
    );
    let away = v((p.x - knot.x) * 0.55, p.y - knot.y, p.z - knot.z).length();
    let eye = (-(away / 0.016).powi(2)).exp();
    let pull = 0.030 * (-(away / 0.05).powi(2)).exp();
    // 2. Rings, waved by slow noise.
    let wave = 0.055 * cloud(v(p.x * 1.1, p.y * 3.0, p.z * 3.0), 3, seed + 3);
    let far = (p.y + 0.05 + 0.2 * share(seed, 99)).hypot(p.z + 0.09 - 0.2 * share(seed, 98)) + wave + pull;
    let ring = (far * 95.0 + 30.0 * share(seed, 97)).fract();
    let late = (ring * ring * ring - (ring - 0.93).max(0.0) * 12.0).max(0.0);
    // 3. Fibres, dirt, and each board its own tone.
    let dirt = cloud(v(p.x * 2.5, p.y * 7.0, p.z * 7.0), 4, seed + 4);
    let board = 0.84 + 0.32 * share(seed, 96);
    let grey = board * (1.0 - 0.46 * late) * (1.0 + 0.12 * fibres(p, seed) + 0.38 * dirt) * (1.0 - 0.62 * eye);
    Spot { tone: (tone * grey).clamp(0.01, 0.9), shine: 0.02 * (1.0 + dirt), sharp: 14.0 }
}
