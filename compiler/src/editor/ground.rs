//! What the answers of this room share: a show act by act, and whether there is a proven plan to speak of.

use crate::Compiled;
use crate::diagnostics::Diagnostic;
use crate::plan::{Plan, View};
use crate::rig::Rig;
use crate::source::{FileId, Span};
use crate::wants::Scene;

/// The house, or every act, with what holds there.
pub(super) fn views(plan: &Plan) -> Vec<(Option<&str>, View<'_>)> {
    if plan.acts.is_empty() {
        return vec![(None, View::house(plan))];
    }
    plan.acts.iter().map(|act| (Some(act.act.as_str()), View::act(plan, act))).collect()
}

/// The act's scene, or the first one for what stands outside acts.
pub(super) fn scene<'c>(compiled: &'c Compiled, act: Option<&str>) -> Option<&'c Scene> {
    let own = compiled.scenes.iter().find(|scene| act.is_some() && scene.act.as_deref() == act);
    own.or_else(|| compiled.scenes.first())
}

/// A scene in which there is such a device: gear of one act is in no other.
pub(super) fn rig_with<'c>(compiled: &'c Compiled, device: &str) -> Option<(&'c Rig, u32)> {
    compiled.scenes.iter().find_map(|scene| Some((&scene.rig, scene.rig.device_named(device)?)))
}

/// The first error: with one there is no proven plan.
pub(super) fn first_error(compiled: &Compiled) -> Option<&Diagnostic> {
    compiled.diagnostics.iter().find(|diagnostic| diagnostic.is_error())
}

/// Why no path can be shown.
pub(super) fn unproven(compiled: &Compiled) -> Option<String> {
    let error = first_error(compiled)?;
    Some(format!("no proven path: {} ({})", error.message, place(compiled, error.span)))
}

/// `rig.fantail:12`
pub(super) fn place(compiled: &Compiled, span: Span) -> String {
    let Some(file) = compiled.sources.get(span.file) else { return String::new() };
    let name = file.name.rsplit(['/', '\\']).next().unwrap_or(&file.name);
    format!("{name}:{}", file.lines.line_col(&file.text, span.start).line)
}

/// The text of a span on one line.
pub(super) fn text(compiled: &Compiled, span: Span) -> String {
    compiled.sources.text_at(span).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The act in whose braces a file is included; the first where several include it.
pub(super) fn act_of_file(compiled: &Compiled, file: FileId) -> Option<&str> {
    let mut at = file;
    // Circles have been cut, but no file is more than so many includes deep in any case.
    for _ in 0..=compiled.includes.len() {
        let include = compiled.includes.iter().find(|include| include.to == at)?;
        if include.act.is_some() {
            return include.act.as_deref();
        }
        at = include.from;
    }
    None
}
