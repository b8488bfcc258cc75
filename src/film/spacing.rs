//! Frames along a strip: of one length, with film between them, where edges show and picture is covered.

/// What shows along a strip, pixel after pixel, each as a share of its height.
pub(super) struct Shown {
    /// Picture.
    pub(super) picture: Vec<f32>,
    /// Edges at which picture begins before this pixel, and at which it has ended.
    pub(super) begins: Vec<f32>,
    pub(super) ends: Vec<f32>,
    /// Whether the strip runs off the scan at its start and end.
    pub(super) cut: [bool; 2],
    /// Its height in pixels.
    pub(super) height: f64,
}

/// Frames of one camera, in pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spacing {
    pub(super) length: usize,
    /// Least and most film between two frames.
    pub(super) gap: (usize, usize),
    /// Whether a camera is known that makes such frames.
    pub(super) known: bool,
    /// How far its length is from the nominal one: 1 is as far as cameras differ.
    pub(super) off: f64,
}

/// A frame along the strip, in pixels from its start, with the share of its height along which either edge shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    pub(super) start: f64,
    pub(super) end: f64,
    pub(super) start_seen: f64,
    pub(super) end_seen: f64,
}

/// Frames and how well they explain what shows.
#[derive(Clone, Debug)]
pub(super) struct Laid {
    pub(super) pieces: Vec<Piece>,
    pub(super) spacing: Spacing,
    /// Share of the picture that lies in no frame.
    pub(super) left_over: f64,
    score: f64,
}

/// What an edge along the whole height is worth, in the height's length of picture. Picture beyond an end costs as
/// much.
const EDGE_WORTH: f64 = 0.5;
/// Pixels beyond an end in which that is looked at, past the blur.
const BEYOND_END: std::ops::Range<isize> = 2..4;
/// What a frame costs, as a share of its length in picture: less than that is dust.
const COST: f64 = 0.03;
/// ... one as far from the nominal length as cameras differ, in the height's length of picture.
const OFF_NOMINAL: f64 = 0.05;
/// ... one of unknown length, in addition: a known one is likelier.
const UNKNOWN: f64 = 0.1;
/// Least part of a frame that is taken for one where the strip runs off the scan.
const LEAST_SHOWN: f64 = 0.1;
/// An edge from which a frame may be placed: along this share of the height.
const EDGE: f64 = 0.1;

/// The best of several spacings.
pub(super) fn lay(shown: &Shown, spacings: &[Spacing]) -> Option<Laid> {
    spacings.iter().filter_map(|spacing| laid(shown, *spacing)).max_by(|a, b| a.score.total_cmp(&b.score))
}

/// The best places of frames of one length: the longest path along the strip.
fn laid(shown: &Shown, spacing: Spacing) -> Option<Laid> {
    let steps = shown.picture.len();
    let Spacing { length, gap, .. } = spacing;
    if length == 0 {
        return None;
    }
    // Places are counted from one frame before the strip, so that cut frames begin at 0.
    let gains = Gains::of(shown, spacing);
    let count = steps + length + 1;
    let gain = |place: usize| gains.at(place as isize - length as isize);
    // 1. the best sum of frames whose last begins at each place, and the one before it
    let mut best: Vec<Option<(f64, Option<usize>)>> = vec![None; count];
    let mut far: Option<(f64, usize)> = None;
    for place in 0..count {
        let blank = 2 * (length + gap.0);
        if let Some(before) = place.checked_sub(blank)
            && let Some((sum, _)) = best[before]
            && far.is_none_or(|f| sum > f.0)
        {
            far = Some((sum, before));
        }
        let Some(own) = gain(place) else { continue };
        let near = (gap.0..=gap.1).filter_map(|g| {
            let before = place.checked_sub(length + g)?;
            best[before].map(|b| (b.0, before))
        });
        let before = near.chain(far).max_by(|a, b| a.0.total_cmp(&b.0)).filter(|b| b.0 > 0.0);
        best[place] = Some(before.map_or((own, None), |(sum, before)| (sum + own, Some(before))));
    }
    // 2. back along it
    let last = (0..count).filter_map(|place| best[place].map(|b| (b.0, place)));
    let (score, mut place) = last.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|b| b.0 > 0.0)?;
    let mut places = vec![place];
    while let Some((_, Some(before))) = best[place] {
        places.push(before);
        place = before;
    }
    places.reverse();
    let mut pieces: Vec<Piece> = places.iter().map(|place| gains.piece(*place as isize - length as isize)).collect();
    settle(&mut pieces, spacing);
    let all: f64 = shown.picture.iter().map(|p| f64::from(*p)).sum();
    let covered: f64 = pieces.iter().map(|piece| gains.picture(piece.start.round() as isize)).sum();
    let left_over = if all > 0.0 { 1.0 - covered / all } else { 0.0 };
    let score = if spacing.known { score } else { score * (1.0 - UNKNOWN) };
    Some(Laid { pieces, spacing, left_over, score })
}

