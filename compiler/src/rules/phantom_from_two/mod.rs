//! Two desks are both asked to supply the 48 V of one source.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::draft::preamps_of;
use crate::rig::{Point, own_preamp, preamp_for};
use crate::rules::{Facts, Seen};
use crate::source::{At, Span};
use crate::syntax::ast::PhantomPolicy;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "phantom-from-two",
    code: "C050",
    severity: Severity::Warning,
    prerequisites: &["unknown-name", "phantom-forbidden"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        // Two rows are told once, however many sources they have.
        let told = seen.plugs.iter().filter_map(|(plug, source)| told(seen, *plug, *source));
        told.map(|told| (told.span, told)).rev().collect::<BTreeMap<Span, _>>().into_values().collect()
    })
}

fn told(seen: &Seen, plug: Point, source: usize) -> Option<Diagnostic> {
    let source = seen.scene.source(source).filter(|source| source.phantom_by.len() > 1)?;
    if source.mic.as_ref().is_some_and(|mic| mic.kind.phantom == PhantomPolicy::Never) {
        return None;
    }
    let preamps = preamps_of(seen.rig, plug);
    let can = |socket: &Point| {
        let direct = preamps.iter().any(|preamp| preamp.socket == *socket && !preamp.isolated);
        direct && seen.rig.lane_at(*socket).is_some_and(|lane| lane.phantom > 0)
    };
    // One behind a transformer is asked too, though it can do nothing, where it is the desk's own.
    let own = |asking: &At<Option<u32>>| own_preamp(seen.rig, Some(asking.value?), &preamps);
    let asked = |asking: &At<Option<u32>>| {
        let socket = preamp_for(seen.rig, asking.value, &preamps)?;
        (can(&socket) || own(asking).is_some()).then_some((socket, asking.span))
    };
    let asked: Vec<(Point, Span)> = source.phantom_by.iter().filter_map(asked).collect();
    let (supplier, first) = asked.iter().copied().find(|(socket, _)| can(socket))?;
    let (socket, second) = asked.into_iter().find(|(socket, _)| *socket != supplier)?;
    let row = seen.scene.rows.get(source.row)?;
    let (supplier, socket) = (seen.rig.point_text(supplier), seen.rig.point_text(socket));
    let message = format!("`{}` is asked to get 48 V from two preamps: `{supplier}` and `{socket}`", row.name);
    let problem = Diagnostic::warning(RULE.slug, second, message)
        .label(first, format!("`{supplier}` is asked here"))
        .help(format!("keep it where `{supplier}` supplies, and take `phantom` out here; write on both desks who does"))
        .about(row.name.clone());
    // Taken out of a change that says nothing else it would leave half a line.
    Some(match seen.scene.rows.iter().any(|row| row.span.holds(second)) {
        true => problem.fix("take `phantom` out", vec![Edit { span: second, text: String::new() }], false),
        false => problem,
    })
}
