//! A row that says what a source is goes while other rows still want it; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "declaring-row-taken-out",
    code: "P021",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
