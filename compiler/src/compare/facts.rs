//! What a plan says, thing by thing, each fact with a name of its own, so that two plans can be laid side by side.
//! Things go by who they are, never by where they stand in a list. What a thing says and nobody here knows is a fact
//! under its own key: nothing that a plan says is passed over.

use super::data::Verb;
use super::owners::Owners;
use crate::plan::{Cable, Plan, Plug, Points, RECORDIST, Role, View, length, plain, ranges};
use rustc_hash::FxHashMap;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Who something is: `source kick-in`, `device stage-left`, `mix foh.mix 1`.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct Thing {
    pub kind: &'static str,
    /// Shared: every fact of a thing knows it.
    pub name: Arc<str>,
}

impl Thing {
    pub fn new(kind: &'static str, name: &str) -> Self {
        Thing { kind, name: name.into() }
    }

    /// What a plan knows of the gear that it uses.
    pub fn is_known_of_gear(&self) -> bool {
        matches!(self.kind, "model" | "mic" | "kind" | "carrier")
    }

    pub fn text(&self) -> String {
        format!("{} {}", self.kind, self.name).trim_end().to_string()
    }
}

/// One aspect of a thing: what became of it where two plans differ in it, and which of several.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct Key {
    pub thing: Thing,
    pub verb: Verb,
    /// The desk of a channel, the bank of an offset, the word of a remark.
    pub of: String,
}

#[derive(Clone, PartialEq, Debug)]
pub(super) struct Fact {
    pub is: String,
    /// The device at which it is dialled, or of whose crew it is.
    pub at: Option<String>,
}

/// All facts of one scene, and how people call the things.
#[derive(Default)]
pub(super) struct Facts {
    pub all: FxHashMap<Key, Fact>,
    pub called: FxHashMap<Thing, String>,
    /// On whose channels a source is.
    pub desks: FxHashMap<Thing, BTreeSet<String>>,
    /// By which preamp a source comes to a desk.
    pub preamps: FxHashMap<(Thing, String), String>,
}

impl Facts {
    pub fn of(view: &View) -> Self {
        let mut facts = Facts::default();
        facts.devices(view);
        facts.cables(view);
        facts.sources(view);
        facts.plugs(view);
        facts.ends(view);
        facts.outputs(view);
        facts.feeds_and_mixes(view);
        facts.settings(view);
        facts
    }

    /// What a plan says of the show as a whole, and of its acts.
    pub fn of_show(plan: &Plan) -> Self {
        let mut facts = Facts::default();
        let show = Thing::new("show", "");
        facts.called.insert(show.clone(), "the show".into());
        facts.rest(&show, &plan.show, &[], None);
        facts.say(&show, Verb::Said, "rate", format!("{} kHz", f64::from(plan.rate_hz) / 1000.0), None);
        facts.say(&show, Verb::Said, "clock", plan.clock.clone().unwrap_or_default(), None);
        for act in &plan.acts {
            let thing = Thing::new("act", &act.act);
            let times = [&act.from, &act.to].map(|time| time.clone().unwrap_or_default());
            facts.there(&thing, times.join("-"), act.title.as_ref(), None);
            facts.say(&thing, Verb::Labelled, "", act.title.clone().unwrap_or_default(), None);
            facts.say(&thing, Verb::Said, "time", times.join("-"), None);
        }
        for one in &plan.allowed {
            let part =
                |word: &str, is: &Option<String>| is.as_ref().map(|is| format!(" {word} {is}")).unwrap_or_default();
            let name = format!("{}{}{}", one.rule, part("on", &one.on), part("in", &one.act));
            let thing = Thing::new("allowed", &name);
            facts.there(&thing, &one.because, None, None);
            facts.rest(&thing, one, &["rule", "on", "act"], None);
        }
        plan.models.iter().for_each(|(name, model)| facts.known("model", name, model));
        plan.mics.iter().for_each(|(name, mic)| facts.known("mic", name, mic));
        plan.kinds.iter().for_each(|(name, kind)| facts.known("kind", name, kind));
        plan.carriers.iter().for_each(|(name, carrier)| facts.known("carrier", name, carrier));
        for one in &plan.recordings {
            facts.rest(&Thing::new("recording", &one.device), one, &["device"], Some(&one.device));
        }
        facts
    }

