//! A date that the calendar does not have; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "bad-date",
    code: "S020",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
