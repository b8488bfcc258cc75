//! Which channel of a colour scan is read as grey.

use std::fmt;
use std::str::FromStr;

/// The channel of an RGB scan that is taken; a grey scan has but one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Channel {
    /// Red alone.
    Red,
    /// Green alone: on most scanners the sharpest, and clear of the red end where film turns transparent.
    #[default]
    Green,
    /// Blue alone.
    Blue,
    /// The rounded mean of the three codes.
    Mean,
}

/// A name that is none of the channels.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no channel: use red, green, blue or mean")]
pub struct UnknownChannel(String);

const NAMES: [(Channel, &str); 4] =
    [(Channel::Red, "red"), (Channel::Green, "green"), (Channel::Blue, "blue"), (Channel::Mean, "mean")];

impl FromStr for Channel {
    type Err = UnknownChannel;

    fn from_str(name: &str) -> Result<Self, UnknownChannel> {
        NAMES.iter().find(|(_, n)| *n == name).map(|(c, _)| *c).ok_or_else(|| UnknownChannel(name.to_owned()))
    }
}

impl fmt::Display for Channel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(NAMES.iter().find(|(c, _)| c == self).map_or("", |(_, n)| n))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back_and_others_are_told_the_choice() {
        for name in ["red", "green", "blue", "mean"] {
            assert_eq!(name.parse::<Channel>().unwrap().to_string(), name);
        }
        assert!("infrared".parse::<Channel>().unwrap_err().to_string().contains("use red, green"));
    }
}
