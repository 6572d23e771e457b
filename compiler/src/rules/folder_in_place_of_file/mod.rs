//! A folder stands where a file is named; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "folder-in-place-of-file",
    code: "P003",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
