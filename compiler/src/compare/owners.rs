//! Who turns a preamp: the desk that a row names, else the desk at the head of the chain, else whoever is at the device.

use crate::plan::{Points, Setting, View, port_or_bank};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

pub(super) struct Owners<'p> {
    /// Those that name a desk, by device, bank and what is set, then by their first point.
    named: FxHashMap<(&'p str, &'p str, &'p str), BTreeMap<u32, &'p Setting>>,
    /// By device, the desk on whose port its chain begins.
    heads: FxHashMap<&'p str, &'p str>,
    only: Option<&'p str>,
}

impl<'p> Owners<'p> {
    pub fn of(view: &View<'p>) -> Self {
        let mut named: FxHashMap<_, BTreeMap<u32, &Setting>> = FxHashMap::default();
        for setting in view.settings.iter().copied().filter(|setting| setting.owner.is_some()) {
            let of = (setting.device.as_str(), setting.bank.as_str(), setting.set.as_str());
            named.entry(of).or_default().insert(setting.first.unwrap_or(1), setting);
        }
        let desks = view.devices.iter().filter(|device| device.role == "desk").map(|device| device.name.as_str());
        let desks: Vec<&str> = desks.collect();
        let only = if let [one] = desks.as_slice() { Some(*one) } else { None };
        Owners { named, heads: heads(view, &desks), only }
    }

    /// Of a setting of a preamp, or of any other: a desk where there is one, else the device itself.
    pub fn who<'s>(&'s self, setting: &'s Setting) -> &'s str {
        if !is_preamp(setting) {
            return &setting.device;
        }
        setting.owner.as_deref().unwrap_or_else(|| self.desk(&setting.device))
    }

    /// Where this is set at a point.
    pub fn at(&self, at: &str, set: &str) -> Option<String> {
        let at = Points::read(at)?;
        let of = self.named.get(&(at.device, at.bank, set)).and_then(|of| of.range(..=at.first).next_back());
        let setting = of.map(|(_, setting)| *setting).filter(|one| one.last.is_none_or(|last| at.first <= last));
        let owner = setting.and_then(|one| one.owner.as_deref());
        Some(owner.unwrap_or_else(|| self.desk(at.device)).to_string())
    }

    fn desk<'s>(&'s self, device: &'s str) -> &'s str {
        self.heads.get(device).copied().or(self.only).unwrap_or(device)
    }
}

pub(super) fn is_preamp(setting: &Setting) -> bool {
    matches!(setting.set.as_str(), "phantom" | "gain" | "pad")
}

/// Along the main links, which lead away from a desk; of two desks the first.
fn heads<'p>(view: &View<'p>, desks: &[&'p str]) -> FxHashMap<&'p str, &'p str> {
    let mut next: FxHashMap<&str, Vec<&str>> = FxHashMap::default();
    for cable in view.cables.iter().filter(|cable| cable.used_as == "main" && !cable.is_run()) {
        if let (Some((from, _)), Some((to, _))) = (port_or_bank(&cable.from), port_or_bank(&cable.to)) {
            next.entry(from).or_default().push(to);
        }
    }
    let mut heads: FxHashMap<&str, &str> = desks.iter().map(|desk| (*desk, *desk)).collect();
    for desk in desks {
        let mut open = vec![*desk];
        while let Some(device) = open.pop() {
            for to in next.get(device).into_iter().flatten() {
                if !heads.contains_key(to) {
                    heads.insert(to, desk);
                    open.push(to);
                }
            }
        }
    }
    heads
}
