//! An act that begins before the one before it has ended, or that ends before it begins. Past midnight is no slip.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::Act;
use crate::rules::Facts;

pub const RULE: Rule = Rule {
    slug: "acts-overlap",
    code: "C089",
    severity: Severity::Warning,
    prerequisites: &["bad-time"],
    page: include_str!("rule.md"),
};

const DAY: u32 = 24 * 60;
/// In minutes. No act plays longer: its end was written before its beginning.
const LONGEST: u32 = 12 * 60;

/// An act with its first and last minute, counted from the first act's.
type Timed<'a> = (&'a Act, u32, u32);

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    let minute = |time: crate::syntax::ast::Time| u32::from(time.0);
    let mut found = Vec::new();
    let mut first = None;
    let mut longest: Option<Timed> = None;
    for act in &facts.show.acts {
        let Some(from) = act.from.as_ref().map(|from| minute(from.value)) else { continue };
        let start = (from + DAY - *first.get_or_insert(from)) % DAY;
        let lasts = act.to.as_ref().map_or(0, |to| (minute(to.value) + DAY - from) % DAY);
        if let Some((other, _, end)) = longest.filter(|(_, _, end)| *end > start) {
            found.extend(overlapping(act, other, end - start));
        }
        if lasts > LONGEST || (lasts == 0 && act.to.is_some()) {
            found.extend(backwards(act, lasts));
        } else if longest.is_none_or(|(_, _, end)| end < start + lasts) {
            longest = Some((act, start, start + lasts));
        }
    }
    found
}

fn overlapping(act: &Act, other: &Act, minutes: u32) -> Option<Diagnostic> {
    let (name, before) = (&act.name.value, &other.name.value);
    let message = format!("act `{name}` begins {minutes} min before act `{before}` ends");
    let told = Diagnostic::warning(RULE.slug, act.from.as_ref()?.span, message);
    let help = "one patch holds at a time: leave time between them for the changeover";
    Some(told.label(other.to.as_ref()?.span, format!("`{before}` ends here")).help(help).about(name.clone()))
}

fn backwards(act: &Act, minutes: u32) -> Option<Diagnostic> {
    let name = &act.name.value;
    let message = match minutes {
        0 => format!("act `{name}` ends when it begins"),
        _ => format!("act `{name}` ends before it begins, or plays {} h {:02} min", minutes / 60, minutes % 60),
    };
    let told = Diagnostic::warning(RULE.slug, act.to.as_ref()?.span, message);
    Some(told.help("say when it begins, then when it ends; past midnight is fine").about(name.clone()))
}
