//! Readings of a printed wedge, from a table that a person wrote.

use crate::light::{Density, LogExposure};

/// Columns that are looked for; others are passed over.
const COLUMNS: [&str; 2] = ["log_exposure", "density"];

/// Readings as CSV with a head, `log_exposure,density`; columns parted by commas, semicolons or tabs. What stands after
/// `#` at the beginning of a line is not read.
///
/// # Errors
/// The line, and what is wrong in it.
pub fn readings(text: &str) -> Result<Vec<(LogExposure, Density)>, String> {
    let text = text.trim_start_matches('\u{feff}');
    let head = text.lines().find(|line| !line.starts_with('#') && !line.trim().is_empty()).unwrap_or_default();
    let delimiter = [b';', b'\t'].into_iter().find(|d| head.as_bytes().contains(d)).unwrap_or(b',');
    let mut table = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let names = table.headers().map_err(|e| e.to_string())?.clone();
    let place = |column: &str| {
        let found = names.iter().position(|name| name.eq_ignore_ascii_case(column));
        found.ok_or_else(|| format!("it has no column {column}: begin it with a line  {}", COLUMNS.join(",")))
    };
    let [exposure, density] = [place(COLUMNS[0])?, place(COLUMNS[1])?];
    let mut readings = Vec::new();
    for record in table.records() {
        let record = record.map_err(|e| e.to_string())?;
        let line = record.position().map_or(0, csv::Position::line);
        let number = |column: usize, name: &str| {
            let word = record.get(column).unwrap_or_default();
            let comma = word.contains(',') || (delimiter == b',' && record.len() > names.len());
            word.parse::<f64>().ok().filter(|_| !comma).ok_or_else(|| match comma {
                true => format!("line {line}: decimals are written with a point, as 0.05"),
                false => format!("line {line}: \"{word}\" is no {name}: write a plain number, as 0.05"),
            })
        };
        let exposure = LogExposure::new(number(exposure, "log exposure")?);
        readings.push((exposure, Density::new(number(density, "density")?)));
    }
    Ok(readings)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(text: &str) -> Result<Vec<(f64, f64)>, String> {
        readings(text).map(|list| list.iter().map(|(x, d)| (x.value(), d.value())).collect())
    }

    #[test]
    fn a_table_is_read_as_people_write_it() {
        let want = Ok(vec![(-1.5, 0.05), (-1.35, 0.06)]);
        assert_eq!(plain("log_exposure,density\n-1.5,0.05\n-1.35,0.06\n"), want);
        assert_eq!(
            plain("\u{feff}# the loft\nstep;Density;Log_Exposure\r\n1;0.05;-1.5\r\n\r\n2; 0.06; -1.35\r\n"),
            want
        );
        assert_eq!(plain("log_exposure\tdensity\n-1.5\t0.05\n# again\n-1.35\t0.06"), want);
        assert_eq!(plain("log_exposure,density\n"), Ok(vec![]));
    }

    #[test]
    fn what_cannot_be_read_is_told_with_its_line() {
        for (text, told) in [
            ("", "no column log_exposure: begin it with"),
            ("-1.5,0.05\n", "no column log_exposure"),
            ("log_exposure,d\n1,2\n", "no column density"),
            ("log_exposure,density\n-1.5,0.05\n-1.35,pale\n", "line 3: \"pale\" is no density"),
            ("log_exposure,density\n-1.5\n", "line 2: \"\" is no density"),
            ("log_exposure;density\n-1,5;0,05\n", "line 2: decimals are written with a point"),
            ("log_exposure,density\n-1,5,0,05\n", "line 2: decimals are written with a point"),
        ] {
            let error = plain(text).unwrap_err();
            assert!(error.contains(told), "{text:?}: {error}");
        }
    }
}
