//! A line begins with a word that begins no statement; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unknown-statement",
    code: "S011",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
