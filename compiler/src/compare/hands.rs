//! What hands do besides plugging: stands and places on stage, lifts, lines marked as dead, who turns whose gains, clocks.

use super::deeds::{Deed, Spot, Step};
use super::turn::{Turn, stage};
use crate::plan::{Device, Source, View};
use rustc_hash::FxHashMap;
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What a plan says of a device and nobody acts on: who it is, and words for people.
const NO_DEED: &[&str] = &["name", "model", "role", "who", "priority", "note", "space_bytes", "backup_of"];

/// What is dialled at the device itself.
const DIALLED: &[&str] = &["clock", "runs_on", "rate_hz", "converts"];

impl Turn<'_, '_, '_> {
    /// Of devices that stay what they were.
    pub fn marks(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let was: FxHashMap<&str, &Device> = self.was.devices.iter().map(|one| (one.name.as_str(), *one)).collect();
        for now in self.now.devices.iter().filter(|now| !exchanged.contains(now.name.as_str())) {
            let Some(was) = was.get(now.name.as_str()) else { continue };
            let rates = (self.was.plan.rate_hz, self.now.plan.rate_hz);
            if was == now && rates.0 == rates.1 {
                continue;
            }
            let (before, after) = (said(was, rates.0), said(now, rates.1));
            for of in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
                let (was, is) = (before.get(of), after.get(of));
                if was == is || !is_deed(now, of) {
                    continue;
                }
                let deed = Deed::Mark { device: now.name.clone(), of: of.clone(), was: was.cloned(), now: is.cloned() };
                steps.push(match of.as_str() {
                    "gain_by" => Step::then(desk(is.or(was), now), deed),
                    of if DIALLED.contains(&of) => Step::then(self.at(&now.name), deed),
                    _ => stage(deed),
                });
            }
        }
    }

    /// Sources that are set up otherwise, or come; then the stands of those that went.
    pub fn stands(&self) -> (Vec<Step>, Vec<Step>) {
        let (was, now) = (spots(self.was), spots(self.now));
        let (mut set, mut struck) = (Vec::new(), Vec::new());
        for what in was.keys().chain(now.keys()).copied().collect::<BTreeSet<_>>() {
            let (before, after) = (was.get(what), now.get(what));
            let spot = |side: Option<&(&Source, Spot)>| side.map(|(_, spot)| spot.clone());
            let (was, now) = (spot(before), spot(after));
            // What is said of nothing is nothing; without a stand nothing stays behind.
            let other = was.clone().unwrap_or_default() != now.clone().unwrap_or_default();
            let left = now.is_some() || was.as_ref().is_some_and(|was| was.stand.is_some());
            if !other || !left {
                continue;
            }
            let called = after.or(before).map_or_else(String::new, |(source, _)| source.label.clone());
            let set_up = if now.is_some() { &mut set } else { &mut struck };
            set_up.push(stage(Deed::Stand { what: what.to_string(), called, was, now }));
        }
        (set, struck)
    }
}

/// By key; a desk and a recorder run at the rate of the show unless they say their own; a line that is kept for something
/// is no dead one.
fn said(device: &Device, rate_hz: u32) -> Map<String, Value> {
    let kept = device.kept_for.iter().map(|kept| kept.line).collect::<Vec<_>>();
    let out_of_use = device.out_of_use.iter().copied().filter(|line| !kept.contains(line)).collect();
    let own = device.rate_hz.or(is_dialled(device).then_some(rate_hz));
    match serde_json::to_value(Device { rate_hz: own, out_of_use, ..device.clone() }) {
        Ok(Value::Object(says)) => says,
        _ => Map::new(),
    }
}

fn is_dialled(device: &Device) -> bool {
    matches!(device.role.as_str(), "desk" | "recorder")
}

/// The clock by which a box counts comes with its link; nobody dials it.
fn is_deed(device: &Device, of: &str) -> bool {
    let follows = of == "runs_on" && !is_dialled(device);
    !follows && !NO_DEED.contains(&of)
}

fn desk(named: Option<&Value>, device: &Device) -> String {
    named.and_then(Value::as_str).unwrap_or(&device.name).to_string()
}

/// Every source that is plugged in, and how it is set up.
fn spots<'v>(view: &View<'v>) -> BTreeMap<&'v str, (&'v Source, Spot)> {
    let stands: FxHashMap<&str, Option<&String>> =
        view.plugs.iter().map(|plug| (plug.source.as_str(), plug.stand.as_ref())).collect();
    let spot = |source: &'v Source| {
        let stand = stands.get(source.source.as_str())?.filter(|stand| *stand != "none").cloned();
        let spot = Spot { stand, place: source.remarks.place.clone(), lifted: source.lifted };
        Some((source.source.as_str(), (source, spot)))
    };
    view.sources.iter().filter_map(|source| spot(source)).collect()
}
