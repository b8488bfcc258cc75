//! Taking the picture: rays through the lens, light counted, one bounce, the fill light settled.

use std::f64::consts::PI;

use rayon::prelude::*;

use crate::noise::Dice;
use crate::room::{Light, Room};
use crate::settle::{settle_fill, settle_key};
use crate::stuff::Stuff;
use crate::vector::{Turn, V3, v};

/// Rays a point of the film, along each side: 3 x 3.
const RAYS: usize = 3;

/// The most a bounce brings: a rarer, brighter one would stand in the picture as a speck.
const MOST: f64 = 2.0;

/// Luminances on the film, row by row.
#[derive(Clone, Debug)]
pub(crate) struct Image {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) light: Vec<f64>,
}

/// What one point of the film gathers.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Gathered {
    /// Luminance of glows, shines and mirrors.
    pub(crate) shine: f64,
    /// Reflectance of what is seen; the light straight from the light on it, with the variance of that mean;
    /// and the light the room throws back on it.
    pub(crate) tone: f64,
    pub(crate) key: f64,
    pub(crate) unsure: f64,
    pub(crate) fill: f64,
    pub(crate) facing: V3,
    pub(crate) far: f64,
}

/// A throw for each of the choices a ray makes.
struct Throw<'a> {
    dice: &'a mut Dice,
    /// Where on the light this ray looks, 0 to 1 both ways.
    spot: (f64, f64),
}

/// Takes the picture on a film `film` millimetres wide and high, `width` points across.
pub(crate) fn take(room: &Room, film: (f64, f64), width: usize, seed: u64) -> Image {
    let height = (width as f64 * film.1 / film.0).round() as usize;
    let mut gathered = vec![Gathered::default(); width * height];
    gathered.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
        for (x, point) in row.iter_mut().enumerate() {
            let mut dice = Dice::new(seed, (y * width + x) as u64);
            *point = gather(room, film, (width, height), (x, y), &mut dice);
        }
    });
    let (key, fill) = (settle_key(&gathered, width), settle_fill(&gathered, width));
    let light = (0..gathered.len()).map(|i| gathered[i].shine + gathered[i].tone * (key[i] + fill[i])).collect();
    Image { width, height, light }
}

fn gather(room: &Room, film: (f64, f64), size: (usize, usize), at: (usize, usize), dice: &mut Dice) -> Gathered {
    let camera = room.camera;
    let turn = Turn::degrees(-camera.down, -camera.pan, 0.0);
    let n = RAYS * RAYS;
    let start = (dice.unit() * n as f64) as usize;
    let mut sum = Gathered::default();
    for ray in 0..n {
        let cell = |k: usize, dice: &mut Dice| {
            (((k % RAYS) as f64 + dice.unit()) / RAYS as f64, ((k / RAYS) as f64 + dice.unit()) / RAYS as f64)
        };
        // 1. A spot on the film, one in the lens, one on the light: each its own ninth.
        let (sx, sy) = cell(ray, dice);
        let (lx, ly) = cell((ray * 4 + start) % n, dice);
        let spot = cell((ray * 7 + start * 5) % n, dice);
        let film_x = ((at.0 as f64 + sx) / size.0 as f64 - 0.5) * film.0;
        let film_y = (0.5 - (at.1 as f64 + sy) / size.1 as f64) * film.1 + camera.rise;
        let straight = v(film_x / camera.focal, film_y / camera.focal, -1.0);
        // 2. Through the lens: all rays meet again where it is sharp.
        let iris = camera.focal / (2000.0 * camera.stop) * lx.sqrt();
        let lens = v(iris * (2.0 * PI * ly).cos(), iris * (2.0 * PI * ly).sin(), 0.0);
        let way = turn.outward((straight * camera.sharp - lens).unit());
        let from = camera.place + turn.outward(lens);
        // 3. What it sees; light falls off towards the corners of the film.
        let corner = 1.0 / straight.dot(straight).powf(1.5);
        let seen = see(room, from, way, &mut Throw { dice, spot });
        sum.shine += seen.shine * corner;
        sum.tone += seen.tone * corner;
        sum.key += seen.key;
        sum.unsure += seen.key * seen.key;
        sum.fill += seen.fill;
        sum.facing = sum.facing + seen.facing;
        sum.far += seen.far;
    }
    let share = 1.0 / n as f64;
    Gathered {
        shine: sum.shine * share,
        tone: sum.tone * share,
        key: sum.key * share,
        unsure: (sum.unsure * share - (sum.key * share).powi(2)).max(0.0) * share,
        fill: sum.fill * share,
        facing: sum.facing.unit(),
        far: sum.far * share,
    }
}

