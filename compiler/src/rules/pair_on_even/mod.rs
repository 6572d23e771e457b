//! A stereo pair starts on an even number, where the desk pairs odd with even.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::route::Solution;
use crate::rules::{Facts, Seen};
use crate::wants::free::{Free, run};
use crate::wants::{Spot, Target, Want, WantKind};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "pair-on-even",
    code: "C016",
    severity: Severity::Warning,
    prerequisites: &["stereo-needs-two"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(seen, facts.solution))
}

fn in_scene(seen: &Seen, solution: &Solution) -> Vec<Diagnostic> {
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
    let paired =
        |want: &&Want| matches!(want.kind, WantKind::Channel | WantKind::Personal) && left(want.what).is_some();
    let inputs = scene.wants.iter().filter(paired);
    let mut starts: BTreeMap<(usize, u32), Point> =
        inputs.map(|want| ((want.row, want.end.device), want.end)).collect();
    for output in scene.outputs.iter().filter(|output| output.stereo) {
        starts.entry((output.row, output.from.device)).or_insert(output.from);
    }
    // Of a row on a channel that it cannot have, that is told.
    let lost = |row: usize| solution.unreachable.iter().any(|lost| (lost.scene, lost.want.row) == (seen.number, row));
    starts.retain(|(row, _), _| !lost(*row));
    starts.into_iter().filter_map(|((row, _), first)| told(seen, row, first)).collect()
}

fn told(seen: &Seen, row: usize, first: Point) -> Option<Diagnostic> {
    let lane = seen.rig.lane_at(first).filter(|lane| lane.pairs && first.number % 2 == 0)?;
    let fact = seen.scene.rows.get(row)?;
    let message = format!(
        "`{}` is stereo and starts on {} {}; `{}` pairs odd with even",
        sent(seen, row).unwrap_or(&fact.name),
        lane.name,
        first.number,
        seen.rig.device_name(first.device),
    );
    let help = match odd(seen, first, &lane.name) {
        Some(free) => format!("start it on an odd number: {} are free", run(free, 2)),
        None => "start it on an odd number".to_string(),
    };
    let help = if in_step(seen, row, first) {
        format!("{help}; blocks keep their order, so plug it into an odd and the next socket too")
    } else {
        help
    };
    Some(Diagnostic::warning(RULE.slug, fact.numbers.unwrap_or(fact.span), message).help(help).about(fact.name.clone()))
}

/// The row of the sources that a personal feed takes.
fn sent<'a>(seen: &'a Seen, row: usize) -> Option<&'a String> {
    let of_row = |want: &&Want| want.row == row && want.kind == WantKind::Personal;
    let Target::Source(source) = seen.scene.wants.iter().find(of_row)?.what else { return None };
    seen.scene.rows.get(seen.scene.source(source)?.row).map(|row| &row.name)
}

/// The first free pair.
fn odd(seen: &Seen, first: Point, bank: &str) -> Option<u32> {
    let free = Free::of(seen.scene);
    let starts = |number: u32| number % 2 == 1;
    match bank {
        "channel" | "personal" => free.numbers(first.device, bank, 2, starts),
        _ => free.outputs(first.device, first.lane, 2, starts),
    }
}

/// Whether the row's sockets have to move with its channels: blocks keep odd and even.
fn in_step(seen: &Seen, row: usize, first: Point) -> bool {
    let plugged = seen.scene.sources.iter().find(|source| source.row == row).map(|source| &source.spot);
    let even = matches!(plugged, Some(Spot::Socket(socket)) if socket.number % 2 == 0);
    even && seen.scene.channel_block(first.device) > 1
}
