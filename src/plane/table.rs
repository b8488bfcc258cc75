//! The tone table: the whole tone chain of a frame as one look-up.

use rayon::prelude::*;

use crate::light::CODES;

/// One output code for each of the 65,536 input codes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table(Vec<u16>);

impl Table {
    /// The table of a function from code to code.
    pub fn of(tone: impl Fn(u16) -> u16 + Sync) -> Self {
        Self(per_code(tone))
    }

    /// What `code` becomes.
    pub fn get(&self, code: u16) -> u16 {
        self.0[usize::from(code)]
    }

    /// Adds to `into` what every sample becomes.
    pub fn extend(&self, samples: &[u16], into: &mut Vec<u16>) {
        let table: &[u16; CODES] = self.0.as_slice().try_into().expect("a table has an entry for each code");
        into.extend(samples.iter().map(|sample| table[usize::from(*sample)]));
    }
}

/// A value for each of the 65,536 codes, in code order.
pub fn per_code<T: Send>(value: impl Fn(u16) -> T + Sync) -> Vec<T> {
    (0..=u16::MAX).into_par_iter().with_min_len(CODES / 16).map(&value).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow twin: the function itself, over every code.
    #[test]
    fn the_table_does_what_the_function_does() {
        let tone = |code: u16| code.rotate_left(3) ^ 0x1234;
        let samples: Vec<u16> = (0..=u16::MAX).rev().collect();
        let mut got = Vec::new();
        Table::of(tone).extend(&samples, &mut got);
        assert_eq!(got.len(), samples.len());
        assert!(got.iter().zip((0..=u16::MAX).rev()).all(|(got, code)| *got == tone(code)));
    }
}
