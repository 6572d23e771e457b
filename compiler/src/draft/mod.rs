//! The plan's first draft: what the search found, written out as the plan's data with everything that
//! follows from it. Whether it is true is for `verify` to say.

mod among;
mod origins;
mod power;
mod promised;
mod settings;
mod state;
mod top;

pub use crate::rig::{Preamp, preamps_of};
pub use origins::origins;
pub use promised::promised;
pub use settings::supplier;
pub use state::{State, state};
pub use top::{changes, draft, silences, wanted};
