//! What the photographer must know: each warning is a value with its numbers, a stable code and a message that says
//! what to do.

use std::fmt;

use crate::light::{Density, Stops};
use crate::plane::{Point, Size};

/// Something to look at before trusting a result.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// The scan shows no rebate.
    NoBase,
    /// A base was read, on weak evidence.
    BaseUnsure {
        /// What was read.
        density: Density,
        /// 0 to 1.
        confidence: f64,
    },
    /// The base is denser than that of black-and-white film.
    BaseUnusual {
        /// What was read.
        density: Density,
    },
    /// The scan has the orange mask of colour negative film.
    ColourNegative {
        /// The mask, blue over red.
        mask: Density,
    },
    /// A frame is thinner than the base taken off it.
    ThinnerThanBase {
        /// The frame's number, from 1.
        frame: usize,
        /// Its thin end above that base.
        net: Density,
    },
    /// The calibration was made in another encoding or channel than the scan is read in.
    WedgeUnlikeScan {
        /// How the step tablet was read.
        wedge: String,
        /// How the scan is.
        scan: String,
    },
    /// A frame is denser than a negative becomes.
    LooksPositive {
        /// The frame's number, from 1.
        frame: usize,
        /// Its range.
        range: Density,
    },
    /// The rebate is at the scanner's full scale.
    BaseClipped {
        /// Share of the rebate at full scale, 0 to 1.
        share: f64,
    },
    /// The base differs from that of the rest of the batch.
    BaseUnlikeBatch {
        /// This scan's.
        density: Density,
        /// The batch's median.
        batch: Density,
    },
    /// The base that was given differs from what the rebate shows.
    BaseUnlikeRebate {
        /// The given one.
        given: Density,
        /// The rebate's.
        rebate: Density,
    },
    /// The scan has no base of its own and takes the batch's.
    BaseOfBatch {
        /// The batch's median.
        density: Density,
        /// The lowest and the highest of the batch.
        bases: [Density; 2],
    },
    /// A frame's outline may be wrong.
    FrameUnsure {
        /// The frame's number, from 1.
        frame: usize,
        /// 0 to 1.
        confidence: f64,
        /// Its sides that are not clear: top, right, bottom, left.
        sides: [bool; 4],
    },
    /// Not as many frames as were expected.
    FrameCount {
        /// How many were found.
        found: usize,
        /// How many should be there.
        expected: usize,
    },
    /// Film without a picture between or beside frames, as long as frames.
    BlankFrames {
        /// How many there is room for.
        room: usize,
    },
    /// A frame's dense end lies where the scanner sees nothing any more.
    DenseEndInNoise {
        /// The frame's number, from 1.
        frame: usize,
        /// Share of the frame that is denser than the scanner can tell, 0 to 1.
        unread: f64,
    },
    /// A frame's dense end lies beyond the last step of the wedge.
    BeyondWedge {
        /// The frame's number, from 1.
        frame: usize,
        /// Density of its dense end.
        density: Density,
        /// Density of the last step.
        reach: Density,
    },
    /// A frame's range needs a grade that the table has not.
    RangeBeyondGrades {
        /// The frame's number, from 1.
        frame: usize,
        /// Its range.
        range: Density,
        /// The grade that does not hold it: the one taken, or the hardest.
        grade: String,
        /// Longer by so much, which dodging or burning in would take; or nothing: shorter than the hardest needs.
        excess: Option<Stops>,
    },
    /// The scan has no embedded profile.
    NoProfile {
        /// The encoding taken for it.
        assumed: String,
    },
    /// The embedded profile cannot be used.
    ProfileUnusable {
        /// Why.
        reason: String,
    },
    /// The scan has 8 bits a sample.
    EightBit,
    /// The scan's file was cut short.
    CutShort {
        /// Rows that are there.
        rows: u32,
        /// Rows that there should be.
        of: u32,
    },
    /// The last rows hold zeros, as a copy leaves them that was broken off.
    RowsUnwritten {
        /// The first of them, from 0.
        from: u32,
        /// All rows.
        of: u32,
    },
    /// The scan was stored with losses.
    LossySource {
        /// How, as in "JPEG".
        compression: String,
    },
    /// The scan does not say its resolution.
    NoResolution,
    /// A mark of the photographer's cannot be read.
    MarkUnread {
        /// Which, and what to do.
        slip: String,
    },
    /// The notes of a negative that was scanned again lead to no first scan.
    RescanUnlinked {
        /// Why, and what to do.
        why: String,
    },
    /// A channel beside the picture's own was left out.
    ExtraChannel,
    /// The file has more than one page; the largest was read.
    SeveralPages {
        /// How many.
        pages: usize,
    },
    /// An opening that was to be read reaches outside the scan.
    SpotOutside {
        /// The place.
        at: Point,
        /// The scan's size.
        size: Size,
    },
    /// A place could not be read.
    SpotUnread {
        /// The place.
        at: Point,
        /// No light comes through it; else there is nothing in the opening but dust.
        dark: bool,
    },
    /// A place is at the scanner's full scale.
    SpotClipped {
        /// The place.
        at: Point,
        /// Share of the opening at full scale, 0 to 1.
        share: f64,
    },
}

