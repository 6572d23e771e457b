//! The laws of comparing: a plan and itself differ in nothing, two plans that differ do in something, both directions
//! say the same, and whoever does the listed steps in order has the new rig, without 48 V at what it can hurt, a plug
//! pulled under 48 V, or two plugs in one socket on the way. The steps are done here by a reader of its own.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::compare::{Comparison, Deed, Plugging, Said, Side, Spot, Step, Strip, Verb, compare, json};
use fantail::diagnostics::Diagnostic;
use fantail::plan::{Act, Origins, Plan, Role, Setting};
use fantail::project::InMemory;
use fantail::sheets::{Manifest, pack, to_print_again};
use fantail::verify::{evaluate, joined_by_copper};
use fantail_tests::apart::edited;
use fantail_tests::dice::Dice;
use fantail_tests::{correct, texts};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

fn planned(text: &str) -> Option<Plan> {
    let told = fantail::analyse(Path::new("/show.fantail"), &InMemory::default().with("show.fantail", text));
    (!told.found.iter().any(Diagnostic::is_error)).then_some(told.plan)
}

fn compared(old: &Plan, new: &Plan) -> Comparison {
    let none = Origins::default();
    compare(Said { plan: old, origins: &none }, Said { plan: new, origins: &none })
}

/// Everything that holds in one act, as the lists of a show without acts.
fn flat(plan: &Plan, act: Option<&str>) -> Plan {
    let mut flat = Plan { acts: Vec::new(), ..plan.clone() };
    if let Some(act) = plan.acts.iter().find(|one| Some(one.act.as_str()) == act) {
        let Act { devices, cables, sources, outputs, plugs, given, settings, mixes, promised, signals, .. } =
            act.clone();
        flat.devices.extend(devices);
        flat.cables.extend(cables);
        flat.sources.extend(sources);
        flat.outputs.extend(outputs);
        flat.plugs.extend(plugs);
        flat.given.extend(given);
        flat.settings.extend(settings);
        flat.mixes.extend(mixes);
        flat.promised.extend(promised);
        flat.signals.extend(signals);
    }
    flat
}

/// The old plan under the names of the new one, as the comparison says that they changed.
fn renamed(plan: &Plan, comparison: &Comparison) -> Plan {
    let mut names: Vec<(String, String, bool)> = Vec::new();
    for change in comparison.changes.iter().filter(|change| change.verb == Verb::Renamed) {
        let (kind, new) = change.thing.split_once(' ').unwrap();
        let (_, old) = change.with.as_ref().unwrap().split_once(' ').unwrap();
        names.push((old.to_string(), new.to_string(), kind != "source"));
    }
    // A source that has a new name of its own, before those that only go with their act.
    names.sort_by_key(|(.., holds_others)| *holds_others);
    fn walk(value: &mut serde_json::Value, names: &[(String, String, bool)]) {
        match value {
            serde_json::Value::String(text) => {
                for (old, new, holds_others) in names {
                    let rest = text.strip_prefix(old.as_str()).map(String::from);
                    match rest {
                        Some(rest) if rest.is_empty() || (*holds_others && rest.starts_with('.')) => {
                            *text = format!("{new}{rest}");
                            break;
                        }
                        _ => {}
                    }
                }
            }
            serde_json::Value::Array(list) => list.iter_mut().for_each(|one| walk(one, names)),
            serde_json::Value::Object(map) => map.values_mut().for_each(|one| walk(one, names)),
            _ => {}
        }
    }
    let mut value = serde_json::to_value(plan).unwrap();
    walk(&mut value, &names);
    serde_json::from_value(value).unwrap()
}

/// A rig as it stands.
struct Rig {
    plan: Plan,
    models: BTreeMap<String, fantail::plan::Model>,
    outs: BTreeMap<String, String>,
    /// At which new gear is to run.
    rate_hz: u32,
    /// What is written at channels, tracks, feeds and mixes.
    strips: BTreeMap<String, Strip>,
    /// What is written at the sockets of sources.
    tape: BTreeMap<String, String>,
    spots: BTreeMap<String, Spot>,
    /// By device and key.
    marks: BTreeMap<(String, String), serde_json::Value>,
    /// By mix: whether it is one side of a stereo mix, and what it is made of.
    sends: BTreeMap<String, (bool, BTreeSet<String>)>,
    /// By mix and source.
    by_hand: BTreeSet<(String, String)>,
}

type Switch = (String, String, String, Option<u32>);

fn switch(setting: &Setting) -> Switch {
    (setting.device.clone(), setting.set.clone(), setting.bank.clone(), setting.first)
}

