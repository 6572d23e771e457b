//! A scene before and after: which gear is another piece, who works where, and how people call what is heard.

use super::deeds::{Deed, Step, When};
use super::owners::Owners;
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

#[derive(Clone, Copy)]
pub(super) enum Tense {
    Was,
    Now,
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

    /// At which device something is dialled that was or is set.
    pub fn who(&self, setting: &Setting, tense: Tense) -> String {
        self.at(self.owners(tense).who(setting))
    }

    pub fn owners(&self, tense: Tense) -> &Owners<'_> {
        let [was, now] = self.spoken;
        match tense {
            Tense::Was => &was.owners,
            Tense::Now => &now.owners,
        }
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
}

impl Step {
    pub fn then(who: String, deed: Deed) -> Self {
        Step { who, when: When::Then, once: false, deed }
    }
}

pub(super) fn stage(deed: Deed) -> Step {
    Step::then(STAGE.to_string(), deed)
}

/// How people call what is heard in one scene, by what musicians hear, and who turns which preamp.
pub(super) struct Spoken<'v> {
    called: FxHashMap<&'v str, String>,
    monitors: FxHashSet<&'v str>,
    /// Whatever something hangs on.
    leaves: FxHashSet<&'v str>,
    owners: Owners<'v>,
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
        for (from, labels) in labels(view).into_iter().filter(|(_, labels)| !labels.is_empty()) {
            called.insert(from, labels.into_iter().collect::<Vec<_>>().join(", "));
        }
        let leaves = view.outputs.iter().map(|output| output.from.as_str()).collect();
        Spoken { called, monitors, leaves, owners: Owners::of(view) }
    }

    pub fn leaves(&self, mix: &str) -> bool {
        self.leaves.contains(mix)
    }
}

/// What leaves by mixes, with the labels of where it goes.
pub(super) fn labels<'v>(view: &View<'v>) -> BTreeMap<&'v str, BTreeSet<&'v str>> {
    let mut labels: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for output in &view.outputs {
        labels.entry(&output.from).or_default().extend(output.label.as_deref());
    }
    labels
}
