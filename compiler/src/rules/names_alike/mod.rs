//! Two names that a crew cannot tell apart: a bare one beside its numbered twin, or letters that look alike.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::attrs;
use crate::rules::rows::written;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::InputRow;
use crate::syntax::words::PLACES;
use crate::wants::RowKind;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "names-alike",
    code: "C078",
    severity: Severity::Warning,
    prerequisites: &["name-declared-twice"],
    page: include_str!("rule.md"),
};

/// Words that tell one player or place from another. `amp`, `mic` or `top` are other parts of one
/// instrument, which nobody takes for two.
const WHICH_ONE: &[&str] = &["a", "b", "c", "d", "l", "r", "left", "right", "centre", "center", "middle"];

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(facts, seen))
}

fn in_scene(facts: &Facts, seen: &Seen) -> Vec<Diagnostic> {
    let written = written(facts, seen);
    let rows = seen.scene.rows.iter().filter(|row| row.kind == RowKind::Input);
    let rows = rows.filter_map(|row| written.get(&row.span).copied());
    let known: BTreeMap<&str, &InputRow> =
        rows.filter(|row| attrs::spare(&row.attrs).is_none()).map(|row| (row.name.value.as_str(), row)).collect();
    let mut found = bare_beside_numbered(&known);
    found.extend(look_alike(&known));
    found
}

/// `guitar` beside `guitar-2`: which of the two a call for the guitar means, nobody knows. A label of its own
/// is what the crew reads.
fn bare_beside_numbered(known: &BTreeMap<&str, &InputRow>) -> Vec<Diagnostic> {
    let mut twins: BTreeMap<&str, Vec<&InputRow>> = BTreeMap::new();
    for (name, row) in known {
        if let Some(stem) = stem(name).filter(|stem| known.contains_key(stem)) {
            twins.entry(stem).or_default().push(row);
        }
    }
    let unlabelled = |(bare, twins): (&str, Vec<&InputRow>)| {
        let row = known.get(bare).filter(|row| attrs::labels(&row.attrs).is_none())?;
        Some(told_bare(row, &twins))
    };
    twins.into_iter().filter_map(unlabelled).collect()
}

/// What stands before a number, a letter or a place of the stage: `guitar` of `guitar-2`, `guitar2`, `guitar-sr`.
pub fn stem(name: &str) -> Option<&str> {
    if let Some((stem, last)) = name.rsplit_once(['-', '_']) {
        let number = last.bytes().all(|byte| byte.is_ascii_digit());
        let word = last.to_lowercase();
        let place = PLACES.iter().any(|place| place.eq_ignore_ascii_case(last));
        return (number || place || WHICH_ONE.contains(&word.as_str())).then_some(stem);
    }
    let stem = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
    (!stem.is_empty() && stem != name).then_some(stem)
}

fn told_bare(row: &InputRow, twins: &[&InputRow]) -> Diagnostic {
    let bare = &row.name.value;
    let others: Vec<&str> = twins.iter().map(|twin| twin.name.value.as_str()).collect();
    let message = format!("beside {} the name `{bare}` does not say which one it is", names(&others));
    let numbered = twins.iter().any(|twin| twin.name.value.ends_with(|letter: char| letter.is_ascii_digit()));
    let new = if numbered { format!("{bare}-1") } else { format!("{bare}-{}", place_of(row)) };
    let first = twins.iter().map(|twin| twin.name.span).min();
    let problem = Diagnostic::warning(RULE.slug, row.name.span, message);
    let problem = match first {
        Some(span) => problem.label(span, "its twin has a name of its own"),
        None => problem,
    };
    problem
        .help(format!("name it by number, place or player, such as `{new}`, or give it a label of its own"))
        .about(bare.clone())
}

fn place_of(row: &InputRow) -> String {
    use crate::syntax::ast::Place;
    match attrs::place(&row.attrs) {
        Some((Place::Named(name), _)) => name.value.to_lowercase(),
        _ => "1".to_string(),
    }
}

/// `tom-l` and `tom-1`, `Kick` and `kick`: one name to the eye.
fn look_alike(known: &BTreeMap<&str, &InputRow>) -> Vec<Diagnostic> {
    let mut first: BTreeMap<String, &InputRow> = BTreeMap::new();
    let mut found = Vec::new();
    let unlabelled = known.iter().filter(|(_, row)| attrs::labels(&row.attrs).is_none());
    let mut rows: Vec<&InputRow> = unlabelled.map(|(_, row)| *row).collect();
    rows.sort_by_key(|row| row.name.span);
    for row in rows {
        let seen_as = as_seen(&row.name.value);
        match first.get(&seen_as) {
            Some(one) => found.push(told_alike(one.name.value.as_str(), one.name.span, row)),
            None => {
                first.insert(seen_as, row);
            }
        }
    }
    found
}

/// A name as a strip in the dark shows it.
pub fn as_seen(name: &str) -> String {
    let alike = |letter: char| match letter {
        'l' => '1',
        'o' => '0',
        '_' => '-',
        other => other,
    };
    name.to_lowercase().chars().map(alike).collect()
}

fn told_alike(one: &str, at: Span, row: &InputRow) -> Diagnostic {
    let two = &row.name.value;
    Diagnostic::warning(RULE.slug, row.name.span, format!("`{two}` looks like `{one}`"))
        .label(at, format!("`{one}` stands here"))
        .help(format!("give `{two}` a name that sounds different, or a label of its own"))
        .about(two.clone())
}
