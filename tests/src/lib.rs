//! What the test targets share.

pub mod brute;
pub mod dice;
pub mod golden;
pub mod grounds;
pub mod moved;
pub mod outside;
pub mod small;
