//! An include leads above the folder of the show; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "include-outside",
    code: "P009",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
