//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "too-few-points",
    code: "X006",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
