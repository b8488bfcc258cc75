//! Work that is ordered on the page: the same that the commands do.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};

use crate::batch::{
    Kinds, PAGE_PPI, PrintOrder, PrintTask, PrintWishes, ProofOrder, TableFrames, lay_proofs, least_memory, make_prints,
};
use crate::light::PixelsPerInch;
use crate::notes::Mark;
use crate::paper::PaperSize;
use crate::scan::Halt;

use super::answer::WorkAnswer;
use super::events::Events;

/// What can be ordered.
#[derive(Clone, Copy, Debug)]
pub(super) enum Order {
    /// A print of each frame that is marked so, on this sheet.
    Prints(PaperSize),
    /// The proof sheets.
    Sheets,
}

/// Prints and sheets in the making, one order at a time.
pub(super) struct Work {
    size: PaperSize,
    events: Events,
    now: Arc<Mutex<Option<(WorkAnswer, Halt)>>>,
    hand: Mutex<Option<JoinHandle<()>>>,
}

impl Work {
    pub(super) fn new(size: PaperSize, events: &Events) -> Self {
        Self { size, events: events.clone(), now: Arc::default(), hand: Mutex::default() }
    }

    /// The sheet of prints, if no other is asked for.
    pub(super) fn size(&self) -> PaperSize {
        self.size
    }

    /// What goes on, or what was last done.
    pub(super) fn now(&self) -> Option<WorkAnswer> {
        lock(&self.now).as_ref().map(|(work, _)| work.clone())
    }

    /// Whether something goes on.
    pub(super) fn is_running(&self) -> bool {
        lock(&self.now).as_ref().is_some_and(|(work, _)| work.running)
    }

    /// Stops what goes on and waits for it: what is made is whole then.
    pub(super) fn end(&self) {
        self.stop();
        if let Some(hand) = lock(&self.hand).take() {
            // What went wrong in it was told to the page.
            let _ = hand.join();
        }
    }

    /// Asks what goes on to stop.
    pub(super) fn stop(&self) -> Option<WorkAnswer> {
        let now = lock(&self.now);
        let (work, halt) = now.as_ref().filter(|(work, _)| work.running)?;
        halt.ask();
        Some(work.clone())
    }

    /// What has ended is told no more; what goes on stays.
    pub(super) fn put_away(&self) {
        let mut now = lock(&self.now);
        if now.as_ref().is_some_and(|(work, _)| !work.running) {
            *now = None;
            self.events.tell("work", &None::<WorkAnswer>);
        }
    }

    /// Begins an order.
    ///
    /// # Errors
    /// When another is at work, or there is nothing to be done.
    pub(super) fn begin(&self, order: Order, table: &TableFrames) -> Result<WorkAnswer, String> {
        let marked =
            || (0..table.frames()).filter_map(|id| table.frame(id)).filter(|frame| frame.mark == Some(Mark::Print));
        let (what, of) = match order {
            Order::Prints(_) => ("prints", marked().count()),
            Order::Sheets => ("sheets", 1),
        };
        if of == 0 {
            return Err("no frame is marked print: mark those that are to be printed".to_owned());
        }
        let begun =
            WorkAnswer { what, running: true, done: 0, of, well: false, message: String::new(), failures: Vec::new() };
        let halt = Halt::default();
        let mut now = lock(&self.now);
        if now.as_ref().is_some_and(|(work, _)| work.running) {
            return Err("one order is at work: let it finish, or stop it".to_owned());
        }
        *now = Some((begun.clone(), halt.clone()));
        drop(now);
        self.events.tell("work", &begun);
        let (shared, events, table) = (self.now.clone(), self.events.clone(), table.clone());
        let hand = thread::spawn(move || {
            let change = |alter: &dyn Fn(&mut WorkAnswer)| {
                if let Some((work, _)) = lock(&shared).as_mut() {
                    alter(work);
                    events.tell("work", work);
                }
            };
            let tell = |file: &str| {
                change(&|work| {
                    work.done += usize::from(!work.message.is_empty());
                    work.message = file.to_owned();
                });
            };
            let work = || match order {
                Order::Prints(size) => prints(&table, size, of, &halt, &tell),
                Order::Sheets => sheets(&table, &halt, &tell),
            };
            let fault = |_| Err("it ended in a fault of the program: see what is printed beside it".to_owned());
            let ended = catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(fault);
            let ended = ended.unwrap_or_else(|why| Ended { message: why, failures: Vec::new(), well: false });
            let stopped = halt.is_asked();
            change(&|work| {
                work.running = false;
                work.well = ended.well && !stopped;
                if work.well {
                    work.done = work.of;
                }
                work.message =
                    if stopped { "stopped: what is made is whole".to_owned() } else { ended.message.clone() };
                work.failures.clone_from(&ended.failures);
            });
        });
        *lock(&self.hand) = Some(hand);
        Ok(begun)
    }
}

/// How work ended.
struct Ended {
    /// What was made, or why nothing could be.
    message: String,
    /// What could not be made, and why.
    failures: Vec<String>,
    well: bool,
}

impl Ended {
    fn of(message: String, failures: Vec<String>) -> Self {
        Self { well: failures.is_empty(), message, failures }
    }
}

fn lock<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Prints the frames that are marked, as many as `of`; tells how it went.
fn prints(table: &TableFrames, size: PaperSize, of: usize, halt: &Halt, tell: &dyn Fn(&str)) -> Result<Ended, String> {
    let order = PrintOrder {
        task: PrintTask::New(vec![table.out().to_owned()], Box::new(PrintWishes::plain(size))),
        marked: Some(Mark::Print),
        scans: table.scans().map(Into::into),
        out: None,
        force: false,
    };
    let outcome = make_prints(&order, halt, tell).map_err(|e| e.to_string())?;
    let printed = outcome.prints.len();
    let made = if printed < of { format!("{printed} of {of} printed") } else { format!("{printed} printed") };
    Ok(Ended::of(made, outcome.failures))
}

/// Lays the proof sheets; tells how it went.
fn sheets(table: &TableFrames, halt: &Halt, tell: &dyn Fn(&str)) -> Result<Ended, String> {
    let order = ProofOrder {
        frames: vec![table.out().to_owned()],
        marked: None,
        page: None,
        grid: None,
        contact: false,
        kinds: Kinds::BOTH,
        loupe: false,
        ppi: PixelsPerInch::new(PAGE_PPI).ok_or("a page has a resolution")?,
        scans: table.scans().map(Into::into),
        out: None,
        force: false,
        memory: least_memory(),
    };
    let outcome = lay_proofs(&order, halt, tell)?;
    let sheet = outcome.files.first().map(|file| format!("proof sheet: {}", file.display()));
    Ok(Ended::of(sheet.unwrap_or_else(|| "no sheet was laid".to_owned()), outcome.failures))
}
