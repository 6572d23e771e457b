//! Data, such as time code, in a mix or in a personal feed.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::channels::names_of;
use crate::rules::contents::take_out;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::wants::{Mix, Target, Want, WantKind};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "data-in-a-mix",
    code: "C063",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "mix-without-its-source"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let is_data = |source: usize| seen.scene.source(source).is_some_and(|source| source.data);
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for mix in seen.scene.mixes.values() {
        let (Some(of), Some(said)) = (&mix.of, mix.said) else { continue };
        let data: Vec<usize> = of.iter().copied().filter(|source| is_data(*source)).collect();
        if !data.is_empty() && told_of.insert(said) {
            found.extend(told(seen, mix, said, &data));
        }
    }
    let feeds = seen.scene.wants.iter().filter(|want| want.kind == WantKind::Personal);
    found.extend(feeds.filter_map(|want| match want.what {
        Target::Source(source) if is_data(source) => fed(seen, want, source),
        _ => None,
    }));
    found
}

fn told(seen: &Seen, mix: &Mix, said: Span, data: &[usize]) -> Option<Diagnostic> {
    let all = names_of(seen, data.iter().copied());
    let row = seen.scene.rows.get(seen.scene.source(*data.first()?)?.row)?;
    let is = if all.len() == 1 { "is" } else { "are" };
    let message = format!("`{}` carries {}, which {is} data", seen.rig.point_text(mix.point), names(&all));
    let told = Diagnostic::error(RULE.slug, said, message).label(row.span, "data: in no mix");
    Some(take_out(told, Some(mix), &all).about(all.first()?.clone()))
}

fn fed(seen: &Seen, want: &Want, source: usize) -> Option<Diagnostic> {
    let name = &seen.scene.source(source)?.name;
    let row = seen.scene.rows.get(want.row)?;
    let message = format!("`{}` carries `{name}`, which is data", seen.rig.point_text(want.end));
    let help = format!("give the feed another source; `{name}` may be on a track and in no ear");
    Some(Diagnostic::error(RULE.slug, row.place.unwrap_or(row.span), message).help(help).about(name.clone()))
}
