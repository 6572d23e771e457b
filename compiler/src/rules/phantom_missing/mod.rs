//! A microphone that needs phantom and has none; found on the finished plan.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "phantom-missing",
    code: "C001",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};
