//! A piece of gear is taken out that rows still use; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "box-taken-out-but-used",
    code: "P022",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
