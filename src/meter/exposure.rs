//! The sums from a reading to the time that is given, in their order.

use std::fmt;
use std::str::FromStr;

use super::bellows::Bellows;
use super::f_number::FNumber;
use super::factor::FilterFactor;
use super::film::{Corrected, Reciprocity};
use super::seconds::{NoTime, Seconds};
use super::value::ExposureValue;
use super::zone::ZoneStep;
use crate::light::Stops;

/// Longer times than this are more than most films need correcting at: where nothing is known of the film, that is
/// said.
const SHORT: Seconds = Seconds::ONE;

/// What a meter said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// A time.
    Time(Seconds),
    /// An exposure value; it needs an aperture.
    Value(ExposureValue),
}

/// What a time is worked out from. Only the reading must be there.
#[derive(Clone, Debug, PartialEq)]
pub struct Exposure {
    /// The meter's reading.
    pub reading: Reading,
    /// The aperture that it is for, if that is not the one to expose at.
    pub metered_at: Option<FNumber>,
    /// The aperture to expose at.
    pub aperture: Option<FNumber>,
    /// The zone that what was read is placed on.
    pub zone: Option<ZoneStep>,
    /// Filters on the lens.
    pub filters: Vec<FilterFactor>,
    /// The bellows.
    pub bellows: Option<Bellows>,
    /// What is known of the film.
    pub reciprocity: Option<Reciprocity>,
}

/// One line of the sums.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is done.
    pub sum: Sum,
    /// The time that comes of it.
    pub time: Seconds,
}

/// What is done in a line of the sums; in words by its `Display`.
#[derive(Clone, Debug, PartialEq)]
pub enum Sum {
    /// The meter's time.
    Metered,
    /// The time for the meter's exposure value at an aperture.
    Value(ExposureValue, FNumber),
    /// Placed on a zone.
    Zone(ZoneStep),
    /// From the aperture of the reading to that of the exposure.
    Aperture(FNumber, FNumber),
    /// A filter.
    Filter(FilterFactor),
    /// The bellows.
    Bellows(Bellows),
    /// The film's reciprocity: its name, P where it is a power law, the stops to open instead where its table has them.
    Reciprocity {
        /// The film.
        film: String,
        /// Of the power law.
        p: Option<f64>,
        /// The time before.
        before: Seconds,
        /// What the film needs.
        corrected: Corrected,
    },
}

/// What a person should know beside the sums.
#[derive(Clone, Debug, PartialEq)]
pub enum Caution {
    /// The film's table does not speak of this time; the nearest that it does.
    Beyond(Seconds),
    /// The film's table has a row nearer by that leaves the time open; the rows that are reckoned between.
    Between(Seconds, Seconds),
    /// The table has no time here, only stops to open.
    OpenOnly(Stops),
    /// Above a second, and nothing is known of the film.
    NoFilm(Seconds),
    /// An aperture that can mean two openings, and how far they lie apart.
    Doubt(FNumber, Stops),
}

/// The sums, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// Line by line.
    pub steps: Vec<Step>,
    /// What to know beside.
    pub cautions: Vec<Caution>,
}

impl FromStr for Reading {
    type Err = NoTime;

    /// Reads a time, or "EV 8".
    fn from_str(word: &str) -> Result<Self, NoTime> {
        word.parse().map(Self::Value).or_else(|_| word.parse().map(Self::Time))
    }
}

impl Working {
    /// The time to give.
    pub fn time(&self) -> Seconds {
        self.steps.last().map_or(Seconds::ONE, |step| step.time)
    }

    /// What a film's table lets one do instead: this time, and the lens opened by so many stops.
    pub fn instead(&self) -> Option<(Seconds, Stops)> {
        match self.steps.last().map(|step| &step.sum) {
            Some(Sum::Reciprocity { before, corrected, .. }) => {
                Some((*before, corrected.stops.filter(|s| s.value() > 0.0)?))
            }
            _ => None,
        }
    }

    /// The time before the film was thought of.
    pub fn uncorrected(&self) -> Seconds {
        let of = |step: &Step| match step.sum {
            Sum::Reciprocity { before, .. } => before,
            _ => step.time,
        };
        self.steps.last().map_or(Seconds::ONE, of)
    }
}

impl Exposure {
    /// That of a reading alone.
    pub const fn of(reading: Reading) -> Self {
        Self {
            reading,
            metered_at: None,
            aperture: None,
            zone: None,
            filters: Vec::new(),
            bellows: None,
            reciprocity: None,
        }
    }

