//! Reading a text file that a person may have written.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Largest text that is read: notes of years fit into a thousandth of it.
const MOST_BYTES: u64 = 16 << 20;

/// What to say after a slip in line `line` of a TOML file, if its value is a word or a fraction that stands there bare.
pub fn quotes(text: &str, line: usize) -> &'static str {
    let value = text.lines().nth(line.saturating_sub(1)).and_then(|l| l.split_once('=')).map_or("", |(_, value)| value);
    let value = value.split('#').next().unwrap_or_default().trim();
    let bare = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']) && value.parse::<f64>().is_err();
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
/// When it cannot be read, is no ordinary file, is larger than 16 MB, or is not UTF-8.
pub fn text_of(path: &Path) -> io::Result<Option<String>> {
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
    String::from_utf8(bytes).map(Some).or_else(|_| other("it is not UTF-8 text: save it as UTF-8"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_bare_word_is_told_to_stand_in_quotes() {
        for bare in ["exposure=-1/3", "lens = 210 mm # long", "subject = coil"] {
            assert!(quotes(&format!("a = 1\n{bare}\n"), 2).contains("in quotes"), "{bare}");
        }
        for other in ["exposure = -0.5", "grade = \"3", "crop =", "picture = [[1, 2", "no sign"] {
            assert_eq!(quotes(other, 1), "", "{other}");
        }
    }
}
