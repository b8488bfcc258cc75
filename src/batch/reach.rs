//! Frames that a person named, as far as they can be reached: their notes opened, their numbers known.

use super::noted::Noted;
use super::which::Wanted;

/// What was reached of all that was typed, by one rule for all commands: to name nothing that is there is a slip in the
/// command; to name what is there and cannot be worked on is none.
#[derive(Default)]
pub(super) struct Reach {
    /// What could not be reached, and what failed since.
    pub failures: Vec<String>,
    there: bool,
}

impl Reach {
    /// Where words that were typed mean no frame, which are the `failures`.
    pub(super) fn of(failures: Vec<String>) -> Self {
        Self { failures, there: false }
    }

    /// Opens notes and gives those of the frames named that are `meant`, if there are any; what cannot be opened, or a
    /// frame that is not there, is a failure.
    pub(super) fn open(
        &mut self,
        wanted: Wanted,
        meant: impl Fn(&Noted, usize) -> bool,
    ) -> Option<(Noted, Vec<usize>)> {
        let noted = Noted::open(wanted).inspect_err(|_| self.there = true);
        match noted.and_then(|noted| Ok((noted.numbers()?, noted))) {
            Ok((mut numbers, noted)) => {
                numbers.retain(|number| meant(&noted, *number));
                self.there |= !numbers.is_empty();
                Some((noted, numbers))
            }
            Err(error) => {
                self.failures.push(error);
                None
            }
        }
    }

    /// Tells of something that is there and fails.
    pub(super) fn fail(&mut self, failure: String) {
        self.there = true;
        self.failures.push(failure);
    }

    /// Whether nothing of what was typed is there: the failures say so.
    pub(super) fn none_there(&self) -> bool {
        !self.there && !self.failures.is_empty()
    }
}
