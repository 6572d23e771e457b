//! An active DI is fed by 48 V and its ground is lifted.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::rules::{Facts, Seen};
use crate::syntax::ast::PhantomPolicy;
use crate::wants::Source;

pub const RULE: Rule = Rule {
    slug: "lift-cuts-phantom",
    code: "C051",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_row(told)
}

fn told(seen: &Seen, source: &Source) -> Option<Diagnostic> {
    let (lifted, phantom) = source.lifted.zip(source.phantom)?;
    let mic = source.mic.as_ref().filter(|mic| mic.kind.phantom == PhantomPolicy::Needs)?;
    let row = seen.scene.rows.get(source.row)?;
    let message = format!(
        "`{}` is a {} that lives on 48 V, and its ground is lifted: on many DIs that cuts the way back of the 48 V",
        row.name, mic.label,
    );
    let problem = Diagnostic::warning(RULE.slug, lifted, message)
        .label(phantom, "48 V is asked for here")
        .help("take `lifted` out; where the hum needs it, run the DI on a battery, or use a passive one if what plugs in is active")
        .about(row.name.clone());
    Some(match row.span.holds(lifted) {
        true => problem.fix("take `lifted` out", vec![Edit { span: lifted, text: String::new() }], false),
        false => problem,
    })
}
