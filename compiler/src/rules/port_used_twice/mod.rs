//! Found by `rig`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "port-used-twice",
    code: "R010",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
