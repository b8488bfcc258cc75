//! Darkroom order is reading order is layering: a room imports only from rooms above it in `lib.rs`.

use std::fs;
use std::path::{Path, PathBuf};

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found
}

/// Rooms named after `crate::` in a line of code.
fn named(line: &str) -> impl Iterator<Item = &str> {
    let code = if line.trim_start().starts_with("//") { "" } else { line };
    code.match_indices("crate::").map(|(at, word)| {
        let rest = &code[at + word.len()..];
        &rest[..rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len())]
    })
}

#[test]
fn a_room_imports_only_from_rooms_above_it() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let front = fs::read_to_string(src.join("lib.rs")).unwrap();
    let rooms: Vec<&str> =
        front.lines().filter_map(|l| l.strip_prefix("pub mod ")).map(|l| l.trim_end_matches(';')).collect();
    assert_eq!(rooms.len(), 14, "lib.rs names the rooms, one a line: {rooms:?}");
    let mut breaks = Vec::new();
    for (floor, room) in rooms.iter().enumerate() {
        for file in sources(&src.join(room)) {
            for (number, line) in (1..).zip(fs::read_to_string(&file).unwrap().lines()) {
                for other in named(line) {
                    let at = rooms.iter().position(|r| *r == other);
                    if at.is_none_or(|at| at > floor) {
                        breaks.push(format!("{}:{number}: {room} may not use crate::{other}", file.display()));
                    }
                }
            }
        }
    }
    assert!(breaks.is_empty(), "\n{}", breaks.join("\n"));
}

#[test]
fn only_the_console_prints() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    for file in sources(&src) {
        let text = fs::read_to_string(&file).unwrap();
        let prints = text.lines().any(|l| l.contains("println!(") && !l.trim_start().starts_with("//"));
        assert!(!prints || file.ends_with("cli/console/mod.rs"), "{} prints", file.display());
    }
}
