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

/// Missing names that are told also in a part of a show: nearly known ones.
pub fn slips(mut found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    found.retain(|told| told.may_stand_elsewhere() && told.slip);
    found
}

/// For a file without `show` and without a desk that misses more than one name.
pub fn told(show: &Show, found: &[Diagnostic]) -> Option<Diagnostic> {
    let has_desk = show.house.devices.iter().any(|row| row.node.word.value == DeviceWord::Desk);
    if show.head.is_some() || show.incomplete || show.part || has_desk {
        return None;
    }
    let mut missed: Vec<&Diagnostic> = found.iter().filter(|told| told.may_stand_elsewhere() && !told.slip).collect();
    missed.sort_by_key(|diagnostic| diagnostic.span);
    let [first, _, ..] = missed.as_slice() else { return None };
    let mut names: Vec<String> = Vec::new();
    for name in missed.iter().filter_map(|told| told.missed.as_ref()?.name.as_ref()) {
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
