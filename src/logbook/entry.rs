//! A frame in the logbook: its proof, what was measured, how it was printed.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

use super::axis::Axis;
use super::tones::tones;
use super::words::{spoken, two};
use super::{Entry, Flag, Link, Logbook, Small};

/// One entry; `number` counts from 0.
pub(super) fn entry(entry: &Entry, number: usize, axis: Axis, logbook: &Logbook) -> Markup {
    html! {
        article.entry id=(Entry::anchor(number)) {
            div.number aria-hidden="true" { (number + 1) }
            div.proof { (proof(entry)) }
            div.facts {
                h3 { bdi { (entry.name) } }
                @if entry.called.is_some() || entry.date.is_some() { p.subject { (subject(entry)) } }
                (mark(entry))
                @if !entry.flags.is_empty() {
                    ul.flags {
                        @for flag in &entry.flags { li { (told(flag, number, logbook)) } }
                    }
                }
                (figures(entry))
                (tones(entry, axis, logbook))
                (prints(entry))
                (files(&entry.files))
            }
        }
    }
}

/// A flag; what is said of a whole scan is said at its first frame.
fn told(flag: &Flag, number: usize, logbook: &Logbook) -> Markup {
    html! {
        b { (spoken(&flag.code)) }
        @match logbook.told_before(number, flag) {
            Some(first) => { ": see " a href=(format!("#{}", Entry::anchor(first))) { bdi { (logbook.entries[first].name) } } }
            None => { @if !flag.message.is_empty() { ": " (flag.message) } }
        }
    }
}

/// What it is called, and when it was taken.
fn subject(entry: &Entry) -> Markup {
    html! {
        @if let Some(called) = &entry.called { bdi { (called) } }
        @if let (Some(_), Some(_)) = (&entry.called, &entry.date) { ", " }
        @if let Some(date) = &entry.date { span.quiet { (date) } }
    }
}

/// The photographer's mark and remark.
fn mark(entry: &Entry) -> Markup {
    html! {
        @if entry.mark.is_some() || entry.remark.is_some() {
            p.mark {
                @if let Some(mark) = &entry.mark { "marked " b { (mark) } }
                @if let (Some(_), Some(_)) = (&entry.mark, &entry.remark) { ": " }
                @if let Some(remark) = &entry.remark { bdi { (remark) } }
            }
        }
    }
}

/// The prints made of it.
fn prints(entry: &Entry) -> Markup {
    html! {
        @if !entry.prints.is_empty() {
            ul.prints {
                @for (print, file) in &entry.prints {
                    li {
                        span.word { "print" } " " (print)
                        @match file {
                            Some(file) => { ", " a href=(file.to) { (file.word) } }
                            None => { ", its file is not there any more" }
                        }
                    }
                }
            }
        }
    }
}

fn proof(entry: &Entry) -> Markup {
    let what = entry.called.as_deref().unwrap_or(&entry.name);
    match &entry.picture {
        Some(Ok(Small { jpeg, width, height })) => {
            let source = format!("data:image/jpeg;base64,{}", STANDARD.encode(jpeg));
            html! {
                img src=(source) width=(width) height=(height) loading="lazy" decoding="async" alt=(format!("Proof of {what}"));
            }
        }
        Some(Err(why)) => html! { p.empty { (why) } },
        None => html! { p.empty { "no proof" } },
    }
}

fn figures(entry: &Entry) -> Markup {
    let base = match entry.base {
        Some(base) => format!("{} ({})", two(base), entry.base_source),
        None => "none: densities count from full scale".to_owned(),
    };
    html! {
        ul.figures {
            (figure("base", &base))
            @if let Some([thin, median, dense]) = entry.net {
                (figure("thin", &two(thin)))
                (figure("median", &two(median)))
                (figure("dense", &two(dense)))
                (figure("range", &two(dense - thin)))
            }
            @for (i, printed) in entry.printed.iter().enumerate() {
                (figure(if i == 0 { "grade" } else { "printed" }, printed))
            }
        }
    }
}

fn figure(name: &str, value: &str) -> Markup {
    html! { li { span.word { (name) } " " (value) } }
}

/// Links beside one another.
pub(super) fn files(files: &[Link]) -> Markup {
    html! {
        @if !files.is_empty() {
            p.files { @for file in files { a href=(file.to) { (file.word) } " " } }
        }
    }
}
