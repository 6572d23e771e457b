//! The fantail compiler: a show's patch as text in, a proven routing plan out.

pub mod diagnostics;
pub mod plan;
pub mod quantity;
pub mod rules;
pub mod source;
pub mod syntax;
pub mod verify;
