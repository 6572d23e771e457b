//! A source without a socket; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "source-nowhere",
    code: "W012",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
