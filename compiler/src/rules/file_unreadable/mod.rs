//! A file cannot be read; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "file-unreadable",
    code: "P006",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
