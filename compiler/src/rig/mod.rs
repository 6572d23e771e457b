//! What there is: the models, the devices made of them, and the cables between. Names of gear and
//! points are resolved here; what must reach where is not known yet.

mod build;
mod chain;
pub mod clocks;
mod library;
mod links;
mod model;
mod model_items;
mod points;
mod preamps;
mod remarks;
mod wiring;

pub use build::{ANY_SIGNAL, Cable, Device, Gear, LinkEnd, Rig, Run, Unread, UsedAs, build, metres};
pub use library::{KindFact, Library, MicFact};
pub use model::{Carry, Copy, Feed, How, Lane, LaneKind, Model, NamedBlock, PortFact, Reserved, Ride, RouteFact, Take};
pub(crate) use model_items::unknown;
pub use points::{Asked, Point, Side, all_of, beyond};
pub use preamps::{
    Preamp, brought_supply, copper_ends, own_preamp, preamp_for, preamps_of, sockets_beyond, ways_to_preamps,
};
pub use remarks::{place_text, remarks};
pub use wiring::wiring;
