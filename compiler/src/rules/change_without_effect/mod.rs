//! A change says what holds already; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "change-without-effect",
    code: "P023",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
