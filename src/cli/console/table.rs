//! Tables of words and numbers.

use super::screen;

/// A table whose columns are as wide as what stands in them.
pub(super) struct Table {
    pub(super) rows: Vec<Vec<String>>,
    /// Columns from this one to that one hold numbers and end flush.
    numbers: std::ops::Range<usize>,
    /// Whether the first column holds names.
    named: bool,
}

/// Letters that a name can be told by: it is not made shorter.
const LEAST: usize = 16;

impl Table {
    pub(super) fn new(head: &[&str], numbers: std::ops::Range<usize>) -> Self {
        Self { rows: vec![head.iter().map(|h| (*h).to_owned()).collect()], numbers, named: false }
    }

    /// The same where the first column holds names of scans or frames, which may lose their middle.
    pub(super) fn named(head: &[&str], numbers: std::ops::Range<usize>) -> Self {
        Self { named: true, ..Self::new(head, numbers) }
    }

    /// As lines. On the person's screen long names lose their middle where that lets all lines fit; into files and to
    /// other programs, which have no such width, all goes out whole.
    pub(super) fn lines(&self) -> impl Iterator<Item = String> {
        self.within(screen())
    }

    /// The same within so many letters.
    fn within(&self, screen: Option<usize>) -> impl Iterator<Item = String> {
        let columns = self.rows[0].len();
        let width = |c: usize| self.rows.iter().map(|r| r[c].chars().count()).max().unwrap_or(0);
        let mut widths: Vec<usize> = (0..columns).map(width).collect();
        let whole = widths.iter().sum::<usize>() + 2 * (columns - 1);
        let room = screen.filter(|_| self.named).and_then(|screen| (widths[0] + screen).checked_sub(whole));
        if let Some(room) = room.filter(|room| *room >= LEAST) {
            widths[0] = widths[0].min(room);
        }
        self.rows.iter().map(move |row| {
            let cell = |(c, text): (usize, &String)| {
                let text = shortened(text, widths[c]);
                // By hand: a format takes no width beyond 65,535.
                let blanks = " ".repeat(widths[c] - text.chars().count());
                if self.numbers.contains(&c) { blanks + &text } else { text + &blanks }
            };
            row.iter().enumerate().map(cell).collect::<Vec<_>>().join("  ").trim_end().to_owned()
        })
    }
}

/// A text of at most so many letters: what is too long keeps both its ends, as scans of one shelf differ at the end of
/// their names.
fn shortened(text: &str, most: usize) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.len() <= most {
        return text.to_owned();
    }
    let tail = (most - 1) / 2;
    let (head, tail) = (&letters[..most - 1 - tail], &letters[letters.len() - tail..]);
    head.iter().chain(&['\u{2026}']).chain(tail).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_give_way_to_the_screen_and_nothing_else_does() {
        let mut table = Table::named(&["frame", "base", "flags"], 1..2);
        let name = "ropewalk-store-room-east-window-morning-light-second-sheet-014";
        table.rows.extend([name, "coil"].map(|name| vec![name.to_owned(), "0.20".to_owned(), "no-base".to_owned()]));
        let lines = |screen| table.within(screen).collect::<Vec<_>>();
        assert_eq!(lines(None)[1], format!("{name}  0.20  no-base"));
        assert_eq!(lines(Some(200)), lines(None));
        let narrow = lines(Some(40));
        assert_eq!(narrow[1], "ropewalk-sto\u{2026}nd-sheet-014  0.20  no-base");
        assert!(narrow.iter().all(|line| line.chars().count() <= 40) && narrow[2].starts_with("coil    "));
        assert_eq!(lines(Some(31))[1], "ropewalk\u{2026}eet-014  0.20  no-base");
        // Where lines stay too long all the same, nothing is taken away.
        assert_eq!(lines(Some(30)), lines(None));
        assert_eq!(lines(Some(0)), lines(None));
    }

    /// A sum is read from its first letter to its last.
    #[test]
    fn what_is_no_name_is_never_shortened() {
        let mut table = Table::new(&["sum", "time"], 1..2);
        table.rows.push(vec!["bellows: (450/300)^2 = 2.25, 1.17 stops more".to_owned(), "1 s".to_owned()]);
        assert_eq!(table.within(Some(40)).collect::<Vec<_>>(), table.within(None).collect::<Vec<_>>());
    }
}