impl Rig {
    fn of(plan: Plan, models: &BTreeMap<String, fantail::plan::Model>) -> Rig {
        let mut rig = Rig {
            models: models.clone(),
            outs: BTreeMap::new(),
            rate_hz: plan.rate_hz,
            strips: written(&plan),
            tape: BTreeMap::new(),
            spots: BTreeMap::new(),
            marks: plan.devices.iter().flat_map(|one| marks(one, plan.rate_hz)).collect(),
            sends: sends(&plan),
            by_hand: BTreeSet::new(),
            plan,
        };
        for promise in &rig.plan.promised {
            rig.by_hand.extend(promise.without.iter().map(|name| (promise.mix.clone(), name.clone())));
        }
        for plug in &rig.plan.plugs {
            let source = rig.plan.sources.iter().find(|one| one.source == plug.source).unwrap();
            rig.tape.insert(plug.at.clone(), source.label.clone());
            let spot = Spot {
                stand: plug.stand.clone().filter(|stand| stand != "none"),
                place: source.remarks.place.clone(),
                lifted: source.lifted,
            };
            rig.spots.insert(plug.source.clone(), spot);
        }
        for output in rig.plan.outputs.clone() {
            let (bank, number) = output.to.rsplit_once(' ').unwrap_or((&output.to, ""));
            let _ = number;
            let (device, bank) = bank.rsplit_once('.').unwrap_or((bank, ""));
            let model = rig.plan.devices.iter().find(|one| one.name == device).map(|one| one.model.clone());
            let wiring = model.and_then(|model| rig.plan.models.get(&model)).map(|model| &model.wiring);
            let leaves = wiring.is_some_and(|w| w.banks.iter().any(|b| b.bank == bank && b.role == Role::Out));
            if leaves {
                let what = output.label.or(output.used_as).unwrap_or(output.from);
                rig.outs.insert(output.to, what);
            }
        }
        rig
    }

    /// The 48 V switches that are on.
    fn live(&self) -> Vec<(String, String, u32, u32)> {
        let on = |one: &&Setting| one.set == "phantom" && one.value == Some(true.into());
        let on = self.plan.settings.iter().filter(on);
        on.map(|one| (one.device.clone(), one.bank.clone(), one.first.unwrap(), one.last.unwrap())).collect()
    }

    /// Everything that 48 V reaches: points and sources.
    fn powered(&self) -> BTreeSet<String> {
        let joined = joined_by_copper(&Plan { models: self.models.clone(), ..self.plan.clone() }, None);
        let mut all = BTreeSet::new();
        for (device, bank, first, last) in self.live() {
            all.extend(joined.get(&(device.clone(), bank.clone(), first)).into_iter().flatten().cloned());
            all.extend((first..=last).map(|n| format!("{device}.{bank} {n}")));
        }
        all
    }

    fn hurt(&self) -> BTreeSet<String> {
        let powered = self.powered();
        let never = |kind: &Option<String>| {
            kind.as_ref().and_then(|kind| self.plan.kinds.get(kind)).is_some_and(|kind| kind.phantom == "never")
        };
        let sources = self.plan.sources.iter().filter(|source| never(&source.kind));
        let plugged = |name: &str| self.plan.plugs.iter().any(|plug| plug.source == name);
        sources.map(|one| one.source.clone()).filter(|name| plugged(name) && powered.contains(name)).collect()
    }

    /// Whether two sources meet somewhere.
    fn meet(&self) -> Vec<String> {
        let plan = Plan { models: self.models.clone(), ..self.plan.clone() };
        let told = evaluate(&plan, None).err().unwrap_or_default();
        told.into_iter().map(|one| one.to_string()).collect()
    }

