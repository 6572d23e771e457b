//! A gain past its preamp; found by `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "gain-out-of-range",
    code: "W015",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
