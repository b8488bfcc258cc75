//! What is said of a page that is too small.

use super::error::Error;
use super::page_size::PageSize;

/// That a page does not hold something, and what would do: the smallest page with a name that holds it, or `else_`
/// something else.
pub(super) fn too_small(page: PageSize, what: &str, else_: &str, holds: impl Fn(PageSize) -> bool) -> Error {
    let instead = PageSize::named().find(|other| holds(*other));
    let instead =
        instead.map_or_else(|| "give a larger one, as --page 60x90cm".to_owned(), |page| format!("use {page}"));
    Error::TooSmall(format!("{page} is too small for {what}: {else_}{instead}"))
}
