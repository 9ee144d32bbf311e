//! How a long stage tells how far it is and learns that nobody wants it any more. Passed in; the core keeps no clock.

/// Progress and cancellation of a long stage. Both may be called from any thread.
pub trait Watch: Sync {
    /// `done` of `total` steps of `stage` are finished.
    fn progress(&self, stage: &str, done: usize, total: usize);
    /// True once the result is no longer wanted; the stage then returns early with what it has.
    fn cancelled(&self) -> bool;
}

/// Nobody watches.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn progress(&self, _stage: &str, _done: usize, _total: usize) {}
    fn cancelled(&self) -> bool {
        false
    }
}
