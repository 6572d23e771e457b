//! A chain longer than any; found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "chain-too-long",
    code: "R022",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
