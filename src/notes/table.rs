//! The table of a batch: one row a frame, for a spreadsheet.

use serde::{Deserialize, Serialize};

use super::export::set;

/// A row of `batch.csv`: a frame, or a scan that failed. Densities in D to 4 decimals; empty where there is none.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// The scan's file name.
    pub scan: String,
    /// The frame's name: that of its files without their ending.
    pub frame: String,
    /// Film base.
    pub base: Option<f64>,
    /// rebate, batch, given, assumed.
    pub base_source: String,
    /// Thin end, net.
    pub thin: Option<f64>,
    /// Median, net.
    pub median: Option<f64>,
    /// Dense end, net.
    pub dense: Option<f64>,
    /// dense - thin.
    pub range: Option<f64>,
    /// Grade of the proof.
    pub grade: String,
    /// Its ISO range R.
    pub r: Option<f64>,
    /// Stops beyond the placing.
    pub exposure: Option<f64>,
    /// What the exposure was found by.
    pub place: String,
    /// Exposure taken away for dry-down, in per cent.
    pub dry_down: Option<f64>,
    /// The exposure in two parts, if it was.
    pub split: String,
    /// The one grade that those come near to.
    pub equivalent: String,
    /// The paper of the proof.
    pub paper: String,
    /// The table that gives its grade its range.
    pub table: String,
    /// Warning codes, separated by blanks.
    pub flags: String,
    /// Why the scan failed.
    pub error: String,
}

/// The rows as CSV with a header line; fractions as one letter each, or a spreadsheet takes 1/2 for a day.
///
/// # Errors
/// None that plain values could cause; the writer's own are passed on.
pub fn csv<'r>(rows: impl IntoIterator<Item = &'r Row>) -> std::io::Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        let [grade, split, equivalent] = [&row.grade, &row.split, &row.equivalent].map(|words| set(words));
        writer.serialize(Row { grade, split, equivalent, ..row.clone() }).map_err(std::io::Error::other)?;
    }
    writer.into_inner().map_err(|e| e.into_error())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_comma_and_quote_stays_one_field() {
        let row = Row {
            scan: "loft, \"east\".tif".into(),
            range: Some(1.1818),
            grade: "1/2".into(),
            split: "00 -1, 5 -1 1/2".into(),
            ..Row::default()
        };
        let bytes = csv(&[row]).unwrap();
        let mut reader = csv::Reader::from_reader(&bytes[..]);
        let record = reader.records().next().unwrap().unwrap();
        assert_eq!((&record[0], &record[7]), ("loft, \"east\".tif", "1.1818"));
        assert_eq!((&record[8], &record[13]), ("½", "00 -1, 5 -1½"), "no spreadsheet takes them for a day");
    }
}
