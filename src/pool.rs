//! Threads: a pool of our own, built on first use and anew in a forked child, where the parent's threads are gone.
//!
//! Work is cut by the caller, never by the number of threads, so that results do not depend on it.

use crate::error::{Error, Result};

/// `f` of each item, in order. `None` takes one thread for each core; without feature `parallel` all runs here.
pub(crate) fn map<T: Sync, R: Send>(items: &[T], n_threads: Option<usize>, f: impl Fn(&T) -> R + Sync + Send) -> Result<Vec<R>> {
    map_owned(items.iter().collect(), n_threads, f)
}

/// As [`map`], each item handed over to `f`.
pub(crate) fn map_owned<T: Send, R: Send>(items: Vec<T>, n_threads: Option<usize>, f: impl Fn(T) -> R + Sync + Send) -> Result<Vec<R>> {
    check(n_threads)?;
    #[cfg(feature = "parallel")]
    if items.len() > 1 && n_threads != Some(1) {
        use rayon::prelude::*;
        let pool = threads::pool(n_threads)?;
        return Ok(pool.install(|| items.into_par_iter().map(f).collect()));
    }
    Ok(items.into_iter().map(f).collect())
}

/// `work(index, piece)` on `out` cut into pieces of `chunk` (the last may be shorter). Threads as in [`map`].
pub(crate) fn each_chunk<T: Send>(
    out: &mut [T],
    chunk: usize,
    n_threads: Option<usize>,
    work: impl Fn(usize, &mut [T]) + Sync + Send,
) -> Result<()> {
    check(n_threads)?;
    #[cfg(feature = "parallel")]
    if out.len() > chunk && n_threads != Some(1) {
        use rayon::prelude::*;
        let pool = threads::pool(n_threads)?;
        pool.install(|| out.par_chunks_mut(chunk).enumerate().for_each(|(i, piece)| work(i, piece)));
        return Ok(());
    }
    out.chunks_mut(chunk).enumerate().for_each(|(i, piece)| work(i, piece));
    Ok(())
}

/// More threads than this are a slip.
const MOST_THREADS: usize = 1024;

/// Refuses a number of threads that is none, with or without threads to start.
pub(crate) fn check(n_threads: Option<usize>) -> Result<()> {
    match n_threads.filter(|n| !(1..=MOST_THREADS).contains(n)) {
        None => Ok(()),
        Some(n) => Err(Error::inconsistent(
            format!("n_threads is {n}"),
            format!("Give 1 to {MOST_THREADS} threads, or none for one to each core."),
        )),
    }
}

#[cfg(feature = "parallel")]
mod threads {
    use crate::error::{Error, Result};
    use rayon::{ThreadPool, ThreadPoolBuilder};
    use std::collections::HashMap;
    use std::sync::{Arc, Mutex, PoisonError};

    type Pools = HashMap<(u32, usize), Arc<ThreadPool>>;

    /// The pool of this process with so many threads.
    pub fn pool(n_threads: Option<usize>) -> Result<Arc<ThreadPool>> {
        static POOLS: Mutex<Option<Pools>> = Mutex::new(None);
        let threads = n_threads.unwrap_or_else(|| std::thread::available_parallelism().map_or(1, Into::into));
        let mut pools = POOLS.lock().unwrap_or_else(PoisonError::into_inner);
        let pools = pools.get_or_insert_default();
        let key = (std::process::id(), threads);
        if let Some(pool) = pools.get(&key) {
            return Ok(Arc::clone(pool));
        }
        let built =
            ThreadPoolBuilder::new().num_threads(threads).build().map_err(|e| Error::internal("starting threads", e.to_string()))?;
        let pool = Arc::new(built);
        pools.insert(key, Arc::clone(&pool));
        Ok(pool)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_keep_their_order_for_any_number_of_threads() {
        let items: Vec<u64> = (0..1000).collect();
        let square = |x: &u64| x * x;
        let alone = map(&items, Some(1), square).unwrap();
        for threads in [None, Some(2), Some(7)] {
            assert_eq!(map(&items, threads, square).unwrap(), alone);
        }
    }

    #[test]
    fn every_piece_is_worked_once_for_any_number_of_threads() {
        for threads in [None, Some(1), Some(2), Some(7)] {
            let mut out = vec![0; 1000];
            each_chunk(&mut out, 64, threads, |i, piece| piece.iter_mut().enumerate().for_each(|(j, x)| *x += i * 64 + j)).unwrap();
            assert!(out.iter().enumerate().all(|(i, &x)| i == x), "{threads:?}");
        }
    }

    #[test]
    fn no_threads_and_far_too_many_are_refused() {
        for threads in [0, 1_000_000] {
            let error = map(&[1], Some(threads), |x| x + 1).unwrap_err().to_string();
            assert_eq!(error, format!("n_threads is {threads}. Give 1 to 1024 threads, or none for one to each core."));
        }
    }
}
