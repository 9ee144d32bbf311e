//! How far a long command is, on standard error, for a person who waits.

use std::io::{IsTerminal, stderr};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::watch::Watch;

/// Nothing is shown of what is done within this time.
const PATIENCE: Duration = Duration::from_secs(1);

/// A bar that counts parts, shown only at a terminal and only once it takes over a second.
pub struct Progress {
    bar: ProgressBar,
    started: Instant,
    shown: bool,
    parts: AtomicUsize,
}

impl Progress {
    /// A bar for so many files or parts; hidden where nobody watches.
    #[must_use]
    pub fn of(n_parts: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(n_parts as u64), ProgressDrawTarget::hidden());
        // The template is part of the program; were it wrong, the plain bar would stand in.
        if let Ok(style) = ProgressStyle::with_template("{pos} of {len} files  {wide_bar}  {msg}") {
            bar.set_style(style);
        }
        Self { bar, started: Instant::now(), shown: stderr().is_terminal(), parts: AtomicUsize::new(0) }
    }

    /// One more file or part is done.
    pub fn done_with(&self, name: &str) {
        let done = self.parts.fetch_add(1, Ordering::Relaxed) + 1;
        self.show(done, name);
    }

    fn show(&self, done: usize, message: &str) {
        if !self.shown || self.started.elapsed() < PATIENCE {
            return;
        }
        if self.bar.is_hidden() {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
        self.bar.set_position(done as u64);
        self.bar.set_message(message.to_owned());
    }

    /// Takes the bar away.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Watch for Progress {
    fn progress(&self, stage: &str, _done: usize, _total: usize) {
        self.show(self.parts.load(Ordering::Relaxed), stage);
    }

    fn cancelled(&self) -> bool {
        false
    }
}
