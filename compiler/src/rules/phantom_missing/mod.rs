//! A microphone that needs phantom and has none; found on the finished plan.

use crate::diagnostics::Edit;
use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::preamps_of;
use crate::rig::Point;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::{Name, PhantomPolicy};
use crate::wants::Source;

pub const RULE: Rule = Rule {
    slug: "phantom-missing",
    code: "C001",
    severity: Severity::Error,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| seen.plugs.iter().filter_map(|(plug, source)| told(seen, *plug, *source)).collect())
}

fn told(seen: &Seen, plug: Point, source: usize) -> Option<Diagnostic> {
    let source = seen.scene.source(source)?;
    let mic = source.mic.as_ref()?;
    let needs = mic.kind.phantom == PhantomPolicy::Needs && source.phantom.is_none();
    if !needs || preamps_of(seen.rig, plug).is_empty() {
        return None;
    }
    // Of a row that could not be read whole, the word may be there.
    let row = seen.scene.rows.get(source.row).filter(|row| !seen.rig.broken.contains(&row.name))?;
    let changed = changed_mic(source, row.span);
    let place = changed.map_or_else(|| row.place.unwrap_or(row.span), |said| said.span);
    let how = changed.map_or_else(
        || "add `phantom` to the row".to_string(),
        |said| format!("write `change input {} {} phantom`", row.name, said.value),
    );
    let message = format!("`{}` is a {} and needs phantom, and its row asks for none", row.name, mic.label);
    let fix = Edit { span: Span { start: place.end, ..place }, text: " phantom".to_string() };
    Some(
        Diagnostic::error(RULE.slug, place, message)
            .help(format!("{how}; mute what the channel feeds before the 48 V is switched: it thumps"))
            .fix("add `phantom`", vec![fix], false)
            .about(row.name.clone()),
    )
}

/// The microphone's word where a change says it and not the source's own row.
pub fn changed_mic(source: &Source, row: Span) -> Option<&Name> {
    source.mic_said.as_ref().filter(|said| !row.holds(said.span))
}
