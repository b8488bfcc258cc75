//! Is it colour film? Its orange mask lets red light through and holds blue back.

use crate::light::Density;

/// Least difference of density between blue and red, and between green and red, that is a mask, in D. Bases of masked
/// colour negative film read some 0.6 and 0.3 (makers' data sheets, from memory); stained or tinted black-and-white
/// film, 0.1.
const MASK: (f64, f64) = (0.3, 0.1);
/// Densities that may be film, in D: open light and holder have no colour.
const FILM: std::ops::Range<f64> = 0.1..2.0;
/// Share of such places at which it must show: colours of the picture lie over it.
const MOST: f64 = 0.5;
/// Fewest places that tell anything.
const LEAST: usize = 100;

/// The mask's density, blue over red, where most places of a scan show one. Places are densities of red, green and
/// blue.
pub fn mask(places: impl Iterator<Item = [f64; 3]>) -> Option<Density> {
    let mut masks: Vec<(f64, f64)> = places
        .filter(|[red, green, _]| FILM.contains(green) && FILM.contains(red))
        .map(|[red, green, blue]| (blue - red, green - red))
        .collect();
    let masked = masks.iter().filter(|(blue, green)| *blue >= MASK.0 && *green >= MASK.1).count();
    if masks.len() < LEAST || (masked as f64) < MOST * masks.len() as f64 {
        return None;
    }
    masks.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(Density::new(masks[masks.len() / 2].0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn film(base: [f64; 3]) -> impl Iterator<Item = [f64; 3]> {
        (0..400).map(move |i| base.map(|d| d + f64::from(i % 90) / 100.0))
    }

    /// Base of a masked colour negative film: red 0.25, green 0.62, blue 0.88 (a data sheet's order of size, from
    /// memory).
    #[test]
    fn an_orange_base_is_a_mask_and_a_grey_or_stained_one_is_not() {
        let masked = mask(film([0.25, 0.62, 0.88])).unwrap().value();
        assert!((masked - 0.63).abs() < 1e-9);
        assert_eq!(mask(film([0.22, 0.25, 0.29])), None);
        assert_eq!(mask(film([0.30, 0.24, 0.20])), None);
    }

    #[test]
    fn open_light_and_holder_tell_nothing() {
        assert_eq!(mask((0..500).map(|_| [0.02, 0.03, 0.5])), None);
        assert_eq!(mask(film([0.25, 0.62, 0.88]).take(50)), None);
    }
}
