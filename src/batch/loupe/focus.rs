//! How sharp a frame is: every pane of it seen through its own grain.

use rayon::prelude::*;

use crate::batch::print::Carrier;
use crate::batch::reading::overview;
use crate::film::{Detail, Dust, Focus, Panes, Speck};
use crate::light::Densitometer;
use crate::plane::{Area, Band, Point, Quad};
use crate::scan::{self, Rows, Scan};

/// Density beyond which nothing is told: no flatbed reads further (common practice).
const DENSEST: f64 = 5.0;
/// A speck of dust is left out with so many pixels of the overview around it.
const DUST_EDGE: f64 = 2.0;

/// Looks at every pane of the frame, a row of panes at a time; nothing where it is smaller than one.
pub(in crate::batch) fn focus(
    scan: &Scan,
    carrier: &Carrier,
    bench: &Densitometer,
) -> Result<Option<Focus>, scan::Error> {
    let (size, corners) = (scan.facts().size, carrier.lying.corners);
    let Some(panes) = Panes::of(corners, size) else { return Ok(None) };
    let channel = carrier.read.channel();
    let seen = overview(scan, channel, bench)?;
    let (dust, scale) = (Dust::of(&seen), seen.scale());
    let edge = (DUST_EDGE * scale.0, DUST_EDGE * scale.1);
    let densities: Vec<f32> = bench.densities().iter().map(|d| d.min(DENSEST) as f32).collect();
    let (left, width) = (panes.left as usize, (panes.across * panes.side) as usize);
    let row_of_panes = width * panes.side as usize;
    let mut details = Vec::new();
    let mut held: Vec<f32> = Vec::with_capacity(2 * row_of_panes);
    // Specks with their soft edges.
    let with_edge = |speck: &Speck| {
        let Quad([a, _, c, _]) = speck.bounds;
        let (a, c) = (Point { x: a.x - edge.0, y: a.y - edge.1 }, Point { x: c.x + edge.0, y: c.y + edge.1 });
        Quad([a, Point { x: c.x, y: a.y }, c, Point { x: a.x, y: c.y }]).bounds(size)
    };
    let specks: Vec<Area> = dust.within(corners).map(with_edge).collect();

    let read = |band: &Band<'_>| -> Vec<f32> {
        let mut seen = Vec::with_capacity(band.samples().len());
        for (y, row) in band.rows() {
            let start = seen.len();
            seen.extend(row[left..][..width].iter().map(|code| densities[usize::from(*code)]));
            // What is dark by dust: of what is as dark, the certain specks.
            for speck in specks.iter().filter(|speck| speck.rows().contains(&y)) {
                let in_row = |column: usize| column.saturating_sub(left).min(width);
                let mut from = speck.columns().start;
                for clear in dust.clear(y, speck.columns()) {
                    seen[start..][in_row(from)..in_row(clear.start)].fill(f32::NAN);
                    from = clear.end;
                }
                seen[start..][in_row(from)..in_row(speck.columns().end)].fill(f32::NAN);
            }
        }
        seen
    };
    let rows = Rows::Between { first: panes.top, end: panes.top + panes.down * panes.side };
    scan.read(channel, rows, read, |seen| -> Result<(), scan::Error> {
        held.extend_from_slice(&seen);
        while held.len() >= row_of_panes {
            let first = details.len();
            let look = |column: usize| {
                let area = panes.area(first + column);
                let at = |x: u32, y: u32| corners.holds(Point { x: f64::from(x), y: f64::from(y) });
                let (right, end) = (area.x + area.width, area.rows().end);
                let inside = at(area.x, area.y) && at(right, area.y) && at(right, end) && at(area.x, end);
                let side = panes.side as usize;
                let pane =
                    || held.chunks_exact(width).take(side).flat_map(|row| &row[column * side..][..side]).copied();
                if inside { Detail::of(&pane().collect::<Vec<f32>>(), &panes) } else { None }
            };
            let of_row: Vec<Option<Detail>> = (0..panes.across as usize).into_par_iter().map(look).collect();
            details.extend(of_row);
            held.drain(..row_of_panes);
        }
        Ok(())
    })?;
    Ok(Some(Focus::of(panes, &details, carrier.decided.reading.thin.value())))
}
