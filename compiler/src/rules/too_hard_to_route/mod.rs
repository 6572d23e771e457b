//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "too-hard-to-route",
    code: "X018",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
