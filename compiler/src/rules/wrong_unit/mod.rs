//! A row that cannot be read; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "wrong-unit",
    code: "S010",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
