//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "slots-clash",
    code: "X005",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
