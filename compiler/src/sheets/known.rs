//! A plan looked up by name, as it holds in the house or in one act. It borrows, changes nothing, and claims
//! nothing that the plan does not say. Every question costs the same in a small show and in a large one.

use crate::plan::{
    Act, Bank, Cable, Device, End, Kind, Model, Output, Plan, Plug, Points, Role, Setting, Signal, Source, View,
    joined, port_or_bank,
};
use crate::plan::{device_order, point};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

pub(super) struct Known<'p> {
    pub plan: &'p Plan,
    pub act: Option<&'p Act>,
    pub view: View<'p>,
    /// In the order of dialling: each desk, then what hangs on it.
    pub devices: Vec<&'p Device>,
    by_name: FxHashMap<&'p str, &'p Device>,
    /// In the same order, each role counted for itself, the acts' gear too.
    numbers: FxHashMap<&'p str, usize>,
    plugs: FxHashMap<&'p str, &'p Plug>,
    /// Where each source is plugged in, or given.
    places: FxHashMap<&'p str, Vec<&'p Plug>>,
    sources: FxHashMap<&'p str, &'p Source>,
    signals: FxHashMap<&'p str, &'p Signal>,
    /// Every end of every signal by each point on its way.
    passing: FxHashMap<&'p str, Vec<(&'p Signal, &'p End)>>,
    outputs: FxHashMap<&'p str, &'p Output>,
    /// Of a bank what is set, each by its first number.
    settings: ByBank<'p, FxHashMap<&'p str, BTreeMap<u32, &'p Setting>>>,
    /// Cables at a port, or at any line of a bank.
    cables: ByBank<'p, Vec<&'p Cable>>,
}

/// By device, then by bank or port.
type ByBank<'p, T> = FxHashMap<&'p str, FxHashMap<&'p str, T>>;

impl<'p> Known<'p> {
    /// What holds in every act.
    pub fn house(plan: &'p Plan) -> Self {
        Self::of(plan, None, View::house(plan))
    }

    /// Everything that holds in one act, the house's rows too.
    pub fn act(plan: &'p Plan, act: &'p Act) -> Self {
        Self::of(plan, Some(act), View::act(plan, act))
    }

    /// What holds in any act: good for asking what is ever used.
    pub fn any(plan: &'p Plan) -> Self {
        Self::of(plan, None, View::any(plan))
    }

    fn of(plan: &'p Plan, act: Option<&'p Act>, view: View<'p>) -> Self {
        let here: FxHashMap<&str, &Device> = view.devices.iter().map(|one| (one.name.as_str(), *one)).collect();
        let order = device_order(&View::any(plan)).into_iter();
        let (mut of_role, mut numbers) = (FxHashMap::<&str, usize>::default(), FxHashMap::default());
        for device in order.clone() {
            let last = of_role.entry(&device.role).or_default();
            *last += 1;
            numbers.insert(device.name.as_str(), *last);
        }
        let mut known = Known {
            plan,
            act,
            devices: order.filter(|one| here.contains_key(one.name.as_str())).collect(),
            by_name: here,
            numbers,
            plugs: view.plugs.iter().chain(&view.given).map(|one| (one.at.as_str(), *one)).collect(),
            places: FxHashMap::default(),
            sources: view.sources.iter().map(|one| (one.source.as_str(), *one)).collect(),
            signals: view.signals.iter().map(|one| (one.source.as_str(), *one)).collect(),
            passing: FxHashMap::default(),
            outputs: view.outputs.iter().map(|one| (one.to.as_str(), *one)).collect(),
            settings: FxHashMap::default(),
            cables: FxHashMap::default(),
            view,
        };
        for signal in known.view.signals.iter().copied() {
            for end in &signal.ends {
                for at in &end.path {
                    known.passing.entry(at).or_default().push((signal, end));
                }
            }
        }
        for plug in known.view.plugs.iter().chain(&known.view.given).copied() {
            known.places.entry(&plug.source).or_default().push(plug);
        }
        for setting in known.view.settings.iter().copied() {
            let of_bank = known.settings.entry(&setting.device).or_default().entry(&setting.bank).or_default();
            of_bank.entry(&setting.set).or_default().insert(setting.first.unwrap_or(0), setting);
        }
        for cable in known.view.cables.iter().copied() {
            for end in [&cable.from, &cable.to] {
                if let Some((device, at)) = port_or_bank(end) {
                    known.cables.entry(device).or_default().entry(at).or_default().push(cable);
                }
            }
        }
        known
    }

