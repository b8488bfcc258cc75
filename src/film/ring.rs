//! Which level is the rebate: the brightest that runs along straight edges, unless that is open light and the next one
//! lies inside it like a rebate.

use super::field::{Field, Ground, Side};
use super::film_edge;
use super::known::Known;
use super::outline::{OPEN_LIGHT, Outline, along, outline, outline_tilted};
use super::place;
use super::rebate;

/// Share of each of a scan's sides, and of all together, along which a rebate runs that is all there is to see: print
/// and dust take the rest.
const ALL_ALONG: (f64, f64) = (0.7, 0.9);

/// Least share of a scan that a lone frame fills: it is cropped around it, else there would be more to see.
const LEAST_FILLED: f64 = 0.6;

/// A level and the outline that it surrounds.
pub(super) struct Ring {
    pub(super) level: f32,
    pub(super) outline: Outline,
    /// The film's own outline, where it shows.
    pub(super) film: Option<Outline>,
}

/// The ring that is the rebate. What lies in open light is film, and no film has the size of a frame.
pub(super) fn base_ring(field: &Field, known: &Known) -> Option<Ring> {
    let levels = field.levels();
    let mut rings = levels
        .iter()
        .filter_map(|&level| Some(Ring { level, outline: outline(field, Ground::Level(level))?, film: None }))
        .filter(|ring| rebate::surrounds(field, ring.level, &ring.outline));
    let quad = |outline: &Outline| outline.quad(field.size);
    match rings.next() {
        Some(outer) if outer.level <= OPEN_LIGHT && !known.is_frame(&outer.outline, field.size) => {
            let inner = rings
                .find(|r| rebate::is_rebate_between(field, r.level, &quad(&outer.outline), &quad(&r.outline)))
                .or_else(|| melted(field, levels, Some(outer.level), &outer.outline));
            match inner {
                Some(ring) => Some(by_film(field, ring, outer.outline)),
                None => Some(with_holder(field, outer)),
            }
        }
        Some(ring) => Some(with_holder(field, ring)),
        None => {
            let film = film_edge::in_holder(field)?;
            Some(by_film(field, melted(field, levels, None, &film)?, film))
        }
    }
}

/// The ring of a picture that shows hardly an edge, but a frame of known size fits it: the brightest level that runs
/// along all four sides of the scan.
pub(super) fn faint(field: &Field, known: &Known) -> Option<Ring> {
    let around = |level: f32| {
        let shares = Side::ALL.map(|side| along(field, Ground::Level(level), side));
        shares.iter().all(|share| *share >= ALL_ALONG.0) && shares.iter().sum::<f64>() / 4.0 >= ALL_ALONG.1
    };
    let level = field.levels().iter().copied().find(|level| around(*level))?;
    let outline = place::single(field, level, None, None, known)?;
    let (width, height) = outline.quad(field.size).extent();
    let fills = width * height >= LEAST_FILLED * field.size.pixels() as f64;
    fills.then_some(Ring { level, outline, film: None })
}

/// The ring of a picture most of whose edges melt into the rebate: looked for at the film's own tilt.
fn melted(field: &Field, levels: &[f32], open: Option<f32>, film: &Outline) -> Option<Ring> {
    let level = film_edge::level_inside(field, levels, open, film)?;
    let outline = outline_tilted(field, Ground::Level(level), film.tangent());
    Some(Ring { level, outline, film: None })
}

fn with_holder(field: &Field, ring: Ring) -> Ring {
    match film_edge::in_holder(field) {
        Some(film) => by_film(field, ring, film),
        None => ring,
    }
}

fn by_film(field: &Field, mut ring: Ring, film: Outline) -> Ring {
    film_edge::place_unclear(field, &mut ring.outline, &film);
    ring.film = Some(film);
    ring
}
