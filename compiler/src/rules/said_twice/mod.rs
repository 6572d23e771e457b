//! `show`, `rate` or `clock` is said twice; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "said-twice",
    code: "P012",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
