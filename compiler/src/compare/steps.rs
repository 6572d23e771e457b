//! What to do so that the old rig becomes the new one, with as few plugs pulled as can be, and in an order in which no
//! state on the way has 48 V at what it can hurt, or two signals on one socket: 48 V off wherever copper changes; then
//! what is pulled, what is dialled, what is laid and plugged; 48 V on at the end.

use super::data::{Deed, Side, Step};
use crate::plan::{Cable, Plug, Points, Role, STAGE, Setting, View, port_or_bank};
use std::collections::{BTreeMap, BTreeSet};

/// Every 48 V switch with what copper joins to it, by device, bank and first socket.
pub(super) type Copper = BTreeMap<(String, String, u32), Vec<String>>;

/// A scene before and after.
pub(super) struct Turn<'v, 'o, 'n> {
    pub was: &'v View<'o>,
    pub now: &'v View<'n>,
    pub copper_was: &'v Copper,
    pub copper_now: &'v Copper,
}

/// A plug in a socket: what it is, and for a source its microphone.
type Plugged = BTreeMap<(Side, String), (String, Option<String>)>;

impl Turn<'_, '_, '_> {
    pub fn steps(&self) -> Vec<Step> {
        let exchanged = self.exchanged();
        let (mut was, now) = (plugged(self.was), plugged(self.now));
        let relabelled = relabelled(&mut was, &now);
        let (pulled, laid) = self.cables(&exchanged);
        let moves = Moves::of(&was, &now, &exchanged, self.labels());
        let touched = Touched { exchanged: &exchanged, places: moves.places() };
        let mut steps = self.phantom_off(&touched);
        steps.extend(relabelled);
        // Where lines change, every plug is out before the first is put in.
        let is_run = |cable: &Cable| cable.from.contains(' ') || cable.to.contains(' ');
        let apart = pulled.iter().chain(&laid).any(is_run) || !exchanged.is_empty();
        if apart {
            steps.extend(moves.pulled());
        }
        steps.extend(pulled.into_iter().map(|cable| stage(Deed::Pull { cable })));
        self.gear(&exchanged, &mut steps);
        self.dialled(&exchanged, &mut steps);
        self.sent(&mut steps);
        steps.extend(laid.into_iter().map(|cable| stage(Deed::Lay { cable })));
        steps.extend(if apart { moves.put() } else { moves.one_by_one() });
        steps.extend(self.phantom_on(&touched));
        steps
    }

    fn labels(&self) -> BTreeMap<&str, &str> {
        let sources = self.was.sources.iter().chain(&self.now.sources);
        sources.map(|source| (source.source.as_str(), source.label.as_str())).collect()
    }

    /// Devices of one name and two models: another piece stands there.
    fn exchanged(&self) -> BTreeSet<&str> {
        let model = |name: &str| self.now.devices.iter().find(|device| device.name == name).map(|device| &device.model);
        let other = self.was.devices.iter().filter(|device| model(&device.name).is_none_or(|now| *now != device.model));
        let new = self.now.devices.iter().filter(|device| !self.was.devices.iter().any(|was| was.name == device.name));
        other.map(|device| device.name.as_str()).chain(new.map(|device| device.name.as_str())).collect()
    }

    fn gear(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let changed = |name: &str| exchanged.contains(name);
        let gone = self.was.devices.iter().filter(|device| changed(&device.name));
        steps.extend(gone.map(|device| stage(Deed::TakeAway { device: device.name.clone() })));
        let came = self.now.devices.iter().filter(|device| changed(&device.name));
        steps.extend(came.map(|device| stage(Deed::Bring { device: (*device).clone() })));
    }

    /// Pulled and laid. A longer one of the same run is another cable.
    fn cables(&self, exchanged: &BTreeSet<&str>) -> (Vec<Cable>, Vec<Cable>) {
        type Same<'c> = (&'c str, &'c str, &'c str, &'c str, Option<u64>, bool, bool);
        fn same(cable: &Cable) -> Same<'_> {
            let length = cable.length_m.map(f64::to_bits);
            (&cable.from, &cable.to, &cable.carrier, &cable.used_as, length, cable.screened, cable.locking)
        }
        let touched = |cable: &Cable| {
            let device = |end| port_or_bank(end).map_or("", |(device, _)| device);
            exchanged.contains(device(&cable.from)) || exchanged.contains(device(&cable.to))
        };
        let (was, now): (BTreeSet<Same>, BTreeSet<Same>) =
            (self.was.cables.iter().map(|c| same(c)).collect(), self.now.cables.iter().map(|c| same(c)).collect());
        let pulled = self.was.cables.iter().filter(|cable| touched(cable) || !now.contains(&same(cable)));
        let laid = self.now.cables.iter().filter(|cable| touched(cable) || !was.contains(&same(cable)));
        (pulled.map(|cable| (*cable).clone()).collect(), laid.map(|cable| (*cable).clone()).collect())
    }

    /// Switches at which copper or a plug changes, and those of pieces that go or come.
    fn touched(&self, setting: &Setting, touched: &Touched) -> bool {
        let switch = (setting.device.clone(), setting.bank.clone(), setting.first.unwrap_or(1));
        let (was, now) = (self.copper_was.get(&switch), self.copper_now.get(&switch));
        let joined = || was.into_iter().chain(now).flatten();
        touched.exchanged.contains(setting.device.as_str())
            || was != now
            || joined().any(|at| touched.places.contains(at.as_str()))
    }

    fn phantom_off(&self, touched: &Touched) -> Vec<Step> {
        let stays: BTreeSet<_> = on(self.now).map(switch).collect();
        let off = on(self.was).filter(|setting| !stays.contains(&switch(setting)) || self.touched(setting, touched));
        let step = |setting: &Setting| Step {
            who: who(setting),
            deed: Deed::Off {
                device: setting.device.clone(),
                bank: setting.bank.clone(),
                first: setting.first.unwrap_or(1),
                last: setting.last.or(setting.first).unwrap_or(1),
            },
        };
        off.map(step).collect()
    }

    fn phantom_on(&self, touched: &Touched) -> Vec<Step> {
        let stayed: BTreeSet<_> = on(self.was).map(switch).collect();
        let on = on(self.now).filter(|setting| !stayed.contains(&switch(setting)) || self.touched(setting, touched));
        on.map(|setting| Step { who: who(setting), deed: Deed::On { setting: setting.clone() } }).collect()
    }

    /// Switches that go back first, so that nothing is taken from two places.
    fn dialled(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        let key =
            |setting: &Setting| (setting.device.clone(), setting.bank.clone(), setting.set.clone(), setting.first);
        let dialled = |view: &View| -> BTreeMap<_, Setting> {
            let settings = view.settings.iter().filter(|setting| setting.set != "phantom");
            settings.map(|setting| (key(setting), (*setting).clone())).collect()
        };
        let (was, now) = (dialled(self.was), dialled(self.now));
        let fresh = |setting: &Setting| exchanged.contains(setting.device.as_str());
        for setting in self.was.settings.iter().filter(|setting| setting.set != "phantom" && !fresh(setting)) {
            if !now.contains_key(&key(setting)) {
                let Setting { device, set, bank, first, .. } = (*setting).clone();
                steps.push(Step { who: who(setting), deed: Deed::Clear { device, set, bank, first } });
            }
        }
        for setting in self.now.settings.iter().filter(|setting| setting.set != "phantom") {
            if fresh(setting) || was.get(&key(setting)) != Some(setting) {
                steps.push(Step { who: who(setting), deed: Deed::Set { setting: (*setting).clone() } });
            }
        }
    }

    fn sent(&self, steps: &mut Vec<Step>) {
        let mixes = |view: &View| -> BTreeMap<String, BTreeSet<String>> {
            view.mixes.iter().map(|mix| (mix.mix.clone(), mix.of.iter().cloned().collect())).collect()
        };
        let (was, now) = (mixes(self.was), mixes(self.now));
        let none = BTreeSet::new();
        for mix in was.keys().chain(now.keys()).collect::<BTreeSet<_>>() {
            let (before, after) = (was.get(mix).unwrap_or(&none), now.get(mix).unwrap_or(&none));
            let of = self.now.mixes.iter().find(|known| known.mix == *mix).map(|known| (*known).clone());
            if before == after && was.contains_key(mix) == now.contains_key(mix) {
                continue;
            }
            let (add, out) = (after.difference(before).cloned().collect(), before.difference(after).cloned().collect());
            let who = Points::read(mix).map_or_else(String::new, |at| at.device.to_string());
            steps.push(Step { who, deed: Deed::Send { mix: mix.clone(), add, out, of } });
        }
    }
}

