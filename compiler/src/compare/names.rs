//! What is only called otherwise: a device, a source or an act that went and one that came in its very place. Told apart from
//! what was exchanged, so that a new name moves no cable. The old plan is then read under the new names.

use crate::plan::{
    Act, Cable, Device, Mix, Output, PersonalFeed, Plan, Plug, Points, Promise, Setting, Signal, Source, parted,
};
use std::borrow::Cow;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Old names and the new ones.
#[derive(Default)]
pub(super) struct Renames {
    pub acts: BTreeMap<String, String>,
    pub devices: BTreeMap<String, String>,
    /// The old names with the new names of their acts.
    pub sources: BTreeMap<String, String>,
}

impl Renames {
    pub const fn none() -> Self {
        Renames { acts: BTreeMap::new(), devices: BTreeMap::new(), sources: BTreeMap::new() }
    }

    /// What the new plan calls a thing of the old one.
    pub fn new_thing<'t>(&self, thing: &'t str) -> Cow<'t, str> {
        let Some((kind, name)) = thing.split_once(' ').filter(|_| !self.is_empty()) else { return thing.into() };
        let mut name = name.to_string();
        match kind {
            "act" => replace(&mut name, &self.acts),
            "source" => {
                in_act(&mut name, &self.acts);
                replace(&mut name, &self.sources);
            }
            "device" | "list" | "recording" => replace(&mut name, &self.devices),
            "mix" | "output" | "feed" | "cable" => at_device(&mut name, &self.devices),
            _ => {}
        }
        format!("{kind} {name}").into()
    }

    fn is_empty(&self) -> bool {
        self.acts.is_empty() && self.devices.is_empty() && self.sources.is_empty()
    }

    /// What the new plan calls an act, of either plan.
    pub fn act<'n>(&'n self, name: &'n str) -> &'n str {
        self.acts.get(name).map_or(name, String::as_str)
    }

    /// What the old plan called a source that has a new name.
    pub fn old_source(&self, name: &str) -> String {
        let (act, rest) = name.split_once('.').unwrap_or_default();
        let old = self.acts.iter().find(|(_, new)| *new == act).map(|(old, _)| format!("{old}.{rest}"));
        old.unwrap_or_else(|| name.to_string())
    }
}

/// The old plan under the new names, and which they are.
pub(super) fn under_new_names<'p>(old: &'p Plan, new: &Plan) -> (Cow<'p, Plan>, Renames) {
    let mut was = Cow::Borrowed(old);
    let acts = acts(old, new);
    if !acts.is_empty() {
        rename_acts(was.to_mut(), &acts);
    }
    let devices = devices(&was, new);
    if !devices.is_empty() {
        visit(was.to_mut(), &mut |name, what| match what {
            Named::Device => replace(name, &devices),
            Named::Point => at_device(name, &devices),
            Named::Either if name.contains(' ') => at_device(name, &devices),
            Named::Either | Named::Source => {}
        });
    }
    let sources = sources(&was, new);
    if !sources.is_empty() {
        visit(was.to_mut(), &mut |name, what| match what {
            Named::Source | Named::Either => replace(name, &sources),
            Named::Point | Named::Device => {}
        });
    }
    (was, Renames { acts, devices, sources })
}

fn replace(name: &mut String, by: &BTreeMap<String, String>) {
    if let Some(new) = by.get(name.as_str()) {
        name.clone_from(new);
    }
}

fn rename_acts(plan: &mut Plan, acts: &BTreeMap<String, String>) {
    plan.acts.iter_mut().for_each(|act| replace(&mut act.act, acts));
    plan.allowed.iter_mut().filter_map(|one| one.act.as_mut()).for_each(|act| replace(act, acts));
    visit(plan, &mut |name, what| match what {
        Named::Source => in_act(name, acts),
        Named::Either if !name.contains(' ') => in_act(name, acts),
        Named::Either | Named::Point | Named::Device => {}
    });
}

/// `kestrel.kick`: the act of a source.
fn in_act(source: &mut String, by: &BTreeMap<String, String>) {
    let new = source.split_once('.').and_then(|(act, rest)| Some(format!("{}.{rest}", by.get(act)?)));
    if let Some(new) = new {
        *source = new;
    }
}

