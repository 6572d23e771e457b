//! A stage place that is none of the nine; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unknown-place",
    code: "S025",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
