//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "modes-clash",
    code: "X004",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
