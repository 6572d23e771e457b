//! The plan as plain data, format 1: what to plug, what to set, what then arrives where. Points are
//! text, written as in the language (`stage-left.in 3`), so that the plan stands without the project
//! that made it. The schema is `grammar/plan.schema.json`.

mod before;
mod changeover;
mod contents;
mod crew;
mod data;
mod dial;
mod facts;
mod json;
mod origin;
mod point;
mod table;
mod text;
mod trace;
mod usage;
mod view;

pub use before::acts_before;
pub(crate) use changeover::Changeover;
pub(crate) use contents::{Contents, Places};
pub(crate) use crew::{EVERYBODY, HOUSE, MONITORS, RECORDIST, STAGE, is_monitor};
pub use data::*;
pub(crate) use dial::{Run, plain, preamp, runs};
pub use facts::*;
pub use json::json;
pub use origin::{Origin, Origins};
pub(crate) use point::{Points, joined, parted, point, port_or_bank, range, ranges};
pub(crate) use table::{Table, clean, in_markdown};
pub use text::text;
pub(crate) use text::{act_name, cable_kind, changeover, device_order, digest, length, said_of_itself, unlike_points};
pub use trace::{Hop, InActs, Trace, TraceError, Way, trace};
pub(crate) use trace::{acts, rows, title};
pub(crate) use usage::{Usage, slots_at};
pub(crate) use view::View;
