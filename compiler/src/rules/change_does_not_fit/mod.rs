//! A change gives a row something that it cannot have; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "change-does-not-fit",
    code: "P017",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
