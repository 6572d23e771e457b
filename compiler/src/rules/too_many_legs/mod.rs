//! One source feeds more inputs than a passive split bears.

use crate::diagnostics::{Diagnostic, Rule, Severity, counted};
use crate::rig::{Point, copper_ends};
use crate::rules::{Facts, Seen, say};
use std::collections::BTreeMap;

/// A warning however many there are: each leg more makes the line thinner and lower, none destroys anything
/// or makes it silent.
pub const RULE: Rule = Rule {
    slug: "too-many-legs",
    code: "C053",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

/// Three, at a push four: the rule of the broadcast trade.
const USUAL: usize = 3;
const AT_A_PUSH: usize = 4;

/// The first source on a set of legs, where its copper ends, and how many others are on the same.
struct Load {
    source: usize,
    ends: Vec<Point>,
    others: usize,
}

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    // Lines of one split are told once.
    let mut loads: BTreeMap<Vec<(u32, u32)>, Load> = BTreeMap::new();
    for (plug, source) in seen.plugs {
        let ends = copper_ends(seen.rig, *plug);
        if ends.len() <= USUAL {
            continue;
        }
        let banks = ends.iter().map(|end| (end.device, end.lane)).collect();
        let load = loads.entry(banks).or_insert_with(|| Load { source: *source, ends, others: 0 });
        load.others += usize::from(load.source != *source);
    }
    loads.into_values().filter_map(|load| told(seen, &load)).collect()
}

fn told(seen: &Seen, load: &Load) -> Option<Diagnostic> {
    let source = seen.scene.source(load.source)?;
    let row = seen.scene.rows.get(source.row)?;
    let (count, ends) = (load.ends.len(), &load.ends);
    let who = match load.others {
        0 => format!("`{}` feeds", source.name),
        others => format!("`{}` and {} feed", source.name, counted(others, "other source")),
    };
    let ends: Vec<String> = ends.iter().map(|end| seen.rig.point_text(*end)).collect();
    let message = format!("{who} {count} inputs with nothing active between: {}", say::names(&ends));
    let help = match count > AT_A_PUSH {
        true => "past four an active split is needed: put one in, or feed the far ones from a desk",
        false => "three is usual, four at a push: leave one out, feed it from a desk, or put an active split in",
    };
    Some(Diagnostic::warning(RULE.slug, row.place.unwrap_or(row.span), message).help(help).about(source.name.clone()))
}