/// `stage-left.in 3`, `stage-left.up`: the device of a point.
fn at_device(point: &mut String, by: &BTreeMap<String, String>) {
    let new = parted(point).and_then(|(device, rest)| Some(format!("{}.{rest}", by.get(device)?)));
    if let Some(new) = new {
        *point = new;
    }
}

/// Each pair once, the likeliest first; equally likely ones by name, whichever is the old one.
fn paired<'p>(mut likely: Vec<(usize, &'p str, &'p str)>) -> BTreeMap<String, String> {
    likely.sort_by_key(|(alike, old, new)| (Reverse(*alike), *old.min(new), *old.max(new)));
    let (mut went, mut came) = (BTreeSet::new(), BTreeSet::new());
    likely.retain(|(_, old, new)| !went.contains(old) && !came.contains(new) && went.insert(*old) && came.insert(*new));
    likely.into_iter().map(|(_, old, new)| (old.to_string(), new.to_string())).collect()
}

fn every<'p, T>(plan: &'p Plan, top: &'p [T], of: fn(&'p Act) -> &'p [T]) -> impl Iterator<Item = &'p T> {
    top.iter().chain(plan.acts.iter().flat_map(of))
}

/// An act of the same title, or one that brings most of what the other brought; at the same time some of it.
fn acts(old: &Plan, new: &Plan) -> BTreeMap<String, String> {
    fn only<'p>(these: &'p [Act], those: &'p [Act]) -> impl Iterator<Item = &'p Act> {
        let there: BTreeSet<&str> = those.iter().map(|act| act.act.as_str()).collect();
        these.iter().filter(move |act| !there.contains(act.act.as_str()))
    }
    let came: Vec<(&Act, BTreeSet<String>)> = only(&new.acts, &old.acts).map(|act| (act, brings(act))).collect();
    let mut likely = Vec::new();
    for went in only(&old.acts, &new.acts) {
        let there = brings(went);
        for (came, here) in &came {
            let (alike, most) = (there.intersection(here).count(), there.len().max(here.len()));
            let titled = went.title.is_some() && went.title == came.title;
            let timed = went.from.is_some() && went.from == came.from;
            // Nothing of their own: all that there is of an act is its head.
            let bare = most == 0 && timed && (&went.title, &went.to) == (&came.title, &came.to);
            if titled || bare || alike * 2 > most || timed && alike > 0 && alike * 4 >= most {
                likely.push((alike + usize::from(titled) * TITLE, went.act.as_str(), came.act.as_str()));
            }
        }
    }
    paired(likely)
}

/// A title tells more of an act than any number of rows.
const TITLE: usize = 1 << 20;

/// The sources of an act of its own: what they are and where they plug in, whatever they are called.
fn brings(act: &Act) -> BTreeSet<String> {
    let mut at: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for plug in act.plugs.iter().chain(&act.given) {
        at.entry(&plug.source).or_default().push(&plug.at);
    }
    let own = act.sources.iter().filter(|source| source.source.split_once('.').is_some_and(|(of, _)| of == act.act));
    own.map(|one| format!("{} {:?} {:?} {:?}", one.label, one.kind, one.mic, at.get(one.source.as_str()))).collect()
}

/// A device of the same model in the same place: most of what hangs on one hangs on the other.
fn devices(old: &Plan, new: &Plan) -> BTreeMap<String, String> {
    let known = |plan| -> BTreeMap<_, _> {
        every(plan, &plan.devices, |act| &act.devices).map(|device| (device.name.as_str(), device)).collect()
    };
    let (was, is): (BTreeMap<&str, &Device>, BTreeMap<&str, &Device>) = (known(old), known(new));
    let gone: Vec<_> = was.values().filter(|device| !is.contains_key(device.name.as_str())).collect();
    let came: Vec<_> = is.values().filter(|device| !was.contains_key(device.name.as_str())).collect();
    if gone.is_empty() || came.is_empty() {
        return BTreeMap::new();
    }
    let (before, now) = (hanging(old), hanging(new));
    let none = BTreeSet::new();
    let mut likely = Vec::new();
    for went in &gone {
        for came in came.iter().filter(|came| came.model == went.model && came.role == went.role) {
            let there = before.get(went.name.as_str()).unwrap_or(&none);
            let here = now.get(came.name.as_str()).unwrap_or(&none);
            let alike = there.intersection(here).count();
            if alike * 2 > there.len().max(here.len()) || there.is_empty() && here.is_empty() {
                likely.push((alike, went.name.as_str(), came.name.as_str()));
            }
        }
    }
    paired(likely)
}

