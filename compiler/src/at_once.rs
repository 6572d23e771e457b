//! Work that is done on all processors. What comes out stands in the order of what went in, whichever is done first. It
//! never knows what the work is about.

use std::panic::resume_unwind;
use std::thread::{available_parallelism, scope};

/// What `work` makes of each, in order.
pub fn at_once<T: Sync, R: Send>(all: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    if all.len() < 2 {
        return all.iter().map(work).collect();
    }
    let workers = available_parallelism().map_or(1, usize::from);
    let share = all.len().div_ceil(workers).max(1);
    scope(|scope| {
        let work = &work;
        let some = |some| scope.spawn(move || <[T]>::iter(some).map(work).collect::<Vec<_>>());
        let shares: Vec<_> = all.chunks(share).map(some).collect();
        let joined = shares.into_iter().map(|share| share.join().unwrap_or_else(|broke| resume_unwind(broke)));
        joined.flatten().collect()
    })
}

/// What two works make of which neither needs the other.
pub fn both<A: Send, B>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B) -> (A, B) {
    scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        (one.join().unwrap_or_else(|broke| resume_unwind(broke)), other)
    })
}
