//! Settings that satisfy every want at once, or the smallest reasons why there are none.
//!
//! Wiring and cables are ground to points; every block, point choice, offset, slot and mode is a
//! switch with an ordered list of values. For each want all ways back to its source are listed, each a
//! conjunction of switch = value. The search then picks one way for each want so that no switch has two
//! values: the first such choice in a fixed order, so order of rows and files never matters.

mod conflict;
mod crowd;
mod graph;
mod lost;
mod pins;
mod problem;
mod report;
mod search;
mod switches;
mod trail;
mod walk;
mod ways;

pub use conflict::{Conflict, Impossible, Unit};
pub use graph::Graph;
pub use pins::reserved_under;
pub use problem::{Effort, Solution, Unreachable, route};
pub use report::{report, switch_text, value_text};
pub use switches::{Switch, SwitchId, Switches, Value, What};
pub use trail::{Break, Onward, where_lost};
pub use walk::{Arrival, Origin, arrivals, plugged};