/// Follows a ray through glass to what stands behind it.
fn see(room: &Room, from: V3, way: V3, throw: &mut Throw<'_>) -> Gathered {
    let (mut from, mut through, mut shine, mut gone) = (from, 1.0, 0.0, 0.0);
    for _ in 0..10 {
        let Some(met) = room.look(from, way) else {
            return Gathered { shine: shine + through * room.dusk, far: 40.0, ..Gathered::default() };
        };
        gone += met.far;
        let at = from + way * met.far;
        let (smooth, rough) = met.thing.facing(met.own);
        if let Stuff::Glass { clear } = met.thing.stuff {
            // Thin glass: mirrors more the flatter it is seen (Schlick 1994, from memory), and is longer to pass.
            let facing = if smooth.dot(way) > 0.0 { -smooth } else { smooth };
            let cos = (-facing.dot(way)).clamp(0.02, 1.0);
            let mirror = 0.04 + 0.96 * (1.0 - cos).powi(5);
            let back = way + facing * (2.0 * cos);
            shine += through * mirror * mirrored(room, at + facing * 1e-3, back, throw);
            through *= (1.0 - mirror) * clear.powf(1.0 / cos.max(0.12));
            from = at + way * 1e-3;
            continue;
        }
        if let Stuff::Glow(radiance) = met.thing.stuff {
            return Gathered { shine: shine + through * radiance, far: gone, ..Gathered::default() };
        }
        let spot = met.thing.stuff.spot(met.own);
        let off = at + smooth * 1.5e-3;
        let (plain, gloss) = lit(room, off, smooth, rough, way, spot.sharp, throw);
        let fill = bounced(room, off, rough, throw);
        return Gathered {
            shine: shine + through * (gloss + 0.35 * fill) * spot.shine,
            tone: through * spot.tone,
            key: plain,
            fill,
            unsure: 0.0,
            facing: rough,
            far: gone,
        };
    }
    Gathered { shine, far: gone, ..Gathered::default() }
}

/// Light straight from the light: over pi (a white surface's luminance), and as a shine.
fn lit(room: &Room, at: V3, smooth: V3, rough: V3, way: V3, sharp: f64, throw: &mut Throw<'_>) -> (f64, f64) {
    let (point, facing, area, radiance) = match room.light {
        Light::Opening { middle, across, up, radiance } => {
            let (a, b) = (2.0 * throw.spot.0 - 1.0, 2.0 * throw.spot.1 - 1.0);
            let area = 4.0 * across.length() * up.length();
            (middle + across * a + up * b, across.cross(up).unit(), area, radiance)
        }
        Light::Flame { middle, radius, radiance } => {
            let to = (at - middle).unit();
            let (a, b) = to.sides();
            let (r, turn) = (radius * throw.spot.0.sqrt(), 2.0 * PI * throw.spot.1);
            (middle + a * (r * turn.cos()) + b * (r * turn.sin()), to, PI * radius * radius, radiance)
        }
    };
    let to = point - at;
    let far = to.length();
    let to = to * (1.0 / far);
    let (cos, given) = (rough.dot(to), -facing.dot(to));
    let given = if matches!(room.light, Light::Flame { .. }) { 1.0 } else { given };
    if cos <= 0.0 || given <= 0.0 || smooth.dot(to) <= 0.0 {
        return (0.0, 0.0);
    }
    let open = room.open(at, to, far - 2e-3);
    if open == 0.0 {
        return (0.0, 0.0);
    }
    let arriving = open * radiance * given * area * cos / (far * far);
    let half = (to - way).unit();
    let gloss = (sharp + 2.0) / (2.0 * PI) * rough.dot(half).max(0.0).powf(sharp);
    // So near the light that a point of it counts for too much, the whole of it cannot give more than itself.
    ((arriving / PI).min(radiance), arriving * gloss)
}

/// Light the room throws back: one ray, more of them upright than slanting.
fn bounced(room: &Room, at: V3, facing: V3, throw: &mut Throw<'_>) -> f64 {
    let (a, b) = facing.sides();
    let (r2, turn) = (throw.dice.unit(), 2.0 * PI * throw.dice.unit());
    let r = r2.sqrt();
    let way = (a * (r * turn.cos()) + b * (r * turn.sin()) + facing * (1.0 - r2).sqrt()).unit();
    match room.look(at, way) {
        None => room.dusk,
        Some(met) => {
            let spot = met.thing.stuff.spot(met.own);
            let at = at + way * met.far;
            let (smooth, _) = met.thing.facing(met.own);
            let (plain, _) = lit(room, at + smooth * 1.5e-3, smooth, smooth, way, 1.0, throw);
            // Light that has bounced more often stands in as a part of the dusk.
            spot.tone * (plain.min(MOST) + 0.35 * room.dusk)
        }
    }
}

/// What a mirror shows: the light itself, or things under it.
fn mirrored(room: &Room, at: V3, way: V3, throw: &mut Throw<'_>) -> f64 {
    match room.look(at, way) {
        None => room.dusk,
        Some(met) => match met.thing.stuff {
            Stuff::Glow(radiance) => radiance,
            Stuff::Glass { .. } => room.dusk,
            stuff => {
                let spot = stuff.spot(met.own);
                let (smooth, _) = met.thing.facing(met.own);
                let at = at + way * met.far;
                let (plain, _) = lit(room, at + smooth * 1.5e-3, smooth, smooth, way, 1.0, throw);
                spot.tone * (plain + 0.5 * room.dusk)
            }
        },
    }
}
