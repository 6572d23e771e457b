//! What an editor asks about a show: pure functions over a compiled show and the texts it was made of. They
//! know no protocol, touch no file and decide nothing that the compiler has not decided.

pub mod actions;
pub mod complete;
mod flow;
mod grammar;
mod ground;
pub mod hover;
pub mod index;
mod inlay;
mod lens;
pub mod moved;
mod origin;
pub mod outline;
pub mod paint;
pub mod rename;
mod says;
pub mod shape;
pub mod signature;
mod spot;
#[cfg(test)]
mod tests;
mod things;
mod used;

pub use complete::complete;
pub use flow::{Item, ItemKind, flow_at, incoming, outgoing};
pub use hover::{Hover, Part, hover, taken_together};
pub use index::{Index, NameAt, Owner, Role, Symbol};
pub use inlay::{Hint, inlays};
pub use lens::{Lens, lenses};
pub use signature::signature;

/// Whether a text looks like the first file of a show: some line begins with `show`. Only a compilation knows.
pub fn begins_a_show(text: &str) -> bool {
    text.lines()
        .any(|line| line.trim_start_matches(['\u{feff}', ' ', '\t']).split([' ', '\t', '"']).next() == Some("show"))
}
