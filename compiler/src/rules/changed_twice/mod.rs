//! One file changes one attribute twice; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "changed-twice",
    code: "P018",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
