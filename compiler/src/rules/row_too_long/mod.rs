//! A row has more than 4096 words; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "row-too-long",
    code: "S023",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
