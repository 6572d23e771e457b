//! The rows of input lists as they are written, by the place of a scene's row.

use super::{Facts, Seen};
use crate::project::Patch;
use crate::source::Span;
use crate::syntax::ast::InputRow;
use std::collections::BTreeMap;

/// What the house, or the act with the house, says in its input lists.
pub fn patch<'a>(facts: &Facts<'a>, seen: &Seen) -> &'a Patch {
    let act = facts.show.acts.get(seen.number).filter(|act| Some(&act.name.value) == seen.scene.act.as_ref());
    act.map_or(&facts.show.house, |act| &act.patch)
}

/// Every row of an input list, by its place.
pub fn written<'a>(facts: &Facts<'a>, seen: &Seen) -> BTreeMap<Span, &'a InputRow> {
    patch(facts, seen).inputs.iter().map(|row| (row.node.row.span, &row.node.row)).collect()
}
