//! An output of a point that carries nothing; found by `draft`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "silent-output",
    code: "X020",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
