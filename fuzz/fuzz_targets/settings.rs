//! Any text as a settings file: refused with a cause, or its words set the same settings again.
#![no_main]

use std::path::Path;

use dryside::batch::{Settled, Wishes};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let Ok(wishes) = Wishes::parse(text, Path::new("")) else { return };
    let none = Wishes::default();
    let settings = Settled::settle(&wishes, &none, &none).settings;
    let mut again = Wishes::default();
    for (name, word) in settings.words() {
        again.add(&name, &word).expect("its own words are understood");
    }
    assert_eq!(Settled::settle(&again, &none, &none).settings.words(), settings.words());
});
