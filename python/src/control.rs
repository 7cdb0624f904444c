//! Long calls: a worker thread computes, the calling thread looks after signals and progress.

use crate::error;
use dibble::control::Control;
use pyo3::prelude::*;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;

/// Between two looks at signals and progress.
const POLL: Duration = Duration::from_millis(50);
/// How long an interrupted call waits for its worker; one that is still busy then ends by itself at its next slice.
const PATIENCE: Duration = Duration::from_millis(100);

/// Calls the core on a thread of its own. Ctrl-C stops it, and so does an exception from `progress(done, total)`.
pub fn long<T: Send + 'static>(
    py: Python<'_>,
    what: &str,
    progress: Option<&Bound<'_, PyAny>>,
    call: impl FnOnce(&Control) -> dibble::Result<T> + Send + 'static,
) -> PyResult<T> {
    let reached = Arc::new((AtomicU64::new(0), AtomicU64::new(0)));
    let seen = Arc::clone(&reached);
    let control = Control::new().with_progress(move |done, total| {
        seen.0.fetch_max(done, Ordering::Relaxed);
        seen.1.store(total, Ordering::Relaxed);
    });
    let report = || match progress {
        Some(call) => call.call1((reached.0.load(Ordering::Relaxed), reached.1.load(Ordering::Relaxed))).map(drop),
        None => Ok(()),
    };
    let worker = control.clone();
    let (sender, mut receiver) = mpsc::channel();
    std::thread::Builder::new().name("dibble".into()).spawn(move || {
        // nobody listens any more after an interrupt
        let _ = sender.send(catch_unwind(AssertUnwindSafe(|| call(&worker))));
    })?;
    loop {
        let (back, answer) = py.detach(move || {
            let answer = receiver.recv_timeout(POLL);
            (receiver, answer)
        });
        receiver = back;
        match answer {
            Ok(Ok(Ok(value))) => return report().map(|()| value),
            Ok(Ok(Err(refusal))) => return Err(error::raise(py, &refusal)),
            Ok(Err(_)) | Err(RecvTimeoutError::Disconnected) => return Err(error::internal(py, what)),
            Err(RecvTimeoutError::Timeout) => {}
        }
        if let Err(stop) = py.check_signals().and_then(|()| report()) {
            control.cancel();
            py.detach(move || drop(receiver.recv_timeout(PATIENCE)));
            return Err(stop);
        }
    }
}
