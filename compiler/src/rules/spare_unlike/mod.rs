//! A spare that cannot go where the one it stands in for was: other level, or other needs of 48 V.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;

pub const RULE: Rule = Rule {
    slug: "spare-unlike",
    code: "C057",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_row(told)
}

fn told(seen: &Seen, spare: &Source) -> Option<Diagnostic> {
    let said = spare.spare_for.as_ref()?;
    let (row, mic) = (seen.scene.rows.get(spare.row)?, spare.mic.as_ref()?);
    let stood_for = said.value.iter().filter_map(|source| seen.scene.source(*source));
    let (of, why) = stood_for.filter_map(|of| Some((of, unlike(spare, of)?))).next()?;
    let other = seen.scene.rows.get(of.row)?;
    let message = format!("`{}`, a {}, stands in for `{}`, and {why}", row.name, mic.label, of.name);
    Some(
        Diagnostic::warning(RULE.slug, said.span, message)
            .label(other.place.unwrap_or(other.span), format!("`{}` plugs in here", of.name))
            .help("keep a spare of the same level and the same needs of 48 V, so that one plug moves and no desk does")
            .about(row.name.clone()),
    )
}

/// What goes wrong when the spare's plug goes where the other's was and nothing else is touched.
fn unlike(spare: &Source, of: &Source) -> Option<String> {
    let (own, other) = (&spare.mic.as_ref()?.kind, &of.mic.as_ref()?.kind);
    if own.signal != other.signal {
        return Some(format!("gives {} level where that gives {} level", own.signal, other.signal));
    }
    match (own.phantom, of.phantom) {
        // On a socket of its own it has its own 48 V.
        (PhantomPolicy::Needs, None) if spare.phantom.is_none() => Some("needs 48 V where none is on".to_string()),
        (PhantomPolicy::Never, Some(_)) => Some("must not get 48 V where it is on".to_string()),
        _ => None,
    }
}
