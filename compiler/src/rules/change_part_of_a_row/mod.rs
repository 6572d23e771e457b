//! A change names one point of a row that has several; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "change-part-of-a-row",
    code: "P015",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
