//! What is named is no plain file: a pipe or a device; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "no-plain-file",
    code: "P004",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