/// What a frame of one length is worth at each place.
struct Gains<'a> {
    shown: &'a Shown,
    length: isize,
    off: f64,
    steps: isize,
    sums: Vec<f64>,
}

impl<'a> Gains<'a> {
    fn of(shown: &'a Shown, spacing: Spacing) -> Self {
        let mut sums = vec![0.0; shown.picture.len() + 1];
        for (i, picture) in shown.picture.iter().enumerate() {
            sums[i + 1] = sums[i] + f64::from(*picture);
        }
        Self { shown, length: spacing.length as isize, off: spacing.off, steps: shown.picture.len() as isize, sums }
    }

    /// Picture under a frame that begins at `start`.
    fn picture(&self, start: isize) -> f64 {
        let index = |place: isize| place.clamp(0, self.steps) as usize;
        self.sums[index(start + self.length)] - self.sums[index(start)]
    }

    fn seen(&self, start: isize) -> (f64, f64) {
        let at = |edges: &[f32], place: isize| edges.get(usize::try_from(place).ok()?).map(|e| f64::from(*e));
        (at(&self.shown.begins, start).unwrap_or(0.0), at(&self.shown.ends, start + self.length).unwrap_or(0.0))
    }

    fn at(&self, start: isize) -> Option<f64> {
        let length = self.length as f64;
        let end = start + self.length;
        let inside = end.min(self.steps) - start.max(0);
        let runs_off = [start < 0, end > self.steps];
        let cut_elsewhere = (runs_off[0] && !self.shown.cut[0]) || (runs_off[1] && !self.shown.cut[1]);
        if cut_elsewhere || (inside as f64) < LEAST_SHOWN * length {
            return None;
        }
        let (start_seen, end_seen) = self.seen(start);
        let worth = EDGE_WORTH * self.shown.height;
        let edges = start_seen + end_seen - self.beyond(start, -1) - self.beyond(end, 1);
        let off = OFF_NOMINAL * self.off * self.shown.height;
        Some(self.picture(start) + worth * edges - COST * length - off)
    }

    /// Mean share of picture just beyond an end.
    fn beyond(&self, end: isize, outwards: isize) -> f64 {
        let place = |k: isize| if outwards > 0 { end + k } else { end - 1 - k };
        let there = BEYOND_END.filter_map(|k| self.shown.picture.get(usize::try_from(place(k)).ok()?));
        there.map(|picture| f64::from(*picture)).sum::<f64>() / BEYOND_END.len() as f64
    }

    fn piece(&self, start: isize) -> Piece {
        let (start_seen, end_seen) = self.seen(start);
        Piece { start: start as f64, end: (start + self.length) as f64, start_seen, end_seen }
    }
}

