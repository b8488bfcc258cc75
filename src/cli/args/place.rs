//! Places as they are typed.

use crate::plane::Point;

/// A place as two numbers with a comma between them.
pub(super) fn place(word: &str) -> Result<Point, String> {
    let number = |n: &str| n.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let place = word.split_once(',').and_then(|(x, y)| Some(Point { x: number(x)?, y: number(y)? }));
    place.ok_or_else(|| "use two numbers of pixels, as 512,300".to_owned())
}
