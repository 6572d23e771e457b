//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "mic-without-kind",
    code: "R021",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
