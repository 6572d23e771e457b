//! The paper of a show: one sheet for each person who has to act. Everything is taken from the plan, and
//! nothing is worked out that the plan does not say. A pack is plain data; each form writes the same pack
//! and knows no show. The same plan gives the same bytes.
//!
//! Data runs one way: plan → `Known` (looked up by name) → `lists` and `pictures` → `Pack` → `forms`.

mod differs;
mod forms;
mod known;
mod lists;
mod manifest;
mod mark;
mod paths;
mod pictures;
mod sheet;

pub use differs::{Difference, differences};
pub use forms::{File, Form, write};
pub use lists::reminders;
pub use manifest::{Manifest, Off, Stale};
pub use pictures::pattern;
pub use sheet::*;

use crate::at_once::both;
use crate::compare::{Comparison, Paper, Said, compare};
use crate::plan::{Act, Plan};
use known::Known;

/// Everything that the crew of a show is handed, in the order of the book.
pub fn pack(plan: &Plan) -> Pack {
    pack_since(plan, None)
}

/// The same, with what changed since an earlier plan: on the front page, and on a sheet of its own.
pub fn pack_since(plan: &Plan, before: Option<&Plan>) -> Pack {
    let mark = mark::of_plan(plan);
    let scenes = Scenes::of(plan);
    let changed = before.map(|before| (compare(Said::alone(before), Said::alone(plan)), before));
    let mut sheets = scenes.sheets(&mark, changed.as_ref().map(|(changed, _)| changed));
    if let Some((_, before)) = changed {
        let stale = lists::changed::paper(to_print(before, &Scenes::of(before).sheets(&mark, None), plan, &sheets));
        let sheet = sheets.iter_mut().find(|sheet| sheet.slug == lists::changed::SLUG);
        sheet.into_iter().for_each(|sheet| sheet.parts.extend(stale.clone()));
    }
    let called = |act: &Act| (act.act.clone(), act.title.clone().unwrap_or_else(|| act.act.clone()));
    Pack {
        head: Head::of(plan),
        mark,
        sheets,
        acts: plan.acts.iter().map(called).collect(),
        paths: paths::all(plan, &scenes.house, &scenes.acts),
    }
}

/// What of the old paper no longer holds, and what is new, in the order of the book: as the marks of both packs would
/// tell, without working out a mark.
pub fn to_print_again(old: &Plan, new: &Plan) -> Vec<Paper> {
    let (was, now) = both(|| Scenes::of(old).sheets("", None), || Scenes::of(new).sheets("", None));
    let paper = to_print(old, &was, new, &now);
    // Large packs are let go of as they were made.
    both(|| drop(was), || drop(now));
    paper
}

/// Both packs with the same mark: the plan's own is no part of what a sheet says.
fn to_print(old: &Plan, was: &[Sheet], new: &Plan, now: &[Sheet]) -> Vec<Paper> {
    let same_head = Head::of(old) == Head::of(new);
    let off =
        manifest::off(was, |sheet| [&sheet.slug, &sheet.title, sheet.reader], now, |was, now| same_head && was == now);
    let paper = |off: Off| Paper { title: off.title.into(), reader: off.reader.into(), how: off.how.word().into() };
    off.into_iter().filter(|off| off.slug != lists::changed::SLUG).map(paper).collect()
}

/// A plan looked up by name: what holds all day, and each act.
struct Scenes<'p> {
    house: Known<'p>,
    acts: Vec<Known<'p>>,
}

impl<'p> Scenes<'p> {
    fn of(plan: &'p Plan) -> Self {
        Scenes { house: Known::house(plan), acts: plan.acts.iter().map(|act| Known::act(plan, act)).collect() }
    }

    fn sheets(&self, mark: &str, changed: Option<&Comparison>) -> Vec<Sheet> {
        named_apart(lists::all(&self.house, &self.acts, mark, changed))
    }
}

/// Sheets go by their slugs: two of one slug would be one file, on disks that know no capitals too.
fn named_apart(mut sheets: Vec<Sheet>) -> Vec<Sheet> {
    let mut taken = std::collections::BTreeSet::new();
    for sheet in &mut sheets {
        let (wish, mut number) = (fit_for_a_file(&sheet.slug), 1);
        sheet.slug = wish.clone();
        while !taken.insert(sheet.slug.to_lowercase()) {
            number += 1;
            sheet.slug = format!("{wish}-{number}");
        }
    }
    sheets
}

/// Letters of any language, digits and hyphens; short enough for any disk.
fn fit_for_a_file(wish: &str) -> String {
    const BYTES: usize = 120;
    let allowed = |c: char| if c.is_alphanumeric() || c == '-' { c } else { '-' };
    let mut left = BYTES;
    let fits = |c: &char| left.checked_sub(c.len_utf8()).map(|rest| left = rest).is_some();
    wish.chars().map(allowed).take_while(fits).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_sheets_are_one_file() {
        let long = "名".repeat(200);
        let slugs = ["box-a", "box-A", "box-a", "../x", &long, &long];
        let sheets = slugs.map(|slug| Sheet { slug: slug.into(), ..Sheet::default() });
        let named: Vec<String> = named_apart(sheets.to_vec()).into_iter().map(|sheet| sheet.slug).collect();
        assert_eq!(
            named.iter().take(4).map(String::as_str).collect::<Vec<_>>(),
            ["box-a", "box-A-2", "box-a-3", "---x"]
        );
        assert!(named.iter().all(|slug| slug.len() < 130));
        assert_ne!(named.get(4), named.get(5));
    }
}
