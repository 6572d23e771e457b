//! A thing is changed in one place and taken out in another, and neither decides; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "changed-and-taken-out",
    code: "P020",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