/// By device what hangs on it, each with the bank and the number there.
fn hanging(plan: &Plan) -> BTreeMap<&str, BTreeSet<(String, String)>> {
    let mut all: BTreeMap<&str, BTreeSet<(String, String)>> = BTreeMap::new();
    let mut add = |at, what: &str| {
        if let Some((device, rest)) = parted(at) {
            all.entry(device).or_default().insert((rest.to_string(), what.to_string()));
        }
    };
    for plug in every(plan, &plan.plugs, |act| &act.plugs).chain(every(plan, &plan.given, |act| &act.given)) {
        add(&plug.at, &plug.source);
    }
    for cable in every(plan, &plan.cables, |act| &act.cables) {
        // Of the other end only what it is called there: it may have a new name too.
        add(&cable.from, parted(&cable.to).map_or("", |(_, rest)| rest));
        add(&cable.to, parted(&cable.from).map_or("", |(_, rest)| rest));
    }
    for output in every(plan, &plan.outputs, |act| &act.outputs) {
        add(&output.to, parted(&output.from).map_or("", |(_, rest)| rest));
        add(&output.from, parted(&output.to).map_or("", |(_, rest)| rest));
    }
    all
}

/// A source of the same kind at the same sockets; else on the same channels and tracks.
fn sources(old: &Plan, new: &Plan) -> BTreeMap<String, String> {
    let known = |plan| -> BTreeMap<_, _> {
        every(plan, &plan.sources, |act| &act.sources).map(|source| (source.source.as_str(), source)).collect()
    };
    let (was, is): (BTreeMap<&str, &Source>, BTreeMap<&str, &Source>) = (known(old), known(new));
    let gone = |name: &str| was.contains_key(name) && !is.contains_key(name);
    let came = |name: &str| is.contains_key(name) && !was.contains_key(name);
    if !was.keys().any(|name| gone(name)) || !is.keys().any(|name| came(name)) {
        return BTreeMap::new();
    }
    let alike = |a: &str, b: &str| match (was.get(a), is.get(b)) {
        // Elsewhere on stage, or of somebody else: another instrument on the same line.
        (Some(a), Some(b)) => {
            (&a.kind, &a.mic, &a.pickup) == (&b.kind, &b.mic, &b.pickup)
                && (&a.remarks.place, &a.remarks.who) == (&b.remarks.place, &b.remarks.who)
        }
        _ => false,
    };
    let mut likely = Vec::new();
    type Places = for<'p> fn(&'p Plan) -> BTreeMap<&'p str, Vec<String>>;
    for (weight, places) in [(2, sockets as Places), (1, channels as Places)] {
        let mut here: BTreeMap<Vec<String>, Vec<&str>> = BTreeMap::new();
        for (name, at) in places(new).into_iter().filter(|(name, _)| came(name)) {
            here.entry(at).or_default().push(name);
        }
        for (went, at) in places(old).into_iter().filter(|(name, _)| gone(name)) {
            let there = here.get(&at).into_iter().flatten().filter(|name| alike(went, name));
            likely.extend(there.map(|came| (weight, went, *came)));
        }
    }
    paired(likely)
}

fn sockets(plan: &Plan) -> BTreeMap<&str, Vec<String>> {
    let mut at: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for plug in every(plan, &plan.plugs, |act| &act.plugs).chain(every(plan, &plan.given, |act| &act.given)) {
        at.entry(&plug.source).or_default().push(plug.at.clone());
    }
    at
}

fn channels(plan: &Plan) -> BTreeMap<&str, Vec<String>> {
    let mut at: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for signal in every(plan, &plan.signals, |act| &act.signals).filter(|signal| Points::read(&signal.source).is_none())
    {
        let ends = signal.ends.iter().filter(|end| end.asked).map(|end| end.end.clone());
        at.entry(&signal.source).or_default().extend(ends);
    }
    at.retain(|_, ends| !ends.is_empty());
    at
}

