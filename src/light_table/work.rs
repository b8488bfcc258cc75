//! Work that is ordered on the page: the same that the commands do.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use crate::batch::{
    Kinds, LightTable, PAGE_PPI, PrintOrder, PrintTask, PrintWishes, ProofOrder, lay_proofs, least_memory, make_prints,
};
use crate::light::PixelsPerInch;
use crate::notes::Mark;
use crate::paper::PaperSize;
use crate::scan::Halt;

use super::answer::WorkAnswer;
use super::events::Events;

/// Prints and sheets in the making, one order at a time.
pub(super) struct Work {
    size: PaperSize,
    /// Of the whole program.
    halt: Halt,
    events: Events,
    now: Arc<Mutex<Option<(WorkAnswer, Halt)>>>,
}

impl Work {
    pub(super) fn new(size: PaperSize, halt: &Halt, events: &Events) -> Self {
        Self { size, halt: halt.clone(), events: events.clone(), now: Arc::default() }
    }

    /// The sheet of prints.
    pub(super) fn size(&self) -> String {
        self.size.to_string()
    }

    /// What goes on, or what was last done.
    pub(super) fn now(&self) -> Option<WorkAnswer> {
        lock(&self.now).as_ref().map(|(work, _)| work.clone())
    }

    /// Asks what goes on to stop.
    pub(super) fn stop(&self) -> Option<WorkAnswer> {
        let now = lock(&self.now);
        let (work, halt) = now.as_ref().filter(|(work, _)| work.running)?;
        halt.ask();
        Some(work.clone())
    }

    /// Begins an order.
    ///
    /// # Errors
    /// When another is at work, or there is nothing to be done.
    pub(super) fn begin(&self, what: &str, table: &LightTable) -> Result<WorkAnswer, String> {
        let mut now = lock(&self.now);
        if now.as_ref().is_some_and(|(work, _)| work.running) {
            return Err("one order is at work: let it finish, or stop it".to_owned());
        }
        let marked =
            || (0..table.frames()).filter_map(|id| table.frame(id)).filter(|lit| lit.mark == Some(Mark::Print));
        let (what, of) = match what {
            "prints" => ("prints", marked().count()),
            "sheets" => ("sheets", 1),
            _ => return Err("there is no such work".to_owned()),
        };
        if of == 0 {
            return Err("no frame is marked print: mark those that are to be printed".to_owned());
        }
        let begun = WorkAnswer { what, running: true, done: 0, of, message: String::new() };
        let halt = Halt::default();
        *now = Some((begun.clone(), halt.clone()));
        drop(now);
        let (shared, events, table) = (self.now.clone(), self.events.clone(), table.clone());
        let (size, whole) = (self.size, self.halt.clone());
        self.events.tell("work", &begun);
        thread::spawn(move || {
            let change = |alter: &dyn Fn(&mut WorkAnswer)| {
                if let Some((work, _)) = lock(&shared).as_mut() {
                    alter(work);
                    events.tell("work", work);
                }
            };
            let tell = |file: &str| {
                // Who ends the program ends this too.
                if whole.is_asked() {
                    halt.ask();
                }
                change(&|work| {
                    work.done += usize::from(!work.message.is_empty());
                    work.message = file.to_owned();
                });
            };
            let ended =
                if what == "prints" { prints(&table, size, &halt, &tell) } else { sheets(&table, &halt, &tell) };
            let stopped = halt.is_asked();
            change(&|work| {
                work.running = false;
                if !stopped {
                    work.done = work.of;
                }
                work.message = if stopped { "stopped: what is made is whole".to_owned() } else { ended.clone() };
            });
        });
        Ok(begun)
    }
}

fn lock<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Prints the frames that are marked; tells how it went.
fn prints(table: &LightTable, size: PaperSize, halt: &Halt, tell: &dyn Fn(&str)) -> String {
    let order = PrintOrder {
        task: PrintTask::New(vec![table.out().to_owned()], Box::new(PrintWishes::plain(size))),
        marked: Some(Mark::Print),
        scans: table.scans().map(Into::into),
        out: None,
        force: false,
    };
    match make_prints(&order, halt, tell) {
        Err(error) => error.to_string(),
        Ok(outcome) => {
            let made = format!("{} printed", outcome.prints.len());
            std::iter::once(made).chain(outcome.failures).collect::<Vec<_>>().join("; ")
        }
    }
}

/// Lays the proof sheets; tells how it went.
fn sheets(table: &LightTable, halt: &Halt, tell: &dyn Fn(&str)) -> String {
    let Some(ppi) = PixelsPerInch::new(PAGE_PPI) else { return String::new() };
    let order = ProofOrder {
        frames: vec![table.out().to_owned()],
        marked: None,
        page: None,
        grid: None,
        contact: false,
        kinds: Kinds::BOTH,
        loupe: false,
        ppi,
        scans: table.scans().map(Into::into),
        out: None,
        force: false,
        memory: least_memory(),
    };
    match lay_proofs(&order, halt, tell) {
        Err(error) => error,
        Ok(outcome) => {
            let laid = outcome.files.first().map(|file| format!("proof sheet: {}", file.display()));
            laid.into_iter().chain(outcome.failures).collect::<Vec<_>>().join("; ")
        }
    }
}
