//! The page itself: files that are part of the program.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};

const PAGE: &str = include_str!("../../page/light-table.html");
const STYLE: &str = include_str!("../../page/light-table.css");
const FACE: &[u8] = include_bytes!("../sheet/font/Inter-Regular.otf");

/// Names and contents of the modules that the page is built of.
macro_rules! modules {
    ($($name:literal),* $(,)?) => { &[$(($name, include_str!(concat!("../../page/built/", $name)))),*] };
}

const MODULES: &[(&str, &str)] = modules![
    "ask.js",
    "bench.js",
    "beyond.js",
    "contract.js",
    "curve.js",
    "deeds.js",
    "develop.js",
    "doing.js",
    "drag.js",
    "easel.js",
    "element.js",
    "events.js",
    "film.js",
    "fit.js",
    "handwork.js",
    "head.js",
    "keyboard.js",
    "light.js",
    "loupe.js",
    "loupes.js",
    "main.js",
    "negative.js",
    "net.js",
    "nets.js",
    "notebook.js",
    "notices.js",
    "pencil.js",
    "placing.js",
    "room.js",
    "said.js",
    "scale.js",
    "shelf.js",
    "shot.js",
    "size.js",
    "slip.js",
    "steps.js",
    "strip.js",
    "table.js",
    "tiles.js",
    "tones.js",
    "writing.js",
];

pub(super) async fn whole() -> Html<&'static str> {
    Html(PAGE)
}

pub(super) async fn style() -> Response {
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], STYLE).into_response()
}

pub(super) async fn face() -> Response {
    ([(header::CONTENT_TYPE, "font/otf")], FACE).into_response()
}

pub(super) async fn module(Path(file): Path<String>) -> Response {
    match MODULES.iter().find(|(name, _)| *name == file) {
        Some((_, text)) => ([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], *text).into_response(),
        None => (StatusCode::NOT_FOUND, "there is no such file").into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_module_that_was_built_is_served() {
        let built = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("page/built");
        let mut built: Vec<String> =
            std::fs::read_dir(built).unwrap().map(|file| file.unwrap().file_name().into_string().unwrap()).collect();
        built.sort();
        assert_eq!(MODULES.iter().map(|(name, _)| *name).collect::<Vec<_>>(), built);
    }
}