    fn done(&mut self, step: &Step) {
        let plan = &mut self.plan;
        match step.deed.clone() {
            Deed::Off { device, bank, first, .. } => {
                let before = plan.settings.len();
                let this =
                    |s: &Setting| s.set == "phantom" && s.device == device && s.bank == bank && s.first == Some(first);
                plan.settings.retain(|one| !this(one));
                assert_eq!(plan.settings.len() + 1, before, "48 V was on at {device}.{bank} {first}");
            }
            Deed::On { setting } => {
                assert!(plan.settings.iter().all(|one| switch(one) != switch(&setting)), "on twice: {setting:?}");
                plan.settings.push(setting);
            }
            Deed::Unplug(Plugging { what, at, side: Side::In, called, .. }) => {
                assert_eq!(self.tape.remove(&at), Some(called), "{at}");
                assert!(!self.powered().contains(&at), "{what} is pulled from {at} under 48 V");
                let before = self.plan.plugs.len();
                self.plan.plugs.retain(|plug| !(plug.source == what && plug.at == at));
                assert_eq!(self.plan.plugs.len() + 1, before, "{what} was in {at}");
            }
            Deed::Plug(Plugging { what, at, side: Side::In, is: mic, called }) => {
                assert_eq!(self.tape.insert(at.clone(), called), None, "{at}");
                assert!(plan.plugs.iter().all(|plug| plug.at != at), "two plugs in {at}");
                plan.plugs.push(fantail::plan::Plug {
                    source: what.clone(),
                    at: at.clone(),
                    mic,
                    ..Default::default()
                });
                assert!(!self.powered().contains(&at), "{what} is plugged into {at} under 48 V");
            }
            Deed::Unplug(out) => assert_eq!(self.outs.remove(&out.at), Some(out.called)),
            Deed::Plug(into) => assert_eq!(self.outs.insert(into.at, into.called), None),
            Deed::Relabel { at, was, now } => {
                let side = if self.outs.contains_key(&at) { &mut self.outs } else { &mut self.tape };
                assert_eq!(side.insert(at, now), Some(was));
            }
            Deed::Name { at, was, now } => {
                assert_eq!(self.strips.get(&at), was.as_ref(), "{at}");
                assert_ne!(was, now, "{at}");
                replaced(&mut self.strips, at, now);
            }
            Deed::Stand { what, was, now, .. } => {
                assert_eq!(self.spots.get(&what), was.as_ref(), "{what}");
                replaced(&mut self.spots, what, now);
            }
            Deed::Mark { device, of, was, now } => {
                let place = (device, of);
                assert_eq!(self.marks.get(&place), was.as_ref(), "{place:?}");
                replaced(&mut self.marks, place, now);
            }
            Deed::LeaveOut { mix, out, free, .. } => {
                for name in out {
                    assert!(self.by_hand.insert((mix.clone(), name.what)));
                }
                for name in free {
                    assert!(self.by_hand.remove(&(mix.clone(), name.what)));
                }
            }
            Deed::Pull { cable } => {
                self.dead(&cable);
                let plan = &mut self.plan;
                let before = plan.cables.len();
                plan.cables.retain(|one| laid(one) != laid(&cable));
                assert!(plan.cables.len() < before, "{cable:?} was laid");
            }
            Deed::Lay { cable } => {
                self.dead(&cable);
                self.plan.cables.push(cable);
            }
            Deed::TakeAway { device } => {
                plan.devices.retain(|one| one.name != device);
                plan.settings.retain(|one| one.device != device);
                let here = |at: &str| at.starts_with(&format!("{device}."));
                self.sends.retain(|mix, _| !here(mix));
                self.strips.retain(|at, _| !here(at));
                self.by_hand.retain(|(mix, _)| !here(mix));
                self.marks.retain(|(name, _), _| *name != device);
            }
            Deed::Bring { device } => {
                self.marks.extend(marks(&device, self.rate_hz));
                plan.devices.push(device);
            }
            Deed::Clear { device, set, bank, first, .. } => {
                let before = plan.settings.len();
                plan.settings.retain(|one| switch(one) != (device.clone(), set.clone(), bank.clone(), first));
                assert_eq!(plan.settings.len() + 1, before);
            }
            Deed::Set { setting } => {
                plan.settings.retain(|one| switch(one) != switch(&setting));
                plan.settings.push(setting);
            }
            Deed::HandOver { setting, .. } => {
                let old = plan.settings.iter_mut().find(|one| switch(one) == switch(&setting)).unwrap();
                assert_eq!((&old.value, old.last), (&setting.value, setting.last), "{setting:?}");
                assert_ne!(old.owner, setting.owner);
                *old = setting;
            }
            Deed::Send { mix, of, add, out, stereo, .. } => {
                let place = |name: &fantail::compare::Named| name.at.clone().unwrap_or(name.what.clone());
                let (mut is_stereo, mut carried) = self.sends.remove(&mix).unwrap_or_default();
                for name in &out {
                    assert!(carried.remove(&place(name)), "{name:?} was in {mix}");
                }
                for name in &add {
                    assert!(carried.insert(place(name)), "{name:?} was not in {mix}");
                }
                is_stereo = stereo.unwrap_or(is_stereo);
                if let Some(of) = of {
                    self.by_hand.retain(|(known, _)| *known != of.mix);
                    self.sends.insert(mix, (is_stereo, carried));
                } else {
                    assert!(carried.is_empty());
                }
            }
        }
    }

    /// No line of a run that hands take hold of bears 48 V.
    fn dead(&self, cable: &fantail::plan::Cable) {
        for at in self.powered() {
            for end in [&cable.from, &cable.to] {
                let (Some((bank, range)), Some((here, n))) = (end.rsplit_once(' '), at.rsplit_once(' ')) else {
                    continue;
                };
                let (first, last) = range.split_once('-').unwrap_or((range, range));
                let n: u32 = n.parse().unwrap();
                let holds = (first.parse().unwrap()..=last.parse().unwrap()).contains(&n);
                assert!(bank != here || !holds, "{cable:?} bears 48 V at {at}");
            }
        }
    }

