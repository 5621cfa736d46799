//! Says on a terminal how far long work is; silent for the first second and where nobody looks.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// One line on standard error, drawn over itself.
pub(crate) struct Bar {
    begun: Instant,
    seen: bool,
    last: Mutex<Option<Instant>>,
}

const PATIENCE: Duration = Duration::from_secs(1);
const PAUSE: Duration = Duration::from_millis(100);

impl Bar {
    pub(crate) fn new() -> Self {
        Self { begun: Instant::now(), seen: std::io::stderr().is_terminal(), last: Mutex::new(None) }
    }

    /// Told of progress, from any thread.
    pub(crate) fn at(&self, what: &str, part: f64) {
        if !self.seen || self.begun.elapsed() < PATIENCE {
            return;
        }
        let Ok(mut last) = self.last.try_lock() else { return };
        if last.is_none_or(|t| t.elapsed() > PAUSE) {
            *last = Some(Instant::now());
            eprint!("\r{what:<12} {:>3.0} %", part * 100.0);
            let _ = std::io::stderr().flush();
        }
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        if self.last.lock().is_ok_and(|l| l.is_some()) {
            eprint!("\r{:<20}\r", "");
        }
    }
}
