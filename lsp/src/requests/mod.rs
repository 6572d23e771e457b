//! A request, a function: from a world to the protocol's answer. What the answer says is the compiler's.

pub mod actions;
pub mod complete;
pub mod diagnostics;
mod edits;
pub mod flow;
pub mod hover;
pub mod inlay;
pub mod lens;
pub mod names;
pub mod paint;
pub mod rename;
pub mod shape;
pub mod signature;
pub mod tidy;
