//! A band of rows of a scan: the unit in which scans stream.

/// Rows of grey codes, `width` samples each, that follow one another in the scan at a fixed step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band<'a> {
    first_row: u32,
    step: u32,
    width: u32,
    samples: &'a [u16],
}

impl<'a> Band<'a> {
    /// Rows `first_row`, `first_row + step` ...; `samples` holds whole rows of `width` codes, top row first.
    ///
    /// # Panics
    /// If `width` or `step` is 0 or `samples` is not whole rows.
    pub fn new(first_row: u32, step: u32, width: u32, samples: &'a [u16]) -> Self {
        assert!(width > 0 && step > 0 && samples.len().is_multiple_of(width as usize), "a band holds whole rows");
        Self { first_row, step, width, samples }
    }

    /// Each row with its number in the scan, top first.
    pub fn rows(self) -> impl DoubleEndedIterator<Item = (u32, &'a [u16])> {
        let rows = self.samples.chunks_exact(self.width as usize);
        (0u32..rows.len() as u32).zip(rows).map(move |(i, row)| (self.first_row + i * self.step, row))
    }

    /// The same rows in parts of at most `samples` each, but a row at least; top first.
    pub fn parts(self, samples: usize) -> impl Iterator<Item = Self> {
        let rows = (samples / self.width as usize).max(1);
        let parts = self.samples.chunks(rows * self.width as usize).enumerate();
        parts.map(move |(i, samples)| {
            let first_row = self.first_row + (i * rows) as u32 * self.step;
            Self { first_row, samples, ..self }
        })
    }

    /// All samples, row after row.
    pub fn samples(self) -> &'a [u16] {
        self.samples
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_know_where_they_lie() {
        let band = Band::new(10, 4, 3, &[1, 2, 3, 4, 5, 6]);
        let rows: Vec<_> = band.rows().collect();
        assert_eq!(rows, [(10, &[1, 2, 3][..]), (14, &[4, 5, 6][..])]);
    }

    #[test]
    fn its_parts_hold_its_rows() {
        let samples: Vec<u16> = (0..21).collect();
        let whole = Band::new(7, 2, 3, &samples);
        for most in [0, 3, 7, 9, 20, 21, 100] {
            let parts: Vec<_> = whole.parts(most).collect();
            assert!(parts.iter().all(|part| part.samples().len() <= most.max(3)), "{most}");
            let rows: Vec<_> = parts.into_iter().flat_map(Band::rows).collect();
            assert_eq!(rows, whole.rows().collect::<Vec<_>>(), "{most}");
        }
    }
}
