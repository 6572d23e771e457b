//! A source is plugged in and reaches no end at all.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::rules::box_unheard::unheard;
use crate::rules::{Facts, Seen};
use crate::syntax::ast::DeviceWord;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "source-unheard",
    code: "C014",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    // The legs of splits and the tails of snakes are on the way, no ends that anybody hears.
    let on_the_way = |device: u32| {
        let word = seen.rig.device(device).map(|device| device.word);
        matches!(word, Some(DeviceWord::Split | DeviceWord::Snake))
    };
    let ends = seen.arrivals.iter().filter(|arrival| !on_the_way(arrival.end.device));
    let mut heard: BTreeSet<usize> = ends.filter_map(|arrival| seen.source_of(arrival.origin)).collect();
    heard.extend(unheard(seen).into_values().flatten());
    let lost = seen.plugs.iter().filter(|(_, source)| !heard.contains(source));
    lost.filter_map(|(plug, source)| told(seen, *plug, *source)).collect()
}

fn told(seen: &Seen, plug: Point, source: usize) -> Option<Diagnostic> {
    let source = seen.scene.source(source).filter(|source| !source.spare)?;
    let row = seen.scene.rows.get(source.row)?;
    let socket = seen.rig.point_text(plug);
    let message = format!("`{}` is plugged into `{socket}` and reaches nothing", source.name);
    Some(
        Diagnostic::warning(RULE.slug, row.span, message)
            .help("give it a channel, or say `spare` if the line is only laid")
            .about(source.name.clone()),
    )
}
