//! Connected patches of marked pixels.

/// Columns and rows of a patch's pixels.
pub(super) type Patch = Vec<(u32, u32)>;

/// Groups pixels of a picture of `size` (width, height): two belong together when neither coordinate differs by more
/// than `reach`, directly or over others. Patches come in the order of their first pixels.
pub(super) fn patches(pixels: &[(u32, u32)], (width, height): (usize, usize), reach: usize) -> Vec<Patch> {
    let at = |x: u32, y: u32| y as usize * width + x as usize;
    let mut marked = vec![false; width * height];
    for &(x, y) in pixels {
        marked[at(x, y)] = true;
    }
    let mut found = Vec::new();
    for &(x, y) in pixels {
        if !std::mem::take(&mut marked[at(x, y)]) {
            continue;
        }
        let mut patch = vec![(x, y)];
        let mut next = 0;
        while let Some(&(x, y)) = patch.get(next) {
            next += 1;
            let (x, y) = (x as usize, y as usize);
            for row in y.saturating_sub(reach)..(y + reach + 1).min(height) {
                for column in x.saturating_sub(reach)..(x + reach + 1).min(width) {
                    if std::mem::take(&mut marked[row * width + column]) {
                        patch.push((column as u32, row as u32));
                    }
                }
            }
        }
        found.push(patch);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sizes(rows: &[&str], reach: usize) -> Vec<usize> {
        let (width, height) = (rows[0].len(), rows.len());
        let all = (0..height as u32).flat_map(|y| (0..width as u32).map(move |x| (x, y)));
        let marked: Vec<_> = all.filter(|(x, y)| rows[*y as usize].as_bytes()[*x as usize] == b'#').collect();
        patches(&marked, (width, height), reach).iter().map(Vec::len).collect()
    }

    #[test]
    fn pixels_that_touch_are_one_patch_and_a_gap_is_bridged_as_far_as_the_reach_goes() {
        let rows = ["##.#...", "..#....", "......#", "#......"];
        assert_eq!(sizes(&rows, 1), [4, 1, 1]);
        assert_eq!(sizes(&rows, 2), [5, 1]);
        assert_eq!(sizes(&rows, 4), [6]);
        assert_eq!(sizes(&["...", "..."], 1), [0usize; 0]);
    }
}
