//! A time that no clock shows; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bad-time",
    code: "S021",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
