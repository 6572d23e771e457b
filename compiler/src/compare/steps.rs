//! What to do so that the old rig becomes the new one, with as few plugs pulled as can be, and in an order in which no
//! state on the way has 48 V at what it can hurt, or two signals on one socket: 48 V off wherever copper changes; then
//! what is pulled, what is dialled, what is laid and plugged; 48 V on at the end.

use super::deeds::{Deed, Step, When, Work};
use super::moves::{Moves, plugged};
use super::owners::is_preamp;
use super::turn::{Tense, Turn, stage};
use crate::plan::{Cable, Points, Setting, View, port_or_bank};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

impl Turn<'_, '_, '_> {
    pub fn steps(&self) -> Vec<Step> {
        let exchanged = self.exchanged();
        let (was, now, relabelled) = plugged(self.was, self.now);
        let (pulled, laid) = self.cables(&exchanged);
        let moves = Moves::of(&was, &now, &exchanged);
        let runs = pulled.iter().chain(&laid).filter(|cable| cable.is_run());
        let runs = runs.flat_map(|cable| [&cable.from, &cable.to]).filter_map(|end| Points::read(end)).collect();
        let touched = Touched { exchanged: &exchanged, places: moves.places(), runs };
        let mut steps = self.phantom_off(&touched);
        steps.extend(relabelled);
        // Where lines change, every plug is out before the first is put in.
        let apart = pulled.iter().chain(&laid).any(Cable::is_run) || !exchanged.is_empty();
        if apart {
            steps.extend(moves.pulled());
        }
        steps.extend(pulled.iter().cloned().map(|cable| stage(Deed::Pull { cable })));
        self.gear(&exchanged, &mut steps);
        self.marks(&exchanged, &mut steps);
        self.dialled(&exchanged, &mut steps);
        self.phantom_handed(&touched, &mut steps);
        self.named(&exchanged, &mut steps);
        self.sent(&exchanged, &mut steps);
        self.left_out(&exchanged, &mut steps);
        steps.extend(laid.iter().cloned().map(|cable| stage(Deed::Lay { cable })));
        let (set, struck) = self.stands();
        steps.extend(set);
        steps.extend(if apart { moves.put() } else { moves.one_by_one() });
        steps.extend(struck);
        steps.extend(self.phantom_on(&touched));
        steps
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

    /// Switches at which copper or a plug changes, those of pieces that go or come, and those that such a desk turns.
    fn touched(&self, setting: &Setting, touched: &Touched) -> bool {
        let switch = (setting.device.clone(), setting.bank.clone(), setting.first.unwrap_or(1));
        let (was, now) = (self.copper_was.get(&switch), self.copper_now.get(&switch));
        let joined = || was.into_iter().chain(now).flatten();
        let tenses = [Tense::Was, Tense::Now];
        touched.exchanged.contains(setting.device.as_str())
            || tenses.into_iter().any(|tense| touched.exchanged.contains(self.owners(tense).who(setting)))
            || was != now
            || joined().any(|at| touched.hands_at(at))
    }

    fn phantom_off(&self, touched: &Touched) -> Vec<Step> {
        let stays: BTreeSet<_> = on(self.now).map(switch).collect();
        let off = on(self.was).filter(|setting| !stays.contains(&switch(setting)) || self.touched(setting, touched));
        let step = |setting: &Setting| Step {
            who: self.who(setting, Tense::Was),
            when: When::First,
            once: false,
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
        on.map(|setting| Step {
            who: self.who(setting, Tense::Now),
            when: When::Last,
            once: false,
            deed: Deed::On { setting: setting.clone() },
        })
        .collect()
    }

    /// 48 V that stays on, and that another desk switches from now on.
    fn phantom_handed(&self, touched: &Touched, steps: &mut Vec<Step>) {
        let was: FxHashMap<_, &Setting> = on(self.was).map(|setting| (switch(setting), setting)).collect();
        for now in on(self.now).filter(|now| !self.touched(now, touched)) {
            if let Some(was) = was.get(&switch(now)).filter(|was| was.owner != now.owner) {
                let (setting, from) = (now.clone(), was.owner.clone());
                steps.push(Step::then(self.who(now, Tense::Now), Deed::HandOver { setting, from }));
            }
        }
    }

    /// Switches that go back first, so that nothing is taken from two places.
    fn dialled(&self, exchanged: &BTreeSet<&str>, steps: &mut Vec<Step>) {
        type Switch<'s> = (&'s str, &'s str, &'s str, Option<u32>);
        fn key(setting: &Setting) -> Switch<'_> {
            (&setting.device, &setting.bank, &setting.set, setting.first)
        }
        fn dialled<'s>(view: &View<'s>) -> FxHashMap<Switch<'s>, &'s Setting> {
            let settings = view.settings.iter().copied().filter(|setting| setting.set != "phantom");
            settings.map(|setting| (key(setting), setting)).collect()
        }
        let (was, now) = (dialled(self.was), dialled(self.now));
        let fresh = |setting: &Setting| exchanged.contains(setting.device.as_str());
        for setting in self.was.settings.iter().filter(|setting| setting.set != "phantom" && !fresh(setting)) {
            if !now.contains_key(&key(setting)) {
                let Setting { device, set, bank, first, last, .. } = (*setting).clone();
                steps.push(Step::then(self.who(setting, Tense::Was), Deed::Clear { device, set, bank, first, last }));
            }
        }
        for setting in self.now.settings.iter().filter(|setting| setting.set != "phantom") {
            // A desk that is another piece has turned nothing yet.
            let anew = fresh(setting) || exchanged.contains(self.owners(Tense::Now).who(setting));
            let who = || self.who(setting, Tense::Now);
            match was.get(&key(setting)).filter(|_| !anew) {
                Some(was) if was == setting => {}
                Some(was) if is_preamp(setting) && same_but_owner(was, setting) => {
                    let (setting, from) = ((*setting).clone(), was.owner.clone());
                    steps.push(Step::then(who(), Deed::HandOver { setting, from }));
                }
                _ => steps.push(Step::then(who(), Deed::Set { setting: (*setting).clone() })),
            }
        }
    }
}

