//! Files include each other in a ring; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "include-cycle",
    code: "P008",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
