//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "model-like-itself",
    code: "R020",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
