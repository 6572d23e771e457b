//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "offsets-clash",
    code: "X003",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