/// Frames that show no edge of their own are put as far from their neighbours as frames with edges are from theirs.
fn settle(pieces: &mut [Piece], spacing: Spacing) {
    let length = spacing.length as f64;
    let mut gaps: Vec<f64> = pieces
        .windows(2)
        .filter(|pair| pair[0].end_seen >= EDGE && pair[1].start_seen >= EDGE)
        .map(|pair| pair[1].start - pair[0].end)
        .filter(|gap| *gap <= spacing.gap.1 as f64)
        .collect();
    gaps.sort_by(f64::total_cmp);
    let Some(gap) = gaps.get(gaps.len() / 2).copied() else { return };
    for i in 0..pieces.len() {
        if pieces[i].start_seen >= EDGE || pieces[i].end_seen >= EDGE {
            continue;
        }
        let after = i.checked_sub(1).map(|k| pieces[k]).filter(|p| p.end_seen >= EDGE).map(|p| p.end + gap);
        let before = pieces.get(i + 1).filter(|p| p.start_seen >= EDGE).map(|p| p.start - gap - length);
        let places: Vec<f64> =
            after.into_iter().chain(before).filter(|p| (p - pieces[i].start).abs() < length / 2.0).collect();
        if !places.is_empty() {
            pieces[i].start = places.iter().sum::<f64>() / places.len() as f64;
            pieces[i].end = pieces[i].start + length;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Frames (start, length) drawn on a strip of 400 pixels, the edges of some left out.
    fn shown(frames: &[(usize, usize)], blind: &[usize]) -> Shown {
        let mut shown = Shown {
            picture: vec![0.0; 400],
            begins: vec![0.0; 401],
            ends: vec![0.0; 401],
            cut: [false; 2],
            height: 112.0,
        };
        for (i, &(start, length)) in frames.iter().enumerate() {
            if blind.contains(&i) {
                shown.picture[start + length / 3..start + length / 2].fill(0.2);
            } else {
                shown.picture[start..start + length].fill(0.8);
                shown.begins[start] = 0.9;
                shown.ends[start + length] = 0.9;
            }
        }
        shown
    }

    const SPACINGS: [Spacing; 2] = [
        Spacing { length: 83, gap: (2, 20), known: true, off: 0.0 },
        Spacing { length: 112, gap: (2, 20), known: true, off: 0.0 },
    ];

    fn starts(laid: &Laid) -> Vec<f64> {
        laid.pieces.iter().map(|p| p.start).collect()
    }

    #[test]
    fn frames_that_show_are_found_at_their_places_and_of_their_length() {
        let laid = lay(&shown(&[(10, 112), (126, 112), (241, 112)], &[]), &SPACINGS).unwrap();
        assert_eq!((starts(&laid), laid.spacing.length), (vec![10.0, 126.0, 241.0], 112));
        assert!(laid.left_over.abs() < 1e-9);
    }

    #[test]
    fn a_frame_that_shows_no_edge_lies_as_far_from_its_neighbours_as_they_do() {
        let laid = lay(&shown(&[(8, 83), (95, 83), (182, 83), (269, 83)], &[2]), &SPACINGS).unwrap();
        assert_eq!(starts(&laid), [8.0, 95.0, 182.0, 269.0]);
        assert_eq!(laid.pieces[2].start_seen, 0.0);
    }

    #[test]
    fn a_blank_frame_is_passed_over_and_none_is_found_on_blank_film() {
        let laid = lay(&shown(&[(8, 83), (182, 83)], &[]), &SPACINGS).unwrap();
        assert_eq!(starts(&laid), [8.0, 182.0]);
        assert!(lay(&shown(&[], &[]), &SPACINGS).is_none());
    }

    #[test]
    fn a_strip_that_runs_off_the_scan_begins_with_a_cut_frame() {
        let mut shown = shown(&[(0, 40), (50, 112)], &[]);
        shown.begins[0] = 0.0;
        shown.cut = [true, false];
        let laid = lay(&shown, &SPACINGS).unwrap();
        assert_eq!(starts(&laid), [-72.0, 50.0]);
    }
}
