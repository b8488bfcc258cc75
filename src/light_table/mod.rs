//! The light table: a page on this machine alone, on which a person looks through a batch, prints by eye and marks.
//!
//! What the page shows comes from the scans and their notes on demand; what is decided on it stands in the notes at
//! once. The server listens on the loopback only, under an address that nobody can guess.

mod answer;
mod ask;
mod events;
mod guard;
mod page;
mod turns;
mod work;

use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use tokio::net::TcpListener;
use tokio::runtime;

use crate::batch::TableFrames;
use crate::paper::PaperSize;
use crate::scan::Halt;

use events::Events;
use guard::Guard;
use turns::Turns;
use work::Work;

/// What is asked for.
#[derive(Clone, Debug)]
pub struct TableOrder {
    /// The folder of results.
    pub out: PathBuf,
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<PathBuf>,
    /// Sheet of the prints that are ordered on the page, if no other is asked for there.
    pub size: PaperSize,
    /// The port; any that is free if not said.
    pub port: Option<u16>,
}

/// What all answers are made from.
struct Desk {
    table: TableFrames,
    events: Events,
    work: Work,
    turns: Turns,
}

/// Most bytes that a page may send at once: words, never pictures.
const MOST_SENT: usize = 64 << 10;

/// Most pictures that are made side by side: each holds some tens of megabytes.
const MOST_HANDS: usize = 4;

/// Hands for answers in words and tones, beside those: a mark, or another grade, never waits for a picture.
const HANDS_FOR_WORDS: usize = 4;

/// How often it is looked whether to stop.
const HEED: Duration = Duration::from_millis(100);

/// Serves the page until `halt` is asked. `tell` learns its address.
///
/// # Errors
/// When there are no results to show, or no address can be had.
pub fn serve(order: &TableOrder, halt: &Halt, tell: &dyn Fn(&str)) -> Result<(), String> {
    let table = TableFrames::of(&order.out, order.scans.clone(), halt)?;
    let events = Events::default();
    let work = Work::new(order.size, &events);
    let desk = Arc::new(Desk { table, events, work, turns: Turns::new(hands()) });
    let failed = |e: &dyn std::fmt::Display| format!("the page cannot be served: {e}: give another --port");
    let runtime = runtime::Builder::new_current_thread()
        .enable_all()
        .max_blocking_threads(hands() + HANDS_FOR_WORDS)
        .build()
        .map_err(|e| failed(&e))?;
    runtime.block_on(async {
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, order.port.unwrap_or(0))).await.map_err(|e| failed(&e))?;
        let port = listener.local_addr().map_err(|e| failed(&e))?.port();
        let guard = Guard::new(port).map_err(|e| failed(&e))?;
        tell(&guard.address());
        // The page's own address ends with a slash, so that what it asks for lies below it.
        let whole = format!("{}/", guard.path());
        let router = Router::new().route(&whole, get(page::whole)).nest(&guard.path(), routes(&desk));
        let router = router.layer(from_fn_with_state(Arc::new(guard), guard::check));
        tokio::spawn(events::follow(desk.clone()));
        let serving = tokio::spawn(async move { axum::serve(listener, router).await });
        while !halt.is_asked() && !serving.is_finished() {
            tokio::time::sleep(HEED).await;
        }
        desk.work.end();
        if halt.is_asked() { Ok(()) } else { Err("the page is served no more: open the table again".to_owned()) }
    })
}

/// Pictures that are made side by side: each may read a scan.
fn hands() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).min(MOST_HANDS)
}

fn routes(desk: &Arc<Desk>) -> Router {
    Router::new()
        .route("/light-table.css", get(page::style))
        .route("/face.otf", get(page::face))
        .route("/built/{file}", get(page::module))
        .route("/batch", get(ask::batch))
        .route("/frame/{id}/net", get(ask::net))
        .route("/frame/{id}/printed", get(ask::printed))
        .route("/frame/{id}/developed", get(ask::developed))
        .route("/frame/{id}/tile", get(ask::tile))
        .route("/frame/{id}/focus", get(ask::focus))
        .route("/frame/{id}/dust", get(ask::dust))
        .route("/frame/{id}/mark", post(ask::mark))
        .route("/frame/{id}/shot", post(ask::shot))
        .route("/frame/{id}/print", post(ask::print))
        .route("/do/prints", post(ask::prints))
        .route("/do/sheets", post(ask::sheets))
        .route("/do/stop", post(ask::stop))
        .route("/do/put-away", post(ask::put_away))
        .route("/events", get(events::stream))
        .layer(DefaultBodyLimit::max(MOST_SENT))
        .with_state(desk.clone())
}
