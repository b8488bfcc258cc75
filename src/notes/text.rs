//! Reading a text file that a person may have written.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// Largest text that is read: notes of years fit into a thousandth of it.
const MOST_BYTES: u64 = 16 << 20;

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
