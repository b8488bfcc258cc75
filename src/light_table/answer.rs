//! Answers as the page reads them.

use std::collections::BTreeMap;

use axum::Json;
use axum::body::Body;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;

use crate::batch::{NetPicture, OnPaper, Sharp, Spot, TableFrame};
use crate::paper::Grade;

/// The whole table.
#[derive(Serialize)]
pub(super) struct BatchAnswer {
    pub name: String,
    /// Fields of the shot notes that are written here.
    pub shot: &'static [&'static str],
    /// L* of the page's surround.
    pub surround: u8,
    pub frames: Vec<FrameAnswer>,
    pub grades: Vec<String>,
    pub zones: Vec<&'static str>,
    /// Sheet of the prints that are ordered, if no other is asked for.
    pub size: String,
    /// Sheets to choose from.
    pub sizes: Vec<String>,
    pub work: Option<WorkAnswer>,
}

/// A frame.
#[derive(Clone, Serialize)]
pub(super) struct FrameAnswer {
    id: usize,
    name: String,
    scan: String,
    title: String,
    /// Fields of the shot notes that are written here, by their names, as they stand in its own notes; those that do
    /// not stand there are left out.
    shot: BTreeMap<&'static str, String>,
    /// Why fields of its own shot notes cannot be read, and where they stand.
    unread: BTreeMap<String, String>,
    /// Those of them that stand in the notes of the negative's first scan alone.
    of_first: BTreeMap<&'static str, String>,
    date: String,
    base: Option<f64>,
    thin: Option<f64>,
    dense: Option<f64>,
    range: Option<f64>,
    grade: String,
    exposure: String,
    place: String,
    paper: String,
    /// As they stand in the scan's own settings: grade, exposure, placing.
    own: [Option<String>; 3],
    /// Frames of its scan, for which those hold.
    together: usize,
    flags: Vec<FlagAnswer>,
    mark: Option<String>,
    remark: String,
    /// Whether it lies there no more.
    gone: bool,
    error: Option<String>,
    away: Option<String>,
    width: u32,
    height: u32,
    pixels: [u32; 2],
    revision: String,
}

#[derive(Clone, Serialize)]
struct FlagAnswer {
    code: String,
    message: String,
}

/// Work that goes on, or has ended.
#[derive(Clone, Debug, Serialize)]
pub(super) struct WorkAnswer {
    pub what: &'static str,
    pub running: bool,
    pub done: usize,
    pub of: usize,
    /// Whether it has come to its end, and nothing went wrong.
    pub well: bool,
    /// What is being made, or what was.
    pub message: String,
    /// What could not be made, and why.
    pub failures: Vec<String>,
}

/// A frame on its paper.
#[derive(Serialize)]
struct PaperAnswer {
    grade: String,
    exposure: String,
    words: Vec<String>,
    screen: String,
    curve: Vec<[f64; 2]>,
    thin: f64,
    dense: f64,
    histogram: Option<HistogramAnswer>,
}

#[derive(Serialize)]
struct HistogramAnswer {
    from: f64,
    step: f64,
    parts: Vec<u16>,
}

#[derive(Serialize)]
struct BoxAnswer {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    rank: Option<u8>,
}

#[derive(Serialize)]
struct SharpAnswer<'a> {
    marks: Vec<BoxAnswer>,
    words: &'a [String],
}

#[derive(Serialize)]
struct DustAnswer {
    specks: Vec<BoxAnswer>,
}

fn boxed(spot: &Spot, rank: Option<u8>) -> BoxAnswer {
    BoxAnswer { x: spot.at.0, y: spot.at.1, width: spot.size.0, height: spot.size.1, rank }
}

pub(super) fn sharp(of: &Sharp) -> Response {
    let marks = of.places.iter().map(|(spot, rank)| boxed(spot, Some(*rank))).collect();
    Json(SharpAnswer { marks, words: &of.words }).into_response()
}

pub(super) fn dust(specks: &[Spot]) -> Response {
    Json(DustAnswer { specks: specks.iter().map(|spot| boxed(spot, None)).collect() }).into_response()
}

impl From<TableFrame> for FrameAnswer {
    fn from(frame: TableFrame) -> Self {
        let range = frame.dense.zip(frame.thin).map(|(dense, thin)| dense - thin);
        let flags = frame.flags.into_iter().map(|(code, message)| FlagAnswer { code, message }).collect();
        Self {
            id: frame.id,
            name: frame.name,
            scan: frame.scan,
            title: frame.title,
            shot: frame.shot.into_iter().collect(),
            unread: frame.unread.into_iter().collect(),
            of_first: frame.of_first.into_iter().collect(),
            date: frame.date,
            base: frame.base,
            thin: frame.thin,
            dense: frame.dense,
            range,
            grade: frame.grade,
            exposure: frame.exposure,
            place: frame.place,
            paper: frame.paper,
            own: frame.own,
            together: frame.together,
            flags,
            mark: frame.mark.map(|mark| mark.to_string()),
            remark: frame.remark,
            gone: frame.gone,
            error: frame.error,
            away: frame.away,
            width: frame.picture[0],
            height: frame.picture[1],
            pixels: frame.pixels,
            revision: frame.revision,
        }
    }
}

/// All grades, softest first.
pub(super) fn grades() -> Vec<String> {
    Grade::all().map(|grade| grade.to_string()).collect()
}

pub(super) fn on_paper(of: &OnPaper) -> Response {
    let histogram = of.tones.clone();
    Json(PaperAnswer {
        grade: of.grade.to_string(),
        exposure: of.exposure.to_string(),
        words: of.words.clone(),
        screen: STANDARD.encode(&of.screen),
        curve: of.curve.iter().map(|(net, density)| [net.value(), density.value()]).collect(),
        thin: of.ends.0.value(),
        dense: of.ends.1.value(),
        histogram: histogram.map(|tones| HistogramAnswer { from: tones.from, step: tones.step, parts: tones.parts }),
    })
    .into_response()
}

/// Codes of net density, two bytes each, the lower one first; the picture's size is in the headers.
pub(super) fn codes(net: &NetPicture) -> Response {
    let bytes: Vec<u8> = net.codes.iter().flat_map(|code| code.to_le_bytes()).collect();
    let (width, height) = (net.size.width.to_string(), net.size.height.to_string());
    let kind = "application/octet-stream".to_owned();
    ([("x-width", width), ("x-height", height), (header::CONTENT_TYPE.as_str(), kind)], Body::from(bytes))
        .into_response()
}

pub(super) fn refused(status: StatusCode, why: String) -> Response {
    (status, why).into_response()
}
