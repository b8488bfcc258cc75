//! Flat stretches of a line of densities, and the longest staircase among them.

/// A flat stretch: pixels `start` to `end` (not included) of a line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plateau {
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) level: f32,
    /// How much density differs between its first third and its last.
    drift: f32,
}

impl Plateau {
    pub(super) fn centre(&self) -> f64 {
        (self.start + self.end) as f64 / 2.0
    }

    fn width(&self) -> f64 {
        (self.end - self.start) as f64
    }
}

/// Least length of a flat stretch, in pixels.
const LEAST_LENGTH: usize = 3;

/// Stretches along which density differs by no more than `tolerance`. What is no number lies outside the picture.
pub(super) fn plateaus(line: &[f32], tolerance: f32) -> Vec<Plateau> {
    let mut found = Vec::new();
    let mut start = 0;
    while start < line.len() {
        let (mut low, mut high, mut sum, mut end) = (line[start], line[start], 0.0, start);
        while end < line.len() && !line[end].is_nan() && line[end].max(high) - line[end].min(low) <= tolerance {
            (low, high, sum) = (low.min(line[end]), high.max(line[end]), sum + line[end]);
            end += 1;
        }
        if end - start >= LEAST_LENGTH {
            let third = (end - start) / 3;
            let mean = |part: &[f32]| part.iter().sum::<f32>() / third as f32;
            let drift = (mean(&line[end - third..end]) - mean(&line[start..start + third])).abs();
            found.push(Plateau { start, end, level: sum / (end - start) as f32, drift });
            start = end;
        } else {
            start += 1;
        }
    }
    found
}

/// The same line seen from its other end.
pub(super) fn reversed(plateaus: &[Plateau], length: usize) -> Vec<Plateau> {
    let turned = |p: &Plateau| Plateau { start: length - p.end, end: length - p.start, ..*p };
    plateaus.iter().rev().map(turned).collect()
}

/// Stretches that rise like a staircase of equal treads.
#[derive(Clone, Debug, Default)]
pub(super) struct Staircase {
    /// The number of each tread, counted from the first that was found, and the stretch itself.
    pub(super) treads: Vec<(usize, Plateau)>,
}

impl Staircase {
    /// Pixels from tread to tread.
    pub(super) fn pitch(&self) -> f64 {
        let [(first, start), .., (last, end)] = &self.treads[..] else { return 0.0 };
        (end.centre() - start.centre()) / (last - first) as f64
    }
}

/// Least and largest rise from one tread to the next, in D. A tread may be missed, so two rises of 0.45 count too.
const RISE: std::ops::Range<f32> = 0.015..0.9;
/// A tread's flat part, as a share of the pitch.
const TREAD: std::ops::Range<f64> = 0.4..1.15;
/// Treads rise by at least so many times as much as they drift: a slope, cut into level pieces, is no staircase.
const OVER_DRIFT: f32 = 3.0;
/// How far from where it is expected a tread may lie, as a share of the pitch.
const ASTRAY: f64 = 0.2;
/// Narrowest pitch, in pixels.
const LEAST_PITCH: f64 = 5.0;

/// The staircase of most treads, rising along the line.
pub(super) fn staircase(plateaus: &[Plateau]) -> Staircase {
    let mut best = Staircase::default();
    for (i, first) in plateaus.iter().enumerate() {
        // Printed numbers or a scratch may lie between two treads.
        for second in plateaus.iter().skip(i + 1).take(3) {
            let pitch = second.centre() - first.centre();
            let alike = [first, second].iter().all(|p| TREAD.contains(&(p.width() / pitch)));
            if pitch < LEAST_PITCH || !alike || !rises(first, second) {
                continue;
            }
            let climbed = climb(plateaus, i, *second, pitch);
            if climbed.treads.len() > best.treads.len() {
                best = climbed;
            }
        }
    }
    best
}

fn rises(from: &Plateau, to: &Plateau) -> bool {
    let rise = to.level - from.level;
    RISE.contains(&rise) && rise >= OVER_DRIFT * from.drift.max(to.drift)
}

fn climb(plateaus: &[Plateau], first: usize, second: Plateau, pitch: f64) -> Staircase {
    let start = plateaus[first];
    let mut stairs = Staircase { treads: vec![(0, start), (1, second)] };
    let mut pitch = pitch;
    for plateau in &plateaus[first + 1..] {
        let (number, last) = stairs.treads[stairs.treads.len() - 1];
        let ahead = (plateau.centre() - last.centre()) / pitch;
        let treads = ahead.round();
        let fits = (1.0..=2.0).contains(&treads) && (ahead - treads).abs() <= ASTRAY;
        if fits && rises(&last, plateau) && TREAD.contains(&(plateau.width() / pitch)) {
            stairs.treads.push((number + treads as usize, *plateau));
            pitch = stairs.pitch();
        }
    }
    stairs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_staircase_is_found_between_level_grounds_and_past_a_missed_tread() {
        let mut line = vec![0.0f32; 40];
        for step in 0..12 {
            let level = 0.1 + 0.15 * step as f32;
            line.extend((0..20).map(|i| if step == 4 && i % 3 == 0 { 3.0 } else { level }));
        }
        line.extend([3.5; 50]);
        let stairs = staircase(&plateaus(&line, 0.03));
        assert_eq!(stairs.treads.len(), 11);
        assert_eq!(stairs.treads[10].0, 11);
        assert!((stairs.pitch() - 20.0).abs() < 0.2);
        let level = vec![0.3; 400];
        assert!(staircase(&plateaus(&level, 0.03)).treads.is_empty());
    }

    #[test]
    fn a_slope_is_no_staircase() {
        let line: Vec<f32> = (0..600).map(|i| 0.1 + 0.004 * i as f32).collect();
        assert!(staircase(&plateaus(&line, 0.03)).treads.is_empty());
    }

    #[test]
    fn seen_from_the_other_end_it_falls() {
        let line: Vec<f32> = (0..200).map(|i| 2.0 - 0.1 * (i / 20) as f32).collect();
        let found = plateaus(&line, 0.03);
        assert!(staircase(&found).treads.is_empty());
        assert_eq!(staircase(&reversed(&found, line.len())).treads.len(), 10);
    }
}
