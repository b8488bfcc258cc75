//! What the page asks for.

use std::collections::BTreeMap;
use std::error::Error;
use std::sync::Arc;

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, Path, Query, Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use rayon::iter::{IntoParallelIterator, ParallelIterator};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

use crate::batch::{Change, MOST_EDGE, MOST_OF_A_TILE, OnPaper, Refused, SHOT_FIELDS, TABLE_EDGE, Unseen, Wishes};
use crate::film::ZoneTable;
use crate::paper::PaperSize;
use crate::plane::Area;

use super::Desk;
use super::answer::{self, BatchAnswer, FrameAnswer};
use super::turns::Untaken;
use super::work::Order;

/// L* of the page's surround: tones are judged on paper between black and mid grey (common practice of viewing booths).
const SURROUND: u8 = 20;

/// Longest edges of a frame's picture that can be asked for.
const EDGES: std::ops::RangeInclusive<u32> = 16..=MOST_EDGE;

/// Work that takes a while goes on beside the answering of others.
async fn beside(work: impl FnOnce() -> Response + Send + 'static) -> Response {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| unanswered())
}

/// Work on a picture, which waits for its turn.
async fn in_turn(
    desk: Arc<Desk>,
    work: impl Fn(&Desk) -> Result<Response, Unseen> + Clone + Send + 'static,
    wrong: fn(String) -> Response,
) -> Response {
    let at = desk.clone();
    match desk.turns.take(move || work(&at)).await {
        Ok(response) => response,
        Err(Untaken::Wrong(why)) => wrong(why),
        Err(Untaken::Broken) => unanswered(),
    }
}

fn unanswered() -> Response {
    answer::refused(StatusCode::INTERNAL_SERVER_ERROR, "it could not be answered: ask again".to_owned())
}

fn not_there(why: String) -> Response {
    answer::refused(StatusCode::NOT_FOUND, why)
}

fn unreadable(why: String) -> Response {
    answer::refused(StatusCode::UNPROCESSABLE_ENTITY, why)
}

pub(super) async fn batch(State(desk): State<Arc<Desk>>) -> Response {
    beside(move || {
        let all = (0..desk.table.frames()).into_par_iter().filter_map(|id| desk.table.frame(id));
        let frames = all.map(FrameAnswer::from).collect();
        let name = desk.table.out().file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let sheet = desk.work.size();
        let (size, sizes) = (sheet.to_string(), sheet.choices().iter().map(ToString::to_string).collect());
        let (grades, work) = (answer::grades(), desk.work.now());
        let zones = ZoneTable::default().zones().map(|(name, _)| name).collect();
        let shot = &SHOT_FIELDS;
        Json(BatchAnswer { name, shot, surround: SURROUND, frames, grades, zones, size, sizes, work }).into_response()
    })
    .await
}

#[derive(Deserialize)]
pub(super) struct Edge {
    edge: Option<u32>,
}

pub(super) async fn net(State(desk): State<Arc<Desk>>, Path(id): Path<usize>, Query(asked): Query<Edge>) -> Response {
    let edge = asked.edge.unwrap_or(TABLE_EDGE).clamp(*EDGES.start(), *EDGES.end());
    in_turn(desk, move |desk| Ok(answer::codes(&desk.table.net(id, edge)?)), not_there).await
}

#[derive(Clone, Deserialize)]
pub(super) struct Asked {
    grade: Option<String>,
    exposure: Option<String>,
    place: Option<String>,
    straight: Option<String>,
    edge: Option<u32>,
}

impl Asked {
    fn on_paper(&self, desk: &Desk, id: usize) -> Result<OnPaper, String> {
        if self.straight.is_some() {
            return desk.table.straight(id);
        }
        let words = [self.grade.clone(), self.exposure.clone(), self.place.clone()];
        let placed = placed(desk, id, words.map(|word| word.map(Some)))?;
        tried(desk, id, &placed)
    }
}