fn plugged(view: &View) -> Plugged {
    let inward = |plug: &&Plug| ((Side::In, plug.at.clone()), (plug.source.clone(), plug.mic.clone()));
    let mut plugged: Plugged = view.plugs.iter().map(inward).collect();
    let leaves = |at: &str| Points::read(at).and_then(|at| view.bank(&at)).is_some_and(|bank| bank.role == Role::Out);
    for output in view.outputs.iter().filter(|output| leaves(&output.to)) {
        let what = output.label.as_ref().or(output.used_as.as_ref()).unwrap_or(&output.from);
        plugged.insert((Side::Out, output.to.clone()), (what.clone(), output.used_as.clone()));
    }
    plugged
}

/// What hangs on an output as before and is only called otherwise: its name is new, and the old one is nowhere.
fn relabelled(was: &mut Plugged, now: &Plugged) -> Vec<Step> {
    let names = |of: &Plugged| of.values().map(|(what, _)| what.clone()).collect::<BTreeSet<_>>();
    let (before, after) = (names(was), names(now));
    let mut steps = Vec::new();
    for ((side, at), (what, used)) in was.iter_mut().filter(|((side, _), _)| *side == Side::Out) {
        let Some((new, new_use)) = now.get(&(*side, at.clone())) else { continue };
        if new != what && new_use == used && !before.contains(new) && !after.contains(what) {
            steps.push(stage(Deed::Relabel { at: at.clone(), was: what.clone(), now: new.clone() }));
            what.clone_from(new);
        }
    }
    steps
}