    /// What a step can change, in an order of its own.
    fn state(&self) -> Vec<String> {
        let plan = &self.plan;
        let mut state: Vec<String> =
            plan.devices.iter().map(|one| format!("device {} {}", one.name, one.model)).collect();
        state.extend(plan.cables.iter().map(|cable| format!("cable {}", laid(cable))));
        state.extend(plan.plugs.iter().map(|plug| format!("plug {} {} {:?}", plug.at, plug.source, plug.mic)));
        state.extend(plan.settings.iter().map(|one| serde_json::to_string(one).unwrap()));
        state.extend(self.sends.iter().map(|(mix, of)| format!("mix {mix} {of:?}")));
        state.extend(self.outs.iter().map(|(at, what)| format!("out {at} {what}")));
        let written = self.strips.iter().filter(|(_, strip)| **strip != Strip::default());
        state.extend(written.map(|(at, strip)| format!("strip {at} {strip:?}")));
        state.extend(self.tape.iter().map(|(at, label)| format!("tape {at} {label}")));
        // Of what went only a stand is left behind.
        let plugged: BTreeSet<&String> = plan.plugs.iter().map(|plug| &plug.source).collect();
        let said = self.spots.iter().filter(|(_, spot)| **spot != Spot::default());
        let left = said.filter(|(what, spot)| plugged.contains(what) || spot.stand.is_some());
        state.extend(left.map(|(what, spot)| format!("spot {what} {spot:?}")));
        state.extend(self.marks.iter().map(|(of, is)| format!("mark {of:?} {is}")));
        state.extend(self.by_hand.iter().map(|(mix, name)| format!("by hand {mix} {name}")));
        state.sort();
        state
    }
}

fn replaced<K: Ord, V>(all: &mut BTreeMap<K, V>, at: K, now: Option<V>) {
    match now {
        Some(now) => drop(all.insert(at, now)),
        None => drop(all.remove(&at)),
    }
}

/// What each mix is made of: the channels of its desk on which its sources are; what is on none by its name.
fn sends(plan: &Plan) -> BTreeMap<String, (bool, BTreeSet<String>)> {
    let written = written(plan);
    let feeds: BTreeSet<&String> = plan.personal.iter().map(|feed| &feed.feed).collect();
    let mut sends = BTreeMap::new();
    for mix in &plan.mixes {
        let (bank, _) = mix.mix.rsplit_once(' ').unwrap();
        let (desk, _) = bank.rsplit_once('.').unwrap();
        let is_desk = plan.devices.iter().any(|one| one.name == desk && one.role == "desk");
        let mut of = BTreeSet::new();
        for name in &mix.of {
            let ends = plan.signals.iter().filter(|one| one.source == *name).flat_map(|one| &one.ends);
            let here = |end: &str| {
                let rest = end.strip_prefix(desk).and_then(|rest| rest.strip_prefix('.'));
                rest.is_some_and(|rest| !rest.contains('.') && !rest.starts_with("track ")) && written.contains_key(end)
            };
            let channels = ends.filter(|end| end.asked && is_desk && here(&end.end) && !feeds.contains(&end.end));
            let channels: Vec<String> = channels.map(|end| end.end.clone()).collect();
            if channels.is_empty() {
                of.insert(name.clone());
            }
            of.extend(channels);
        }
        sends.insert(mix.mix.clone(), (mix.stereo, of));
    }
    sends
}

/// What people act on of a device: not who it is, words, the room on a disk, or the clock that comes with a link. A desk
/// and a recorder are set to the rate of the show; a line that is kept for something is no dead one.
fn marks(device: &fantail::plan::Device, rate_hz: u32) -> Vec<((String, String), serde_json::Value)> {
    let comes_along = !["desk", "recorder"].contains(&device.role.as_str());
    let mut device = device.clone();
    if !comes_along && device.rate_hz.is_none() {
        device.rate_hz = Some(rate_hz);
    }
    device.out_of_use.retain(|line| device.kept_for.iter().all(|kept| kept.line != *line));
    let serde_json::Value::Object(says) = serde_json::to_value(&device).unwrap() else { unreachable!() };
    let skipped = |key: &str| {
        ["name", "model", "role", "who", "priority", "note", "space_bytes", "backup_of"].contains(&key)
            || key == "runs_on" && comes_along
    };
    let said = says.into_iter().filter(|(key, _)| !skipped(key));
    said.map(|(key, value)| ((device.name.clone(), key), value)).collect()
}

