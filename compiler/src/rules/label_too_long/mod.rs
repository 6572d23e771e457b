//! A label that a channel strip of its desk cuts.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::labels_alike::alike;
use crate::rules::strips::{Strip, strips};
use crate::rules::{Facts, Seen};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "label-too-long",
    code: "C080",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let strips = strips(seen);
    // Labels that are cut alike have been told of.
    let alike: BTreeSet<(u32, u32)> = alike(&strips).into_iter().flatten().map(|s| (s.desk, s.channel)).collect();
    let cut = strips.iter().filter(|strip| strip.is_cut() && !alike.contains(&(strip.desk, strip.channel)));
    let mut rows = BTreeSet::new();
    cut.filter_map(|strip| told(seen, strip, &mut rows)).collect()
}

fn told(seen: &Seen, strip: &Strip, rows: &mut BTreeSet<(u32, usize)>) -> Option<Diagnostic> {
    let source = seen.scene.source(strip.source)?;
    if !rows.insert((strip.desk, source.row)) {
        return None;
    }
    let row = seen.scene.rows.get(source.row)?;
    let desk = seen.rig.device_name(strip.desk);
    let message = format!("channel {} of `{desk}` shows `{}` of `{}`", strip.channel, strip.shown(), strip.label);
    let help = match strip.shortened() {
        Some(short) => format!("label it in {} letters, such as \"{short}\"", strip.letters),
        None => format!("label it in {} letters", strip.letters),
    };
    Some(Diagnostic::note(RULE.slug, row.numbers.unwrap_or(row.span), message).help(help).about(source.name.clone()))
}
