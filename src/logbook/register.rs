//! The register: all figures of all frames in one table.

use maud::{Markup, html};

use super::words::{spoken, two};
use super::{Entry, Logbook};

/// The table. It moves sideways in its own frame where the page is narrow.
pub(super) fn register(logbook: &Logbook) -> Markup {
    html! {
        div.aside tabindex="0" role="region" aria-labelledby="register-caption" {
            table {
                caption id="register-caption" { "Densities in D, above base but for the base itself" }
                thead {
                    tr {
                        th scope="col" { "no." }
                        th scope="col" { "frame" }
                        @for name in ["base", "thin", "median", "dense", "range"] { th.figure scope="col" { (name) } }
                        th scope="col" { "grade" }
                        th scope="col" { "flags" }
                    }
                }
                tbody {
                    @for (number, entry) in logbook.entries.iter().enumerate() {
                        tr {
                            td { (number + 1) }
                            th scope="row" { a href=(format!("#{}", Entry::anchor(number))) { bdi { (entry.name) } } }
                            td.figure { (entry.base.map_or_else(|| "none".to_owned(), two)) }
                            @match entry.net {
                                Some([thin, median, dense]) => {
                                    @for figure in [thin, median, dense, dense - thin] { td.figure { (two(figure)) } }
                                }
                                None => { @for _ in 0..4 { td.figure {} } }
                            }
                            td { (entry.printed.first().map_or("", String::as_str)) }
                            td { (flags(entry)) }
                        }
                    }
                }
            }
        }
    }
}

fn flags(entry: &Entry) -> String {
    entry.flags.iter().map(|flag| spoken(&flag.code)).collect::<Vec<_>>().join(", ")
}
