//! What a rule of the catalogue says about itself. The catalogue is `rules`; this is only its form, so
//! that a diagnostic can be printed with its code and page.

use super::Severity;

/// One rule: its names, how bad it is, and the page that explains it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rule {
    /// Says what is wrong and reads well after `allow`: `phantom-on-ribbon`.
    pub slug: &'static str,
    /// A group's letter and three digits, never used again for another rule: S syntax, P project, R rig
    /// and gear, W wants and rows, X routing, C checks.
    pub code: &'static str,
    /// What a diagnostic of this rule is, unless a default was stated otherwise.
    pub severity: Severity,
    /// The slugs of rules that keep this one quiet where they have spoken.
    pub prerequisites: &'static [&'static str],
    /// Markdown, in the form that `rules::page` reads.
    pub page: &'static str,
}

/// The title of the section that says whom or what it can hurt.
pub const CAN_HURT: &str = "What it can hurt";

impl Rule {
    /// Whether it tells of what can hurt somebody or break something, and not of the sound alone.
    pub fn can_hurt(&self) -> bool {
        self.page.lines().any(|line| line.strip_prefix("## ") == Some(CAN_HURT))
    }

    /// The one sentence that the page opens with.
    pub fn summary(&self) -> &'static str {
        self.page.lines().skip(1).map(str::trim).find(|line| !line.is_empty()).unwrap_or("")
    }
}

/// The rule of that slug in a catalogue.
pub fn rule_of<'a>(rules: &'a [Rule], slug: &str) -> Option<&'a Rule> {
    rules.iter().find(|rule| rule.slug == slug)
}