impl Warning {
    /// The warning's stable code, as reports and notes carry it.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoBase => "no-base",
            Self::BaseUnsure { .. } => "base-unsure",
            Self::BaseUnusual { .. } => "base-unusual",
            Self::ColourNegative { .. } => "colour-negative",
            Self::ThinnerThanBase { .. } => "thinner-than-base",
            Self::WedgeUnlikeScan { .. } => "wedge-unlike-scan",
            Self::LooksPositive { .. } => "looks-positive",
            Self::BaseClipped { .. } => "base-clipped",
            Self::BaseUnlikeBatch { .. } => "base-unlike-batch",
            Self::BaseUnlikeRebate { .. } => "base-unlike-rebate",
            Self::BaseOfBatch { .. } => "base-of-batch",
            Self::FrameUnsure { .. } => "frame-unsure",
            Self::FrameCount { .. } => "frame-count",
            Self::BlankFrames { .. } => "blank-frames",
            Self::DenseEndInNoise { .. } => "dense-end-in-noise",
            Self::BeyondWedge { .. } => "beyond-wedge",
            Self::RangeBeyondGrades { .. } => "range-beyond-grades",
            Self::NoProfile { .. } => "no-profile",
            Self::ProfileUnusable { .. } => "profile-unusable",
            Self::EightBit => "eight-bit",
            Self::CutShort { .. } => "cut-short",
            Self::RowsUnwritten { .. } => "rows-unwritten",
            Self::LossySource { .. } => "lossy-source",
            Self::NoResolution => "no-resolution",
            Self::MarkUnread { .. } => "mark-unread",
            Self::RescanUnlinked { .. } => "rescan-unlinked",
            Self::ExtraChannel => "extra-channel",
            Self::SeveralPages { .. } => "several-pages",
            Self::SpotOutside { .. } => "spot-outside",
            Self::SpotUnread { .. } => "spot-unread",
            Self::SpotClipped { .. } => "spot-clipped",
        }
    }
}

impl Warning {
    /// The frame that it is about, from 1, if not the whole scan.
    pub fn frame(&self) -> Option<usize> {
        match self {
            Self::FrameUnsure { frame, .. }
            | Self::DenseEndInNoise { frame, .. }
            | Self::LooksPositive { frame, .. }
            | Self::ThinnerThanBase { frame, .. }
            | Self::BeyondWedge { frame, .. }
            | Self::RangeBeyondGrades { frame, .. } => Some(*frame),
            _ => None,
        }
    }
}

