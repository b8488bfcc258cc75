//! Tables of words and numbers.

/// A table whose columns are as wide as what stands in them.
pub(super) struct Table {
    pub(super) rows: Vec<Vec<String>>,
    /// Columns from this one to that one hold numbers and end flush.
    numbers: std::ops::Range<usize>,
}

impl Table {
    pub(super) fn new(head: &[&str], numbers: std::ops::Range<usize>) -> Self {
        Self { rows: vec![head.iter().map(|h| (*h).to_owned()).collect()], numbers }
    }

    pub(super) fn lines(&self) -> impl Iterator<Item = String> {
        let columns = self.rows[0].len();
        let width = |c: usize| self.rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
        let widths: Vec<usize> = (0..columns).map(width).collect();
        self.rows.iter().map(move |row| {
            let cell = |(c, text): (usize, &String)| {
                // By hand: a format takes no width beyond 65,535.
                let blanks = " ".repeat(widths[c] - text.chars().count());
                if self.numbers.contains(&c) { blanks + text } else { text.clone() + &blanks }
            };
            row.iter().enumerate().map(cell).collect::<Vec<_>>().join("  ").trim_end().to_owned()
        })
    }
}
