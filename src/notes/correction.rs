//! What a person put right in `[scan]`: frames and base. It is obeyed, and kept.

use toml_edit::{DocumentMut, Value};

use super::sidecar::Error;

/// Keys of `[scan]` that are a person's.
pub(super) const HELD: [&str; 2] = ["picture", "base"];

/// Frames and base as a person gives them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Correction {
    /// For each frame two opposite corners or all four, x and y in pixels of the scan as stored.
    pub pictures: Vec<Vec<[f64; 2]>>,
    /// The base over full scale, in words as a setting takes it.
    pub base: Option<String>,
}

impl Correction {
    /// That of a notes file.
    ///
    /// # Errors
    /// When `picture` is no list of corners, or `base` no number.
    pub(super) fn of(document: &DocumentMut) -> Result<Self, Error> {
        let Some(scan) = document.get("scan").and_then(|item| item.as_table()) else { return Ok(Self::default()) };
        let pictures = match scan.get("picture") {
            None => Vec::new(),
            Some(item) => item.as_value().and_then(pictures).ok_or(Error::NoCorners)?,
        };
        let base = match scan.get("base") {
            None => None,
            Some(item) => {
                let quoted = || item.as_str().and_then(|word| word.trim().parse().ok());
                let number = item.as_float().or_else(|| item.as_integer().map(|whole| whole as f64)).or_else(quoted);
                Some(number.ok_or(Error::NoBase)?.to_string())
            }
        };
        Ok(Self { pictures, base })
    }
}

/// One outline, or a list of them.
fn pictures(value: &Value) -> Option<Vec<Vec<[f64; 2]>>> {
    let list = value.as_array()?;
    match outline(value) {
        Some(one) => Some(vec![one]),
        None if list.is_empty() => None,
        None => list.iter().map(outline).collect(),
    }
}

fn outline(value: &Value) -> Option<Vec<[f64; 2]>> {
    let corners: Vec<_> = value.as_array()?.iter().map(corner).collect::<Option<_>>()?;
    matches!(corners.len(), 2 | 4).then_some(corners)
}

fn corner(value: &Value) -> Option<[f64; 2]> {
    let number = |v: &Value| v.as_float().or_else(|| v.as_integer().map(|whole| whole as f64));
    let pair: Vec<f64> = value.as_array()?.iter().map(number).collect::<Option<_>>()?;
    <[f64; 2]>::try_from(pair).ok().filter(|pair| pair.iter().all(|v| v.is_finite()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(scan: &str) -> Result<Correction, Error> {
        Correction::of(&format!("[scan]\n{scan}\n").parse().unwrap())
    }

    #[test]
    fn a_frame_is_given_by_two_corners_or_four_and_several_by_a_list_of_such() {
        assert_eq!(of("").unwrap(), Correction::default());
        assert_eq!(of("picture = [[1, 2], [30, 40.5]]").unwrap().pictures, [vec![[1.0, 2.0], [30.0, 40.5]]]);
        let two = of("picture = [[[1, 2], [3, 4]], [[5, 6], [7, 6], [7, 8], [5, 8]]]").unwrap().pictures;
        assert_eq!((two.len(), two[1].len()), (2, 4));
        for base in ["base = 0.21", "base = '0.21'", "base = \" 0.21\""] {
            assert_eq!(of(base).unwrap().base.as_deref(), Some("0.21"), "{base}");
        }
    }

    #[test]
    fn what_is_no_frame_is_an_error_that_says_how_to_write_one() {
        for wrong in
            ["picture = 3", "picture = []", "picture = [[1, 2], [3, 4], [5, 6]]", "picture = [[1, 'a'], [3, 4]]"]
        {
            assert!(of(wrong).unwrap_err().to_string().contains("[[x, y], [x, y]]"), "{wrong}");
        }
        assert!(of("base = 'clear'").unwrap_err().to_string().contains("as 0.21"));
        assert!(of("base = '0,21'").is_err());
    }
}
