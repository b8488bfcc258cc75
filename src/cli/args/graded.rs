//! How a frame is placed on which paper, for those tasks that otherwise go by its proof.

use clap::Args as Group;

use crate::batch::Wishes;

use super::wished::wishes;

#[derive(Debug, Group)]
#[group(id = "graded", multiple = true)]
pub(super) struct GradedArgs {
    /// Paper: glossy, semi-matt, matt, or a file of your own (.toml) [default: the proof's]
    #[arg(long)]
    paper: Option<String>,
    /// Table that gives grades their range: bands, rc, rc-later, fibre, or a file of your own (.toml) [default: the
    /// proof's]
    #[arg(long, value_name = "TABLE")]
    grades: Option<String>,
    /// Grade: 00, 0, 1/2, 1, "1 1/2" (with a blank in quotes) ... 5, or auto [default: the proof's]
    #[arg(long)]
    grade: Option<String>,
    /// What the exposure is found by: highlights, shadows, fixed (one for all), or X,Y=ZONE, as 512,300=VIII [default:
    /// as the proof's]
    #[arg(long, value_name = "HOW")]
    place: Option<String>,
    /// Exposure in stops, as 0.5, -1/3 or "-1 1/2", more is darker [default: the proof's]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true)]
    exposure: Option<String>,
    /// Exposure taken away because prints get darker while they dry, as 8% [default: the proof's]
    #[arg(long, value_name = "PERCENT")]
    dry_down: Option<String>,
    /// The exposure in two parts, a soft and a hard grade with their stops, as "00 -1, 5 -1 1/2", or none [default: as
    /// the proof's]
    #[arg(long, value_name = "PARTS")]
    split: Option<String>,
}

impl GradedArgs {
    /// As settings.
    ///
    /// # Errors
    /// When one of them cannot take what it is given.
    pub(super) fn settle(self) -> Result<Wishes, String> {
        wishes([
            ("paper", self.paper),
            ("grades", self.grades),
            ("grade", self.grade),
            ("place", self.place),
            ("exposure", self.exposure),
            ("dry-down", self.dry_down),
            ("split", self.split),
        ])
    }
}
