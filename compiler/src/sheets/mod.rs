//! The paper of a show: one sheet for each person who has to act. Everything is taken from the plan, and
//! nothing is worked out that the plan does not say. A pack is plain data; each form writes the same pack
//! and knows no show. The same plan gives the same bytes.
//!
//! Data runs one way: plan → `Known` (looked up by name) → `lists` and `pictures` → `Pack` → `forms`.

mod forms;
mod known;
mod lists;
mod mark;
mod pictures;
mod sheet;

pub use forms::{File, Form, write};
pub use sheet::*;

use crate::plan::Plan;
use known::Known;

/// Everything that the crew of a show is handed, in the order of the book.
pub fn pack(plan: &Plan) -> Pack {
    let house = Known::house(plan);
    let acts: Vec<Known> = plan.acts.iter().map(|act| Known::act(plan, act)).collect();
    let sheets = lists::all(&house, &acts);
    Pack { head: Head::of(plan), mark: mark::of_plan(plan), sheets: named_apart(sheets) }
}

/// Sheets go by their slugs: two of one slug would be one file.
fn named_apart(mut sheets: Vec<Sheet>) -> Vec<Sheet> {
    let mut taken = std::collections::BTreeSet::new();
    for sheet in &mut sheets {
        let (wish, mut number) = (sheet.slug.clone(), 1);
        while !taken.insert(sheet.slug.clone()) {
            number += 1;
            sheet.slug = format!("{wish}-{number}");
        }
    }
    sheets
}
