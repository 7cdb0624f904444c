//! Long calls take a [`Control`]: a cancel flag, a progress callback and a work limit counted in steps.
//!
//! Limits are counts, never a wall clock, so that the same call gives the same answer on any machine.

use crate::error::{Error, Result};
use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

type Callback = Arc<dyn Fn(u64, u64) + Send + Sync>;

/// Cancel flag, progress and work limit of a long call. Clones share the flag.
#[derive(Clone, Default)]
pub struct Control {
    cancel: Arc<AtomicBool>,
    progress: Option<Callback>,
    limit: Option<u64>,
}

impl Control {
    /// No limit, no callback.
    pub fn new() -> Self {
        Self::default()
    }

    /// Calls `report(done, total)` now and then.
    #[must_use]
    pub fn with_progress(mut self, report: impl Fn(u64, u64) + Send + Sync + 'static) -> Self {
        self.progress = Some(Arc::new(report));
        self
    }

    /// Refuses work beyond `steps` steps.
    #[must_use]
    pub fn with_limit(mut self, steps: u64) -> Self {
        self.limit = Some(steps);
        self
    }

    /// The same cancel flag without progress and limit: for the steps of a longer call that reports its own.
    #[must_use]
    pub fn quiet(&self) -> Self {
        Self { cancel: Arc::clone(&self.cancel), progress: None, limit: None }
    }

    /// Asks the call to stop at its next step; safe from any thread.
    pub fn cancel(&self) {
        self.cancel.store(true, Ordering::Relaxed);
    }

    /// Has it been cancelled? For slices inside a step, which are no progress of their own.
    pub(crate) fn is_cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
    }

    /// Called between slices that are no progress of their own.
    ///
    /// # Errors
    /// Cancelled.
    pub(crate) fn go_on(&self, what: &str) -> Result<()> {
        if self.is_cancelled() { Err(Error::cancelled(what)) } else { Ok(()) }
    }

    /// Called by long loops between steps.
    ///
    /// # Errors
    /// Cancelled, or `done` beyond the work limit.
    pub fn step(&self, what: &str, done: u64, total: u64) -> Result<()> {
        if self.is_cancelled() {
            return Err(Error::cancelled(what));
        }
        if let Some(limit) = self.limit.filter(|&limit| done > limit) {
            return Err(Error::limit(what, limit));
        }
        if let Some(report) = &self.progress {
            report(done, total);
        }
        Ok(())
    }
}

impl fmt::Debug for Control {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Control")
            .field("cancelled", &self.cancel.load(Ordering::Relaxed))
            .field("limit", &self.limit)
            .finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cancel_reaches_every_clone_and_limits_count_steps() {
        let control = Control::new().with_limit(3);
        assert!(control.step("a search", 3, 10).is_ok());
        assert!(control.step("a search", 4, 10).unwrap_err().is_limit());
        assert!(control.quiet().step("a search", 4, 10).is_ok());
        control.clone().cancel();
        assert!(control.quiet().step("a search", 1, 10).unwrap_err().is_cancelled());
        assert!(control.step("a search", 1, 10).unwrap_err().is_cancelled());
    }
}
