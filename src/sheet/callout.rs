//! Labels beside a picture, moved apart so that none covers another.

/// Where labels go along a line: as near to where they belong as their sizes let them, in the order of `wanted`.
///
/// `wanted` are middles, in any order; `size` is what each takes; `room` the line's two ends. Where there is more than the
/// room holds, labels are set closer and overlap evenly.
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

#[cfg(test)]
mod tests {
    use proptest::prelude::{prop_assert, proptest};

    use super::spread;

    #[test]
    fn labels_with_room_stay_where_they_belong() {
        assert_eq!(spread(&[80.0, 20.0], 10.0, (0.0, 100.0)), [80.0, 20.0]);
        assert_eq!(spread(&[50.0, 52.0], 10.0, (0.0, 100.0)), [50.0, 60.0]);
        assert_eq!(spread(&[99.0, 98.0], 10.0, (0.0, 100.0)), [95.0, 85.0]);
        assert_eq!(spread(&[], 10.0, (0.0, 100.0)), [0.0; 0]);
    }

    proptest! {
        #[test]
        fn labels_never_cover_one_another_nor_leave_the_room(wanted in proptest::collection::vec(-50.0..250.0f64, 0..12)) {
            let mut places = spread(&wanted, 12.0, (0.0, 200.0));
            places.sort_by(f64::total_cmp);
            prop_assert!(places.windows(2).all(|pair| pair[1] - pair[0] > 11.999));
            prop_assert!(places.iter().all(|place| (5.999..194.001).contains(place)));
        }
    }
}
