//! Why the disk did not take a file, in words.

use std::io;

/// What the disk said, and what to do about it.
pub fn refusal(error: &io::Error) -> String {
    let advice = match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => "make room",
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => "check who may write there",
        _ => "check the disk",
    };
    format!("cannot write: {error}: {advice}")
}
