//! An act takes part of a row; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "act-replaces-part-of-a-row",
    code: "W011",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
