//! Found by `rig` and `wants`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "socket-used-twice",
    code: "R009",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
