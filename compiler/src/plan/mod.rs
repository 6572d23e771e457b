//! The plan as plain data, format 1: what to plug, what to set, what then arrives where. Points are
//! text, written as in the language (`stage-left.in 3`), so that the plan stands without the project
//! that made it. The schema is `grammar/plan.schema.json`.

mod before;
mod data;
mod facts;
mod json;
mod point;
mod table;
mod text;
mod trace;
mod view;

pub use before::acts_before;
pub use data::*;
pub use facts::*;
pub use json::json;
pub use text::text;
pub use trace::{Hop, InActs, Trace, TraceError, Way, trace};