    /// Works the time out: reading, zone, aperture, filters and bellows, reciprocity last.
    ///
    /// # Errors
    /// When the reading is an exposure value and there is no aperture.
    pub fn work_out(&self) -> Result<Working, String> {
        let (mut steps, mut cautions) = (Vec::new(), Vec::new());

        // 1. What the meter says.
        let mut time = match (self.reading, self.metered_at.as_ref().or(self.aperture.as_ref())) {
            (Reading::Time(time), _) => {
                steps.push(Step { sum: Sum::Metered, time });
                time
            }
            (Reading::Value(value), Some(at)) => {
                let time = value.time(at.value());
                steps.push(Step { sum: Sum::Value(value, at.clone()), time });
                time
            }
            (Reading::Value(value), None) => {
                return Err(format!("{value} is a time only with an aperture: say at which, as f/22"));
            }
        };
        let mut by = |sum: Sum, stops: Stops| {
            time = time.longer(stops);
            steps.push(Step { sum, time });
        };

        // 2. Where what it read is placed.
        if let Some(zone) = self.zone {
            by(Sum::Zone(zone), zone.from_metered());
        }

        // 3. The aperture, if it is another.
        if let Some((from, to)) = self.metered_at.as_ref().zip(self.aperture.as_ref()).filter(|(from, to)| from != to) {
            by(Sum::Aperture(from.clone(), to.clone()), from.stops_to(to));
        }

        // 4. Light that is lost on the way: what is before the lens and what is behind it multiply.
        for filter in &self.filters {
            by(Sum::Filter(*filter), filter.stops());
        }
        if let Some(bellows) = self.bellows {
            by(Sum::Bellows(bellows), bellows.stops());
        }

        // 5. What the film makes of the time that it is really exposed for.
        match &self.reciprocity {
            Some(film) => {
                let corrected = film.correct(time);
                cautions.extend(corrected.beyond.map(Caution::Beyond));
                cautions.extend(corrected.between.map(|(from, to)| Caution::Between(from, to)));
                if let (None, Some(stops)) = (corrected.time, corrected.stops) {
                    cautions.push(Caution::OpenOnly(stops));
                }
                let sum = Sum::Reciprocity { film: film.name().to_owned(), p: film.p(), before: time, corrected };
                steps.push(Step { sum, time: corrected.time.unwrap_or(time) });
            }
            None if time > SHORT => cautions.push(Caution::NoFilm(time)),
            None => {}
        }
        let apertures = self.metered_at.iter().chain(&self.aperture);
        let used = matches!(self.reading, Reading::Value(_)) || self.metered_at.is_some();
        let doubtful = apertures.filter(|n| used && n.doubt().value() > 0.0);
        cautions.extend(doubtful.map(|n| Caution::Doubt(n.clone(), n.doubt())));
        Ok(Working { steps, cautions })
    }
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Metered => f.write_str("metered"),
            Self::Value(value, at) => write!(f, "metered {value} at {at}"),
            Self::Zone(zone) => match zone.from_metered() {
                none if none.value() == 0.0 => write!(f, "placed on zone {zone}: as metered"),
                stops => write!(f, "placed on zone {zone}: {}", stops_apart(stops)),
            },
            Self::Aperture(from, to) => write!(f, "from {from} to {to}: {}", stops_apart(from.stops_to(to))),
            Self::Filter(filter) => write!(f, "filter: x {filter}, {}", stops_apart(filter.stops())),
            Self::Bellows(bellows) => {
                let factor = (bellows.factor() * 100.0).round() / 100.0;
                write!(f, "bellows: ({bellows})^2 = x {factor}, {}", stops_apart(bellows.stops()))
            }
            Self::Reciprocity { before, corrected, .. } if corrected.time == Some(*before) => {
                write!(f, "reciprocity: no correction at {before}")
            }
            Self::Reciprocity { film, p: Some(p), before, .. } => {
                write!(f, "reciprocity, {film}: {} ^ {p}", Plain(before.value()))
            }
            Self::Reciprocity { film, .. } => write!(f, "reciprocity, {film}: by its table"),
        }
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Beyond(last) => {
                write!(f, "the film's table does not reach so far: beyond {last} this is a guess, make a test")
            }
            Self::Between(from, to) => write!(
                f,
                "the film's table has no time here: it is reckoned between the rows of {from} and {to}, make a test"
            ),
            Self::OpenOnly(stops) => write!(f, "the film's table has no time here: leave it, and {}", opened(*stops)),
            Self::NoFilm(time) => write!(
                f,
                "{time} is long enough for film to tire, and nothing is said of the film: give its reciprocity, or expect a thin negative"
            ),
            Self::Doubt(n, apart) => {
                let meant: Vec<String> = n.meant().iter().map(|n| format!("{n:.2}")).collect();
                write!(
                    f,
                    "{n} can be {}, {:.2} stop apart: half-way is reckoned with",
                    meant.join(" or "),
                    apart.value()
                )
            }
        }
    }
}

/// "open the lens by 1/2 stop".
pub fn opened(stops: Stops) -> String {
    format!("open the lens by {}", amount(stops))
}

/// "2 stops less", "1 1/3 stops more".
pub fn stops_apart(stops: Stops) -> String {
    format!("{} {}", amount(stops), if stops.value() < 0.0 { "less" } else { "more" })
}

/// Without its sign: in thirds or quarters where it is those, else to a hundredth.
fn amount(stops: Stops) -> String {
    let size = stops.value().abs();
    let hundredths = (size * 100.0).round() / 100.0;
    let plain = Stops::new(size).to_string();
    let word =
        if plain.len() <= "+10 1/3".len() { plain.trim_start_matches('+').to_owned() } else { hundredths.to_string() };
    format!("{word} stop{}", if size > 1.0 { "s" } else { "" })
}

/// A number in as few figures as four decimals need.
struct Plain(f64);

impl fmt::Display for Plain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", (self.0 * 100.0).round() / 100.0)
    }
}
