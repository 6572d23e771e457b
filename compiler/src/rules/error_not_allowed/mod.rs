//! Found when `allow` lines are applied.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "error-not-allowed",
    code: "C022",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
