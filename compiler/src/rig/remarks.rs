//! What rows say for people: where a thing stands, whose it is, and a note. It changes no signal.

use crate::plan::Remarks;
use crate::project::attrs;
use crate::syntax::ast::{Attr, Place};

pub fn remarks(row: &[Attr]) -> Remarks {
    Remarks {
        place: attrs::place(row).map(|(place, _)| place_text(place)),
        who: attrs::who(row).map(|(who, _)| who.value.clone()),
        note: attrs::note(row).map(|(note, _)| note.value.clone()),
        priority: attrs::priority(row).map(|(priority, _)| priority.value.word().to_string()),
    }
}

/// A place as sheets print it.
pub fn place_text(place: &Place) -> String {
    match place {
        Place::Named(name) => name.value.clone(),
        Place::Metres { across, up } => {
            format!("{} {}, {} {}", across.value.number, across.value.unit, up.value.number, up.value.unit)
        }
        Place::Text(text) => text.value.clone(),
    }
}
