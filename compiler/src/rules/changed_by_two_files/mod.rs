//! Two files of which neither includes the other change one attribute; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "changed-by-two-files",
    code: "P019",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
