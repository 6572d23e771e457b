//! The first line asks for a version of the language that this compiler does not know; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "version-unknown",
    code: "P010",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
