//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "wrong-port",
    code: "R011",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
