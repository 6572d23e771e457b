//! A file is larger than 64 MiB; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "file-too-big",
    code: "P005",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
