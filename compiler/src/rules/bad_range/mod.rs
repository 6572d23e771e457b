//! A range counts down, or is torn apart by blanks; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bad-range",
    code: "S019",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