/// What is written where: at every channel, track and feed that a row asked for, and at mixes.
fn written(plan: &Plan) -> BTreeMap<String, Strip> {
    let role = |at: &str| {
        let (device, bank) = at.rsplit_once(' ')?.0.rsplit_once('.')?;
        let device = plan.devices.iter().find(|one| one.name == device)?;
        let banks = &plan.models.get(&device.model)?.wiring.banks;
        let role = banks.iter().find(|one| one.bank == bank)?.role;
        Some((role, device.role == "desk" && bank != "track"))
    };
    let inverted: BTreeSet<&String> =
        plan.plugs.iter().chain(&plan.given).filter(|one| one.polarity_inverted).map(|one| &one.source).collect();
    let mut read: BTreeMap<String, (BTreeSet<String>, bool)> = BTreeMap::new();
    for signal in &plan.signals {
        for end in signal.ends.iter().filter(|end| end.asked) {
            if let Some((Role::Inner, channel)) = role(&end.end) {
                let (labels, over) = read.entry(end.end.clone()).or_default();
                labels.insert(signal.label.clone());
                *over |= channel && inverted.contains(&signal.source);
            }
        }
    }
    for output in &plan.outputs {
        if let Some((Role::Origin, _)) = role(&output.from) {
            read.entry(output.from.clone()).or_default().0.extend(output.label.clone());
        }
    }
    let strip = |(labels, inverted): (BTreeSet<String>, bool)| Strip {
        label: labels.into_iter().collect::<Vec<_>>().join(", "),
        inverted,
    };
    read.into_iter().map(|(at, read)| (at, strip(read))).collect()
}

fn laid(cable: &fantail::plan::Cable) -> String {
    let length = cable.length_m.map(|length| length.to_string());
    format!(
        "{} {} {} {} {length:?} {} {}",
        cable.from, cable.to, cable.carrier, cable.used_as, cable.screened, cable.locking
    )
}

/// Which acts of both are held side by side.
fn scenes(old: &Plan, new: &Plan) -> Vec<(Option<String>, Option<String>, Option<String>)> {
    let names = |plan: &Plan| plan.acts.iter().map(|act| act.act.clone()).collect::<Vec<_>>();
    let some = |name: &String| Some(name.clone());
    match (names(old).as_slice(), names(new).as_slice()) {
        ([], []) => vec![(None, None, None)],
        ([], new) => new.iter().map(|act| (some(act), None, some(act))).collect(),
        (old, []) => old.iter().map(|act| (some(act), some(act), None)).collect(),
        (old, new) => new.iter().map(|act| (some(act), old.contains(act).then(|| act.clone()), some(act))).collect(),
    }
}

/// Doing what is listed.
fn steps_lead_there(name: &str, old: &Plan, new: &Plan) -> usize {
    let comparison = compared(old, new);
    let same_models = old.models.iter().all(|(name, model)| new.models.get(name).is_none_or(|now| now == model));
    let models: BTreeMap<_, _> = old.models.clone().into_iter().chain(new.models.clone()).collect();
    let before = renamed(old, &comparison);
    let mut done = 0;
    for (act, was_in, now_in) in scenes(&before, new) {
        let mut rig = Rig::of(flat(&before, was_in.as_deref()), &models);
        let goal = Rig::of(flat(new, now_in.as_deref()), &models);
        let mine = |acts: &Vec<String>| acts.is_empty() || act.as_ref().is_some_and(|act| acts.contains(act));
        let hurt: BTreeSet<String> = rig.hurt().union(&goal.hurt()).cloned().collect();
        rig.plan.kinds.extend(goal.plan.kinds.clone());
        rig.rate_hz = goal.rate_hz;
        // A source is what it was until its new plug is in.
        let new: BTreeMap<_, _> = goal.plan.sources.iter().map(|one| (one.source.clone(), one.clone())).collect();
        for work in comparison.work.iter().filter(|work| mine(&work.acts)) {
            for step in &work.steps {
                rig.done(step);
                done += 1;
                if let Deed::Plug(Plugging { what, side: Side::In, .. }) = &step.deed {
                    rig.plan.sources.retain(|one| one.source != *what);
                    rig.plan.sources.extend(new.get(what).cloned());
                }
                let harmed: Vec<String> = rig.hurt().difference(&hurt).cloned().collect();
                assert!(harmed.is_empty(), "{name}: 48 V at {harmed:?} after {step:?}");
                if same_models {
                    let meet = rig.meet();
                    let two: Vec<&String> =
                        meet.iter().filter(|one| one.contains("two") || one.contains("meet")).collect();
                    assert!(two.is_empty(), "{name}: {two:?} after {step:?}");
                }
            }
        }
        let (is, should) = (rig.state(), goal.state());
        let missing: Vec<_> = should.iter().filter(|one| !is.contains(one)).collect();
        let over: Vec<_> = is.iter().filter(|one| !should.contains(one)).collect();
        assert!(is == should, "{name}, {act:?}\nmissing {missing:#?}\nover {over:#?}");
    }
    done
}

