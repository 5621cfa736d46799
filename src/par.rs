//! How is long work split, and who hears how far it is?
//!
//! Work is cut into chunks of fixed size, each with its own state and first guess; results come back in chunk
//! order whatever the number of threads, so sums have the same bits on one thread or many.

use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Called with what is being done and the part of it done so far, 0 to 1. May be called from any thread.
pub type Progress<'a> = &'a (dyn Fn(&str, f64) + Sync);

/// A progress callback that says nothing.
pub fn silent(_: &str, _: f64) {}

/// Runs `work` on the chunks `start..end` of `0..len` and returns what each gave, in order.
pub fn chunks<T, F>(len: usize, size: usize, label: &str, progress: Progress<'_>, work: F) -> Vec<T>
where
    T: Send,
    F: Fn(std::ops::Range<usize>) -> T + Sync,
{
    chunks_with(len, size, label, progress, || (), |(), range| work(range))
}

/// As [`chunks`], with memory that each thread makes once and `work` may use; what it gives must not depend on what is in it.
pub fn chunks_with<S, T, F>(
    len: usize,
    size: usize,
    label: &str,
    progress: Progress<'_>,
    memory: impl Fn() -> S + Sync + Send,
    work: F,
) -> Vec<T>
where
    T: Send,
    F: Fn(&mut S, std::ops::Range<usize>) -> T + Sync,
{
    let size = size.max(1);
    let count = len.div_ceil(size);
    let done = AtomicUsize::new(0);
    (0..count)
        .into_par_iter()
        .map_init(memory, |memory, k| {
            let out = work(memory, k * size..((k + 1) * size).min(len));
            let so_far = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(label, so_far as f64 / count as f64);
            out
        })
        .collect()
}

/// Works on that many threads from now on (0: as many as the machine has). Only the first call counts, and only before any work.
pub fn use_threads(count: usize) {
    // Refused once a pool stands: then the number is what it was, and results are the same anyway.
    let _ = rayon::ThreadPoolBuilder::new().num_threads(count).build_global();
}

/// Runs two pieces of work side by side.
pub fn both<A: Send, B: Send>(a: impl FnOnce() -> A + Send, b: impl FnOnce() -> B + Send) -> (A, B) {
    rayon::join(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chunks_come_back_in_order_and_cover_everything_once() {
        let parts = chunks(10_001, 16, "t", &silent, |r| r.clone());
        assert_eq!(parts.first().map(|r| r.start), Some(0));
        assert_eq!(parts.last().map(|r| r.end), Some(10_001));
        assert!(parts.windows(2).all(|w| w[0].end == w[1].start));
        assert!(chunks(0, 16, "t", &silent, |r| r.len()).is_empty());
    }

    #[test]
    fn progress_ends_at_one() {
        let most = std::sync::Mutex::new(0.0_f64);
        let hear = |_: &str, part: f64| {
            if let Ok(mut m) = most.lock() {
                *m = m.max(part);
            }
        };
        let sums = chunks(1000, 10, "t", &hear, |r| r.sum::<usize>());
        assert_eq!(sums.iter().sum::<usize>(), 499_500);
        assert_eq!(most.into_inner().ok(), Some(1.0));
    }
}
