//! Settings as they are typed.

use crate::batch::Wishes;

pub(super) fn wishes(words: impl IntoIterator<Item = (&'static str, Option<String>)>) -> Result<Wishes, String> {
    let mut wishes = Wishes::default();
    for (name, word) in words {
        if let Some(word) = word {
            wishes.add(name, &word).map_err(|e| format!("--{e}"))?;
        }
    }
    Ok(wishes)
}
