//! A stereo pair starts on an even number, where the desk pairs odd with even.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::rules::{Facts, Seen};
use crate::wants::{Target, WantKind};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "pair-on-even",
    code: "C016",
    severity: Severity::Warning,
    prerequisites: &["stereo-needs-two"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let scene = seen.scene;
    let left = |target: Target| match target {
        Target::Source(source) => {
            let left = scene.source(source)?;
            let right = scene.source(source + 1).filter(|right| right.row == left.row)?;
            let pair = left.name.strip_suffix(".left")? == right.name.strip_suffix(".right")?;
            pair.then_some(())
        }
        Target::Point(_) => None,
    };
    let inputs = scene.wants.iter().filter(|want| want.kind == WantKind::Channel && left(want.what).is_some());
    let mut starts: BTreeMap<(usize, u32), Point> =
        inputs.map(|want| ((want.row, want.end.device), want.end)).collect();
    for output in scene.outputs.iter().filter(|output| output.stereo) {
        starts.entry((output.row, output.from.device)).or_insert(output.from);
    }
    starts.into_iter().filter_map(|((row, _), first)| told(seen, row, first)).collect()
}

fn told(seen: &Seen, row: usize, first: Point) -> Option<Diagnostic> {
    let lane = seen.rig.lane_at(first).filter(|lane| lane.pairs && first.number % 2 == 0)?;
    let row = seen.scene.rows.get(row)?;
    let message = format!(
        "`{}` is stereo and starts on {} {}; `{}` pairs odd with even",
        row.name,
        lane.name,
        first.number,
        seen.rig.device_name(first.device),
    );
    let help = format!("start it on an odd number: {}-{}", first.number + 1, first.number + 2);
    Some(Diagnostic::warning(RULE.slug, row.numbers.unwrap_or(row.span), message).help(help).about(row.name.clone()))
}
