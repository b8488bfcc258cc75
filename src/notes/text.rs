//! Reading a text file that a person may have written.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Largest text that is read: notes of years fit into a thousandth of it.
const MOST_BYTES: u64 = 16 << 20;

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