fn on<'v>(view: &'v View) -> impl Iterator<Item = &'v Setting> {
    view.settings.iter().copied().filter(|setting| setting.set == "phantom" && setting.is_on())
}

fn same_but_owner(was: &Setting, now: &Setting) -> bool {
    Setting { owner: None, ..was.clone() } == Setting { owner: None, ..now.clone() }
}

fn switch(setting: &Setting) -> (&str, &str, Option<u32>) {
    (&setting.device, &setting.bank, setting.first)
}

/// Where hands are laid on.
struct Touched<'t> {
    exchanged: &'t BTreeSet<&'t str>,
    /// Sockets of sources.
    places: BTreeSet<&'t str>,
    /// Both ends of analogue runs that are pulled or laid.
    runs: Vec<Points<'t>>,
}

impl Touched<'_> {
    fn hands_at(&self, at: &str) -> bool {
        let of_run = |at: &str| Points::read(at).is_some_and(|at| self.runs.iter().any(|run| run.holds(&at)));
        self.places.contains(at) || of_run(at)
    }
}

/// What stands in the lists of all `scenes` is done once: a cable is laid before the first act, not before each. 48 V
/// goes off and on wherever hands are laid on.
pub(super) fn once(work: &mut [Work], scenes: usize) {
    if work.len() < 2 {
        return;
    }
    let mut found: FxHashMap<String, (usize, usize)> = FxHashMap::default();
    for (list, work) in work.iter().enumerate() {
        for step in &work.steps {
            let (last, acts) = found.entry(format!("{step:?}")).or_insert((usize::MAX, 0));
            if *last != list {
                (*last, *acts) = (list, *acts + work.acts.len());
            }
        }
    }
    for (list, work) in work.iter_mut().enumerate() {
        work.later = list > 0;
        for step in work.steps.iter_mut().filter(|step| step.when == When::Then) {
            step.once = found.get(&format!("{step:?}")).is_some_and(|(_, acts)| *acts == scenes);
        }
    }
}
