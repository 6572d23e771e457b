//! A bracket stands where none belongs; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "stray-bracket",
    code: "S016",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
