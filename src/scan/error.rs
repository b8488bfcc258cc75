//! Why a file cannot be used as a scan, sorted by who must act.

use std::borrow::Cow;
use std::io;

/// Why a file is not read. The texts do not name the file; the caller puts its path in front.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The disk, the network or the permissions: nothing is known about the scan.
    #[error("{}", disk(.0))]
    Disk(io::Error),
    /// It is no picture at all.
    #[error("{0}: give a TIFF, PNG or JPEG file")]
    NotAnImage(Cow<'static, str>),
    /// It claims to be a picture and is broken.
    #[error("{0}: copy the file again, or scan again")]
    Damaged(Cow<'static, str>),
    /// It says where all of its rows lie, and ends before the last of them.
    #[error("the file is cut short: copy the file again, or scan again; --salvage takes the rows that are there")]
    Torn,
    /// It is sound, and of a kind that is not read here.
    #[error("{0}: save it as a 16-bit grey or RGB TIFF, uncompressed, LZW or Deflate")]
    Unsupported(Cow<'static, str>),
    /// It is sound, and what was asked for does not suit it; the text says what to ask for.
    #[error("{0}")]
    Unsuited(Cow<'static, str>),
    /// The person at the desk wants it so.
    #[error("stopped")]
    Stopped,
    /// It is, or claims to be, beyond what is read.
    #[error("{0}: scan at a lower resolution, or cut the scan into parts")]
    TooLarge(Cow<'static, str>),
}

fn disk(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file: check its name and folder".to_owned(),
        _ => format!("cannot be read ({error}): check the disk and who may read the file"),
    }
}

impl Error {
    pub(super) fn damaged(what: impl Into<Cow<'static, str>>) -> Self {
        Self::Damaged(what.into())
    }

    pub(super) fn unsupported(what: impl Into<Cow<'static, str>>) -> Self {
        Self::Unsupported(what.into())
    }

    /// What says how large the scan is and where its rows lie stood at the end of the file, and with it every hold on
    /// the rows is gone.
    pub(super) fn untold() -> Self {
        Self::damaged(
            "the file is cut short, and how its rows are to be read stood in the missing part: --salvage cannot help",
        )
    }

    /// The same where a copy was broken off when the system had made room for all of it.
    pub(super) fn unwritten() -> Self {
        Self::damaged(
            "where it should say how its rows are to be read there are zeros, as in a copy broken off: --salvage cannot help",
        )
    }

    pub(super) fn cut_short() -> Self {
        Self::damaged("the file is cut short")
    }
}

/// Readers say that data end too early or make no sense in the kind of the error; everything else is the disk.
impl From<io::Error> for Error {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => Self::cut_short(),
            io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput => {
                Self::damaged("its compressed data are corrupt")
            }
            _ => Self::Disk(error),
        }
    }
}
