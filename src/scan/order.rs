//! Parts of a scan worked on side by side, and what came of them taken in order.

use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, RecvError, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::thread;
use std::time::Duration;

use rayon::prelude::*;

use super::error::Error;

/// Batches that are in the making, if there are as many parts: with a single one, threads would wait for the slowest of
/// them at its end.
const BATCHES: usize = 3;

/// Makes something of every part, at most `at_once` of them in parallel, and takes the results in order: while some are
/// made, the calling thread takes what those before them gave.
pub(super) fn in_order<P: Sync, T: Send, E: From<Error>>(
    parts: &[P],
    at_once: usize,
    make: impl Fn(&P) -> Result<T, Error> + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let make = &make;
    let a_batch = (at_once / BATCHES).max(1);
    rayon::in_place_scope(|scope| {
        let mut making = VecDeque::new();
        let mut batches = parts.chunks(a_batch);
        loop {
            while making.len() < BATCHES.min(at_once)
                && let Some(batch) = batches.next()
            {
                let (done, made) = sync_channel(1);
                // Nobody waits for it any more once something has failed.
                scope.spawn(move |_| drop(done.send(batch.par_iter().map(make).collect::<Result<Vec<T>, Error>>())));
                making.push_back(made);
            }
            let Some(made) = making.pop_front() else { return Ok(()) };
            // A panic in the making goes on when the scope ends.
            let Ok(made) = wait_for(&made) else { return Ok(()) };
            made?.into_iter().try_for_each(&mut take)?;
        }
    })
}

/// How long a thread of the pool waits before it looks for work again.
const LOOK_AGAIN: Duration = Duration::from_millis(1);

/// Waits for what is made. A thread that makes such things itself goes on with it meanwhile, or all of them might wait.
fn wait_for<T>(made: &Receiver<T>) -> Result<T, RecvError> {
    loop {
        let patience = match rayon::yield_now() {
            None => return made.recv(),
            Some(rayon::Yield::Executed) => Duration::ZERO,
            Some(rayon::Yield::Idle) => LOOK_AGAIN,
        };
        match made.recv_timeout(patience) {
            Ok(made) => return Ok(made),
            Err(RecvTimeoutError::Disconnected) => return Err(RecvError),
            Err(RecvTimeoutError::Timeout) => {}
        }
    }
}

/// What comes one after another from `read`, in batches, is made something of in parallel and the results are taken in
/// order; meanwhile a thread of its own goes on reading. Each batch goes back to the reader when it has served.
pub(super) fn as_it_comes<B: Sync + Send, T: Send, E: From<Error>>(
    read: impl FnOnce(&Outlet<B>) -> Result<(), Error> + Send,
    make: impl Fn(&B) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    let (full, batches) = sync_channel(1);
    let (back, spare) = channel();
    thread::scope(|scope| {
        let reading = scope.spawn(move || read(&Outlet { full, spare }));
        let taken = take_all(batches, &back, make, &mut take);
        let read = reading.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        // Who no longer takes stops the reading too: the cause is told, not its consequence.
        taken?;
        Ok(read?)
    })
}

fn take_all<B: Sync + Send, T: Send, E>(
    batches: Receiver<Vec<B>>,
    back: &Sender<B>,
    make: impl Fn(&B) -> T + Sync,
    take: &mut impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    for batch in batches {
        let made: Vec<T> = batch.par_iter().map(&make).collect();
        // At the end nobody waits for them any more.
        batch.into_iter().for_each(|part| drop(back.send(part)));
        made.into_iter().try_for_each(&mut *take)?;
    }
    Ok(())
}

/// Where a reader puts its batches.
pub(super) struct Outlet<B> {
    full: SyncSender<Vec<B>>,
    spare: Receiver<B>,
}

impl<B> Outlet<B> {
    /// Hands a batch over; waits while another is still to be worked on.
    ///
    /// # Errors
    /// When nobody takes any more; the reader may stop.
    pub(super) fn put(&self, batch: Vec<B>) -> Result<(), Error> {
        self.full.send(batch).map_err(|_| Error::Unsuited("who takes its rows has stopped".into()))
    }

    /// A part that has served and can be filled again.
    pub(super) fn spare(&self) -> Option<B> {
        self.spare.try_recv().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn damaged() -> Error {
        Error::damaged("torn")
    }

    #[test]
    fn results_are_taken_in_order_however_many_are_made_at_once() {
        let parts: Vec<u32> = (0..100).collect();
        for at_once in [1, 3, 16, 1000] {
            let mut taken = Vec::new();
            let make = |part: &u32| {
                // The first ones take longest.
                thread::sleep(Duration::from_micros(u64::from(100 - part)));
                Ok(*part)
            };
            let take = |part| -> Result<(), Error> {
                taken.push(part);
                Ok(())
            };
            in_order(&parts, at_once, make, take).unwrap();
            assert_eq!(taken, parts, "{at_once}");
        }
    }

    /// On a single thread of a pool that makes the parts as well.
    #[test]
    fn who_makes_and_takes_does_not_wait_for_itself() {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
        let parts: Vec<u32> = (0..50).collect();
        let mut taken = Vec::new();
        let take = |part| -> Result<(), Error> {
            taken.push(part);
            Ok(())
        };
        pool.install(|| in_order(&parts, 4, |part| Ok(*part), take)).unwrap();
        assert_eq!(taken, parts);
    }

    #[test]
    fn what_fails_stops_the_rest() {
        let parts: Vec<u32> = (0..100).collect();
        let mut taken = 0;
        let make = |part: &u32| if *part == 50 { Err(damaged()) } else { Ok(*part) };
        let failed = in_order(&parts, 4, make, |_| -> Result<(), Error> {
            taken += 1;
            Ok(())
        });
        assert!(failed.is_err() && taken <= 50, "{taken}");
        let mut taken = 0;
        let failed = in_order(
            &parts,
            4,
            |part| Ok(*part),
            |part| {
                taken += 1;
                if part == 9 { Err(damaged()) } else { Ok(()) }
            },
        );
        assert!(failed.is_err() && taken == 10, "{taken}");
    }

    fn read(outlet: &Outlet<u32>) -> Result<(), Error> {
        (0..50).try_for_each(|i| outlet.put(vec![2 * i, 2 * i + 1]))
    }

    #[test]
    fn what_comes_from_a_reader_is_taken_in_order() {
        let mut taken = Vec::new();
        as_it_comes(
            read,
            |part| *part,
            |part| -> Result<(), Error> {
                taken.push(part);
                Ok(())
            },
        )
        .unwrap();
        assert_eq!(taken, (0..100).collect::<Vec<_>>());
    }

    /// Who no longer takes says why; the reader's own trouble after it is no cause.
    #[test]
    fn the_cause_is_told_and_not_its_consequence() {
        let failed = as_it_comes(read, |part| *part, |part| if part == 7 { Err(damaged()) } else { Ok(()) });
        assert!(matches!(failed, Err(Error::Damaged(_))), "{failed:?}");
        let failed = as_it_comes(|_: &Outlet<u32>| Err(damaged()), |part| *part, |_| Ok::<_, Error>(()));
        assert!(matches!(failed, Err(Error::Damaged(_))), "{failed:?}");
    }
}
