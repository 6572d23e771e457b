//! A DI of a kind that does not suit what plugs into it. Which kinds suit what is data, in std.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::Pickup;
use crate::wants::Source;

pub const RULE: Rule = Rule {
    slug: "di-does-not-suit",
    code: "C055",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_row(told)
}

fn told(seen: &Seen, source: &Source) -> Option<Diagnostic> {
    let pickup = source.pickup.as_ref()?;
    let mic = source.mic.as_ref()?;
    let suits = &mic.kind.suits;
    if suits.is_empty() || suits.contains(&pickup.value) {
        return None;
    }
    let row = seen.scene.rows.get(source.row)?;
    let (what, why) = match pickup.value {
        Pickup::Passive => ("a passive pickup", "dull, since that wants an input of about 1 megohm"),
        Pickup::Piezo => ("a piezo pickup", "thin, since that wants an input of about 1 megohm"),
        Pickup::Active => ("an active pickup", "it is not made for that"),
        Pickup::Line => ("a line output", "it overloads"),
    };
    let kinds: Vec<&str> = seen.rig.library.kinds_suiting(pickup.value).collect();
    let help = match kinds.as_slice() {
        [] => "use a DI that suits it".to_string(),
        [kinds @ .., last] if !kinds.is_empty() => format!("use `{}` or `{last}`", kinds.join("`, `")),
        [kind, ..] => format!("use `{kind}`"),
    };
    let said = source.mic_said.as_ref().map(|said| said.span).filter(|said| row.span.holds(*said));
    let message = format!("`{}` puts {what} into a {}: {why}", row.name, mic.label);
    let problem = Diagnostic::warning(RULE.slug, said.unwrap_or(pickup.span), message).help(help);
    let problem = if said.is_some() { problem.label(pickup.span, "the pickup") } else { problem };
    Some(problem.about(row.name.clone()))
}
