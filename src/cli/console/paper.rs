//! What is told of papers.

use std::path::Path;

use crate::batch::{FitDone, PaperAsked};
use crate::light::{Density, LogExposure};
use crate::paper::{Grade, GradeTable, iso_class, shelf};

use super::table::Table;
use super::words::two;
use super::{Console, print_lines};

impl Console {
    /// Papers and tables of grades that there are. Tells whether it could be printed.
    pub(in crate::cli) fn papers(&self) -> bool {
        let mut papers = Table::new(&["paper", "name", "Dmin", "Dmax"], 2..4);
        for (name, paper) in shelf::PAPERS.iter().filter_map(|name| Some((*name, shelf::paper(name)?))) {
            let ends = [paper.white(), paper.black()].map(|d| d.to_string());
            papers.rows.push([&[name.to_owned(), paper.name().to_owned()], &ends[..]].concat());
        }
        let head = Grade::all().map(|grade| grade.to_string());
        let head: Vec<String> = ["grades".to_owned()].into_iter().chain(head).collect();
        let mut tables = Table::new(&head.iter().map(String::as_str).collect::<Vec<_>>(), 1..13);
        let mut names = Vec::new();
        for (name, table) in shelf::TABLES.iter().filter_map(|name| Some((*name, shelf::table(name)?))) {
            let r = Grade::all().map(|grade| table.r(grade).to_string());
            tables.rows.push([name.to_owned()].into_iter().chain(r).collect());
            names.push(format!("{name}: {}", table.name()));
        }
        let mut lines: Vec<String> = papers.lines().collect();
        lines.push(String::new());
        lines.extend(tables.lines());
        lines.push(String::new());
        lines.extend(names);
        lines.push(format!(
            "the first of each is the default; numbers are ISO range R; dryside paper {} tells more",
            shelf::PAPERS[0]
        ));
        print_lines(&lines)
    }

    /// A paper and its grades, with the source of each figure. Tells whether it could be printed.
    pub(in crate::cli) fn paper(&self, asked: &PaperAsked) -> bool {
        let stock = &*asked.stock;
        let mut table = Table::new(&["grade", "R", "T", "S", "gradient", "slower"], 1..6);
        let depth = (stock.paper().darkest() - stock.paper().lightest()).value();
        for grade in Grade::all() {
            let curve = stock.curve(grade);
            let [t, s] = [curve.t(), curve.s()].map(|own| stock.shared(grade, own));
            let slower = stock.table().slower(grade);
            table.rows.push(vec![
                grade.to_string(),
                stock.table().r(grade).to_string(),
                two(t.value()),
                two(s.value()),
                two(depth / (s - t)),
                if slower.value() == 0.0 { String::new() } else { format!("{slower} stop") },
            ]);
        }
        let mut lines = vec![format!("paper {stock}"), String::new()];
        lines.extend(table.lines());
        lines.push(String::new());
        lines.extend(asked.range.map(|range| {
            let excess = GradeTable::excess(stock.table().r(asked.grade), range);
            let beyond = excess.map_or_else(String::new, |stops| {
                format!(", which does not hold it: {:.1} stops of dodging or burning in", stops.value())
            });
            format!("a range of {range} takes grade {}{beyond}", asked.grade)
        }));
        lines.push("T, S: log exposure; 0 prints 0.60 above white where grades are matched in speed".to_owned());
        lines.extend(stock.paper().measured().map(|(_, r)| format!("R {r:.1} as it was measured")));
        let figures = stock.paper().figures().iter().chain(stock.table().figures());
        lines.extend(figures.map(|figure| format!("{}: {}", figure.what, figure.source)));
        print_lines(&lines)
    }

    /// A grade's curve as CSV. Tells whether it could be printed.
    pub(in crate::cli) fn curve(&self, asked: &PaperAsked) -> bool {
        let line = |(x, density): (LogExposure, Density)| format!("{:.2},{:.6}", x.value() + 0.0, density.value());
        let head = std::iter::once("log_exposure,density".to_owned());
        print_lines(&head.chain(asked.stock.sampled(asked.grade).into_iter().map(line)).collect::<Vec<_>>())
    }

    /// Where a plot is. Tells whether it could be printed.
    pub(in crate::cli) fn plotted(&self, plot: &Path) -> bool {
        print_lines(&[plot.display().to_string()])
    }

    /// A paper made from readings. Tells whether it could be printed.
    pub(in crate::cli) fn paper_fitted(&self, done: &FitDone) -> bool {
        let paper = &done.paper;
        let Some((readings, r)) = paper.measured() else { return true };
        let curve = paper.curve(r);
        let mut lines = vec![
            format!(
                "{}: Dmin {}, Dmax {}, {} readings on the curve",
                paper.name(),
                paper.white(),
                paper.black(),
                readings.len()
            ),
            format!(
                "T at {}, speed point at {}, S at {} (log exposure)",
                two(curve.t().value()),
                two(curve.speed_point().value()),
                two(curve.s().value())
            ),
        ];
        let class = iso_class(r).map_or_else(String::new, |class| format!(", ISO range class {class}"));
        lines.push(format!("R {r:.1}{class}"));
        if let Some((light, warnings)) = &done.read_as {
            lines.push(format!("scan read as {light}"));
            lines.extend(warnings.iter().map(ToString::to_string));
        }
        lines.push(format!("{}: name it as paper, here or in dryside.toml", done.file.display()));
        print_lines(&lines)
    }
}
