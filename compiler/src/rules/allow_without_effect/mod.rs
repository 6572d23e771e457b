//! Found when `allow` lines are applied.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "allow-without-effect",
    code: "C020",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
