//! What a few readings say together, and how sure that is.

use super::spot::student;

/// Fewest values whose spread is worth a word: Student's t is read from three degrees of freedom on.
const FEWEST: usize = 4;

/// A mean, or a slope, with how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// What 95 % lie within, either way; nothing where there are too few values to tell.
    pub within: Option<f64>,
    /// How many values it is of.
    pub of: usize,
}

impl Estimate {
    /// The mean of values: t s/sqrt(n) is what 95 % of such means lie within (Student).
    pub fn mean(values: &[f64]) -> Option<Self> {
        let n = values.len();
        let mean = (n > 0).then(|| values.iter().sum::<f64>() / n as f64)?;
        let within = (n >= FEWEST).then(|| {
            let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
            student(n - 1) * (squares / (n - 1) as f64 / n as f64).sqrt()
        });
        Some(Self { value: mean, within, of: n })
    }

    /// The slope of values, one after the other, for each step (least squares; its standard error by the spread about
    /// the line).
    pub fn slope(values: &[f64]) -> Option<Self> {
        let n = values.len();
        let freedom = n.checked_sub(2).filter(|freedom| *freedom + 1 >= FEWEST)?;
        let middle = (n - 1) as f64 / 2.0;
        let mean = values.iter().sum::<f64>() / n as f64;
        let steps = || values.iter().enumerate().map(|(i, v)| (i as f64 - middle, v - mean));
        let across: f64 = steps().map(|(x, _)| x * x).sum();
        let slope = steps().map(|(x, y)| x * y).sum::<f64>() / across;
        let left: f64 = steps().map(|(x, y)| (y - slope * x).powi(2)).sum();
        Some(Self { value: slope, within: Some(student(freedom) * (left / freedom as f64 / across).sqrt()), of: n })
    }

    /// Whether it is other than nothing, as far as can be told.
    pub fn is_told(&self) -> bool {
        self.within.is_some_and(|within| self.value.abs() > within)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out by hand: mean 2.5, standard deviation 1.29099, t for 3 degrees of freedom 3.182 (any table of it,
    /// from memory): 3.182 x 1.29099 / 2 = 2.054.
    #[test]
    fn a_mean_is_as_sure_as_student_has_it() {
        let of = Estimate::mean(&[1.0, 2.0, 3.0, 4.0]).unwrap();
        assert!((of.value - 2.5).abs() < 1e-12 && (of.within.unwrap() - 2.054).abs() < 0.02, "{of:?}");
        assert_eq!(Estimate::mean(&[1.0, 2.0, 3.0]).unwrap().within, None);
        assert_eq!(Estimate::mean(&[]), None);
    }

    /// Worked out by hand: 0 1 2 3 4 with +0.1 -0.2 +0.2 -0.2 +0.1 on it, which leaves the slope alone; squares left
    /// 0.14, of 3 degrees of freedom, over 10: sqrt(0.14/3/10) = 0.06831, and x 3.182 = 0.2174.
    #[test]
    fn a_slope_is_told_from_chance_or_not() {
        let of = Estimate::slope(&[0.1, 0.8, 2.2, 2.8, 4.1]).unwrap();
        assert!((of.value - 1.0).abs() < 1e-12 && (of.within.unwrap() - 0.2174).abs() < 0.003, "{of:?}");
        assert!(of.is_told());
        assert!(!Estimate::slope(&[0.0, 1.0, 0.0, 1.0, 0.0]).unwrap().is_told());
        assert_eq!(Estimate::slope(&[0.0, 1.0, 2.0, 3.0]), None);
    }
}
