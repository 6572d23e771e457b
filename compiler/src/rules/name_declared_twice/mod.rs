//! One name for two things; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "name-declared-twice",
    code: "P001",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
