//! A character that no keyboard puts there on purpose; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "strange-character",
    code: "S017",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
