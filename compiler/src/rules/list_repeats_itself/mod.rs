//! Lists that repeat each other; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "list-repeats-itself",
    code: "W014",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
