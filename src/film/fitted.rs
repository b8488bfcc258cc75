//! What known sizes make of a single frame: it stands, it is moved, or it is none.

use super::confidence::clearness;
use super::field::Field;
use super::found::UNSURE;
use super::known::Known;
use super::outline::{Outline, Seen};
use super::{place, strip};

/// Share of each side along which an edge shows that no known size overrules.
const PLAIN: f64 = 0.5;

/// What a known size makes of a single frame.
pub(super) enum Fitted {
    /// The outline stands: nothing is known, or all of it is clear.
    Stands,
    /// Put where a frame of known size fits.
    Moved(Outline),
    /// Two sides at most show an edge, and no frame fits them: lines in a picture.
    Unlikely,
}

/// Looks whether a frame of a known size fits better than the outline that was found.
pub(super) fn of_known_size(
    field: &Field,
    level: f32,
    outline: &Outline,
    film: Option<&Outline>,
    known: &Known,
) -> Fitted {
    let scan = (f64::from(field.size.width), f64::from(field.size.height));
    let (width, height) = film.map_or(scan, |film| film.quad(field.size).extent());
    if known.per_mm.is_none() || strip::is_long(width, height) {
        return Fitted::Stands;
    }
    let clear = clearness(outline, field.size, film.is_none()).map(|c| c >= UNSURE);
    // Film of a known size holds another frame than it should: lines in a picture, unless every side shows most of an
    // edge.
    let plain = outline.seen.iter().all(|seen| matches!(seen, Seen::Edge { inside, .. } if *inside >= PLAIN));
    let unlike = !plain && film.is_some_and(|film| known.is_unlike(outline, film, field.size));
    if clear == [true; 4] && !unlike {
        return Fitted::Stands;
    }
    let trusted = if unlike { [false; 4] } else { clear };
    match place::single(field, level, film, Some((outline, trusted)), known) {
        Some(mut placed) => {
            // A size that overrules an edge is a doubt.
            for (seen, clear) in placed.seen.iter_mut().zip(clear) {
                if clear && *seen == Seen::Placed {
                    *seen = Seen::Melted;
                }
            }
            Fitted::Moved(placed)
        }
        None if film.is_none() && outline.sides_well_seen() <= 2 => Fitted::Unlikely,
        None => Fitted::Stands,
    }
}