    fn say(&mut self, thing: &Thing, verb: Verb, of: &str, is: impl Into<String>, at: Option<&str>) {
        let (is, at) = (is.into(), at.map(String::from));
        // What is not said, or off, is no fact: there are fewer of those.
        if verb != Verb::Added && (is.is_empty() || verb.is_switch() && is == OFF) {
            return;
        }
        self.all.insert(Key { thing: thing.clone(), verb, of: of.to_string() }, Fact { is, at });
    }

    /// That it is there, what it is, and how it is called.
    fn there(&mut self, thing: &Thing, is: impl Into<String>, called: Option<&String>, at: Option<&str>) {
        self.called.insert(thing.clone(), called.cloned().unwrap_or_else(|| thing.name.to_string()));
        self.say(thing, Verb::Added, "", is, at);
    }

    /// Whatever else it says, each under its own word.
    fn rest(&mut self, thing: &Thing, says: &impl Serialize, known: &[&str], at: Option<&str>) {
        let Ok(serde_json::Value::Object(says)) = serde_json::to_value(says) else { return };
        for (key, value) in says.into_iter().filter(|(key, _)| !known.contains(&key.as_str())) {
            let word = key.replace('_', " ");
            self.say(thing, Verb::Said, &word, as_said(&value), at);
        }
    }

    /// What a file says of gear and of kinds of sources; a plan tells it of those that it uses.
    fn known(&mut self, kind: &'static str, name: &str, says: &impl Serialize) {
        let thing = Thing::new(kind, name);
        self.there(&thing, "", None, None);
        self.rest(&thing, says, &[], None);
    }

    fn devices(&mut self, view: &View) {
        for device in &view.devices {
            let thing = Thing::new("device", &device.name);
            let model = view.plan.models.get(&device.model);
            let called = model.and_then(|model| model.label.as_ref()).unwrap_or(&device.model);
            self.there(&thing, called, device.label.as_ref(), None);
            self.say(&thing, Verb::Exchanged, "", &device.model, None);
            self.rest(&thing, *device, &["name", "model"], None);
        }
    }

    fn cables(&mut self, view: &View) {
        for cable in &view.cables {
            let (_, there) = ends(cable);
            let thing = Thing::new("cable", &named(cable));
            self.there(&thing, there, None, None);
            self.say(&thing, Verb::Recabled, "", there, None);
            self.say(&thing, Verb::Cable, "length", length(cable.length_m), None);
            self.rest(&thing, *cable, &["from", "to", "use", "length_m"], None);
        }
        let mut alike: BTreeMap<String, usize> = BTreeMap::new();
        for spare in &view.spare_cables {
            let length = length(spare.length_m);
            let count = alike.entry(length.clone()).or_default();
            *count += 1;
            let thing = Thing::new("spare cable", &if *count > 1 { format!("{length}, {count}") } else { length });
            self.there(&thing, "", None, None);
            self.rest(&thing, *spare, &["length_m"], None);
        }
    }

    fn sources(&mut self, view: &View) {
        for source in &view.sources {
            let thing = Thing::new("source", &source.source);
            self.there(&thing, source.kind.clone().unwrap_or_default(), Some(&source.label), None);
            self.say(&thing, Verb::Labelled, "", &source.label, None);
            self.say(&thing, Verb::Mic, "kind", source.kind.clone().unwrap_or_default(), None);
            self.say(&thing, Verb::Mic, "declared", source.mic.clone().unwrap_or_default(), None);
            self.rest(&thing, *source, &["source", "label", "kind", "mic"], None);
        }
    }

