//! "Did you mean", for every phase that looks names up. One measure of nearness serves all.

pub use crate::diagnostics::{did_you_mean, nearest};
