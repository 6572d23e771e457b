//! Phantom asked for where it cannot get to the microphone.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::draft::{Preamp, preamps_of, supplier};
use crate::rig::{Point, brought_supply, own_preamp};
use crate::rules::{Facts, Seen};
use crate::source::{At, Span};
use crate::syntax::ast::{DeviceWord, PhantomPolicy};
use crate::wants::Source;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "phantom-undeliverable",
    code: "C004",
    severity: Severity::Error,
    prerequisites: &["unknown-name", "not-cabled", "line-out-of-use"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        let plugged = seen.plugs.iter().filter_map(|(plug, source)| told(seen, *plug, *source));
        let mut rows = BTreeSet::new();
        let given = seen.given.iter().filter_map(|(point, source)| brought(seen, *point, *source));
        plugged.chain(given.filter(|told| rows.insert(told.span))).collect()
    })
}

/// No preamp of the plan supplies what comes out of gear that others bring, or out of a recorder.
fn brought(seen: &Seen, point: Point, source: usize) -> Option<Diagnostic> {
    let source = seen.scene.source(source)?;
    let span = source.phantom?;
    if source.mic.as_ref().is_some_and(|mic| mic.kind.phantom == PhantomPolicy::Never) {
        return None;
    }
    let row = seen.scene.rows.get(source.row)?;
    let device = seen.rig.device(point.device)?;
    let message = format!(
        "`{}` asks for phantom and cannot get it: it comes out of `{}`, which has its own supply or wants none",
        row.name,
        seen.rig.point_text(point),
    );
    let help = match device.word {
        DeviceWord::Outside => format!(
            "take `phantom` out and ask whoever brings `{}` for 48 V; where its lines only pass through, say \
             `snake {}`",
            device.name, device.name,
        ),
        _ => "take `phantom` out".to_string(),
    };
    Some(Diagnostic::error(RULE.slug, span, message).help(help).about(row.name.clone()))
}

fn told(seen: &Seen, plug: Point, source: usize) -> Option<Diagnostic> {
    let source = seen.scene.source(source)?;
    let span = source.phantom?;
    // What must not have it anyway is told so.
    if source.mic.as_ref().is_some_and(|mic| mic.kind.phantom == PhantomPolicy::Never) {
        return None;
    }
    let preamps = preamps_of(seen.rig, plug);
    // Where a leg could not be laid, nobody knows what it would have brought; that has been told.
    if brought_supply(seen.rig, plug).is_some() || seen.rig.lines_refused_beyond(plug) {
        return None;
    }
    if let Some(supplier) = supplier(seen.scene, source, &preamps) {
        return asked_in_vain(seen, source, supplier, &preamps);
    }
    let socket = |preamp: &Preamp| seen.rig.point_text(preamp.socket);
    let supplies = |preamp: &&Preamp| seen.rig.lane_at(preamp.socket).is_some_and(|lane| lane.phantom > 0);
    let why = match (preamps.iter().find(supplies), preamps.first()) {
        (Some(dead), _) if dead.out_of_use && !dead.isolated => {
            format!("a line on the way to `{}` is dead or kept for something else", socket(dead))
        }
        (Some(behind), _) => format!("a transformer stands between it and `{}`", socket(behind)),
        (None, Some(without)) => format!("`{}` has no phantom", socket(without)),
        (None, None) => format!("no preamp is wired to `{}`", seen.rig.point_text(plug)),
    };
    let message = format!("`{}` asks for phantom and cannot get it: {why}", source.name);
    Some(
        Diagnostic::error(RULE.slug, span, message)
            .help("plug it where a preamp with 48 V is wired straight to it, such as the direct leg of the split")
            .about(source.name.clone()),
    )
}

/// A preamp gives it that no row asks; each row asks its own desk's, which cannot.
fn asked_in_vain(seen: &Seen, source: &Source, supplier: Point, preamps: &[Preamp]) -> Option<Diagnostic> {
    let unable =
        |preamp: &&Preamp| preamp.isolated || seen.rig.lane_at(preamp.socket).is_none_or(|lane| lane.phantom == 0);
    let vain = |asking: &At<Option<u32>>| {
        let own = asking.value.and_then(|desk| own_preamp(seen.rig, Some(desk), preamps)).filter(unable)?;
        Some((own, asking.span))
    };
    let asked: Option<Vec<(&Preamp, Span)>> = source.phantom_by.iter().map(vain).collect();
    let (preamp, span) = asked?.into_iter().next()?;
    let (socket, supplier) = (seen.rig.point_text(preamp.socket), seen.rig.point_text(supplier));
    let why = if preamp.isolated { "a transformer stands between them" } else { "it has no phantom" };
    let row = seen.scene.rows.get(source.row)?;
    let message = format!("`{}` asks `{socket}` for phantom and cannot get it: {why}", row.name);
    let help = format!("take `phantom` out here and say it in the row of the desk that has `{supplier}`: that one can");
    Some(Diagnostic::error(RULE.slug, span, message).help(help).about(row.name.clone()))
}
