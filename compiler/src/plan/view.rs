//! A plan as one act sees it, or the house, or all acts at once. A view borrows: it never changes the
//! plan, and it makes no claim that the plan does not make.

use super::data::{Act, Bank, Cable, Device, Mix, Plan, Plug, Replaced, Setting, Signal, Wiring};
use super::facts::{Output, PersonalFeed, Promise, Source, SpareCable};
use super::point::{Points, joined};
use rustc_hash::FxHashMap;

/// Lists of the plan that hold together. Settings stand by device, bank and number.
pub(crate) struct View<'p> {
    pub plan: &'p Plan,
    pub devices: Vec<&'p Device>,
    pub cables: Vec<&'p Cable>,
    pub sources: Vec<&'p Source>,
    pub plugs: Vec<&'p Plug>,
    pub given: Vec<&'p Plug>,
    pub outputs: Vec<&'p Output>,
    pub personal: Vec<&'p PersonalFeed>,
    pub spare_cables: Vec<&'p SpareCable>,
    pub settings: Vec<&'p Setting>,
    pub mixes: Vec<&'p Mix>,
    pub promised: Vec<&'p Promise>,
    pub signals: Vec<&'p Signal>,
    pub replaced: Vec<&'p Replaced>,
    /// Every device and cable of the plan: gear of one act stands here too.
    all_devices: Vec<&'p Device>,
    all_cables: Vec<&'p Cable>,
    /// Where each name first stands in `all_devices`.
    numbers: FxHashMap<&'p str, usize>,
}

impl<'p> View<'p> {
    /// What holds in every act.
    pub fn house(plan: &'p Plan) -> Self {
        Self::of(plan, true, &[])
    }

    /// Everything that holds in one act.
    pub fn act(plan: &'p Plan, act: &'p Act) -> Self {
        Self::of(plan, true, &[act])
    }

    /// What one act adds to what holds in all.
    pub fn only(plan: &'p Plan, act: &'p Act) -> Self {
        Self::of(plan, false, &[act])
    }

    /// What holds in any act: good for asking whether something is ever used.
    pub fn any(plan: &'p Plan) -> Self {
        Self::of(plan, true, &plan.acts.iter().collect::<Vec<_>>())
    }