/// What a text of the plan names.
#[derive(Clone, Copy)]
enum Named {
    Device,
    /// A point, a port or a bank.
    Point,
    Source,
    /// A source, or a point with its number.
    Either,
}

type See<'s> = &'s mut dyn FnMut(&mut String, Named);

/// Every name of a device, a point and a source that is compared.
fn visit(plan: &mut Plan, see: See) {
    plan.clock.iter_mut().for_each(|name| see(name, Named::Device));
    visit_lists(&mut plan.devices, &mut plan.cables, &mut plan.sources, see);
    visit_patch(&mut plan.plugs, &mut plan.given, &mut plan.settings, &mut plan.signals, see);
    visit_mixes(&mut plan.outputs, &mut plan.personal, &mut plan.mixes, &mut plan.promised, see);
    for act in &mut plan.acts {
        visit_lists(&mut act.devices, &mut act.cables, &mut act.sources, see);
        visit_patch(&mut act.plugs, &mut act.given, &mut act.settings, &mut act.signals, see);
        visit_mixes(&mut act.outputs, &mut act.personal, &mut act.mixes, &mut act.promised, see);
        for replaced in &mut act.replaced {
            see(&mut replaced.source, Named::Source);
            see(&mut replaced.by, Named::Source);
        }
    }
    plan.recordings.iter_mut().for_each(|one| see(&mut one.device, Named::Device));
    for step in &mut plan.power {
        step.sources.iter_mut().for_each(|name| see(name, Named::Source));
        step.devices.iter_mut().for_each(|one| see(&mut one.device, Named::Device));
        step.outputs.iter_mut().for_each(|name| see(name, Named::Point));
    }
}

fn visit_lists(devices: &mut [Device], cables: &mut [Cable], sources: &mut [Source], see: See) {
    for device in devices {
        see(&mut device.name, Named::Device);
        let others = [&mut device.runs_on, &mut device.backup_of, &mut device.gain_by];
        others.into_iter().flatten().for_each(|name| see(name, Named::Device));
    }
    for cable in cables {
        see(&mut cable.from, Named::Point);
        see(&mut cable.to, Named::Point);
    }
    for source in sources {
        see(&mut source.source, Named::Source);
        source.spare_for.iter_mut().for_each(|name| see(name, Named::Source));
        source.again.iter_mut().for_each(|again| see(&mut again.desk, Named::Device));
        source.via.iter_mut().for_each(|via| see(via, Named::Point));
    }
}

fn visit_patch(plugs: &mut [Plug], given: &mut [Plug], settings: &mut [Setting], signals: &mut [Signal], see: See) {
    for plug in plugs.iter_mut().chain(given) {
        see(&mut plug.source, Named::Source);
        see(&mut plug.at, Named::Point);
        plug.phantom_path.iter_mut().for_each(|at| see(at, Named::Point));
        plug.preamps.iter_mut().for_each(|wish| see(&mut wish.at, Named::Point));
    }
    for setting in settings {
        see(&mut setting.device, Named::Device);
        setting.owner.iter_mut().for_each(|owner| see(owner, Named::Device));
        setting.from.iter_mut().for_each(|from| see(from, Named::Point));
    }
    for signal in signals {
        see(&mut signal.source, Named::Either);
        for end in &mut signal.ends {
            see(&mut end.end, Named::Point);
            end.path.iter_mut().for_each(|at| see(at, Named::Point));
        }
    }
}

fn visit_mixes(
    outputs: &mut [Output],
    personal: &mut [PersonalFeed],
    mixes: &mut [Mix],
    promised: &mut [Promise],
    see: See,
) {
    for output in outputs {
        see(&mut output.from, Named::Point);
        see(&mut output.to, Named::Point);
    }
    for feed in personal {
        see(&mut feed.feed, Named::Point);
        see(&mut feed.of, Named::Either);
    }
    for mix in mixes {
        see(&mut mix.mix, Named::Point);
        mix.of.iter_mut().for_each(|of| see(of, Named::Either));
    }
    for promise in promised {
        see(&mut promise.mix, Named::Point);
        promise.without.iter_mut().for_each(|name| see(name, Named::Source));
    }
}
