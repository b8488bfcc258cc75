//! Turns of those who make pictures: each may read a scan, so only some do at the same time.

use std::sync::Arc;

use tokio::sync::{Notify, Semaphore};
use tokio::task::{JoinError, spawn_blocking};

use crate::batch::Unseen;

/// The turns of a table.
pub(super) struct Turns {
    free: Arc<Semaphore>,
    ended: Arc<Notify>,
}

impl Turns {
    /// As many at the same time as there are `hands`.
    pub(super) fn new(hands: usize) -> Self {
        Self { free: Arc::new(Semaphore::new(hands)), ended: Arc::default() }
    }

    /// Does work when its turn comes; work whose asker went away is forgotten before it begins. While another unpacks
    /// what it needs it holds no turn, and is begun again when that has ended.
    ///
    /// # Errors
    /// Why it cannot be done.
    pub(super) async fn take<T: Send + 'static>(
        &self,
        work: impl Fn() -> Result<T, Unseen> + Clone + Send + 'static,
    ) -> Result<T, Untaken> {
        loop {
            // Heard from here on, so that no end is missed.
            let ended = self.ended.notified();
            let turn = self.free.clone().acquire_owned().await.map_err(|_| Untaken::Broken)?;
            let (work, told) = (work.clone(), self.ended.clone());
            let worked = spawn_blocking(move || {
                let _turn = turn;
                let mut end = End(Some(told));
                let made = work();
                if matches!(made, Err(Unseen::Coming)) {
                    // Those who wait for the same would wake one another for nothing.
                    end.0 = None;
                }
                made
            });
            match worked.await? {
                Ok(made) => return Ok(made),
                Err(Unseen::Wrong(why)) => return Err(Untaken::Wrong(why)),
                Err(Unseen::Coming) => ended.await,
            }
        }
    }
}

/// Why nothing came of a turn.
#[derive(Debug)]
pub(super) enum Untaken {
    /// It cannot be done.
    Wrong(String),
    /// It ended in a fault of the program.
    Broken,
}

impl From<JoinError> for Untaken {
    fn from(_: JoinError) -> Self {
        Self::Broken
    }
}

/// Tells those who wait that a turn has ended, whichever way.
struct End(Option<Arc<Notify>>);

impl Drop for End {
    fn drop(&mut self) {
        if let Some(ended) = &self.0 {
            ended.notify_waiters();
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::sync::mpsc;

    use tokio::runtime::Builder;

    use super::*;

    /// With two hands, one who unpacks, and three who wait for the same: whoever wants something else has a turn all
    /// the same.
    #[test]
    fn who_waits_for_what_another_unpacks_holds_no_turn() {
        let runtime = Builder::new_current_thread().enable_all().build().unwrap();
        let turns = Arc::new(Turns::new(2));
        let (done, wait) = mpsc::channel::<()>();
        let wait = Arc::new(Mutex::new(wait));
        let tried = Arc::new(AtomicUsize::new(0));
        let unpacked = Arc::new(AtomicUsize::new(0));
        runtime.block_on(async {
            let (at, last) = (turns.clone(), unpacked.clone());
            let unpacks = tokio::spawn(async move {
                let unpack = move || {
                    wait.lock().unwrap().recv().unwrap();
                    last.store(1, Ordering::SeqCst);
                    Ok(())
                };
                at.take(unpack).await
            });
            let waiters: Vec<_> = (0..3)
                .map(|_| {
                    let (at, tried, unpacked) = (turns.clone(), tried.clone(), unpacked.clone());
                    tokio::spawn(async move {
                        let look = move || {
                            tried.fetch_add(1, Ordering::SeqCst);
                            if unpacked.load(Ordering::SeqCst) == 0 { Err(Unseen::Coming) } else { Ok(()) }
                        };
                        at.take(look).await
                    })
                })
                .collect();
            while tried.load(Ordering::SeqCst) < 3 {
                tokio::task::yield_now().await;
            }
            assert_eq!(turns.take(|| Ok(7)).await.unwrap(), 7);
            done.send(()).unwrap();
            assert!(unpacks.await.unwrap().is_ok());
            for waiter in waiters {
                assert!(waiter.await.unwrap().is_ok());
            }
        });
        // Once more each when something else ended, and once when it was there.
        assert!(tried.load(Ordering::SeqCst) <= 9, "they do not ask again and again: {tried:?}");
    }

    #[test]
    fn a_turn_that_ends_in_a_fault_wakes_those_who_wait_too() {
        let runtime = Builder::new_current_thread().enable_all().build().unwrap();
        let turns = Arc::new(Turns::new(2));
        let (tried, fallen) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let made = runtime.block_on(async {
            let at = turns.clone();
            let (asked, last) = (tried.clone(), fallen.clone());
            let falls = tokio::spawn(async move {
                let fall = move || -> Result<(), Unseen> {
                    while asked.load(Ordering::SeqCst) == 0 {
                        std::thread::yield_now();
                    }
                    last.store(1, Ordering::SeqCst);
                    panic!("a fault");
                };
                at.take(fall).await
            });
            let look = move || {
                tried.fetch_add(1, Ordering::SeqCst);
                if fallen.load(Ordering::SeqCst) == 0 { Err(Unseen::Coming) } else { Ok(()) }
            };
            let made = turns.take(look).await;
            assert!(matches!(falls.await.unwrap(), Err(Untaken::Broken)));
            made
        });
        assert!(made.is_ok());
    }
}