    fn of(plan: &'p Plan, house: bool, acts: &[&'p Act]) -> Self {
        fn gather<'p, T>(house: bool, top: &'p [T], acts: &[&'p Act], of: fn(&'p Act) -> &'p [T]) -> Vec<&'p T> {
            let top: &'p [T] = if house { top } else { &[] };
            top.iter().chain(acts.iter().copied().flat_map(of)).collect()
        }
        let every: Vec<&Act> = plan.acts.iter().collect();
        let mut view = View {
            plan,
            devices: gather(house, &plan.devices, acts, |act| &act.devices),
            cables: gather(house, &plan.cables, acts, |act| &act.cables),
            sources: gather(house, &plan.sources, acts, |act| &act.sources),
            plugs: gather(house, &plan.plugs, acts, |act| &act.plugs),
            given: gather(house, &plan.given, acts, |act| &act.given),
            outputs: gather(house, &plan.outputs, acts, |act| &act.outputs),
            personal: gather(house, &plan.personal, acts, |act| &act.personal),
            spare_cables: gather(house, &plan.spare_cables, acts, |act| &act.spare_cables),
            settings: gather(house, &plan.settings, acts, |act| &act.settings),
            mixes: gather(house, &plan.mixes, acts, |act| &act.mixes),
            promised: gather(house, &plan.promised, acts, |act| &act.promised),
            signals: gather(house, &plan.signals, acts, |act| &act.signals),
            replaced: gather(false, &[], acts, |act| &act.replaced),
            all_devices: gather(true, &plan.devices, &every, |act| &act.devices),
            all_cables: gather(true, &plan.cables, &every, |act| &act.cables),
            numbers: FxHashMap::default(),
        };
        for (number, device) in view.all_devices.iter().enumerate() {
            view.numbers.entry(&device.name).or_insert(number);
        }
        let mut settings = std::mem::take(&mut view.settings);
        settings.sort_by_cached_key(|s| (view.device_index(&s.device), view.bank_index(&s.device, &s.bank), s.first));
        view.settings = settings;
        view
    }

    pub fn is_empty(&self) -> bool {
        self.devices.is_empty()
            && self.cables.is_empty()
            && self.plugs.is_empty()
            && self.settings.is_empty()
            && self.mixes.is_empty()
            && self.promised.is_empty()
            && self.signals.is_empty()
    }

    pub fn device(&self, name: &str) -> Option<&'p Device> {
        self.all_devices.get(*self.numbers.get(name)?).copied()
    }

    pub fn all_devices(&self) -> &[&'p Device] {
        &self.all_devices
    }

    pub fn wiring(&self, device: &str) -> Option<&'p Wiring> {
        self.device(device).and_then(|device| self.plan.models.get(&device.model)).map(|model| &model.wiring)
    }

    /// The bank of a point.
    pub fn bank(&self, at: &Points) -> Option<&'p Bank> {
        self.wiring(at.device)?.banks.iter().find(|bank| bank.bank == at.bank)
    }

    fn device_index(&self, name: &str) -> usize {
        self.numbers.get(name).copied().unwrap_or(usize::MAX)
    }

    /// The model's order: banks, then ports.
    pub fn bank_index(&self, device: &str, bank: &str) -> usize {
        let Some(wiring) = self.wiring(device) else { return usize::MAX };
        let banks = wiring.banks.iter().map(|b| b.bank.as_str());
        banks.chain(wiring.ports.iter().map(|p| p.port.as_str())).position(|b| b == bank).unwrap_or(usize::MAX)
    }

    pub fn is_port(&self, device: &str, bank: &str) -> bool {
        self.wiring(device).is_some_and(|wiring| wiring.ports.iter().any(|port| port.port == bank))
    }

    /// The name by which a path calls a point: at the cable's `from` end.
    pub fn in_paths(&self, name: &str) -> String {
        let Some(points) = Points::read(name) else { return name.to_string() };
        let other_end = self.all_cables.iter().find_map(|cable| joined(&cable.to, &cable.from, &points));
        other_end.unwrap_or_else(|| name.to_string())
    }

    /// The point that a cable makes one with this one, which stands at the cable's `from` end.
    pub fn far_end(&self, name: &str) -> Option<(String, &'p Cable)> {
        let points = Points::read(name)?;
        self.all_cables.iter().find_map(|cable| Some((joined(&cable.from, &cable.to, &points)?, *cable)))
    }

    /// Whether a way is of lines alone: it ends on one, and nothing on it is routed or rides a link.
    pub fn laid_by_hand(&self, path: &[String]) -> bool {
        let by_hand = |name: &String| {
            let Some(at) = Points::read(name) else { return false };
            let routed = self.settings.iter().any(|setting| setting.from.is_some() && covers(setting, &at));
            !routed && !self.is_port(at.device, at.bank)
        };
        path.len() > 1 && path.last().is_some_and(|end| self.in_paths(end) != *end) && path.iter().all(by_hand)
    }

    /// The setting of a kind that covers a point.
    pub fn setting(&self, set: &str, at: &Points) -> Option<&'p Setting> {
        self.settings.iter().copied().find(|setting| setting.set == set && covers(setting, at))
    }

    /// The signals that start at a point or whose way leads over it.
    pub fn through(&self, name: &str) -> Vec<&'p Signal> {
        let name = self.in_paths(name);
        let over = |signal: &Signal| signal.source == name || signal.ends.iter().any(|end| end.path.contains(&name));
        self.signals.iter().copied().filter(|signal| over(signal)).collect()
    }
}

fn covers(setting: &Setting, at: &Points) -> bool {
    setting.device == at.device
        && setting.bank == at.bank
        && setting.first.unwrap_or(1) <= at.first
        && at.last <= setting.last.or(setting.first).unwrap_or(u32::MAX)
}