/// The other direction says the same, with both sides changed over.
fn both_ways(name: &str, old: &Plan, new: &Plan) {
    let (there, back) = (compared(old, new), compared(new, old));
    let told = |comparison: &Comparison, turned: bool| -> Vec<String> {
        let mut told = Vec::new();
        for change in &comparison.changes {
            let (mut verb, mut sides) = (change.verb, (change.was.clone(), change.now.clone()));
            let mut things = vec![change.thing.clone()];
            things.extend(change.with.clone());
            things.sort();
            if turned {
                sides = (sides.1, sides.0);
                verb = match verb {
                    Verb::Added => Verb::Gone,
                    Verb::Gone => Verb::Added,
                    verb => verb,
                };
            }
            if verb == Verb::Swapped {
                // Whichever of the two is named first.
                let mut both = [sides.0, sides.1];
                both.sort();
                let [one, other] = both;
                sides = (one, other);
            }
            // A thing that has a new name goes by the old one on the way back.
            if comparison.changes.iter().any(|one| one.verb == Verb::Renamed) {
                told.push(format!("{verb:?}"));
                continue;
            }
            told.push(format!("{verb:?} {things:?} {} {sides:?} {:?}", change.of, change.acts));
        }
        told.sort();
        told
    };
    let (there_told, back_told) = (told(&there, false), told(&back, true));
    let only: Vec<_> = there_told.iter().filter(|one| !back_told.contains(one)).collect();
    let other: Vec<_> = back_told.iter().filter(|one| !there_told.contains(one)).collect();
    assert!(there_told == back_told, "{name}\nthere {only:#?}\nback {other:#?}");
    let plugs = |comparison: &Comparison, turned: bool| -> BTreeMap<String, usize> {
        let mut counts = BTreeMap::new();
        for step in comparison.work.iter().flat_map(|work| &work.steps) {
            let what = match (&step.deed, turned) {
                (Deed::Unplug(Plugging { at, .. }), false) | (Deed::Plug(Plugging { at, .. }), true) => {
                    format!("out of {at}")
                }
                (Deed::Plug(Plugging { at, .. }), false) | (Deed::Unplug(Plugging { at, .. }), true) => {
                    format!("into {at}")
                }
                (Deed::Pull { cable }, false) | (Deed::Lay { cable }, true) => format!("pull {}", cable.used_as),
                (Deed::Lay { cable }, false) | (Deed::Pull { cable }, true) => format!("lay {}", cable.used_as),
                _ => continue,
            };
            *counts.entry(what).or_default() += 1;
        }
        counts
    };
    if !there.changes.iter().any(|one| one.verb == Verb::Renamed) {
        assert_eq!(plugs(&there, false), plugs(&back, true), "{name}");
    }
}

/// Two plans that say the same, lists aside that follow from the rest.
fn same(old: &Plan, new: &Plan) -> bool {
    let bare = |plan: &Plan| {
        let mut plan = Plan { diagnostics: Vec::new(), changes: Vec::new(), power: Vec::new(), ..plan.clone() };
        plan.kinds.retain(|name, _| old.kinds.contains_key(name) && new.kinds.contains_key(name));
        serde_json::to_value(plan).unwrap()
    };
    bare(old) == bare(new)
}

fn holds(name: &str, old: &Plan, new: &Plan) -> usize {
    static SCHEMA: LazyLock<jsonschema::Validator> = LazyLock::new(|| {
        let schema = serde_json::from_str(include_str!("../../grammar/compare.schema.json")).unwrap();
        jsonschema::draft202012::new(&schema).unwrap()
    });
    assert!(compared(new, new).is_empty(), "{name}: a plan and itself");
    let comparison = compared(old, new);
    let data = serde_json::from_str(&json(std::slice::from_ref(&comparison))).unwrap();
    let faults: Vec<String> =
        SCHEMA.iter_errors(&data).map(|fault| format!("{}: {fault}", fault.instance_path)).collect();
    assert!(faults.is_empty(), "{name}: {faults:#?}");
    assert!(!comparison.is_empty() || same(old, new), "{name}: the plans differ, and nothing is told");
    if same(old, new) {
        assert!(comparison.is_empty(), "{name}: the plans say the same, and {comparison:#?} is told");
    }
    // An act that came is laid over the house; one that went leaves nothing to do.
    let acts = |plan: &Plan| plan.acts.iter().map(|act| act.act.clone()).collect::<BTreeSet<_>>();
    let before = renamed(old, &comparison);
    if acts(&before) == acts(new) || acts(old).is_empty() || acts(new).is_empty() {
        both_ways(name, old, new);
    }
    paper_is_what_the_marks_say(name, old, new);
    steps_lead_there(name, old, new)
}

