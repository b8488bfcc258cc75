//! Grey or colour.

/// What a pixel of a picture is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colours {
    /// One sample.
    Grey,
    /// Three: red, green, blue.
    Rgb,
}

impl Colours {
    /// Samples of a pixel.
    pub const fn samples(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::Rgb => 3,
        }
    }
}
