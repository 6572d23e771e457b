//! A row has a word that means nothing there; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unknown-attribute",
    code: "S012",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