impl Warning {
    /// The same, when so many frames come before those that it was found among.
    pub(super) fn counted_on(self, before: usize) -> Self {
        match self {
            Self::FrameUnsure { frame, confidence, sides } => {
                Self::FrameUnsure { frame: frame + before, confidence, sides }
            }
            other => other,
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoBase => f.write_str(
                "no rebate found: scan with the film's edges in view, or give base and picture in the notes",
            ),
            Self::BaseUnsure { density, confidence } => {
                write!(f, "base {density} read on weak evidence ({confidence:.2}): check it against the film's edge")
            }
            Self::BaseUnusual { density } => {
                write!(
                    f,
                    "base {density} is dense for black-and-white film: check for fog, stain, colour film or a dark scan"
                )
            }
            Self::ColourNegative { mask } => {
                write!(
                    f,
                    "an orange mask ({mask} between blue and red), it looks like colour film: its tones will not be right"
                )
            }
            Self::ThinnerThanBase { frame, net } => {
                write!(
                    f,
                    "frame {frame} begins at {net}, film is never thinner than its base: check the base, or give it"
                )
            }
            Self::WedgeUnlikeScan { wedge, scan } => {
                write!(
                    f,
                    "the wedge was read as {wedge}, this scan as {scan}: if both are not right, read the wedge again"
                )
            }
            Self::LooksPositive { frame, range } => {
                write!(
                    f,
                    "frame {frame} has a range of {range}, more than a negative's: if it is a positive, leave it out"
                )
            }
            Self::BaseClipped { share } => {
                let percent = share * 100.0;
                write!(f, "{percent:.0} % of the rebate is at full scale, base unknown: scan again, darker")
            }
            Self::BaseUnlikeBatch { density, batch } => {
                write!(f, "base {density}, the batch has {batch}: check film, development and scanner exposure")
            }
            Self::BaseUnlikeRebate { given, rebate } => {
                write!(f, "base {given} is given, the rebate reads {rebate}: check which of them is right")
            }
            Self::BaseOfBatch { density, bases: [low, high] } => write!(
                f,
                "no sure base of its own, the batch's {density} is taken (its bases run from {low} to {high}): check that it is the same film"
            ),
            Self::FrameUnsure { frame, confidence, sides } => {
                let names: Vec<&str> = ["top", "right", "bottom", "left"]
                    .into_iter()
                    .zip(sides)
                    .filter_map(|(name, unclear)| unclear.then_some(name))
                    .collect();
                let unclear = if names.is_empty() { "its edges are".to_owned() } else { names.join(" and ") };
                write!(
                    f,
                    "frame {frame} ({confidence:.2}), not clear: {unclear}: check its edges on the proof; crop none keeps the whole scan"
                )
            }
            Self::FrameCount { found, expected } => {
                let frames = if *found == 1 { "frame" } else { "frames" };
                write!(
                    f,
                    "{found} {frames} found, {expected} expected: check the proofs, or give the corners in the notes"
                )
            }
            Self::BlankFrames { room } => {
                let lie = if *room == 1 { "one lies" } else { "some lie" };
                write!(
                    f,
                    "room for {room} more without a picture, left out: if {lie} there, give all corners in the notes"
                )
            }
            Self::DenseEndInNoise { frame, unread } => {
                let percent = unread * 100.0;
                write!(
                    f,
                    "{percent:.1} % of frame {frame} is denser than the scan can tell: scan again, brighter or in 16 bits"
                )
            }
            Self::BeyondWedge { frame, density, reach } => write!(
                f,
                "frame {frame} reaches density {density}, the wedge only {reach}: take its dense end as a guess, or scan a denser wedge"
            ),
            Self::RangeBeyondGrades { frame, range, grade, excess: Some(excess) } => {
                let quarters = (excess.value() * 4.0).round().max(1.0);
                let by = Stops::new(quarters / 4.0).to_string();
                let by = by.trim_start_matches('+');
                let stops = if quarters > 4.0 { "stops" } else { "stop" };
                write!(
                    f,
                    "frame {frame} has a range of {range}, longer than grade {grade} holds: dodge the shadows or burn the highlights by {by} {stops}"
                )
            }
            Self::RangeBeyondGrades { frame, range, grade, excess: None } => {
                write!(f, "frame {frame} has a range of {range}, shorter than grade {grade} needs: it will print flat")
            }
            Self::NoProfile { assumed } => {
                write!(f, "no embedded profile, {assumed} is assumed: scan with one, or give the encoding")
            }
            Self::ProfileUnusable { reason } => f.write_str(reason),
            Self::EightBit => f.write_str("8 bits a sample, dense tones will band: scan at 16 bits"),
            Self::CutShort { rows, of } => {
                write!(f, "cut short, {rows} of {of} rows are there and were taken: copy the file again, or scan again")
            }
            Self::RowsUnwritten { from, of } => {
                let from = from + 1;
                write!(
                    f,
                    "rows {from} to {of} hold nothing, as if a copy was broken off: look at the scan, and copy it again"
                )
            }
            Self::LossySource { compression } => {
                write!(f, "stored with losses ({compression}), fine tones are gone: save scans without losses")
            }
            Self::MarkUnread { slip } => write!(f, "{slip}"),
            Self::RescanUnlinked { why } => write!(f, "{why}"),
            Self::NoResolution => {
                f.write_str("the scan does not say its resolution, sizes in mm are unknown: let the scanner write it")
            }
            Self::ExtraChannel => f.write_str(
                "a channel beside the picture's own (infrared, alpha) was left out: scan without it to save time",
            ),
            Self::SeveralPages { pages } => {
                write!(f, "{pages} pages in the file, the largest was read: save one scan a file")
            }
            Self::SpotOutside { at, size } => {
                let (width, height) = (size.width, size.height);
                write!(
                    f,
                    "the opening at {},{} is not all in the scan of {width} x {height} pixels: give a place in it",
                    at.x, at.y
                )
            }
            Self::SpotUnread { at, dark: true } => {
                write!(f, "no light comes through at {},{}: scan again, brighter, or read another place", at.x, at.y)
            }
            Self::SpotUnread { at, dark: false } => write!(
                f,
                "nothing but dust, or no whole pixel, in the opening at {},{}: read another place or take a wider one",
                at.x, at.y
            ),
            Self::SpotClipped { at, share } => write!(
                f,
                "{:.0} % of the opening at {},{} is at full scale, the film is thinner than read: scan again, darker",
                share * 100.0,
                at.x,
                at.y
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::gravity;

    fn all() -> Vec<Warning> {
        let (density, batch) = (Density::new(0.21), Density::new(0.3));
        vec![
            Warning::NoBase,
            Warning::BaseUnsure { density, confidence: 0.3 },
            Warning::BaseUnusual { density },
            Warning::ColourNegative { mask: density },
            Warning::ThinnerThanBase { frame: 1, net: Density::new(-0.2) },
            Warning::WedgeUnlikeScan { wedge: "sRGB".into(), scan: "gamma 2.2".into() },
            Warning::LooksPositive { frame: 1, range: density },
            Warning::BaseClipped { share: 0.9 },
            Warning::BaseUnlikeBatch { density, batch },
            Warning::BaseUnlikeRebate { given: batch, rebate: density },
            Warning::BaseOfBatch { density, bases: [density, batch] },
            Warning::FrameUnsure { frame: 2, confidence: 0.2, sides: [true, false, false, true] },
            Warning::FrameCount { found: 3, expected: 4 },
            Warning::BlankFrames { room: 1 },
            Warning::DenseEndInNoise { frame: 1, unread: 0.02 },
            Warning::BeyondWedge { frame: 1, density: Density::new(3.1), reach: Density::new(3.05) },
            Warning::RangeBeyondGrades {
                frame: 1,
                range: Density::new(2.1),
                grade: "00".into(),
                excess: Some(Stops::new(0.9966)),
            },
            Warning::NoProfile { assumed: "sRGB".into() },
            Warning::ProfileUnusable { reason: "the profile is damaged: give the encoding".into() },
            Warning::EightBit,
            Warning::CutShort { rows: 812, of: 1500 },
            Warning::RowsUnwritten { from: 812, of: 1500 },
            Warning::LossySource { compression: "JPEG".into() },
            Warning::NoResolution,
            Warning::MarkUnread { slip: "[marks] 1: \"prnt\" is no mark: use print, hold or skip".into() },
            Warning::RescanUnlinked {
                why: "rescan-of = \"rope-1\": there are no such notes: give the name of the first scan".into(),
            },
            Warning::ExtraChannel,
            Warning::SeveralPages { pages: 3 },
            Warning::SpotOutside { at: Point { x: 2e4, y: 7.5 }, size: Size { width: 9600, height: 12_000 } },
            Warning::SpotUnread { at: Point { x: 5120.0, y: 880.0 }, dark: true },
            Warning::SpotClipped { at: Point { x: 5120.0, y: 880.0 }, share: 0.4 },
        ]
    }

    /// A scan of which rows are missing is read about before advice on paper.
    #[test]
    fn every_code_has_its_place_among_the_others_and_none_has_two() {
        let mut places: Vec<usize> = all().iter().map(|warning| gravity(warning.code())).collect();
        places.sort_unstable();
        assert_eq!(places, (0..all().len()).collect::<Vec<_>>());
        assert_eq!(gravity("rows-unwritten"), 0);
        assert_eq!(gravity("of-another-version"), all().len());
    }

    #[test]
    fn codes_are_distinct_and_messages_say_what_to_do() {
        let warnings = all();
        for (i, warning) in warnings.iter().enumerate() {
            assert!(warnings[..i].iter().all(|other| other.code() != warning.code()), "{}", warning.code());
            assert!(warning.code().chars().all(|c| c.is_ascii_lowercase() || c == '-'));
            let message = warning.to_string();
            assert!(message.contains([':', ',']) && message.len() < 140, "{message}");
        }
    }

    /// Common practice: a quarter stop is about the least that the eye tells of an exposure.
    #[test]
    fn a_range_too_long_tells_how_much_to_burn_in_to_the_quarter_stop() {
        for (stops, told) in
            [(0.9966, "by 1 stop"), (0.05, "by 1/4 stop"), (1.3, "by 1 1/4 stops"), (2.0, "by 2 stops")]
        {
            let (range, excess) = (Density::new(2.1), Some(Stops::new(stops)));
            let message = Warning::RangeBeyondGrades { frame: 1, range, grade: "00".into(), excess }.to_string();
            assert!(message.ends_with(told), "{message}");
        }
    }

    #[test]
    fn an_unsure_frame_names_its_unclear_sides() {
        let message = Warning::FrameUnsure { frame: 2, confidence: 0.2, sides: [true, false, false, true] }.to_string();
        assert!(message.contains("frame 2") && message.contains("top and left"), "{message}");
    }
}
