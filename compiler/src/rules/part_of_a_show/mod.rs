//! A file that others include, checked alone: what it names stands in files that it does not know. Told
//! once in place of every such name; found by the pipeline after all phases.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::Show;
use crate::rig::all_of;
use crate::syntax::ast::DeviceWord;

pub const RULE: Rule = Rule {
    slug: "part-of-a-show",
    code: "P025",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

/// What a name may draw that stands in a file which is not read.
const DECLARED_ELSEWHERE: &[&str] = &["unknown-name", "no-desk", "change-of-nothing"];

/// A name that is nearly a known one.
fn is_slip(diagnostic: &Diagnostic) -> bool {
    diagnostic.help.iter().any(|help| help.starts_with("did you mean"))
}

/// Missing names that are told also in a part of a show.
pub fn slips(mut found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    found.retain(|diagnostic| DECLARED_ELSEWHERE.contains(&diagnostic.rule) && is_slip(diagnostic));
    found
}

/// For a file without `show` and without a desk that misses more than one name.
pub fn told(show: &Show, found: &[Diagnostic]) -> Option<Diagnostic> {
    let has_desk = show.house.devices.iter().any(|row| row.node.word.value == DeviceWord::Desk);
    if show.head.is_some() || show.incomplete || has_desk {
        return None;
    }
    let elsewhere = |told: &&Diagnostic| DECLARED_ELSEWHERE.contains(&told.rule) && !is_slip(told);
    let mut missed: Vec<&Diagnostic> = found.iter().filter(elsewhere).collect();
    missed.sort_by_key(|diagnostic| diagnostic.span);
    let [first, _, ..] = missed.as_slice() else { return None };
    let mut names: Vec<String> = Vec::new();
    for name in missed.iter().filter_map(|diagnostic| diagnostic.message.split('`').nth(1)) {
        let name = format!("`{name}`");
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let what = if names.is_empty() { String::new() } else { format!(": {}", all_of(&names)) };
    let message =
        format!("this is a part of a show: it has no `show` and no desk, and names what stands elsewhere{what}");
    Some(Diagnostic::error(RULE.slug, first.span, message).help(
        "check the file that includes it; to make it a show of its own, add `show \"…\"` and `desk foh is desk-48`",
    ))
}
