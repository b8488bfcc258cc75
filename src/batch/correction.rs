//! What a person put right in a scan's notes, checked against the scan.

use crate::notes::Correction;
use crate::plane::{Point, Quad, Size};

use super::settings::MOST_FRAMES;

/// Least side of a frame, in pixels.
const LEAST: f64 = 8.0;

/// The outlines that a person gave, in the order given.
///
/// # Errors
/// When one is no frame of a scan of this size.
pub(super) fn pictures(correction: &Correction, size: Size) -> Result<Vec<Quad>, String> {
    let count = correction.pictures.len();
    if count > MOST_FRAMES {
        return Err(format!(
            "in its notes, [scan] picture gives {count} frames, at most {MOST_FRAMES} can be made: mend it and run again"
        ));
    }
    (1..).zip(&correction.pictures).map(|(number, corners)| picture(number, corners, size)).collect()
}

fn picture(number: usize, corners: &[[f64; 2]], size: Size) -> Result<Quad, String> {
    let wrong = |what: &str| format!("in its notes, [scan] picture, frame {number}: {what}: mend it and run again");
    let point = |[x, y]: [f64; 2]| Point { x, y };
    let corners = match *corners {
        [a, b] => [a, [b[0], a[1]], b, [a[0], b[1]]].map(point),
        [a, b, c, d] => [a, b, c, d].map(point),
        _ => return Err(wrong("give two opposite corners or all four")),
    };
    let (width, height) = (f64::from(size.width), f64::from(size.height));
    if corners.iter().any(|p| !(0.0..=width).contains(&p.x) || !(0.0..=height).contains(&p.y)) {
        return Err(wrong(&format!("a corner lies outside the scan ({width} x {height} pixels)")));
    }
    let quad = Quad::around(corners).ok_or_else(|| wrong("these are not the corners of a frame"))?;
    let bounds = quad.bounds(size);
    if f64::from(bounds.width.min(bounds.height)) < LEAST {
        return Err(wrong("it is only a few pixels large"));
    }
    Ok(quad)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn given(corners: &[[f64; 2]]) -> Result<Vec<Quad>, String> {
        let correction = Correction { pictures: vec![corners.to_vec()], base: None };
        pictures(&correction, Size { width: 100, height: 80 })
    }

    #[test]
    fn two_opposite_corners_are_an_upright_frame() {
        let quad = given(&[[90.0, 70.0], [10.0, 5.0]]).unwrap()[0];
        assert_eq!(quad.0.map(|p| (p.x, p.y)), [(10.0, 5.0), (90.0, 5.0), (90.0, 70.0), (10.0, 70.0)]);
    }

    #[test]
    fn what_is_no_frame_of_the_scan_is_told() {
        for (corners, what) in [
            (vec![[0.0, 0.0], [101.0, 80.0]], "outside the scan (100 x 80 pixels)"),
            (vec![[0.0, 0.0], [3.0, 80.0]], "a few pixels"),
            (vec![[0.0, 0.0], [90.0, 0.0], [50.0, 0.0], [0.0, 70.0]], "not the corners"),
        ] {
            assert!(given(&corners).unwrap_err().contains(what));
        }
    }
}
