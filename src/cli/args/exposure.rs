//! `dryside exposure`.

use clap::Args as Group;

use crate::batch::ExposureOrder;
use crate::meter::{Bellows, Exposure, FNumber, FilterFactor, Reading, ZoneStep};

#[derive(Debug, Group)]
pub(in crate::cli) struct ExposureArgs {
    /// What the meter says: 1/60, 4s, 2m, 1m30s, or "EV 8" together with --aperture
    #[arg(long, value_name = "TIME", required_unless_present = "films")]
    metered: Option<Reading>,
    /// The aperture that the reading is for, if another [default: the one you expose at]
    #[arg(long, value_name = "F")]
    metered_at: Option<FNumber>,
    /// The aperture you expose at: f/22, "f/22 1/2", 22.5
    #[arg(long, value_name = "F")]
    aperture: Option<FNumber>,
    /// The zone that what you read is placed on: 0, I to X, "III 1/2" [default: V, as metered]
    #[arg(long)]
    zone: Option<ZoneStep>,
    /// Factor of a filter: 2, "1 1/3 stops", "ND 0.9"; may be given several times
    #[arg(long, value_name = "FACTOR")]
    filter: Vec<FilterFactor>,
    /// Bellows extension over focal length: 450/300 (mm), 18in/12in
    #[arg(long, value_name = "E/F")]
    bellows: Option<Bellows>,
    /// What the film needs above a second: P as 1.31, a film of --films, or a file of your own (.toml)
    #[arg(long, value_name = "FILM")]
    reciprocity: Option<String>,
    /// List the films whose reciprocity is known, with its source
    #[arg(long, exclusive = true)]
    pub(in crate::cli) films: bool,
}

impl ExposureArgs {
    /// What is asked; nothing where only the films are.
    pub(in crate::cli) fn settle(self) -> Option<ExposureOrder> {
        let exposure = Exposure {
            reading: self.metered?,
            metered_at: self.metered_at,
            aperture: self.aperture,
            zone: self.zone,
            filters: self.filter,
            bellows: self.bellows,
            reciprocity: None,
        };
        Some(ExposureOrder { exposure, reciprocity: self.reciprocity })
    }
}
