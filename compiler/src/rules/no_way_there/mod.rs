//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "no-way-there",
    code: "X008",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
