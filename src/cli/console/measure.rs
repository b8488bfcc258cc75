//! What is told of a measuring.

use crate::notes::{ReportFrame, ReportScan, ReportSpot, ScanReport, report_json};

use super::table::Table;
use super::words::{explained, two};
use super::{Console, print_lines};

impl Console {
    /// A measuring report. Tells whether it could be printed.
    pub(in crate::cli) fn measured(&self, reports: &[ScanReport], json: bool) -> bool {
        if json {
            return print_lines(&report_json(reports).lines().map(str::to_owned).collect::<Vec<_>>());
        }
        let mut table = Table::named(&["scan", "frame", "base", "thin", "median", "dense", "range", "grade"], 1..7);
        let scans: Vec<&ReportScan> = reports.iter().filter_map(as_measured).collect();
        table.rows.extend(scans.iter().flat_map(|scan| measured_rows(scan)));
        let mut printed = true;
        if !scans.is_empty() {
            let mut lines: Vec<String> = table.lines().collect();
            let spots = spot_lines(&scans);
            let any_spots = !spots.is_empty();
            lines.extend(spots);
            lines.push(String::new());
            lines.extend(explained(scans.iter().map(|scan| (scan.file.as_str(), &scan.warnings[..]))));
            lines.push(format!(
                "{} densities, net above base, or above clear light where there is none; grades after {}",
                if scans.iter().all(|scan| scan.scan.densities == "wedge") { "true" } else { "scanner" },
                grades_after(&scans)
            ));
            if any_spots {
                let mut tables: Vec<&str> =
                    scans.iter().flat_map(|scan| &scan.spots).map(|spot| &*spot.table).collect();
                tables.dedup();
                let tables = tables.join(" and ");
                lines.push(format!("zones to a third, after {tables}; +/-: 95 % of what grain and noise leave"));
            }
            printed = print_lines(&lines);
        }
        for report in reports {
            if let ScanReport::Failed { file, error } = report {
                self.error(&format!("{file}: {error}"));
            }
        }
        printed
    }
}

/// The table of grades, which all scans share.
fn grades_after<'s>(scans: &[&'s ReportScan]) -> &'s str {
    scans.iter().flat_map(|scan| &scan.frames).next().map_or("none", |frame| &frame.grade.table)
}

fn as_measured(report: &ScanReport) -> Option<&ReportScan> {
    match report {
        ScanReport::Measured(scan) => Some(scan),
        ScanReport::Failed { .. } => None,
    }
}

fn measured_rows(scan: &ReportScan) -> Vec<Vec<String>> {
    let base = scan.base.as_ref().map_or_else(|| "none".to_owned(), |b| two(b.density));
    let row = |frame: &ReportFrame| {
        let net = &frame.net;
        let mut row = vec![scan.file.clone(), frame.number.to_string(), base.clone()];
        row.extend([net.thin, net.median, net.dense, net.range].map(two));
        row.push(frame.grade.name.clone());
        row
    };
    scan.frames.iter().map(row).collect()
}

/// A table of the places read, after a free line; nothing if there were none.
fn spot_lines(scans: &[&ReportScan]) -> Vec<String> {
    let mut table = Table::named(&["scan", "at", "opening", "density", "net", "+/-", "zone"], 3..6);
    let spots = scans.iter().flat_map(|scan| scan.spots.iter().map(|spot| spot_row(&scan.file, spot)));
    table.rows.extend(spots);
    if table.rows.len() == 1 {
        return Vec::new();
    }
    std::iter::once(String::new()).chain(table.lines()).collect()
}

fn spot_row(file: &str, spot: &ReportSpot) -> Vec<String> {
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    let [x, y] = spot.at;
    vec![
        file.to_owned(),
        format!("{x},{y}"),
        spot.aperture_mm.map_or_else(|| format!("{} px", spot.aperture_px), |mm| format!("{mm} mm")),
        or_dash(spot.density.map(two)),
        or_dash(spot.net.map(two)),
        or_dash(spot.uncertainty.map(|u| if u < 0.000_5 { "<0.001".to_owned() } else { format!("{u:.3}") })),
        or_dash(spot.zone.clone()),
    ]
}