    pub fn device(&self, name: &str) -> Option<&'p Device> {
        self.by_name.get(name).copied()
    }

    /// How people call a device: its label, else its name.
    pub fn called(&self, name: &str) -> String {
        self.device(name).and_then(|one| one.label.clone()).unwrap_or_else(|| name.to_string())
    }

    /// `Box 2`, `Sub-snake 1`: the same in every act, and on every sheet.
    pub fn numbered(&self, name: &str) -> String {
        let role = match self.device(name).map_or("", |one| one.role.as_str()) {
            "box" => "Box",
            "snake" => "Sub-snake",
            "split" => "Split",
            "desk" => "Desk",
            "hub" => "Hub",
            "recorder" => "Recorder",
            _ => "Outside gear",
        };
        self.numbers.get(name).map_or_else(|| role.to_string(), |number| format!("{role} {number}"))
    }

    pub fn model(&self, device: &str) -> Option<&'p Model> {
        self.device(device).and_then(|one| self.plan.models.get(&one.model))
    }

    pub fn banks(&self, device: &str) -> &'p [Bank] {
        self.model(device).map(|model| model.wiring.banks.as_slice()).unwrap_or_default()
    }

    pub fn bank(&self, at: &Points) -> Option<&'p Bank> {
        self.banks(at.device).iter().find(|bank| bank.bank == at.bank)
    }

    pub fn role(&self, at: &str) -> Option<Role> {
        self.bank(&Points::read(at)?).map(|bank| bank.role)
    }

    /// What is plugged into a socket itself, or given there.
    pub fn plug(&self, at: &str) -> Option<&'p Plug> {
        self.plugs.get(at).copied()
    }

    /// Where a source is plugged in, or given: the first place.
    pub fn plug_of(&self, source: &str) -> Option<&'p Plug> {
        self.plugs_of(source).first().copied()
    }

    pub fn source(&self, name: &str) -> Option<&'p Source> {
        self.sources.get(name).copied()
    }

    pub fn signal(&self, source: &str) -> Option<&'p Signal> {
        self.signals.get(source).copied()
    }

    /// `Kick In` of `kick-in`; of an origin's point its label, else the point.
    pub fn label(&self, source: &str) -> String {
        let signal = self.signal(source).map(|signal| &signal.label);
        let row = self.source(source).map(|row| &row.label);
        signal.or(row).cloned().unwrap_or_else(|| source.to_string())
    }

    /// Where a source is plugged in, or given.
    pub fn plugs_of(&self, source: &str) -> &[&'p Plug] {
        self.places.get(source).map(Vec::as_slice).unwrap_or_default()
    }

    /// The kind of a source, where its row says one.
    pub fn kind(&self, source: &str) -> Option<&'p Kind> {
        self.plan.kinds.get(self.source(source)?.kind.as_ref()?)
    }

    /// What the kind of a source says of phantom power: it can be damaged by it, or has no use for it.
    pub fn never_phantom(&self, source: &str) -> bool {
        self.kind(source).is_some_and(|kind| kind.phantom == "never")
    }

    /// The first channel that a source was asked to be on: its desk, and the number there. A desk's channels are its
    /// first inner bank.
    pub fn channel(&self, source: &str) -> Option<(&'p str, u32)> {
        let is_channel = |at: &Points<'p>| {
            let desk = self.device(at.device).is_some_and(|one| one.role == "desk");
            let first = self.banks(at.device).iter().find(|bank| bank.role == Role::Inner && bank.end);
            desk && first.is_some_and(|bank| bank.bank == at.bank)
        };
        let ends = self.signal(source)?.ends.iter().filter(|end| end.asked);
        let channels = ends.filter_map(|end| Points::read(&end.end)).filter(is_channel);
        let first = channels.min_by_key(|at| (self.numbers.get(at.device), at.first))?;
        Some((first.device, first.first))
    }

    /// The output row of a socket.
    pub fn output(&self, to: &str) -> Option<&'p Output> {
        self.outputs.get(to).copied()
    }

    /// The signals whose way leads over a point, each with the end that it leads to.
    pub fn passing(&self, at: &str) -> &[(&'p Signal, &'p End)] {
        let at = self.in_paths(at);
        self.passing.get(at.as_str()).map(Vec::as_slice).unwrap_or_default()
    }

    /// The signals that end at a point, each with that end.
    pub fn ending(&self, at: &str) -> impl Iterator<Item = (&'p Signal, &'p End)> {
        self.passing(at).iter().copied().filter(move |(_, end)| end.end == at)
    }

    /// What somebody asked to arrive at a point.
    pub fn asked(&self, at: &str) -> Option<(&'p Signal, &'p End)> {
        self.ending(at).find(|(_, end)| end.asked)
    }

    /// The points of a way that are sockets where something comes in: the last is the preamp.
    pub fn inputs_on<'e>(&self, path: &'e [String]) -> Vec<&'e str> {
        path.iter().map(String::as_str).filter(|at| self.role(at) == Some(Role::In)).collect()
    }

    /// The sockets that the analogue lines of a socket lead to: over a sub-snake, or over each leg of a split.
    pub fn leads_to(&self, at: &Points) -> Vec<String> {
        let model = self.device(at.device).and_then(|one| self.plan.models.get(&one.model));
        let routes = model.map(|model| model.wiring.routes.as_slice()).unwrap_or_default();
        let straight = routes.iter().filter(|route| route.fixed && route.from.iter().any(|from| from == at.bank));
        let legs =
            straight.filter_map(|route| Some((route, route.first.unwrap_or(1).checked_add(at.first.checked_sub(1)?)?)));
        let legs = legs.filter(|(route, leg)| route.last.is_none_or(|last| *leg <= last));
        let ends = legs.filter_map(|(route, leg)| self.far_end(&point(at.device, &route.bank, leg)));
        ends.filter(|end| self.role(end) == Some(Role::In)).collect()
    }

    /// The source whose signal comes to a socket: plugged there, or brought by a line.
    pub fn arriving(&self, at: &str) -> Option<&'p str> {
        let plugged = self.plug(at).map(|plug| plug.source.as_str());
        plugged.or_else(|| self.passing(at).first().map(|(signal, _)| signal.source.as_str()))
    }

    /// The setting of a kind that covers a point.
    pub fn setting(&self, set: &str, at: &Points) -> Option<&'p Setting> {
        let all = self.settings.get(at.device)?.get(at.bank)?.get(set)?;
        let (_, setting) = all.range(..=at.first).next_back()?;
        let last = setting.last.or(setting.first).unwrap_or(u32::MAX);
        (at.first <= last).then_some(*setting)
    }

    /// Whether a switch is on.
    pub fn is_on(&self, set: &str, at: &Points) -> bool {
        self.setting(set, at).is_some_and(Setting::is_on)
    }

    /// The cables at a port, or at any line of a bank.
    pub fn cables_at(&self, device: &str, port_or_bank: &str) -> &[&'p Cable] {
        let of_device = self.cables.get(device).and_then(|of_device| of_device.get(port_or_bank));
        of_device.map(Vec::as_slice).unwrap_or_default()
    }

    /// The name by which a way calls a point: at the cable's `from` end.
    pub fn in_paths(&self, name: &str) -> String {
        let Some(at) = Points::read(name) else { return name.to_string() };
        let mut cables = self.cables_at(at.device, at.bank).iter();
        cables.find_map(|cable| joined(&cable.to, &cable.from, &at)).unwrap_or_else(|| name.to_string())
    }

    /// The name at the other end of a link of the slot that a way calls by this one.
    pub fn slot_there(&self, name: &str) -> Option<String> {
        let at = Points::read(name)?;
        let links = self.cables_at(at.device, at.bank).iter().filter(|cable| !cable.is_run());
        let main = links.filter(|cable| cable.used_as == "main");
        main.filter_map(|cable| joined(&cable.from, &cable.to, &at)).next()
    }

    /// The point at the cable's `to` end that is one with this one at its `from` end.
    pub fn far_end(&self, name: &str) -> Option<String> {
        let at = Points::read(name)?;
        self.cables_at(at.device, at.bank).iter().find_map(|cable| joined(&cable.from, &cable.to, &at))
    }
}
