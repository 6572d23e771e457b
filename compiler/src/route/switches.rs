//! Switches: everything on a desk or box that must be set, with its values in order of preference.

use crate::plan::Role;
use crate::rig::{Feed, How, LaneKind, Model, Ride, Rig};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct SwitchId(pub u32);

/// What a switch can be set to. For a route: which of its `from`, and which block of that (from 0); for
/// offsets and slots the number; for modes the index among the model's modes; for plugs an index.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Value(pub u32);

/// One switch at one value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Literal {
    pub switch: SwitchId,
    pub value: Value,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum What {
    /// What feeds the block of a lane that starts at `first`.
    Route {
        lane: u32,
        first: u32,
    },
    /// The first slot that a bank takes.
    Offset {
        lane: u32,
    },
    /// The first slot that a bank rides.
    Slot {
        lane: u32,
    },
    Mode {
        lane: u32,
    },
    /// Which socket a source without a stated one plugs into: an index into its list.
    Plug {
        source: String,
    },
    /// Which source (its index in the scene) a socket takes.
    Occupant {
        lane: u32,
        number: u32,
    },
}

/// A switch of one device: of one act, or the same in all.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Switch {
    pub device: String,
    pub what: What,
    /// The act's index among the scenes; `None` for what holds in all of them.
    pub scene: Option<usize>,
}

const BLOCK_BITS: u32 = 16;

impl Value {
    pub fn of_route(feed: usize, block: u32) -> Value {
        let feed = u32::try_from(feed).unwrap_or(0);
        Value((feed << BLOCK_BITS) | (block & 0xffff))
    }

    /// The feed among the route's `from`, and the block of it, from 0.
    pub fn route(self) -> (usize, u32) {
        ((self.0 >> BLOCK_BITS) as usize, self.0 & 0xffff)
    }
}

/// All switches of a show, numbered as they are met.
#[derive(Default, Debug)]
pub struct Switches {
    list: Vec<Switch>,
    numbers: FxHashMap<Switch, SwitchId>,
    /// Switches of one name, act after act, one family behind the other.
    families: Vec<SwitchId>,
    /// Of each switch, where its family begins and where it stands itself.
    kin: Vec<(usize, usize)>,
    /// Of each switch, its place among those of its part.
    places: Vec<u32>,
    /// Names of sockets and sources, which mean the same in every act.
    names: Vec<String>,
    by_name: FxHashMap<String, u32>,
    /// What the user fixed.
    pub pins: BTreeMap<SwitchId, Value>,
}

impl Switches {
    pub fn number(&mut self, switch: Switch) -> SwitchId {
        if let Some(known) = self.numbers.get(&switch) {
            return *known;
        }
        let id = SwitchId(u32::try_from(self.list.len()).unwrap_or(u32::MAX));
        self.numbers.insert(switch.clone(), id);
        self.list.push(switch);
        id
    }

    /// A value that stands for a name: a socket that a source may plug into, a source that a socket takes.
    pub fn named(&mut self, name: &str) -> Value {
        if let Some(known) = self.by_name.get(name) {
            return Value(*known);
        }
        let number = u32::try_from(self.names.len()).unwrap_or(u32::MAX);
        self.names.push(name.to_string());
        self.by_name.insert(name.to_string(), number);
        Value(number)
    }

    /// The name that such a value stands for.
    pub fn name(&self, value: Value) -> Option<&str> {
        self.names.get(value.0 as usize).map(String::as_str)
    }

    pub fn get(&self, id: SwitchId) -> Option<&Switch> {
        self.list.get(id.0 as usize)
    }

    pub fn known(&self, switch: &Switch) -> Option<SwitchId> {
        self.numbers.get(switch).copied()
    }

    pub fn len(&self) -> usize {
        self.list.len()
    }

    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    pub fn ids(&self) -> impl Iterator<Item = (SwitchId, &Switch)> {
        (0u32..).map(SwitchId).zip(&self.list)
    }

    /// Finds for every switch of an act its kin in earlier acts. Call once all are numbered.
    pub fn find_kin(&mut self) {
        let mut by_name: BTreeMap<(&str, &What), Vec<(usize, SwitchId)>> = BTreeMap::new();
        for (id, switch) in self.ids() {
            if let Some(scene) = switch.scene {
                by_name.entry((switch.device.as_str(), &switch.what)).or_default().push((scene, id));
            }
        }
        let mut families = Vec::with_capacity(self.list.len());
        let mut kin = vec![(0, 0); self.list.len()];
        for mut family in by_name.into_values() {
            let start = families.len();
            family.sort_unstable();
            for (_, id) in family {
                if let Some(of_it) = kin.get_mut(id.0 as usize) {
                    *of_it = (start, families.len());
                }
                families.push(id);
            }
        }
        (self.families, self.kin) = (families, kin);
    }

    /// Says which switches make a part each. Call once all are numbered.
    pub fn set_parts<'a>(&mut self, parts: impl Iterator<Item = &'a [SwitchId]>) {
        self.places = vec![0; self.list.len()];
        for members in parts {
            for (place, id) in (0u32..).zip(members) {
                if let Some(slot) = self.places.get_mut(id.0 as usize) {
                    *slot = place;
                }
            }
        }
    }

    /// Its place among the switches of its part.
    pub fn place(&self, id: SwitchId) -> usize {
        self.places.get(id.0 as usize).map_or(usize::MAX, |place| *place as usize)
    }

    /// Switches of the same name in earlier acts, the latest first.
    pub fn kin(&self, id: SwitchId) -> impl Iterator<Item = SwitchId> {
        let (start, own) = self.kin.get(id.0 as usize).copied().unwrap_or_default();
        self.families.get(start..own).unwrap_or_default().iter().rev().copied()
    }
}

/// How late a value is tried, the pinned one apart: straight through first, then in the order of the
/// route's `from`, lowest block first; what goes by way of another bank of the device comes last.
pub fn rank(rig: &Rig, switch: &Switch, value: Value) -> u64 {
    match &switch.what {
        What::Route { lane, first } => {
            let model = rig.device_named(&switch.device).and_then(|device| rig.model(device));
            model.map_or(u64::from(value.0), |model| route_rank(model, *lane as usize, *first, value))
        }
        _ => u64::from(value.0),
    }
}

fn route_rank(model: &Model, lane: usize, first: u32, value: Value) -> u64 {
    let (feed, block) = value.route();
    let Some((_, route)) = model.route_of(lane, first) else { return u64::MAX };
    let size = match route.how {
        How::Blocks(size) => size,
        How::Straight => 1,
    };
    // What comes by way of another bank of the desk, an output, a pick, a named block, is tried last.
    let by_way = match route.from.get(feed) {
        Some(Feed::Lane(from)) => {
            model.lane(*from).is_some_and(|lane| matches!(lane.kind, LaneKind::Bank(Role::Inner | Role::Out)))
        }
        _ => true,
    };
    let straight = matches!(route.from.get(feed), Some(Feed::Lane(_))) && block * size + 1 == first;
    (u64::from(by_way) << 41) | (u64::from(!straight) << 40) | ((feed as u64) << BLOCK_BITS) | u64::from(block)
}

/// The choices of a bank that rides or takes at a setting.
pub fn choices(at: &Ride) -> &[u32] {
    match at {
        Ride::Setting(choices) => choices,
        _ => &[],
    }
}
