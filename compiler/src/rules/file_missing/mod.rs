//! An included file is not there; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "file-missing",
    code: "P002",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
