//! Two devices on two mains supplies are joined by a line whose screen or ground joins them too.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::clocks::has_rates;
use crate::rig::{Cable, Point, Rig};
use crate::rules::Facts;
use crate::source::Span;
use crate::syntax::ast::DeviceWord;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "supplies-differ",
    code: "C046",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(seen.rig))
}

fn in_scene(rig: &Rig) -> Vec<Diagnostic> {
    let mut joins: BTreeMap<(u32, u32), (Span, &str)> = BTreeMap::new();
    let mut join = |one: u32, two: u32, span: Span, what: &'static str| {
        joins.entry((one.min(two), one.max(two))).or_insert((span, what));
    };
    let grounds = grounds(rig);
    for (device, _) in (0u32..).zip(&rig.devices).filter(|(_, device)| device.supply.is_some()) {
        for (other, span) in reached(rig, &grounds, device) {
            join(device, other, span, "analogue lines");
        }
    }
    for cable in rig.cables.iter().filter(|cable| joins_grounds(rig, cable)) {
        join(cable.from.device, cable.to.device, cable.span, "a screened link");
    }
    joins.into_iter().filter_map(|((one, two), (span, what))| told(rig, one, two, span, what)).collect()
}

/// Of each device, those that analogue lines join it to by their screens.
type Grounds = BTreeMap<u32, BTreeMap<u32, Span>>;

fn grounds(rig: &Rig) -> Grounds {
    let parted = |end: Point| {
        let lifted = rig.device(end.device).is_some_and(|device| device.lifted.iter().any(|leg| leg.value == end.lane));
        lifted || rig.lane_at(end).is_some_and(|lane| lane.isolated || lane.signal == "optical")
    };
    let mut grounds = Grounds::new();
    for run in rig.runs.iter().filter(|run| !parted(run.from) && !parted(run.to)) {
        for (one, two) in [(run.from.device, run.to.device), (run.to.device, run.from.device)] {
            grounds.entry(one).or_default().entry(two).or_insert(run.span);
        }
    }
    grounds
}

/// What a device is joined to, also by way of snakes and splits, which have no supply of their own.
fn reached(rig: &Rig, grounds: &Grounds, device: u32) -> Vec<(u32, Span)> {
    let passive = |device: u32| {
        let device = rig.device(device);
        device.is_some_and(|one| matches!(one.word, DeviceWord::Snake | DeviceWord::Split) && one.supply.is_none())
    };
    let (mut open, mut known, mut found) = (vec![device], BTreeSet::from([device]), Vec::new());
    while let Some(at) = open.pop() {
        for (next, span) in grounds.get(&at).into_iter().flatten().filter(|(next, _)| known.insert(**next)) {
            match passive(*next) {
                true => open.push(*next),
                false => found.push((*next, *span)),
            }
        }
    }
    found
}

/// An analogue link, or one with a screen. Of others it is not known.
fn joins_grounds(rig: &Rig, cable: &Cable) -> bool {
    let screened = rig.library.carrier(&cable.carrier).is_some_and(|carrier| carrier.screened);
    screened || cable.said.as_ref().is_some_and(|said| said.screened) || !has_rates(rig, &cable.carrier)
}

fn told(rig: &Rig, one: u32, two: u32, span: Span, what: &str) -> Option<Diagnostic> {
    let (first, second) = (rig.device(one)?, rig.device(two)?);
    let (here, there) = (first.supply.as_ref()?, second.supply.as_ref()?);
    if here.value == there.value {
        return None;
    }
    let message = format!(
        "`{}` is on the supply `{}` and `{}` on `{}`, joined by {what}: hum, or worse",
        first.name, here.value, second.name, there.value
    );
    Some(
        Diagnostic::warning(RULE.slug, here.span, message)
            .label(there.span, format!("the supply of `{}`", second.name))
            .label(span, "joined here")
            .help(
                "ask for one supply for all audio, or put an isolating leg between; never lift a protective earth: mains and \
                 earth are for licensed people under local rules",
            )
            .about(first.name.clone())
            .about(second.name.clone()),
    )
}