/// The list of sheets to print again is found without a mark, and agrees with a pack's own list of them.
fn paper_is_what_the_marks_say(name: &str, old: &Plan, new: &Plan) {
    let (was, now) = (pack(old), pack(new));
    let of_old = Manifest::of(&was, &[]);
    let by_marks: Vec<_> = of_old.stale(&now).into_iter().map(|off| (off.title.to_string(), off.how.word())).collect();
    let list = to_print_again(old, new);
    let list: Vec<_> = list.iter().map(|paper| (paper.title.clone(), paper.how.as_str())).collect();
    assert_eq!(list, by_marks, "{name}");
}

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// Shows that have nothing to do with each other: everything changes at once.
#[test]
fn one_show_after_another() {
    let (first, count) = (number("FANTAIL_SEED", 0), number("FANTAIL_COMPARED", 24));
    let mut steps = 0;
    let mut last: Option<Plan> = None;
    for seed in first..first + count {
        let plan = planned(&correct::show(seed)).unwrap();
        if let Some(last) = &last {
            steps += holds(&format!("shows {} and {seed}", seed - 1), last, &plan);
        }
        last = Some(plan);
    }
    println!("{steps} steps");
    assert!(steps as u64 > count * 20, "{steps} steps are too few");
}

/// Late changes: some edits of a show that still plans.
#[test]
fn a_show_and_edits_of_it() {
    let (first, count) = (number("FANTAIL_SEED", 0), number("FANTAIL_COMPARED", 24));
    let (mut pairs, mut steps) = (0, 0);
    for seed in first..first + count {
        let text = correct::show(seed);
        let mut dice = Dice(seed.wrapping_add(99));
        let mut now = text.clone();
        let mut plan = planned(&text).unwrap();
        for edit in 0..12 {
            let tried = if dice.one_in(2) { turned(&now, &mut dice) } else { edited(&now, &text, &mut dice) };
            let Some(new) = planned(&tried) else { continue };
            steps += holds(&format!("show {seed}, edit {edit}\n{now}---\n{tried}"), &plan, &new);
            pairs += 1;
            (now, plan) = (tried, new);
        }
    }
    println!("{pairs} pairs, {steps} steps");
    assert!(pairs > count && steps as u64 > count, "{pairs} pairs and {steps} steps are too few");
}

/// Two rows of a list change a column with each other: what a late change at a venue looks like.
fn turned(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(String::from).collect();
    let with_from: Vec<usize> = (0..lines.len()).filter(|at| lines[*at].contains(" from ")).collect();
    if with_from.len() < 2 {
        return text.to_string();
    }
    let (one, other) = (dice.pick(&with_from), dice.pick(&with_from));
    let words = |line: &str| line.split_whitespace().map(String::from).collect::<Vec<_>>();
    let (mut a, mut b) = (words(&lines[one]), words(&lines[other]));
    // The number, the name, the kind, or the socket.
    let column = dice.pick(&[0, 1, 2, 5]);
    if one != other && a.len() > column && b.len() > column {
        std::mem::swap(&mut a[column], &mut b[column]);
        if dice.one_in(2) && column == 0 {
            std::mem::swap(&mut a[5], &mut b[5]);
        }
        lines[one] = a.join(" ");
        lines[other] = b.join(" ");
    }
    lines.join("\n") + "\n"
}

/// Every text of the project that plans by itself, each after the one before.
#[test]
fn every_text_after_the_one_before() {
    let plans: Vec<(String, Plan)> =
        texts::all().into_iter().filter_map(|(name, text)| Some((name, planned(&text)?))).collect();
    let mut steps = 0;
    for pair in plans.windows(2) {
        let [(was, old), (name, new)] = pair else { continue };
        steps += holds(&format!("{was} and {name}"), old, new);
    }
    println!("{} plans, {steps} steps", plans.len());
    assert!(plans.len() > 100, "{} plans are too few", plans.len());
}

