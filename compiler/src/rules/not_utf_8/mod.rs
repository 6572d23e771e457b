//! A file holds bytes that are no UTF-8 text; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "not-utf-8",
    code: "P007",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
