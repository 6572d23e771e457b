//! The show as a whole: the house and every act. Names that stand in one act alone are found here too.

use super::super::known::Known;
use super::words::aloud;
use crate::plan::{Act, Cable, Device, Output, PersonalFeed, Plan, Plug, Promise, Setting, Source, SpareCable};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

pub(super) struct Whole<'k, 'p> {
    pub plan: &'p Plan,
    pub house: &'k Known<'p>,
    pub acts: &'k [Known<'p>],
    /// The version mark of the plan.
    pub mark: &'k str,
    sources: FxHashMap<&'p str, &'p Source>,
    devices: FxHashMap<&'p str, &'p Device>,
}

/// A device, the act that brings it, and when it is there. Two acts may bring two devices of one name.
pub(super) struct Gear<'k, 'p> {
    pub device: &'p Device,
    pub act: Option<&'p Act>,
    pub scenes: &'k [Known<'p>],
}

/// Lists of the plan that hold together and stand in it once: those of every act, or those that one act adds.
#[derive(Clone, Copy)]
pub(super) struct Lists<'k, 'p> {
    /// Everything that holds at the same time.
    pub known: &'k Known<'p>,
    pub act: Option<&'p Act>,
    pub devices: &'p [Device],
    pub cables: &'p [Cable],
    pub spare_cables: &'p [SpareCable],
    pub sources: &'p [Source],
    pub plugs: &'p [Plug],
    pub outputs: &'p [Output],
    pub personal: &'p [PersonalFeed],
    pub promised: &'p [Promise],
    pub settings: &'p [Setting],
}

impl<'k, 'p> Whole<'k, 'p> {
    pub fn of(house: &'k Known<'p>, acts: &'k [Known<'p>], mark: &'k str) -> Self {
        let mut whole =
            Whole { plan: house.plan, house, acts, mark, sources: FxHashMap::default(), devices: FxHashMap::default() };
        let plan = house.plan;
        for source in plan.sources.iter().chain(plan.acts.iter().flat_map(|act| &act.sources)) {
            whole.sources.entry(&source.source).or_insert(source);
        }
        for device in plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices)) {
            whole.devices.entry(&device.name).or_insert(device);
        }
        whole
    }

    /// What can hold at one time: each act, or the house where there are none.
    pub fn scenes(&self) -> &'k [Known<'p>] {
        if self.acts.is_empty() { std::slice::from_ref(self.house) } else { self.acts }
    }

    /// The house's own lists, then what each act adds to them: all of the plan, everything once.
    pub fn lists(&self) -> impl Iterator<Item = Lists<'k, 'p>> {
        let plan = self.plan;
        let house = Lists {
            known: self.house,
            act: None,
            devices: &plan.devices,
            cables: &plan.cables,
            spare_cables: &plan.spare_cables,
            sources: &plan.sources,
            plugs: &plan.plugs,
            outputs: &plan.outputs,
            personal: &plan.personal,
            promised: &plan.promised,
            settings: &plan.settings,
        };
        let acts = self.acts.iter().filter_map(|known| {
            let act = known.act?;
            Some(Lists {
                known,
                act: Some(act),
                devices: &act.devices,
                cables: &act.cables,
                spare_cables: &act.spare_cables,
                sources: &act.sources,
                plugs: &act.plugs,
                outputs: &act.outputs,
                personal: &act.personal,
                promised: &act.promised,
                settings: &act.settings,
            })
        });
        std::iter::once(house).chain(acts)
    }

    /// Each device once, the house's first.
    pub fn devices(&self) -> impl Iterator<Item = &'p Device> {
        self.plan.devices.iter().chain(self.plan.acts.iter().flat_map(|act| &act.devices))
    }

    /// Each device once, in the order of dialling.
    pub fn gear(&self) -> Vec<Gear<'k, 'p>> {
        let mut seen = std::collections::BTreeSet::new();
        let mut gear = Vec::new();
        for scene in self.scenes().chunks(1) {
            for known in scene {
                let act = |device: &Device| known.act.filter(|_| self.house.device(&device.name).is_none());
                let all = known.devices.iter().map(|device| (*device, act(device)));
                let new = all.filter(|(device, act)| seen.insert((&device.name, act.map(|act| &act.act))));
                gear.extend(new.map(|(device, act)| {
                    let scenes = if act.is_some() { scene } else { self.scenes() };
                    Gear { device, act, scenes }
                }));
            }
        }
        gear
    }

    /// The scenes in which what an act says holds; without one all.
    pub fn scenes_of(&self, act: Option<&Act>) -> &'k [Known<'p>] {
        let at = act.and_then(|act| self.acts.iter().position(|known| known.act.is_some_and(|of| of.act == act.act)));
        at.and_then(|at| self.acts.get(at..=at)).unwrap_or(self.scenes())
    }

    pub fn source(&self, name: &str) -> Option<&'p Source> {
        self.sources.get(name).copied()
    }

    /// `Kick In` of `kick-in`, in whichever act it is.
    pub fn label(&self, source: &str) -> String {
        self.source(source).map_or_else(|| source.to_string(), |source| source.label.clone())
    }

    pub fn called(&self, device: &str) -> String {
        let label = self.devices.get(device).and_then(|device| device.label.clone());
        label.unwrap_or_else(|| device.to_string())
    }

    /// Acts by their titles, in the order of their names.
    pub fn acts_called(&self, names: &BTreeSet<&str>) -> String {
        let title = |name: &&str| {
            let act = self.acts.iter().filter_map(|known| known.act).find(|act| act.act == **name);
            act.map_or_else(|| name.to_string(), act_title)
        };
        names.iter().map(title).collect::<Vec<_>>().join(", ")
    }

    /// `front in 3` of `front.in 3`.
    pub fn spot(&self, point: &str) -> String {
        aloud(point, |device| self.called(device))
    }

    /// What tells labels of one day from those of another: the date, else the mark.
    pub fn dated(&self) -> &str {
        self.plan.show.date.as_deref().unwrap_or(self.mark)
    }

    /// The model as people call it.
    pub fn model(&self, device: &Device) -> String {
        let label = self.plan.models.get(&device.model).and_then(|model| model.label.clone());
        label.unwrap_or_else(|| device.model.clone())
    }
}

/// `Kestrel Field`, else `kestrel`.
pub(super) fn act_title(act: &Act) -> String {
    act.title.clone().unwrap_or_else(|| act.act.clone())
}

/// `23:20 to 00:30`
pub(super) fn times(act: &Act) -> String {
    match (&act.from, &act.to) {
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("from {from}"),
        (None, Some(to)) => format!("until {to}"),
        (None, None) => String::new(),
    }
}
