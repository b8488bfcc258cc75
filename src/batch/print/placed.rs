//! The negative placed on the paper of a print, read back from what is written down.

use std::sync::Arc;

use crate::light::{LogExposure, Stops};
use crate::notes::PrintRecord;
use crate::paper::{Grade, GradeTable, Paper, Print, Split, Stock, read_paper, read_table, shelf};

/// A paper with the exposure that it gets.
pub(super) struct Placed {
    stock: Arc<Stock>,
    grade: Grade,
    /// x0, on the own scale of the grade.
    open: LogExposure,
    split: Option<Split>,
}

/// Ranges R that differ by no more are the same: tables have quarters at most.
const SAME_R: f64 = 0.005;

impl Placed {
    /// As a record says.
    ///
    /// # Errors
    /// When there is no such paper or table, or the record does not agree with them.
    pub(super) fn of(record: &PrintRecord) -> Result<Self, String> {
        let paper = match &record.paper_file {
            Some(text) => read_paper(text).map_err(|e| format!("its paper_file: {e}"))?,
            None => paper(&record.paper)?.clone(),
        };
        let table = match &record.table_file {
            Some(text) => read_table(text).map_err(|e| format!("its table_file: {e}"))?,
            None => table(&record.table)?.clone(),
        };
        let grade: Grade = record.grade.parse().map_err(|e: crate::paper::UnknownGrade| e.to_string())?;
        let r = table.r(grade);
        let same = (r - SAME_R..=r + SAME_R).contains(&record.r);
        if !same || !record.x0.is_finite() {
            return Err(format!(
                "r {} with x0 {} is no placing in grade {grade}, which has R {r} after {}: print the frame anew",
                record.r,
                record.x0,
                table.name()
            ));
        }
        let split = record.split.as_deref().map(str::parse).transpose()?;
        Ok(Self { stock: Arc::new(Stock::new(paper, table)), grade, open: LogExposure::new(record.x0), split })
    }

    /// The negative on it, with so many stops more: of a split print both parts get them.
    pub(super) fn print(&self, more: Stops) -> Print<'_> {
        Print::parted(&self.stock, self.grade, self.open + more, self.split)
    }

    /// The paper.
    pub(super) fn paper(&self) -> &Paper {
        self.stock.paper()
    }
}

fn paper(name: &str) -> Result<&'static Paper, String> {
    let all = || shelf::PAPERS.iter().filter_map(|name| shelf::paper(name));
    let names = || all().map(Paper::name).collect::<Vec<_>>().join(", ");
    all().find(|paper| paper.name() == name).ok_or_else(|| {
        format!("there is no paper \"{name}\" here: there are {}; one of your own stands in paper_file", names())
    })
}

fn table(name: &str) -> Result<&'static GradeTable, String> {
    let all = || shelf::TABLES.iter().filter_map(|name| shelf::table(name));
    let names = || all().map(GradeTable::name).collect::<Vec<_>>().join(", ");
    all().find(|table| table.name() == name).ok_or_else(|| {
        format!(
            "there is no table of grades \"{name}\" here: there are {}; one of your own stands in table_file",
            names()
        )
    })
}
