//! A list names something that `without` took out, and loses that name; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "name-taken-out",
    code: "P024",
    severity: Severity::Note,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
