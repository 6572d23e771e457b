//! A microphone or kind is named like an attribute; found by `project`.

use crate::diagnostics::{Rule, Severity};

pub const RULE: Rule = Rule {
    slug: "mic-named-like-an-attribute",
    code: "P013",
    severity: Severity::Error,
    prerequisites: &[],
    page: include_str!("rule.md"),
};
