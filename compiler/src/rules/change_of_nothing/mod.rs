//! A `change` or `without` names something that is not there; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "change-of-nothing",
    code: "P014",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
