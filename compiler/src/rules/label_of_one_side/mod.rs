//! One label that says a side stands on both; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "label-of-one-side",
    code: "W040",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
