//! What the test targets share.
#![allow(clippy::type_complexity, clippy::should_implement_trait, clippy::wrong_self_convention)]

pub mod apart;
pub mod brute;
pub mod correct;
pub mod dice;
pub mod golden;
pub mod grounds;
pub mod large;
pub mod mangled;
pub mod moved;
pub mod outside;
pub mod situations;
pub mod sized;
pub mod small;
pub mod texts;
pub mod words;
