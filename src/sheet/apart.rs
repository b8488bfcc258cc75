//! For tests: that on a page nothing lies outside, and no words or pictures over one another.

use super::area::Area;
use super::page::{Item, Page};

/// Half a tenth of a millimetre: rounding to pixels.
const NEAR: f64 = 0.05;

/// Fails where something lies outside the page, or words and pictures over one another; letters that mark places in a
/// picture may.
pub(super) fn assert_apart(page: &Page, of: &str) {
    let all: Vec<(Area, String, bool)> = page.items.iter().filter_map(bounds).collect();
    for (i, (one, what, is_letter)) in all.iter().enumerate() {
        let inside = one.left.value() > -NEAR
            && one.top.value() > -NEAR
            && one.right().value() < page.size.width.value() + NEAR
            && one.bottom().value() < page.size.height.value() + NEAR;
        assert!(inside, "{of}: {what} lies outside: {one:?}");
        for (other, beside, other_is_letter) in &all[i + 1..] {
            let apart = one.right().value() < other.left.value() + NEAR
                || other.right().value() < one.left.value() + NEAR
                || one.bottom().value() < other.top.value() + NEAR
                || other.bottom().value() < one.top.value() + NEAR;
            assert!(apart || *is_letter || *other_is_letter, "{of}: {what} lies over {beside}: {one:?} {other:?}");
        }
    }
}

/// Where words and pictures lie, what they are, and whether it is a single letter.
fn bounds(item: &Item) -> Option<(Area, String, bool)> {
    match item {
        Item::Text(run) if !run.text.is_empty() => {
            let width = run.face.length(&run.text, run.size);
            // Capitals are less high than the body, descenders a fifth of it (as in most faces).
            let area = Area { left: run.left, top: run.baseline - run.size * 0.75, width, height: run.size * 0.95 };
            Some((area, format!("\"{}\"", run.text), run.text.chars().count() == 1))
        }
        Item::Pixels { area, .. } | Item::Picture { area, .. } => Some((*area, "a picture".to_owned(), false)),
        _ => None,
    }
}
