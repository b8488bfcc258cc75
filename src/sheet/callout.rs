//! Labels beside a picture, moved apart so that none covers another and no leader runs over what must be seen.

use crate::plane::Point;

/// Where labels go along a line: as near to where they belong as their sizes let them, in the order of `wanted`.
///
/// `wanted` are middles, in any order; `size` is what each takes; `room` the line's two ends. Where there is more than
/// the room holds, labels are set closer and overlap evenly.
pub(super) fn spread(wanted: &[f64], size: f64, room: (f64, f64)) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let size = size.min((room.1 - room.0) / wanted.len().max(1) as f64);
    let mut places = vec![0.0; wanted.len()];
    // From the start each is pushed behind the one before; from the end, back into the room.
    let mut least = room.0 + size / 2.0;
    for &i in &order {
        places[i] = wanted[i].max(least);
        least = places[i] + size;
    }
    let mut most = room.1 - size / 2.0;
    for &i in order.iter().rev() {
        places[i] = places[i].min(most);
        most = places[i] - size;
    }
    places
}

/// A line that labels stand along, beside a picture or below it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shelf {
    /// Labels one below the other, leaders ending at this x.
    Upright(f64),
    /// Labels side by side, leaders ending at this y.
    Level(f64),
}

impl Shelf {
    /// Where a leader ends whose label's middle is there along the line.
    pub(super) fn end(self, along: f64) -> Point {
        match self {
            Self::Upright(x) => Point { x, y: along },
            Self::Level(y) => Point { x: along, y },
        }
    }

    fn along(self, place: Point) -> f64 {
        match self {
            Self::Upright(_) => place.y,
            Self::Level(_) => place.x,
        }
    }
}

/// What a leader that runs over a sign, or over another leader, costs: so many pixels of a longer way.
const OVER: f64 = 250.0;
/// Places are tried so far apart, in pixels.
const TRIED: f64 = 4.0;
/// How often each label is placed anew among the others.
const ROUNDS: usize = 3;

/// Where labels go along a shelf: near to their marks, but rather farther than with a leader over another mark, over a
/// sign (middle and radius) or over another leader. `clear` is the radius of a mark; `size` what a label takes; `room`
/// the shelf's ends.
pub(super) fn routed(
    marks: &[Point],
    clear: f64,
    signs: &[(Point, f64)],
    shelf: Shelf,
    size: f64,
    room: (f64, f64),
) -> Vec<f64> {
    let wanted: Vec<f64> = marks.iter().map(|mark| shelf.along(*mark)).collect();
    let mut places = spread(&wanted, size, room);
    let others = |i: usize| (0..marks.len()).filter(move |j| *j != i);
    for _ in 0..ROUNDS {
        for i in 0..marks.len() {
            let cost = |place: f64| {
                let leader = (marks[i], shelf.end(place));
                let marked = others(i).map(|j| (marks[j], clear));
                let hidden =
                    signs.iter().copied().chain(marked).filter(|(at, radius)| away(*at, leader) < *radius).count();
                let crossed = others(i).filter(|j| cross(leader, (marks[*j], shelf.end(places[*j])))).count();
                (place - wanted[i]).abs() + OVER * (hidden + crossed) as f64
            };
            let free = |place: &f64| others(i).all(|j| (places[j] - place).abs() >= size);
            let (first, last) = (room.0 + size / 2.0, room.1 - size / 2.0);
            let tried = (0..=((last - first) / TRIED).max(0.0) as usize).map(|step| first + TRIED * step as f64);
            let better = tried.filter(free).chain([places[i]]).min_by(|a, b| cost(*a).total_cmp(&cost(*b)));
            // Its own place comes last: where nothing is better than it, it stays.
            if let Some(better) = better.filter(|place| cost(*place) < cost(places[i])) {
                places[i] = better;
            }
        }
    }
    places
}

/// How far a place lies from a line between two.
fn away(at: Point, (from, to): (Point, Point)) -> f64 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let share = (((at.x - from.x) * dx + (at.y - from.y) * dy) / (dx * dx + dy * dy).max(1e-9)).clamp(0.0, 1.0);
    (at.x - from.x - share * dx).hypot(at.y - from.y - share * dy)
}

/// Whether two lines cross.
fn cross(one: (Point, Point), other: (Point, Point)) -> bool {
    let side = |(a, b): (Point, Point), p: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    let apart = |line: (Point, Point), ends: (Point, Point)| side(line, ends.0) * side(line, ends.1) < 0.0;
    apart(one, other) && apart(other, one)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{prop_assert, proptest};

    use super::*;

    #[test]
    fn labels_with_room_stay_where_they_belong() {
        assert_eq!(spread(&[80.0, 20.0], 10.0, (0.0, 100.0)), [80.0, 20.0]);
        assert_eq!(spread(&[50.0, 52.0], 10.0, (0.0, 100.0)), [50.0, 60.0]);
        assert_eq!(spread(&[99.0, 98.0], 10.0, (0.0, 100.0)), [95.0, 85.0]);
        assert_eq!(spread(&[], 10.0, (0.0, 100.0)), [0.0; 0]);
    }

    #[test]
    fn a_leader_goes_around_another_mark_and_a_number() {
        let at = |x: f64, y: f64| Point { x, y };
        // Three in a row, and a number's disc in the way of the last.
        let marks = [at(20.0, 100.0), at(120.0, 100.0), at(40.0, 200.0)];
        let disc = (at(100.0, 202.0), 20.0);
        let shelf = Shelf::Upright(300.0);
        let places = routed(&marks, 12.0, &[disc], shelf, 24.0, (0.0, 400.0));
        for i in 0..3 {
            let leader = (marks[i], shelf.end(places[i]));
            assert!((0..3).filter(|j| *j != i).all(|j| away(marks[j], leader) >= 12.0), "{places:?}");
            assert!(away(disc.0, leader) >= 20.0, "{places:?}");
            assert!((0..i).all(|j| !cross(leader, (marks[j], shelf.end(places[j])))), "{places:?}");
        }
        // With nothing in the way they stay level.
        assert_eq!(routed(&[at(20.0, 100.0)], 12.0, &[], shelf, 24.0, (0.0, 400.0)), [100.0]);
    }

    proptest! {
        #[test]
        fn routed_labels_never_cover_one_another(marks in proptest::collection::vec((0.0..200.0f64, 0.0..200.0f64), 0..9)) {
            let marks: Vec<Point> = marks.into_iter().map(|(x, y)| Point { x, y }).collect();
            let mut places = routed(&marks, 12.0, &[], Shelf::Level(300.0), 20.0, (0.0, 200.0));
            places.sort_by(f64::total_cmp);
            prop_assert!(places.windows(2).all(|pair| pair[1] - pair[0] > 19.999));
            prop_assert!(places.iter().all(|place| (9.999..190.001).contains(place)));
        }

        #[test]
        fn labels_never_cover_one_another_nor_leave_the_room(wanted in proptest::collection::vec(-50.0..250.0f64, 0..12)) {
            let mut places = spread(&wanted, 12.0, (0.0, 200.0));
            places.sort_by(f64::total_cmp);
            prop_assert!(places.windows(2).all(|pair| pair[1] - pair[0] > 11.999));
            prop_assert!(places.iter().all(|place| (5.999..194.001).contains(place)));
        }
    }
}