    fn plugs(&mut self, view: &View) {
        let owners = Owners::of(view);
        let mut of: BTreeMap<&str, Vec<_>> = BTreeMap::new();
        for plug in view.plugs.iter().chain(&view.given) {
            of.entry(&plug.source).or_default().push(*plug);
        }
        for (source, plugs) in of {
            let thing = Thing::new("source", source);
            let mut say = |verb, is: String, at: Option<&str>| {
                if !is.is_empty() {
                    self.say(&thing, verb, "", is, at);
                }
            };
            let first = |is: fn(&&Plug) -> Option<String>| plugs.iter().find_map(is).unwrap_or_default();
            say(Verb::Moved, listed(plugs.iter().map(|plug| plug.at.as_str())), None);
            say(Verb::Mic, first(|plug| plug.mic.clone()), None);
            say(Verb::Stand, first(|plug| plug.stand.clone()), None);
            let preamp = plugs.iter().flat_map(|plug| &plug.preamps).map(|wish| wish.at.as_str()).next();
            let preamp = preamp.and_then(|at| owners.at(at, "gain").or_else(|| owners.at(at, "pad")));
            let supplier = plugs.iter().find_map(|plug| plug.phantom_path.last());
            let supplier = supplier.and_then(|at| owners.at(at, "phantom"));
            say(Verb::Phantom, on(plugs.iter().any(|plug| plug.phantom)), supplier.as_deref());
            let wishes = plugs.iter().flat_map(|plug| &plug.preamps);
            let gains: Vec<String> = wishes.clone().filter_map(|wish| Some(format!("{} dB", wish.gain_db?))).collect();
            say(Verb::Gain, gains.join(", "), preamp.as_deref());
            say(Verb::Pad, on(wishes.clone().any(|wish| wish.pad)), preamp.as_deref());
            say(Verb::Polarity, on(plugs.iter().any(|plug| plug.polarity_inverted)), None);
        }
    }

    /// On which channels and tracks a source was asked to be, desk by desk, and by which preamps it comes there.
    fn ends(&mut self, view: &View) {
        let feeds: BTreeSet<&str> = view.personal.iter().map(|feed| feed.feed.as_str()).collect();
        for signal in view.signals.iter().filter(|signal| Points::read(&signal.source).is_none()) {
            let mut of: BTreeMap<(&str, &str), BTreeSet<u32>> = BTreeMap::new();
            let mut by: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
            for (end, at) in
                signal.ends.iter().filter(|end| end.asked).filter_map(|end| Some((end, Points::read(&end.end)?)))
            {
                if view.bank(&at).is_some_and(|bank| bank.role == Role::Inner) && !feeds.contains(end.end.as_str()) {
                    of.entry((at.device, at.bank)).or_default().insert(at.first);
                    if is_desk(view, at.device) {
                        by.entry(at.device).or_default().extend(preamp(view, &end.path));
                    }
                }
            }
            let thing = Thing::new("source", &signal.source);
            for ((device, bank), numbers) in of {
                let is = format!("{device}.{bank} {}", ranges(&numbers));
                self.say(&thing, Verb::Repatched, &format!("{device}.{bank}"), is, Some(device));
                self.desks.entry(thing.clone()).or_default().insert(device.to_string());
            }
            for (device, at) in by {
                self.say(&thing, Verb::Preamps, device, listed(at.iter().map(|at| bank_of(at))), Some(device));
                self.preamps.insert((thing.clone(), device.to_string()), listed(at.into_iter()));
            }
        }
    }

    /// Where a mix, or anything else that a row sends, leaves, and what its rows say.
    fn outputs(&mut self, view: &View) {
        let mut of: BTreeMap<&str, Vec<_>> = BTreeMap::new();
        for output in &view.outputs {
            of.entry(&output.from).or_default().push(*output);
        }
        for (from, outputs) in of {
            let thing = Thing::new("mix", from);
            let at = Points::read(from).map(|at| at.device);
            self.there(&thing, "", outputs.iter().find_map(|output| output.label.as_ref()), at);
            self.say(&thing, Verb::Moved, "", listed(outputs.iter().map(|output| output.to.as_str())), at);
            self.say(
                &thing,
                Verb::Labelled,
                "",
                listed(outputs.iter().filter_map(|output| output.label.as_deref())),
                at,
            );
            self.say(&thing, Verb::Used, "", listed(outputs.iter().filter_map(|output| output.used_as.as_deref())), at);
            let mut rest: BTreeMap<Key, BTreeSet<String>> = BTreeMap::new();
            for output in outputs {
                let mut row = Facts::default();
                row.rest(&thing, output, &["from", "to", "use", "label"], at);
                row.all.into_iter().for_each(|(key, fact)| {
                    rest.entry(key).or_default().insert(fact.is);
                });
            }
            for (key, says) in rest {
                self.say(&thing, Verb::Said, &key.of, listed(says.iter().map(String::as_str)), at);
            }
        }
    }

