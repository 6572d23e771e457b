//! Two channels of a desk show the same letters, because their strips cut the labels.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::say::numbers;
use crate::rules::strips::{Strip, strips};
use crate::rules::{Facts, Seen};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "labels-alike",
    code: "C079",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        let strips = strips(seen);
        alike(&strips).into_iter().filter_map(|alike| told(seen, &alike)).collect()
    })
}

/// Channels of one desk that show the same and carry different sources, in order.
pub fn alike<'s>(strips: &'s [Strip]) -> Vec<Vec<&'s Strip<'s>>> {
    let mut shown: BTreeMap<(u32, String), Vec<&Strip>> = BTreeMap::new();
    for strip in strips {
        shown.entry((strip.desk, strip.shown())).or_default().push(strip);
    }
    let several = |alike: &Vec<&Strip>| alike.iter().map(|strip| strip.source).collect::<BTreeSet<_>>().len() > 1;
    shown.into_values().filter(several).collect()
}

fn told(seen: &Seen, alike: &[&Strip]) -> Option<Diagnostic> {
    let (first, last) = (alike.first()?, alike.last()?);
    let row = |strip: &Strip| seen.scene.rows.get(seen.scene.source(strip.source)?.row);
    let (one, two) = (row(first)?, row(last)?);
    let channels: Vec<u32> = alike.iter().map(|strip| strip.channel).collect();
    let desk = seen.rig.device_name(first.desk);
    let both = if alike.len() == 2 { "both" } else { "all" };
    let message = format!(
        "channels {} of `{desk}` {both} show `{}`: its strips have {} letters",
        numbers(&channels),
        first.shown(),
        first.letters
    );
    let short: Vec<String> = alike.iter().filter_map(|strip| strip.shortened()).collect();
    let apart = short.len() == alike.len() && short.iter().collect::<BTreeSet<_>>().len() == short.len();
    let help = match apart {
        true => {
            format!("label them shorter: {}", short.iter().map(|s| format!("\"{s}\"")).collect::<Vec<_>>().join(", "))
        }
        false => format!("give them labels that differ in the first {} letters", first.letters),
    };
    let span = |row: &crate::wants::RowFact| row.numbers.unwrap_or(row.span);
    let mut problem = Diagnostic::warning(RULE.slug, span(two), message).help(help).about(two.name.clone());
    if one.span != two.span {
        problem = problem.label(span(one), format!("`{}` shows it too", one.name));
    }
    Some(problem)
}