/// An act under another name, alone and with edits: every text with acts.
#[test]
fn acts_under_new_names() {
    let mut renames = 0;
    for (name, text) in texts::all() {
        let Some(plan) = planned(&text).filter(|plan| !plan.acts.is_empty()) else { continue };
        for act in plan.acts.iter().map(|act| act.act.as_str()) {
            let word = |before: &str| format!("{before}{act}");
            let new = [" ", "\n", "(", ", "].iter().fold(format!("\n{text}"), |text, before| {
                let (old, new) = (word(before), format!("{before}another-name"));
                let ends = |rest: &str| rest.starts_with([' ', '.', '\n', ',']);
                let mut parts = text.split(old.as_str());
                let first = parts.next().unwrap_or_default().to_string();
                parts.fold(first, |all, rest| all + if ends(rest) { &new } else { &old } + rest)
            });
            let Some(now) = planned(&new).filter(|now| now.acts.iter().any(|act| act.act == "another-name")) else {
                continue;
            };
            let told = compared(&plan, &now);
            let renamed =
                |change: &fantail::compare::Change| change.verb == Verb::Renamed && change.thing == "act another-name";
            if told.changes.iter().any(renamed) {
                renames += 1;
                assert!(told.work.is_empty(), "{name}: nothing is to do for a name\n{told:#?}");
                assert!(!told.changes.iter().any(|one| one.thing.starts_with("source")), "{name}: {told:#?}");
            }
            holds(&format!("{name}, {act} under another name"), &plan, &now);
            let mut dice = Dice(renames);
            for _ in 0..6 {
                let Some(edited) = planned(&edited(&new, &new, &mut dice)) else { continue };
                holds(&format!("{name}, {act} under another name and edited"), &plan, &edited);
            }
        }
    }
    println!("{renames} acts under new names");
    assert!(renames > 20, "{renames} are too few");
}

/// Every leaf of a plan that says something, by its place with the numbers of lists left out.
fn leaves(value: &serde_json::Value, path: &str, kind: &str, found: &mut Vec<(String, String)>) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, value) in map {
                let by_name = matches!(kind.rsplit('/').next(), Some("models" | "mics" | "kinds" | "carriers"));
                let named = if by_name { "*" } else { key };
                let escaped = key.replace('~', "~0").replace('/', "~1");
                leaves(value, &format!("{path}/{escaped}"), &format!("{kind}/{named}"), found);
            }
        }
        serde_json::Value::Array(list) => {
            for (at, value) in list.iter().enumerate() {
                leaves(value, &format!("{path}/{at}"), &format!("{kind}/*"), found);
            }
        }
        _ => found.push((kind.to_string(), path.to_string())),
    }
}

/// Of each kind of thing that a plan can say, one said otherwise is told.
#[test]
fn nothing_that_a_plan_says_is_passed_over() {
    // What follows from the rest, and what a comparison has from elsewhere.
    let follows =
        ["/signals", "/power", "/changes", "/diagnostics", "/fantail", "/replaced", "phantom_path", "/preamps/*/at"];
    let mut seen = BTreeSet::new();
    let mut unread = Vec::new();
    for (name, text) in texts::all() {
        let Some(plan) = planned(&text) else { continue };
        let value = serde_json::to_value(&plan).unwrap();
        let mut found = Vec::new();
        leaves(&value, "", "", &mut found);
        found.retain(|(kind, _)| !follows.iter().any(|part| kind.contains(part)));
        for (kind, path) in found {
            if seen.contains(&kind) {
                continue;
            }
            let mut other = value.clone();
            let leaf = other.pointer_mut(&path).unwrap();
            *leaf = match leaf {
                serde_json::Value::String(text) => format!("{text}-otherwise").into(),
                serde_json::Value::Number(number) => (number.as_f64().unwrap() as u64 + 1).into(),
                serde_json::Value::Bool(is) => (!*is).into(),
                _ => continue,
            };
            let Ok(other) = serde_json::from_value::<Plan>(other) else { continue };
            seen.insert(kind.clone());
            if compared(&plan, &other).is_empty() {
                unread.push(format!("{kind}, as {path} of {name}"));
            }
        }
    }
    println!("{} kinds of saying", seen.len());
    assert!(unread.is_empty(), "{} of {}: {unread:#?}", unread.len(), seen.len());
    assert!(seen.len() > 150, "{} are too few", seen.len());
}

/// Every two plans of the project as if they were two venues of a rig.
#[test]
fn venues_are_as_their_schema_says() {
    let schema = serde_json::from_str(include_str!("../../grammar/venues.schema.json")).unwrap();
    let schema = jsonschema::draft202012::new(&schema).unwrap();
    let plans: Vec<Plan> = texts::all().into_iter().filter_map(|(_, text)| planned(&text)).collect();
    for three in plans.windows(3) {
        let [rig, one, other] = three else { continue };
        let columns = [("one", Said::alone(one)), ("other", Said::alone(other)), ("same", Said::alone(rig))];
        let venues = fantail::compare::venues(("rig", Said::alone(rig)), &columns);
        let data = serde_json::to_value(&venues).unwrap();
        assert!(schema.is_valid(&data), "{data:#}");
        for row in &venues.rows {
            assert_eq!(row.cells.len(), 3);
            assert!(row.cells.iter().any(|cell| cell.differs) && !row.cells[2].differs, "{row:?}");
        }
    }
}
