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

use crate::plan::{Act, Plan};
use known::Known;

/// Everything that the crew of a show is handed, in the order of the book.
pub fn pack(plan: &Plan) -> Pack {
    pack_since(plan, None)
}

/// The same, and on its front page what changed since an earlier plan.
pub fn pack_since(plan: &Plan, before: Option<&Plan>) -> Pack {
    let mark = mark::of_plan(plan);
    let house = Known::house(plan);
    let acts: Vec<Known> = plan.acts.iter().map(|act| Known::act(plan, act)).collect();
    let sheets = lists::all(&house, &acts, &mark, before);
    let called = |act: &Act| (act.act.clone(), act.title.clone().unwrap_or_else(|| act.act.clone()));
    Pack {
        head: Head::of(plan),
        mark,
        sheets: named_apart(sheets),
        acts: plan.acts.iter().map(called).collect(),
        paths: paths::all(plan, &house, &acts),
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
