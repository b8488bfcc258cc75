//! What changes, told to every page that is open: notes that were written here or in an editor, frames that a batch
//! added, and work that goes on.

use std::collections::BTreeSet;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use serde::Serialize;
use tokio::sync::broadcast;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

use super::Desk;
use super::answer::FrameAnswer;

/// How often notes and scans are looked at.
const LOOK: Duration = Duration::from_millis(500);
/// Events that wait for a page that is slow to take them; one that misses some asks for the whole table again.
const WAITING: usize = 256;

/// A line to all pages.
#[derive(Clone, Debug)]
pub(super) struct Events(broadcast::Sender<(&'static str, String)>);

impl Default for Events {
    fn default() -> Self {
        Self(broadcast::channel(WAITING).0)
    }
}

impl Events {
    /// Tells something to every page.
    pub(super) fn tell(&self, kind: &'static str, what: &impl Serialize) {
        let text = serde_json::to_string(what).expect("answers are plain values");
        // Nobody may be listening.
        let _ = self.0.send((kind, text));
    }
}

pub(super) async fn stream(State(desk): State<Arc<Desk>>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let lines = BroadcastStream::new(desk.events.0.subscribe()).map(|line| {
        Ok(match line {
            Ok((kind, text)) => Event::default().event(kind).data(text),
            Err(_missed) => Event::default().event("anew").data("{}"),
        })
    });
    Sse::new(lines).keep_alive(KeepAlive::default())
}

/// Tells of every frame that has come, was renamed or is gone, and of every one whose notes or scan have changed, or
/// the notes of its first scan.
pub(super) async fn follow(desk: Arc<Desk>) {
    let mut before = desk.table.told_from();
    loop {
        tokio::time::sleep(LOOK).await;
        let (at, last) = (desk.clone(), before.clone());
        let told = tokio::task::spawn_blocking(move || {
            // A folder that is away for a while leaves what lies here; what is wrong with a frame is told by the frame.
            let come = at.table.look_through().unwrap_or_default();
            let now = at.table.told_from();
            let changed = now.iter().zip(&last).enumerate().filter(|(_, (now, before))| now != before);
            let mut ids: BTreeSet<usize> = changed.map(|(id, _)| id).chain(come).collect();
            ids.extend(at.table.rescans_of(&ids.iter().copied().collect::<Vec<_>>()));
            for frame in ids.into_iter().filter_map(|id| at.table.frame(id)) {
                at.events.tell("frame", &FrameAnswer::from(frame));
            }
            now
        });
        // One that fails is asked again the next time.
        before = told.await.unwrap_or_else(|_| desk.table.told_from());
    }
}
