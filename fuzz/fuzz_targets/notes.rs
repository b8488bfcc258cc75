//! Any text as notes: refused with a cause, or every view of it can be had, and a mark put in and out of it leaves
//! notes.
#![no_main]

use std::cell::RefCell;
use std::fs;

use dryside::notes::{Mark, Sidecar};
use libfuzzer_sys::fuzz_target;
use tempfile::NamedTempFile;

thread_local! {
    static FILE: RefCell<NamedTempFile> = RefCell::new(NamedTempFile::new().expect("a file"));
}

fuzz_target!(|text: &str| {
    FILE.with_borrow_mut(|file| {
        fs::write(file.path(), text).expect("room for the file");
        let Ok(sidecar) = Sidecar::open(file.path()) else { return };
        let (ours, shot) = (sidecar.ours(), sidecar.shot_notes());
        let _ =
            (sidecar.outputs(), sidecar.settings(), sidecar.correction(), sidecar.marks().slips(2), sidecar.prints());
        let _ = shot.fields().len();
        if let Ok(marked) = sidecar.clone().with_marks(&[1], Some(Mark::Print), Some("for the wall")) {
            fs::write(file.path(), marked).expect("room for the file");
            let again = Sidecar::open(file.path()).expect("what was written is read");
            assert_eq!(again.marks().of_frame(1).mark, Some(Mark::Print));
            assert_eq!(again.shot_notes().fields().len(), shot.fields().len());
        }
        if let Some(notes) = ours {
            let text = sidecar.with(&notes).expect("what was read can be written");
            fs::write(file.path(), text).expect("room for the file");
            let again = Sidecar::open(file.path()).expect("what was written is read");
            assert_eq!(again.ours().as_ref(), Some(&notes));
        }
    });
});
