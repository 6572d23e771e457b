//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "driven-by-first-desk-only",
    code: "X009",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
