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

use crate::compare::{Paper, Said, compare};
use crate::plan::{Act, Plan};
use known::Known;

/// Everything that the crew of a show is handed, in the order of the book.
pub fn pack(plan: &Plan) -> Pack {
    pack_since(plan, None)
}

/// The same, with what changed since an earlier plan: on the front page, and on a sheet of its own.
pub fn pack_since(plan: &Plan, before: Option<&Plan>) -> Pack {
    let mark = mark::of_plan(plan);
    let house = Known::house(plan);
    let acts: Vec<Known> = plan.acts.iter().map(|act| Known::act(plan, act)).collect();
    let changed = before.map(|before| (compare(Said::alone(before), Said::alone(plan)), before));
    let sheets = lists::all(&house, &acts, &mark, changed.as_ref().map(|(changed, _)| changed));
    let called = |act: &Act| (act.act.clone(), act.title.clone().unwrap_or_else(|| act.act.clone()));
    let mut pack = Pack {
        head: Head::of(plan),
        mark,
        sheets: named_apart(sheets),
        acts: plan.acts.iter().map(called).collect(),
        paths: paths::all(plan, &house, &acts),
    };
    if let Some((_, before)) = changed {
        let paper = lists::changed::paper(stale_paper(&self::pack(before), &pack));
        let sheet = pack.sheets.iter_mut().find(|sheet| sheet.slug == lists::changed::SLUG);
        sheet.into_iter().for_each(|sheet| sheet.parts.extend(paper.clone()));
    }
    pack
}

/// What of the old paper no longer holds, and what is new, in the order of the book.
pub fn to_print_again(old: &Plan, new: &Plan) -> Vec<Paper> {
    stale_paper(&pack(old), &pack(new))
}

fn stale_paper(was: &Pack, now: &Pack) -> Vec<Paper> {
    let before = Manifest::of(was, &[]);
    let reader = |slug: &str| {
        let sheet = now.sheets.iter().chain(&was.sheets).find(|sheet| sheet.slug == slug);
        sheet.map(|sheet| sheet.reader.to_string()).unwrap_or_default()
    };
    let paper = |off: Off| Paper { title: off.title.into(), reader: reader(off.slug), how: off.how.word().into() };
    before.stale(now).into_iter().filter(|off| off.slug != lists::changed::SLUG).map(paper).collect()
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