fn stage(deed: Deed) -> Step {
    Step { who: STAGE.to_string(), deed }
}

fn on<'v>(view: &'v View) -> impl Iterator<Item = &'v Setting> {
    view.settings.iter().copied().filter(|setting| setting.set == "phantom" && setting.is_on())
}

fn switch(setting: &Setting) -> (&str, &str, Option<u32>) {
    (&setting.device, &setting.bank, setting.first)
}

/// At which device it is dialled.
fn who(setting: &Setting) -> String {
    setting.owner.clone().unwrap_or_else(|| setting.device.clone())
}

/// Where hands are laid on.
struct Touched<'t> {
    exchanged: &'t BTreeSet<&'t str>,
    /// Sockets of sources.
    places: BTreeSet<&'t str>,
}

/// Plugs that change places.
struct Moves<'v> {
    labels: BTreeMap<&'v str, &'v str>,
    /// Out of these, in the order of places.
    from: Vec<((Side, String), String)>,
    /// Into these.
    to: Vec<((Side, String), (String, Option<String>))>,
}

impl<'v> Moves<'v> {
    fn of(was: &Plugged, now: &Plugged, exchanged: &BTreeSet<&str>, labels: BTreeMap<&'v str, &'v str>) -> Self {
        let on_new_gear = |at: &str| Points::read(at).is_some_and(|at| exchanged.contains(at.device));
        let other = |at: &(Side, String), what: &(String, Option<String>), there: &Plugged| {
            on_new_gear(&at.1) || there.get(at) != Some(what)
        };
        let from = was.iter().filter(|(at, what)| other(at, what, now)).map(|(at, what)| (at.clone(), what.0.clone()));
        let to = now.iter().filter(|(at, what)| other(at, what, was)).map(|(at, what)| (at.clone(), what.clone()));
        let (mut from, mut to): (Vec<_>, Vec<_>) = (from.collect(), to.collect());
        from.sort_by_cached_key(|(at, _)| walked(at));
        to.sort_by_cached_key(|(at, _)| walked(at));
        Moves { labels, from, to }
    }

