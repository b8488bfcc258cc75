//! What is dust beyond doubt, and what may be a part of the picture.
//!
//! To leave a doubtful place out of a frame's ends does no harm; to count it as dust does. So less is counted than is
//! left out. What a picture has of small, sharp and single dark spots, such as distant lamps, is still counted.

use super::patch::Patch;

/// How far the surroundings of a speck reach, in pixels of the overview: twice the widest speck. Its soft edge and that
/// of other specks do not belong to them.
const FAR: usize = 8;
/// Fewer pixels than this are no surroundings.
const FEWEST: usize = 12;
/// What a speck is compared with: the density that this share of its surroundings lies below.
const SHARE: f64 = 0.95;
/// A speck is denser than that by at least this, in D: more than grain makes of a pixel (common practice) ...
const LEAST: f32 = 0.06;
/// ... and by at least this many times the distance between these shares of the surroundings: how much the picture
/// varies there. House value: a larger one counts less of the dust on a picture's details, and less of the details.
const TIMES: f32 = 1.5;
const VARIES: [f64; 2] = [0.1, 0.9];
/// Light below which there is nothing to compare, of full scale: density 4.
const LEAST_LIGHT: f32 = 1e-4;

/// A patch longer than this is looked at as a line, in pixels.
const LONG: f64 = 9.0;
/// A line is straight when it leaves its axis by no more than this (standard deviation, in pixels, and as a share of
/// that along it): a hair bends, edges of boards, wires and ropes do not.
const THIN: f64 = 0.5;
const BENT: f64 = 0.03;

/// Whether a dark patch is denser than all around it, and no straight line.
///
/// `light` and `dusty` (every place that is left out, soft edges included) are of the overview, `width` pixels wide.
pub(super) fn stands_apart(patch: &Patch, light: &[f32], dusty: &[bool], width: usize) -> bool {
    let density = |i: usize| -light[i].max(LEAST_LIGHT).log10();
    let mut around: Vec<f32> =
        around(patch, width, light.len() / width).into_iter().filter(|i| !dusty[*i]).map(density).collect();
    if around.len() < FEWEST {
        return false;
    }
    let mut at = |share: f64| {
        let rank = ((around.len() - 1) as f64 * share) as usize;
        *around.select_nth_unstable_by(rank, f32::total_cmp).1
    };
    let mut own: Vec<f32> = patch.iter().map(|(x, y)| density(*y as usize * width + *x as usize)).collect();
    let middle = own.len() / 2;
    let own = *own.select_nth_unstable_by(middle, f32::total_cmp).1;
    let varies = at(VARIES[1]) - at(VARIES[0]);
    own - at(SHARE) >= LEAST.max(TIMES * varies) && !is_straight(patch)
}

/// The pixels within reach of a patch, as indices, its own among them.
fn around(patch: &Patch, width: usize, height: usize) -> Vec<usize> {
    let bounds = |of: fn(&(u32, u32)) -> u32, most: usize| {
        let (low, high) = patch.iter().map(of).fold((u32::MAX, 0), |(low, high), v| (low.min(v), high.max(v)));
        (low as usize).saturating_sub(FAR)..(high as usize + FAR + 1).min(most)
    };
    let (columns, rows) = (bounds(|p| p.0, width), bounds(|p| p.1, height));
    let mut near = vec![false; columns.len() * rows.len()];
    for &(x, y) in patch {
        let (x, y) = (x as usize, y as usize);
        for row in y.saturating_sub(FAR)..(y + FAR + 1).min(height) {
            let start = (row - rows.start) * columns.len();
            let (from, to) = (x.saturating_sub(FAR), (x + FAR + 1).min(width));
            near[start + from - columns.start..start + to - columns.start].fill(true);
        }
    }
    let at = |i: usize| (rows.start + i / columns.len()) * width + columns.start + i % columns.len();
    (0..near.len()).filter(|i| near[*i]).map(at).collect()
}

/// From the patch's spread along and across its own axis.
fn is_straight(patch: &Patch) -> bool {
    let mean = |of: &dyn Fn(&(u32, u32)) -> f64| patch.iter().map(of).sum::<f64>() / patch.len() as f64;
    let (x, y) = (mean(&|p| f64::from(p.0)), mean(&|p| f64::from(p.1)));
    let (dx, dy) = (|p: &(u32, u32)| f64::from(p.0) - x, |p: &(u32, u32)| f64::from(p.1) - y);
    let (xx, xy, yy) = (mean(&|p| dx(p) * dx(p)), mean(&|p| dx(p) * dy(p)), mean(&|p| dy(p) * dy(p)));
    // Eigenvalues of the covariance.
    let (half, root) = ((xx + yy) / 2.0, ((xx - yy) / 2.0).hypot(xy));
    let (along, across) = ((half + root).sqrt(), (half - root).max(0.0).sqrt());
    // Evenly spread over a length, the standard deviation is the length over the root of 12.
    along * 12f64.sqrt() > LONG && across <= THIN + BENT * along
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(at: impl Fn(u32) -> (u32, u32)) -> Patch {
        (0..30).map(at).collect()
    }

    #[test]
    fn a_board_is_straight_and_a_hair_is_not() {
        assert!(is_straight(&curve(|i| (i, 7))));
        assert!(is_straight(&curve(|i| (i, 20 + i / 3))), "and a tilted one");
        assert!(!is_straight(&curve(|i| (i, (i - i.min(15)).pow(2) / 12))), "a bent hair");
        assert!(!is_straight(&curve(|i| (i % 6, i / 6))), "a round speck");
    }

    #[test]
    fn a_dark_spot_on_an_edge_is_a_part_of_the_picture() {
        let width = 40;
        // Calm on the left, as dense as the spot on the right.
        let light: Vec<f32> = (0..1600).map(|i| if i % width < 24 { 0.2 } else { 0.02 }).collect();
        let with = |patch: &Patch| {
            let mut light = light.clone();
            let mut dusty = vec![false; 1600];
            for (x, y) in patch {
                light[*y as usize * width + *x as usize] = 0.02;
                dusty[*y as usize * width + *x as usize] = true;
            }
            stands_apart(patch, &light, &dusty, width)
        };
        assert!(with(&vec![(10, 20), (11, 20), (10, 21)]), "away from it");
        assert!(!with(&vec![(22, 20), (23, 20), (22, 21)]), "on it");
    }
}
