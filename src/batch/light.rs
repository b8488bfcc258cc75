//! What a scan's codes mean, and who says so.

use crate::film::Warning;
use crate::light::{Encoding, Profile};
use crate::scan::{self, Channel, Facts};

use super::settings::Settings;

/// The transfer encoding of a scan.
#[derive(Clone, Debug)]
pub(super) struct Light {
    /// The curve from code to linear light.
    pub encoding: Encoding,
    /// Who said so: profile, given, assumed.
    pub source: &'static str,
    /// What to look at.
    pub warnings: Vec<Warning>,
}

impl Light {
    /// A setting beats the file's own profile, a profile beats the assumption: sRGB, and said so (common practice).
    ///
    /// # Errors
    /// When the mean of three channels is asked for and the profile gives them different curves.
    pub(super) fn of(facts: &Facts, settings: &Settings) -> Result<Self, scan::Error> {
        let sure = |encoding, source| Self { encoding, source, warnings: Vec::new() };
        if let Some(encoding) = &settings.encoding {
            return Ok(sure(encoding.clone(), "given"));
        }
        let mut warnings = Vec::new();
        match facts.icc.as_deref().map(Profile::parse) {
            Some(Ok(profile)) => return Ok(sure(curve(profile, facts, settings.channel)?, "profile")),
            Some(Err(e)) => warnings.push(Warning::ProfileUnusable { reason: e.to_string() }),
            None => {}
        }
        if let Some(encoding) = &facts.declared {
            return Ok(Self { warnings, ..sure(encoding.clone(), "profile") });
        }
        if warnings.is_empty() {
            warnings.push(Warning::NoProfile { assumed: Encoding::Srgb.to_string() });
        }
        Ok(Self { encoding: Encoding::Srgb, source: "assumed", warnings })
    }
}

fn curve(profile: Profile, facts: &Facts, channel: Channel) -> Result<Encoding, scan::Error> {
    match profile {
        Profile::Grey(curve) => Ok(curve),
        Profile::Rgb([red, green, blue]) => match channel {
            Channel::Mean if facts.channels == 3 && (red != green || blue != green) => {
                let what = "its profile has three different curves, so a mean of the three codes would mean nothing";
                Err(scan::Error::Unsuited(format!("{what}: choose --channel red, green or blue").into()))
            }
            Channel::Red => Ok(red),
            Channel::Blue => Ok(blue),
            Channel::Green | Channel::Mean => Ok(green),
        },
    }
}