/// The frame on its paper by these settings.
fn tried(desk: &Desk, id: usize, words: &[(&'static str, Option<String>)]) -> Result<OnPaper, String> {
    let mut wishes = Wishes::default();
    for (name, word) in words {
        word.as_ref().map_or(Ok(()), |word| wishes.add(name, word)).map_err(|e| e.to_string())?;
    }
    desk.table.on_paper(id, &wishes)
}

/// Grade, exposure and placing as settings, each checked; one that is to be taken away has no word, one that is not
/// spoken of is not among them.
fn placed(
    desk: &Desk,
    id: usize,
    words: [Option<Option<String>>; 3],
) -> Result<Vec<(&'static str, Option<String>)>, String> {
    let mut all = Vec::new();
    for (name, word) in ["grade", "exposure", "place"].into_iter().zip(words) {
        let Some(word) = word else { continue };
        let word = match word {
            Some(word) if name == "place" => Some(desk.table.place(id, &word)?),
            other => other,
        };
        if let Some(word) = &word {
            Wishes::default().add(name, word).map_err(|e| e.to_string())?;
        }
        all.push((name, word));
    }
    Ok(all)
}

pub(super) async fn printed(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<usize>,
    Query(asked): Query<Asked>,
) -> Response {
    beside(move || asked.on_paper(&desk, id).map_or_else(unreadable, |of| answer::on_paper(&of))).await
}

/// The picture as the program develops it, a byte a pixel: what the page makes of the same net densities is the same.
pub(super) async fn developed(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<usize>,
    Query(asked): Query<Asked>,
) -> Response {
    let edge = asked.edge.unwrap_or(TABLE_EDGE).clamp(*EDGES.start(), *EDGES.end());
    let develop = move |desk: &Desk| {
        let of = asked.on_paper(desk, id)?;
        Ok(of.develop(&desk.table.net(id, edge)?).into_response())
    };
    in_turn(desk, develop, unreadable).await
}

#[derive(Deserialize)]
pub(super) struct Part {
    x: u32,
    y: u32,
    width: u32,
    height: u32,
}

pub(super) async fn tile(State(desk): State<Arc<Desk>>, Path(id): Path<usize>, Query(part): Query<Part>) -> Response {
    let Part { x, y, width, height } = part;
    let area = Area { x, y, width: width.min(MOST_OF_A_TILE), height: height.min(MOST_OF_A_TILE) };
    in_turn(desk, move |desk| Ok(answer::codes(&desk.table.tile(id, area)?)), not_there).await
}

pub(super) async fn focus(State(desk): State<Arc<Desk>>, Path(id): Path<usize>) -> Response {
    in_turn(desk, move |desk| Ok(answer::sharp(&desk.table.sharp(id)?)), not_there).await
}

pub(super) async fn dust(State(desk): State<Arc<Desk>>, Path(id): Path<usize>) -> Response {
    in_turn(desk, move |desk| Ok(answer::dust(&desk.table.dust(id)?)), not_there).await
}

/// What a page sends: plain values of this form and no others, or nothing is done.
pub(super) struct Sent<T>(T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match Json::from_request(request, state).await {
            Ok(Json(sent)) => Ok(Self(sent)),
            Err(JsonRejection::JsonDataError(error)) => {
                let what = error.source().map(ToString::to_string).unwrap_or_default();
                Err(unreadable(format!(
                    "nothing was done, the page sent what this dryside does not know: {what}: load it anew"
                )))
            }
            Err(other) => Err(other.into_response()),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MarkAsked {
    mark: Option<String>,
    remark: Option<String>,
    revision: String,
}

/// Fields of the shot notes by their names; one without words is to be taken away, one that is not spoken of is left.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ShotAsked {
    fields: BTreeMap<String, String>,
    revision: String,
}

/// What stands there as nothing is to be taken away; what does not stand there is left.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PrintAsked {
    #[serde(default, deserialize_with = "spoken_of")]
    grade: Option<Option<String>>,
    #[serde(default, deserialize_with = "spoken_of")]
    exposure: Option<Option<String>>,
    #[serde(default, deserialize_with = "spoken_of")]
    place: Option<Option<String>>,
    revision: String,
}

fn spoken_of<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Option<String>>, D::Error> {
    Option::deserialize(from).map(Some)
}

pub(super) async fn mark(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<usize>,
    Sent(asked): Sent<MarkAsked>,
) -> Response {
    let mark = match asked.mark.as_deref().map(str::parse).transpose() {
        Ok(mark) => mark,
        Err(error) => return unreadable(error),
    };
    change(desk, id, asked.revision, Change::Mark(mark, asked.remark)).await
}

pub(super) async fn shot(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<usize>,
    Sent(asked): Sent<ShotAsked>,
) -> Response {
    change(desk, id, asked.revision, Change::Shot(asked.fields.into_iter().collect())).await
}

pub(super) async fn print(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<usize>,
    Sent(asked): Sent<PrintAsked>,
) -> Response {
    let PrintAsked { grade, exposure, place, revision } = asked;
    beside(move || match placed(&desk, id, [grade, exposure, place]) {
        // What cannot be printed is not written.
        Ok(words) => match tried(&desk, id, &words) {
            Ok(_) => changed(&desk, id, &revision, &Change::Settings(words)),
            Err(error) => unreadable(error),
        },
        Err(error) => unreadable(error),
    })
    .await
}

async fn change(desk: Arc<Desk>, id: usize, revision: String, change: Change) -> Response {
    beside(move || changed(&desk, id, &revision, &change)).await
}

fn changed(desk: &Desk, id: usize, revision: &str, change: &Change) -> Response {
    match desk.table.change(id, revision, change, desk.work.is_running()) {
        Ok(frame) => Json(FrameAnswer::from(frame)).into_response(),
        Err(Refused::Changed(frame)) => (StatusCode::CONFLICT, Json(FrameAnswer::from(*frame))).into_response(),
        Err(Refused::Later(why)) => answer::refused(StatusCode::INSUFFICIENT_STORAGE, why),
        Err(Refused::Wrong(why)) => unreadable(why),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PrintsAsked {
    /// As it is typed for the command.
    size: String,
}

/// An order in which nothing more is said.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Plain {}

pub(super) async fn prints(State(desk): State<Arc<Desk>>, Sent(asked): Sent<PrintsAsked>) -> Response {
    match asked.size.parse::<PaperSize>() {
        Ok(size) => begin(desk, Order::Prints(size)).await,
        Err(error) => unreadable(error.to_string()),
    }
}

pub(super) async fn sheets(State(desk): State<Arc<Desk>>, Sent(Plain {}): Sent<Plain>) -> Response {
    begin(desk, Order::Sheets).await
}

async fn begin(desk: Arc<Desk>, order: Order) -> Response {
    beside(move || match desk.work.begin(order, &desk.table) {
        Ok(work) => (StatusCode::ACCEPTED, Json(work)).into_response(),
        Err(why) => answer::refused(StatusCode::CONFLICT, why),
    })
    .await
}

pub(super) async fn stop(State(desk): State<Arc<Desk>>, Sent(Plain {}): Sent<Plain>) -> Response {
    match desk.work.stop() {
        Some(work) => (StatusCode::ACCEPTED, Json(work)).into_response(),
        None => answer::refused(StatusCode::CONFLICT, "nothing is at work".to_owned()),
    }
}

pub(super) async fn put_away(State(desk): State<Arc<Desk>>, Sent(Plain {}): Sent<Plain>) -> Response {
    desk.work.put_away();
    (StatusCode::ACCEPTED, Json(desk.work.now())).into_response()
}
