//! A list ends with a comma; found by `syntax`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "unfinished-list",
    code: "S022",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
