//! The page itself: files that are part of the program.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};

const PAGE: &str = include_str!("../../page/light-table.html");

/// Name, kind and content of every other file.
const PARTS: &[(&str, &str, &[u8])] = &[
    ("light-table.css", "text/css; charset=utf-8", include_bytes!("../../page/light-table.css")),
    ("face.otf", "font/otf", include_bytes!("../sheet/font/Inter-Regular.otf")),
];

pub(super) async fn whole() -> Html<&'static str> {
    Html(PAGE)
}

pub(super) async fn part(Path(file): Path<String>) -> Response {
    match PARTS.iter().find(|(name, ..)| *name == file) {
        Some((_, kind, content)) => ([(header::CONTENT_TYPE, *kind)], *content).into_response(),
        None => (StatusCode::NOT_FOUND, "there is no such file").into_response(),
    }
}
