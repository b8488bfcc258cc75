//! Which of several warnings to read first.

/// Codes, the gravest first: what may be lost for good; what makes all figures wrong; what makes some wrong; what to
/// look at on the proof; what a better scan would have; what is only told.
const ORDER: [&str; 31] = [
    // Of the scan itself something is missing, or it is no such negative: copy or scan it again while the film is at
    // hand.
    "rows-unwritten",
    "cut-short",
    "base-clipped",
    "dense-end-in-noise",
    "looks-positive",
    "colour-negative",
    // Every density depends on these.
    "profile-unusable",
    "wedge-unlike-scan",
    "no-base",
    "thinner-than-base",
    "base-unlike-rebate",
    "base-unlike-batch",
    "base-unusual",
    "base-unsure",
    "base-of-batch",
    "no-profile",
    // Some frame, or some place, may be wrong.
    "frame-count",
    "frame-unsure",
    "blank-frames",
    "spot-outside",
    "spot-unread",
    "spot-clipped",
    "beyond-wedge",
    "mark-unread",
    "rescan-unlinked",
    // The scan could be better.
    "eight-bit",
    "lossy-source",
    // Advice for the print, and what is good to know.
    "range-beyond-grades",
    "several-pages",
    "no-resolution",
    "extra-channel",
];

/// The place of a warning among others, by its code: 0 is the gravest. One that is not known here, of notes of another
/// version, comes last.
pub fn gravity(code: &str) -> usize {
    ORDER.iter().position(|known| *known == code).unwrap_or(ORDER.len())
}
