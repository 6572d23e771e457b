//! A quoted text is not closed on its line; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unclosed-text",
    code: "S014",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
