//! A `{` is never closed; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unclosed-block",
    code: "S015",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
