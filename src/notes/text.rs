//! Reading a text file that a person may have written.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Largest text that is read: notes of years fit into a thousandth of it.
const MOST_BYTES: u64 = 16 << 20;

/// What to say after a slip in line `line` of a TOML file, if its value is a word, a fraction, or as much of a date as TOML has no form
/// for, and stands there bare.
pub fn quotes(text: &str, line: usize) -> &'static str {
    let value = text.lines().nth(line.saturating_sub(1)).and_then(|l| l.split_once('=')).map_or("", |(_, value)| value);
    let value = value.split('#').next().unwrap_or_default().trim();
    let bare = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']) && value.parse::<f64>().is_err();
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let date: Vec<&str> = value.split('-').collect();
    match (&date[..], &value.split('.').collect::<Vec<_>>()[..]) {
        ([year, month], _) if year.len() == 4 && figures(year) && figures(month) => {
            return ": a date without its day stands in quotes, as \"2026-11\"";
        }
        // The parser says what is wrong with it.
        ([year, month, day], _)
            if year.len() == 4
                && [year, month].iter().all(|p| figures(p))
                && day.starts_with(|c: char| c.is_ascii_digit()) =>
        {
            return "";
        }
        (_, [day, month, year]) if [day, month, year].iter().all(|p| figures(p)) => {
            return ": write a date as 2026-11-25, year first";
        }
        _ => {}
    }
    if bare { ": words, and fractions such as \"1/3\", stand in quotes" } else { "" }
}

/// A file of the program's own as TOML, under a line that says what it is.
///
/// # Panics
/// When `file` holds what TOML has no words for: the formats here hold plain values.
pub(super) fn described(what: &str, file: &impl serde::Serialize) -> String {
    format!("# {what}\n{}", toml::to_string(file).expect("the file holds plain values"))
}

/// The text at `path`; nothing when there is no such file.
///
/// # Errors
/// Those of [`bytes_of`], or when it is not UTF-8.
pub fn text_of(path: &Path) -> io::Result<Option<String>> {
    let text = bytes_of(path)?.map(String::from_utf8).transpose();
    text.map_err(|_| io::Error::other("it is not UTF-8 text: save it as UTF-8"))
}

/// What is in a file of text, be it UTF-8 or not; nothing when there is no such file.
///
/// # Errors
/// When it cannot be read, is no ordinary file, or is larger than 16 MB.
pub fn bytes_of(path: &Path) -> io::Result<Option<Vec<u8>>> {
    let other = |what: &str| Err(io::Error::other(what));
    let facts = match std::fs::metadata(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
        facts => facts?,
    };
    if !facts.is_file() {
        return other("it is no ordinary file: move it away");
    }
    if facts.len() > MOST_BYTES {
        return other("it is larger than 16 MB, so it can be no text of this kind: move it away");
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(MOST_BYTES).read_to_end(&mut bytes)?;
    Ok(Some(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_bare_word_is_told_to_stand_in_quotes() {
        for bare in ["exposure=-1/3", "lens = 210 mm # long", "subject = coil"] {
            assert!(quotes(&format!("a = 1\n{bare}\n"), 2).contains("in quotes"), "{bare}");
        }
        assert!(quotes("date = 2026-11", 1).contains("without its day stands in quotes"));
        assert!(quotes("date = 31.02.2026 # frost", 1).contains("year first"));
        for other in ["date = 2026-02-31", "exposure = -0.5", "grade = \"3", "crop =", "picture = [[1, 2", "no sign"] {
            assert_eq!(quotes(other, 1), "", "{other}");
        }
    }
}
