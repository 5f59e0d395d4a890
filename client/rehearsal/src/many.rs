//! Many days, each played by itself: a server, a folder, a port and a thread of its own for each. Inside a day everything
//! happens in order, so that it goes the same way however many are played beside it.

use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;

use tokio::sync::watch;

use crate::day::Day;
use crate::play::{PlayError, Played, Policy, Scene, Settings, play};

/// Plays one day in order, on this thread. Waits until it is over.
///
/// # Errors
/// What kept the day from being played to its end.
pub fn play_alone(day: &Day, seed: u64, policy: Option<Policy>) -> Result<Played, PlayError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let (scenes, _) = watch::channel(Scene::default());
    runtime.block_on(play(day, Settings { seed, race: false, policy, server: None, scenes }))
}

/// Does `one` for every number below `count`, as many at once as the machine has cores, and returns what came of
/// each, in order. After the first failure nothing new is begun.
///
/// # Errors
/// The failure of the lowest number that failed.
pub fn in_threads<T: Send, E: Send>(
    count: usize,
    one: impl Fn(usize) -> Result<T, E> + Sync,
) -> Result<Vec<T>, E> {
    let threads = thread::available_parallelism().map_or(1, NonZero::get).min(count);
    let (next, failed) = (AtomicUsize::new(0), AtomicBool::new(false));
    let done = Mutex::new(Vec::with_capacity(count));
    let work = || {
        while !failed.load(Ordering::Relaxed) {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= count {
                return;
            }
            let outcome = one(number);
            failed.fetch_or(outcome.is_err(), Ordering::Relaxed);
            done.lock().unwrap_or_else(PoisonError::into_inner).push((number, outcome));
        }
    };
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, outcome)| outcome).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_back_is_in_order() {
        let done: Result<Vec<usize>, ()> = in_threads(200, |number| Ok(number * number));
        assert_eq!(done, Ok((0..200).map(|number| number * number).collect()));
        assert_eq!(in_threads(0, Ok::<_, ()>), Ok(Vec::new()));
    }

    #[test]
    fn after_a_failure_nothing_new_is_begun() {
        let begun = AtomicUsize::new(0);
        let outcome = in_threads(100_000, |number| {
            begun.fetch_add(1, Ordering::Relaxed);
            if number == 3 { Err(number) } else { Ok(()) }
        });
        assert_eq!(outcome, Err(3));
        assert!(begun.into_inner() < 100_000);
    }
}
