//! A change names points of several rows at once; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "change-of-several-rows",
    code: "P016",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
