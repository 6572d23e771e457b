//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "impossible-block",
    code: "X001",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
