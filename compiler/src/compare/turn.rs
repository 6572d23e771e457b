//! A scene before and after: which gear is another piece, who works where, and how people call what is heard.

use super::deeds::{Deed, Named, Step, When};
use crate::plan::{MONITORS, Points, RECORDIST, STAGE, Setting, View, is_monitor};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{BTreeMap, BTreeSet};

/// Every 48 V switch with what copper joins to it, by device, bank and first socket.
pub(super) type Copper = BTreeMap<(String, String, u32), Vec<String>>;

/// A scene before and after.
pub(super) struct Turn<'v, 'o, 'n> {
    pub was: &'v View<'o>,
    pub now: &'v View<'n>,
    pub copper_was: &'v Copper,
    pub copper_now: &'v Copper,
    /// Before and after.
    pub spoken: [&'v Spoken<'v>; 2],
}

impl Turn<'_, '_, '_> {
    /// Devices that go or come, and those of one name and two models: another piece stands there.
    pub fn exchanged(&self) -> BTreeSet<&str> {
        fn models<'v>(view: &'v View) -> FxHashMap<&'v str, &'v str> {
            view.devices.iter().map(|device| (device.name.as_str(), device.model.as_str())).collect()
        }
        let (was, now) = (models(self.was), models(self.now));
        let names = was.keys().chain(now.keys()).copied();
        names.filter(|name| was.get(name) != now.get(name)).collect()
    }

    /// At which device it is dialled: a preamp at the desk that owns it, or at the only desk that there is.
    pub fn who(&self, setting: &Setting) -> String {
        let preamp = matches!(setting.set.as_str(), "phantom" | "gain" | "pad");
        let [_, now] = self.spoken;
        let owner = setting.owner.clone().or_else(|| now.only_desk.clone().filter(|_| preamp));
        owner.unwrap_or_else(|| self.at(&setting.device))
    }

    /// Who works at a device.
    pub fn at(&self, device: &str) -> String {
        let told = self.now.device(device).or_else(|| self.was.device(device));
        match told {
            Some(told) if told.role == "recorder" => RECORDIST.to_string(),
            _ => device.to_string(),
        }
    }

    /// Who works there: the recordist at tracks, the monitor engineer at what musicians hear by, else whoever is at the
    /// device.
    pub fn at_strip(&self, at: &str) -> String {
        if self.spoken.iter().any(|spoken| spoken.monitors.contains(at)) {
            return MONITORS.to_string();
        }
        match Points::read(at) {
            Some(at) if at.bank == "track" => RECORDIST.to_string(),
            Some(at) => self.at(at.device),
            None => self.at(at),
        }
    }

    /// As people call a source or a mix, now or before.
    pub fn called(&self, what: &str) -> String {
        let [was, now] = self.spoken;
        now.called.get(what).or_else(|| was.called.get(what)).cloned().unwrap_or_else(|| what.to_string())
    }

    pub fn names(&self, names: Vec<&str>) -> Vec<Named> {
        names.into_iter().map(|what| Named { what: what.to_string(), called: self.called(what) }).collect()
    }
}

impl Step {
    pub fn then(who: String, deed: Deed) -> Self {
        Step { who, when: When::Then, deed }
    }
}

pub(super) fn stage(deed: Deed) -> Step {
    Step::then(STAGE.to_string(), deed)
}

/// The desk of a show that has one.
pub(super) fn only_desk(view: &View) -> Option<String> {
    let mut desks = view.devices.iter().filter(|device| device.role == "desk");
    desks.next().filter(|_| desks.next().is_none()).map(|desk| desk.name.clone())
}

/// How people call what is heard in one scene, by what musicians hear, and the desk where there is one only.
pub(super) struct Spoken<'v> {
    called: FxHashMap<&'v str, String>,
    monitors: FxHashSet<&'v str>,
    only_desk: Option<String>,
}

impl<'v> Spoken<'v> {
    pub fn of(view: &View<'v>) -> Self {
        let mut called: FxHashMap<&str, String> =
            view.sources.iter().map(|source| (source.source.as_str(), source.label.clone())).collect();
        let mut monitors: FxHashSet<&str> = view.personal.iter().map(|feed| feed.feed.as_str()).collect();
        for output in &view.outputs {
            if is_monitor(output.used_as.as_deref()) {
                monitors.insert(&output.from);
            }
        }
        for (from, labels) in labels(view) {
            called.insert(from, labels.into_iter().collect::<Vec<_>>().join(", "));
        }
        Spoken { called, monitors, only_desk: only_desk(view) }
    }
}

/// What leaves by mixes, by the labels of where it goes.
pub(super) fn labels<'v>(view: &View<'v>) -> BTreeMap<&'v str, BTreeSet<&'v str>> {
    let mut labels: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for output in &view.outputs {
        if let Some(label) = &output.label {
            labels.entry(&output.from).or_default().insert(label);
        }
    }
    labels
}
