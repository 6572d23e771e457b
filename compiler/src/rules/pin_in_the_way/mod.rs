//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "pin-in-the-way",
    code: "X013",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
