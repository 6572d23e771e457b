//! Found when the plan is verified.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "plan-not-proven",
    code: "C023",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
