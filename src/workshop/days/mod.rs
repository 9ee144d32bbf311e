//! Which evening: tasks with their waits, laid into the hours that there are.

pub mod bench;
pub mod beside;
pub mod calendar;
pub mod check;
pub mod hours;
pub mod outcome;
pub mod pace;
pub mod place;
pub mod schedule;
pub mod task;
pub mod tasks;
pub mod trial;
pub mod unfit;
pub mod words;

pub use outcome::{DayTask, Days, Evening, days};

#[cfg(test)]
mod tests;
