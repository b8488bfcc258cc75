//! Step tablets: what densities their steps have.

use crate::light::Density;

/// A step tablet.
#[derive(Clone, Debug, PartialEq)]
pub struct Tablet {
    name: String,
    /// Rising.
    densities: Vec<Density>,
}

/// Why there is no such tablet.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum UnknownTablet {
    /// No tablet is made with so many steps.
    #[error("no tablet with {0} steps is known: use 21, 31 or 41, or give its densities in a file")]
    Count(usize),
    /// A list that is too short.
    #[error("it has {0} densities: a step tablet has at least {LEAST}")]
    Few(usize),
    /// A list that neither rises nor falls.
    #[error(
        "density {number} of the list, {density}, breaks the order: write them from the thinnest step to the densest"
    )]
    Order {
        /// From 1.
        number: usize,
        /// Which one.
        density: Density,
    },
}

/// Fewest steps of a listed tablet: as many as must be in sight for a row to be found.
const LEAST: usize = super::row::LEAST_STEPS;
/// Density of the first step of the known tablets: the film's own base (laboratory test manual, read).
const FIRST: f64 = 0.05;
/// Steps of the known tablets and how far apart they are, in D (laboratory test manual, read).
const KNOWN: [(usize, f64); 3] = [(21, 0.15), (31, 0.10), (41, 0.10)];

impl Tablet {
    /// The tablets that are known by their number of steps, the shortest first.
    pub fn known() -> [Self; 3] {
        KNOWN.map(|(steps, apart)| Self {
            name: format!("{steps} x {apart:.2}"),
            densities: (0..steps).map(|i| Density::new(FIRST + apart * i as f64).noted()).collect(),
        })
    }

    /// The known tablet of so many steps.
    ///
    /// # Errors
    /// When there is none.
    pub fn of_steps(steps: usize) -> Result<Self, UnknownTablet> {
        Self::known().into_iter().find(|t| t.densities.len() == steps).ok_or(UnknownTablet::Count(steps))
    }

    /// A tablet of its own densities, from either end.
    ///
    /// # Errors
    /// When there are too few, or they neither rise nor fall from each to the next.
    pub fn listed(name: &str, mut densities: Vec<Density>) -> Result<Self, UnknownTablet> {
        if densities.len() < LEAST {
            return Err(UnknownTablet::Few(densities.len()));
        }
        let falls = densities[0] > densities[1];
        let breaks = densities.windows(2).position(|w| if falls { w[0] <= w[1] } else { w[0] >= w[1] });
        if let Some(i) = breaks {
            return Err(UnknownTablet::Order { number: i + 2, density: densities[i + 1] });
        }
        if falls {
            densities.reverse();
        }
        Ok(Self { name: name.to_owned(), densities })
    }

    /// As in "21 x 0.15", or the name of the list.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Of all steps, rising.
    pub fn densities(&self) -> &[Density] {
        &self.densities
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Step tablets: 21 steps of 0.15 and 31 of 0.10, both 0.05 to 3.05 (laboratory test manual, read).
    #[test]
    fn known_tablets_have_their_published_ends() {
        for steps in [21, 31] {
            let tablet = Tablet::of_steps(steps).unwrap();
            let ends = (tablet.densities()[0].value(), tablet.densities()[steps - 1].value());
            assert_eq!((tablet.densities().len(), ends), (steps, (0.05, 3.05)));
        }
        assert_eq!(Tablet::of_steps(41).unwrap().name(), "41 x 0.10");
        assert_eq!(Tablet::of_steps(20), Err(UnknownTablet::Count(20)));
    }

    #[test]
    fn a_list_may_run_either_way_and_must_not_turn() {
        let listed = |list: &[f64]| Tablet::listed("mine", list.iter().map(|d| Density::new(*d)).collect());
        let up = [0.04, 0.2, 0.36, 0.5, 0.66, 0.8];
        let down: Vec<f64> = up.iter().rev().copied().collect();
        assert_eq!(listed(&up).unwrap(), listed(&down).unwrap());
        assert_eq!(listed(&up[..5]), Err(UnknownTablet::Few(5)));
        let turned = listed(&[0.04, 0.2, 0.36, 0.36, 0.66, 0.8]);
        assert_eq!(turned, Err(UnknownTablet::Order { number: 4, density: Density::new(0.36) }));
    }
}
