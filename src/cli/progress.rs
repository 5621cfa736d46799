//! Says on a terminal how far long work is; silent for the first second and where nobody looks.
//!
//! A thread draws what was said last, so that a step which is long and says nothing on the way is seen as well.

use std::io::{IsTerminal, Write};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

/// One line on standard error, drawn over itself.
pub(crate) struct Bar {
    said: Arc<(Mutex<Said>, Condvar)>,
    drawn_by: Option<JoinHandle<()>>,
}

/// What is being done, the part of it done, and whether all is.
#[derive(Default)]
struct Said {
    what: String,
    part: f64,
    done: bool,
}

const PATIENCE: Duration = Duration::from_secs(1);
const PAUSE: Duration = Duration::from_millis(200);

impl Bar {
    /// Begins with that work.
    pub(crate) fn new(what: &str) -> Self {
        let said = Arc::new((Mutex::new(Said { what: what.to_owned(), ..Said::default() }), Condvar::new()));
        let heard = Arc::clone(&said);
        // Without a thread there is no bar, and the work goes on.
        let drawn_by = std::io::stderr().is_terminal().then(|| std::thread::Builder::new().spawn(move || draw(&heard)));
        Self { said, drawn_by: drawn_by.and_then(Result::ok) }
    }

    /// Told of progress, from any thread.
    pub(crate) fn at(&self, what: &str, part: f64) {
        if self.drawn_by.is_none() {
            return;
        }
        // Whoever comes while another is telling is told of soon enough.
        let Ok(mut said) = self.said.0.try_lock() else { return };
        if said.what != what {
            what.clone_into(&mut said.what);
        }
        said.part = part;
    }
}

fn draw((said, wake): &(Mutex<Said>, Condvar)) {
    let mut wait = PATIENCE;
    let mut drawn = false;
    let mut now = said.lock().unwrap_or_else(PoisonError::into_inner);
    while !now.done {
        now = wake.wait_timeout(now, wait).unwrap_or_else(PoisonError::into_inner).0;
        if now.done {
            break;
        }
        // A step that cannot tell how far it is says only what it is.
        let part = if now.part > 0.0 { format!("{:>3.0} %", now.part * 100.0) } else { "...".to_owned() };
        eprint!("\r{:<12} {part:<6}", now.what);
        let _ = std::io::stderr().flush();
        (wait, drawn) = (PAUSE, true);
    }
    if drawn {
        eprint!("\r{:<20}\r", "");
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        self.said.0.lock().unwrap_or_else(PoisonError::into_inner).done = true;
        self.said.1.notify_all();
        if let Some(thread) = self.drawn_by.take() {
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_ends_at_once_though_its_thread_is_waiting() {
        let bar = Bar::new("reading");
        let said = Arc::clone(&bar.said);
        let thread = std::thread::spawn(move || draw(&said));
        let begun = std::time::Instant::now();
        drop(bar);
        assert!(thread.join().is_ok() && begun.elapsed() < PATIENCE);
    }
}