    fn feeds_and_mixes(&mut self, view: &View) {
        for feed in &view.personal {
            let thing = Thing::new("feed", &feed.feed);
            let at = Points::read(&feed.feed).map(|at| at.device);
            self.there(&thing, &feed.of, None, at);
            self.say(&thing, Verb::Repatched, "", &feed.of, at);
            self.rest(&thing, *feed, &["feed", "of"], at);
        }
        for mix in &view.mixes {
            let thing = Thing::new("mix", &mix.mix);
            let at = Points::read(&mix.mix).map(|at| at.device);
            let of: BTreeSet<&str> = mix.of.iter().map(String::as_str).collect();
            self.say(&thing, Verb::Sent, "", of.into_iter().collect::<Vec<_>>().join(", "), at);
            self.say(&thing, Verb::Said, "stereo mix", if mix.stereo { "yes" } else { "" }, at);
        }
        for promise in &view.promised {
            let thing = Thing::new("mix", &promise.mix);
            let at = Points::read(&promise.mix).map(|at| at.device);
            self.say(&thing, Verb::Said, "leave out by hand", promise.without.join(", "), at);
        }
    }

    /// Offsets, slots, modes and blocks. Points that are routed one by one follow from what leaves where.
    fn settings(&mut self, view: &View) {
        for setting in &view.settings {
            let device = Thing::new("device", &setting.device);
            let recorder = view.device(&setting.device).is_some_and(|device| device.role == "recorder");
            let at = Some(if recorder { RECORDIST } else { setting.device.as_str() });
            if let Some(owner) = &setting.owner {
                let first = setting.first.map(|first| format!(" {first}")).unwrap_or_default();
                let of = format!("{}{first}: {}", setting.bank, setting.set);
                self.say(&device, Verb::Owner, &of, owner, Some(owner));
            }
            let verb = match setting.set.as_str() {
                "offset" => Verb::Offset,
                "slot" => Verb::Slot,
                "mode" => Verb::Mode,
                "route" if setting.first != setting.last => Verb::Blocks,
                _ => continue,
            };
            let is = setting.from.clone().unwrap_or_else(|| plain(setting.value.as_ref()));
            let of = match (setting.first, setting.last) {
                (Some(first), Some(last)) => format!("{} {first}-{last}", setting.bank),
                _ => setting.bank.clone(),
            };
            self.say(&device, verb, &of, is, at);
        }
    }
}

/// The preamp on a way: `stage-left.in 3`.
fn preamp<'p>(view: &View, path: &'p [String]) -> Option<&'p str> {
    let points = path.iter().filter_map(|name| Some((name, Points::read(name)?)));
    let mut preamps =
        points.filter(|(_, at)| view.bank(at).is_some_and(|bank| bank.gain_db.is_some() || bank.phantom > 0));
    preamps.next().map(|(name, _)| name.as_str())
}

/// `stage-left.in`
pub(super) fn bank_of(point: &str) -> &str {
    point.rsplit_once(' ').map_or(point, |(bank, _)| bank)
}

fn is_desk(view: &View, device: &str) -> bool {
    view.device(device).is_some_and(|device| device.role == "desk")
}

/// The end by which a cable is known, and the other: a link by the port further from the desk, an analogue run by the
/// end whose lines are its own.
fn ends(cable: &Cable) -> (&str, &str) {
    if cable.is_run() { (&cable.from, &cable.to) } else { (&cable.to, &cable.from) }
}

pub(super) fn named(cable: &Cable) -> String {
    let (here, _) = ends(cable);
    match cable.used_as.as_str() {
        "spare" | "redundant" => format!("{here}, {}", cable.used_as),
        _ => here.to_string(),
    }
}

fn listed<'t>(places: impl Iterator<Item = &'t str>) -> String {
    places.collect::<BTreeSet<_>>().into_iter().collect::<Vec<_>>().join(", ")
}

pub(super) const OFF: &str = "off";

pub(super) fn on(is: bool) -> String {
    if is { "on" } else { OFF }.to_string()
}

fn as_said(value: &serde_json::Value) -> String {
    match value {
        serde_json::Value::String(text) => text.clone(),
        serde_json::Value::Bool(is) => if *is { "yes" } else { "no" }.to_string(),
        serde_json::Value::Array(list) if list.iter().all(|one| !one.is_object()) => {
            list.iter().map(as_said).collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    }
}
