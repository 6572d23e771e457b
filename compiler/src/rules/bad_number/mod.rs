//! A number is no whole number, or far too large; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bad-number",
    code: "S018",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
