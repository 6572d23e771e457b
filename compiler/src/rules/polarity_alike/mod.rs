//! Two microphones that face one thing from two sides have the same polarity. Their names alone say so, hence a
//! note; what sounds better is for ears.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::rules::{Facts, Seen, sides};
use crate::source::Span;
use crate::wants::{RowFact, Source};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "polarity-alike",
    code: "C056",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub const SIDES: &[(&str, &str)] = &[("-top", "-bottom"), ("-top", "-bot"), ("-front", "-back")];

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let row = |source: &Source| seen.scene.rows.get(source.row);
    let plugged = seen.plugs.values().filter_map(|source| seen.scene.source(*source));
    let named: BTreeMap<&str, (&RowFact, bool)> =
        plugged.filter_map(|source| Some((row(source)?, source))).map(named).collect();
    let pairs = sides::pairs(&named, SIDES).into_iter();
    pairs.filter(|((_, first), (_, second))| first == second).map(|(first, second)| told(first, second.0)).collect()
}

fn named<'r>((row, source): (&'r RowFact, &Source)) -> (&'r str, (&'r RowFact, bool)) {
    (row.name.as_str(), (row, source.polarity_inverted))
}

fn told((first, inverted): (&RowFact, bool), second: &RowFact) -> Diagnostic {
    let both = if inverted { "both are inverted" } else { "neither is inverted" };
    let message =
        format!("`{}` and `{}` face one thing from two sides, and {both}: they cancel", first.name, second.name,);
    let help = match inverted {
        true => format!("take `polarity inverted` out of the row of `{}`, then listen both ways", first.name),
        false => format!("add `polarity inverted` to the row of `{}`, then listen both ways", second.name),
    };
    let place = |row: &RowFact| row.place.unwrap_or(row.span);
    let problem = Diagnostic::note(RULE.slug, place(second), message)
        .label(place(first), format!("`{}` plugs in here", first.name))
        .help(help)
        .about(second.name.clone())
        .about(first.name.clone());
    let end = Span { start: second.span.end, ..second.span };
    match inverted {
        true => problem,
        false => problem.fix(
            "add `polarity inverted`",
            vec![Edit { span: end, text: " polarity inverted".to_string() }],
            false,
        ),
    }
}