    fn unplug(&self, (side, at): &(Side, String), what: &str) -> Step {
        let called = self.called(*side, what);
        stage(Deed::Unplug { what: what.to_string(), called, at: at.clone(), side: *side })
    }

    fn plug(&self, (side, at): &(Side, String), (what, mic): &(String, Option<String>)) -> Step {
        let mic = mic.clone().filter(|_| *side == Side::In);
        stage(Deed::Plug { what: what.clone(), called: self.called(*side, what), at: at.clone(), side: *side, mic })
    }

    fn called(&self, side: Side, what: &str) -> String {
        let label = self.labels.get(what).filter(|_| side == Side::In);
        label.map_or_else(|| what.to_string(), |label| (*label).to_string())
    }

    fn places(&self) -> BTreeSet<&str> {
        let (from, to) = (self.from.iter().map(|(at, _)| at), self.to.iter().map(|(at, _)| at));
        from.chain(to).filter(|(side, _)| *side == Side::In).map(|(_, at)| at.as_str()).collect()
    }

    fn pulled(&self) -> Vec<Step> {
        self.from.iter().map(|(at, what)| self.unplug(at, what)).collect()
    }

    fn put(&self) -> Vec<Step> {
        self.to.iter().map(|(at, what)| self.plug(at, what)).collect()
    }

    /// What only goes first; then each plug from its old place straight to its new one as soon as that is free; of
    /// those that stand in each other's way one is pulled ahead.
    fn one_by_one(&self) -> Vec<Step> {
        let staying: BTreeSet<(Side, &str)> = self.to.iter().map(|(at, what)| (at.0, what.0.as_str())).collect();
        let (moving, going): (Vec<_>, Vec<_>) =
            self.from.iter().partition(|(at, what)| staying.contains(&(at.0, what.as_str())));
        let mut steps: Vec<Step> = going.into_iter().map(|(at, what)| self.unplug(at, what)).collect();
        let mut taken: BTreeMap<&(Side, String), usize> = moving.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut places: BTreeMap<(Side, &str), BTreeSet<usize>> = BTreeMap::new();
        for ((at, what), n) in moving.iter().zip(0..) {
            places.entry((at.0, what)).or_default().insert(n);
        }
        let wanted: BTreeMap<&(Side, String), usize> = self.to.iter().zip(0..).map(|((at, _), n)| (at, n)).collect();
        let mut ready: BTreeSet<usize> =
            wanted.iter().filter(|(at, _)| !taken.contains_key(*at)).map(|(_, n)| *n).collect();
        let mut waiting: BTreeSet<usize> = (0..moving.len()).collect();
        loop {
            let next = ready.pop_first().and_then(|n| self.to.get(n));
            let out = match next {
                Some((at, what)) => places.get(&(at.0, what.0.as_str())).and_then(|of| of.first().copied()),
                None => waiting.first().copied(),
            };
            if let Some((n, (at, what))) = out.and_then(|n| Some((n, moving.get(n)?))) {
                steps.push(self.unplug(at, what));
                taken.remove(at);
                waiting.remove(&n);
                places.get_mut(&(at.0, what.as_str())).map(|of| of.remove(&n));
                ready.extend(wanted.get(at));
            }
            match next {
                Some((at, what)) => steps.push(self.plug(at, what)),
                None if out.is_none() => return steps,
                None => {}
            }
        }
    }
}

/// Box by box, socket by socket.
fn walked((side, at): &(Side, String)) -> (Side, String, String, u32) {
    match Points::read(at) {
        Some(points) => (*side, points.device.to_string(), points.bank.to_string(), points.first),
        None => (*side, at.clone(), String::new(), 0),
    }
}
