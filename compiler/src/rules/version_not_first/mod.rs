//! The version does not stand on the first line; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "version-not-first",
    code: "P011",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
