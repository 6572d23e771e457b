//! An act holds something that holds for the whole show; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "not-in-an-act",
    code: "S026",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
