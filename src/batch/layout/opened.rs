//! Prints that are to lie on one paper: what each is, and whether they belong together.

use std::path::{Path, PathBuf};

use crate::batch::folders::{FLAT, PRINT, PROOF, STRAIGHT, real};
use crate::batch::spared::is_ours;
use crate::light::{Encoding, PixelsPerInch, grey_profile, srgb_profile};
use crate::plane::Size;
use crate::save::Colours;
use crate::scan::{self, Facts, Halt, Scan};

/// A print whose file has been looked at.
pub(super) struct Opened {
    path: PathBuf,
    pub(super) scan: Scan,
    ppi: PixelsPerInch,
}

/// What all prints of a paper share.
pub(super) struct Common {
    pub(super) ppi: PixelsPerInch,
    pub(super) colours: Colours,
    pub(super) icc: Vec<u8>,
}

/// Files hold resolutions in units of their own, a PNG in whole pixels a metre: nearer than this they are the same.
const SAME: f64 = 0.001;

impl Opened {
    /// Looks at a print's file.
    ///
    /// # Errors
    /// When it cannot be read, or is no print.
    pub(super) fn open(path: &Path, halt: &Halt) -> Result<Self, String> {
        let wrong = |what: &str| format!("{}: {what}", path.display());
        let scan = scan::open(path).map_err(|e| wrong(&e.to_string()))?.heeding(halt);
        let facts = scan.facts();
        if facts.orientation.value() != 1 {
            return Err(wrong("it is stored turned: save it upright, then lay it out"));
        }
        if facts.extra_channels > 0 {
            return Err(wrong(
                "it has a channel beside its colours: save it flat, without transparency, then lay it out",
            ));
        }
        let resolution = facts.resolution.filter(|r| (r.x.value() / r.y.value() - 1.0).abs() < SAME);
        let ppi = resolution.and_then(|r| PixelsPerInch::new(rounded(r.x.value())));
        let unknown = "it does not say how many pixels it has an inch, so its size is not known: make it with dryside print, or save it with its resolution";
        let ppi = ppi.ok_or_else(|| wrong(unknown))?;
        Ok(Self { path: path.to_owned(), ppi, scan })
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Its file, without folders.
    pub(super) fn name(&self) -> String {
        self.path.file_name().unwrap_or_default().to_string_lossy().into_owned()
    }

    pub(super) fn size(&self) -> Size {
        self.facts().size
    }

    fn facts(&self) -> &Facts {
        self.scan.facts()
    }

    fn colours(&self) -> Colours {
        if self.facts().channels == 3 { Colours::Rgb } else { Colours::Grey }
    }

    /// The profile of its codes; a print without one is taken as sRGB.
    fn icc(&self) -> Vec<u8> {
        self.facts().icc.clone().unwrap_or_else(|| match self.colours() {
            Colours::Grey => grey_profile(&Encoding::Srgb),
            Colours::Rgb => srgb_profile(),
        })
    }

    /// Whether it lies in a folder of prints; those that are no TIFFs do not say who made them.
    pub(super) fn lies_among_prints(&self) -> bool {
        real(&self.path).parent().is_some_and(|folder| folder.ends_with(PRINT))
    }

    /// Whether this program made it.
    pub(super) fn is_ours(&self) -> bool {
        is_ours(self.facts())
    }

    /// What is said of one that no notes name, and that another program made, or that is no print.
    pub(super) fn no_print(&self) -> Option<String> {
        let ours = self.is_ours();
        let folder = self.path.parent().and_then(Path::file_name).unwrap_or_default();
        let what = match folder.to_str() {
            Some(FLAT) if ours => {
                "it is a flat positive, soft in tone by intent: make a print of it with dryside print"
            }
            Some(PROOF | STRAIGHT) => "it is a proof for the screen: make a print with dryside print",
            _ if ours => return None,
            _ => "no notes name it as a print of dryside: its tones and its size are laid as the file has them",
        };
        Some(format!("{}: {what}", self.name()))
    }

    /// What is said of one that has no profile, nor names its curve otherwise.
    pub(super) fn untagged(&self) -> Option<String> {
        let facts = self.facts();
        let unknown = facts.icc.is_none() && facts.declared != Some(Encoding::Srgb);
        unknown.then(|| format!("{}: it has no profile and is taken as sRGB: save it with one", self.name()))
    }
}

/// A whole number of pixels an inch, where a file's units have made a little more or less of it.
fn rounded(ppi: f64) -> f64 {
    let whole = ppi.round();
    if (ppi / whole - 1.0).abs() < SAME / 10.0 { whole } else { ppi }
}

/// What all of them share.
///
/// # Errors
/// When there is none, or one differs from the first: in what, and what to do.
pub(super) fn agree(prints: &[Opened]) -> Result<Common, String> {
    let Some((first, others)) = prints.split_first() else {
        return Err("name the prints that are to be laid out".to_owned());
    };
    let colour = |of: &Opened| if of.colours() == Colours::Rgb { "in colour" } else { "grey" };
    for other in others {
        let unlike = |theirs: &str, ours: &str, what: &str| {
            Err(format!("{}: it is {theirs}, and {} is {ours}: {what}", other.path.display(), first.name()))
        };
        if (other.ppi.value() / first.ppi.value() - 1.0).abs() > SAME {
            let ppi = |of: &Opened| format!("of {} ppi", of.ppi.value());
            let what = "a paper has one resolution: make them with the same --ppi";
            return unlike(&ppi(other), &ppi(first), what);
        }
        if other.colours() != first.colours() {
            let what = "lay neutral and toned prints on papers of their own";
            return unlike(colour(other), colour(first), what);
        }
        if other.icc() != first.icc() {
            let what = "make them alike, or lay them on papers of their own";
            return unlike("in one profile", "in another", what);
        }
    }
    Ok(Common { ppi: first.ppi, colours: first.colours(), icc: first.icc() })
}
