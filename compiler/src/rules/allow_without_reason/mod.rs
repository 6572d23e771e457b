//! Found when `allow` lines are applied.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "allow-without-reason",
    code: "C021",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
