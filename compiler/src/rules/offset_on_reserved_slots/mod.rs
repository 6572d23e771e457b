//! Found by `route`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "offset-on-reserved-slots",
    code: "X017",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
