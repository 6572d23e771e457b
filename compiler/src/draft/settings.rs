//! Switches and preamps as settings of the plan.

use crate::plan::Setting;
use crate::rig::{Point, preamp_for, preamps_of};
use crate::route::{Solution, Switch, What, value_text};
use crate::wants::{Scene, Source, Spot, Target, WantKind};
use std::collections::{BTreeMap, BTreeSet};

/// Device, lane, order of the kind of setting, first point: the order of settings in a plan.
pub type Order = (u32, u32, u8, u32);

fn setting(device: &str, set: &str, bank: &str) -> Setting {
    Setting {
        device: device.to_string(),
        set: set.to_string(),
        bank: bank.to_string(),
        first: None,
        last: None,
        from: None,
        value: None,
        owner: None,
    }
}

/// All settings of a scene, in order.
pub fn settings(
    scene: &Scene,
    number: usize,
    solution: &Solution,
    plugs: &BTreeMap<Point, usize>,
    given: &BTreeMap<Point, usize>,
) -> Vec<(Order, Setting)> {
    let mut list: Vec<(Order, Setting)> = Vec::new();
    for (id, value) in &solution.values {
        let Some(switch) = solution.switches.get(*id) else { continue };
        if switch.scene.is_none_or(|of| of == number) {
            list.extend(routing(scene, switch, *value));
        }
    }
    list.extend(preamp_settings(scene, plugs.iter().chain(given)));
    list.sort_by_key(|(order, _)| *order);
    list
}

fn routing(scene: &Scene, switch: &Switch, value: crate::route::Value) -> Option<(Order, Setting)> {
    let rig = &scene.rig;
    let device = rig.device_named(&switch.device)?;
    let bank = |lane: u32| rig.lane(device, lane).map(|lane| lane.name.as_str());
    match &switch.what {
        What::Route { lane, first } => {
            let mut line = setting(&switch.device, "route", bank(*lane)?);
            let size = rig.lane(device, *lane)?.size;
            let block = block_of(rig, device, *lane, *first)?;
            line.first = Some(*first);
            line.last = Some((first + block - 1).min(size));
            line.from = Some(value_text(rig, switch, value)?);
            Some(((device, *lane, 3, *first), line))
        }
        What::Offset { lane } => {
            let mut line = setting(&switch.device, "offset", bank(*lane)?);
            line.value = Some(value.0.into());
            Some(((device, *lane, 1, 0), line))
        }
        What::Slot { lane } => {
            let mut line = setting(&switch.device, "slot", bank(*lane)?);
            line.value = Some(value.0.into());
            Some(((device, *lane, 2, 0), line))
        }
        What::Mode { lane } => {
            let mut line = setting(&switch.device, "mode", bank(*lane)?);
            line.value = Some(value_text(rig, switch, value)?.into());
            Some(((device, *lane, 0, 0), line))
        }
        What::Plug { .. } | What::Occupant { .. } => None,
    }
}

fn block_of(rig: &crate::rig::Rig, device: u32, lane: u32, first: u32) -> Option<u32> {
    let (_, route) = rig.model(device)?.route_of(lane as usize, first)?;
    match route.how {
        crate::rig::How::Blocks(size) => Some(size),
        crate::rig::How::Straight => None,
    }
}

/// Phantom, gain and pad of every preamp that some source comes by.
fn preamp_settings<'a>(scene: &Scene, sources: impl Iterator<Item = (&'a Point, &'a usize)>) -> Vec<(Order, Setting)> {
    let rig = &scene.rig;
    let listening = listening(scene);
    let mut list: BTreeMap<Order, Setting> = BTreeMap::new();
    for (plug, index) in sources {
        let Some(source) = scene.source(*index) else { continue };
        let preamps = preamps_of(rig, *plug);
        let owner = |socket: Point| owner(scene, socket, source, listening.get(*index)?, &preamps);
        if source.phantom.is_some()
            && let Some(preamp) = supplier(scene, source, &preamps)
        {
            list.extend(phantom(scene, preamp, owner(preamp)));
        }
        for wish in wishes(scene, source, &preamps) {
            let own = wish.socket;
            let name = rig.device_name(own.device);
            let Some(lane) = rig.lane_at(own) else { continue };
            if let Some(gain) = wish.gain_db {
                let mut line = point_setting(name, "gain", &lane.name, own.number);
                line.value = serde_json::Number::from_f64(gain).map(serde_json::Value::Number);
                line.owner = owner(own);
                list.insert((own.device, own.lane, 5, own.number), line);
            }
            if wish.pad {
                let mut line = point_setting(name, "pad", &lane.name, own.number);
                line.value = Some(true.into());
                line.owner = owner(own);
                list.insert((own.device, own.lane, 6, own.number), line);
            }
        }
    }
    list.into_iter().collect()
}

fn point_setting(device: &str, set: &str, bank: &str, number: u32) -> Setting {
    let mut line = setting(device, set, bank);
    line.first = Some(number);
    line.last = Some(number);
    line
}

/// Who feeds phantom power to a source: the preamp of the desk whose row asks for it if it can, then the
/// declaring desk's, else the first that is not behind a transformer and has a switch. What gear gives of its
/// own gets none.
pub fn supplier(scene: &Scene, source: &Source, preamps: &[crate::rig::Preamp]) -> Option<Point> {
    let can = |preamp: &&crate::rig::Preamp| {
        !preamp.isolated && !preamp.out_of_use && scene.rig.lane_at(preamp.socket).is_some_and(|lane| lane.phantom > 0)
    };
    if matches!(source.spot, Spot::Origin(_)) {
        return None;
    }
    let able: Vec<Point> = preamps.iter().filter(can).map(|preamp| preamp.socket).collect();
    let asking = source.phantom_by.iter().map(|asking| preamp_for(&scene.rig, asking.value, preamps));
    let mut own = asking.chain([own_preamp(scene, source, preamps)]).flatten();
    own.find(|own| able.contains(own)).or_else(|| able.first().copied())
}

/// The preamp on the way to the desk whose list declares the source.
pub fn own_preamp(scene: &Scene, source: &Source, preamps: &[crate::rig::Preamp]) -> Option<Point> {
    preamp_for(&scene.rig, source.desk, preamps)
}

/// What rows state for one preamp.
pub struct Wish {
    pub socket: Point,
    pub gain_db: Option<f64>,
    pub pad: bool,
}

/// Gain and pad belong to the preamp on the way to the desk whose row states them.
pub fn wishes(scene: &Scene, source: &Source, preamps: &[crate::rig::Preamp]) -> Vec<Wish> {
    let mut wishes: BTreeMap<Point, Wish> = BTreeMap::new();
    for stated in &source.stated {
        let Some(socket) = preamp_for(&scene.rig, stated.desk, preamps) else { continue };
        let has_pad = scene.rig.lane_at(socket).is_some_and(|lane| lane.pad);
        let wish = wishes.entry(socket).or_insert(Wish { socket, gain_db: None, pad: false });
        wish.gain_db = wish.gain_db.or(stated.gain_db.as_ref().map(|gain| gain.value));
        wish.pad |= stated.pad.is_some() && has_pad;
    }
    wishes.into_values().filter(|wish| wish.gain_db.is_some() || wish.pad).collect()
}

fn phantom(scene: &Scene, socket: Point, owner: Option<String>) -> Option<(Order, Setting)> {
    let lane = scene.rig.lane_at(socket)?;
    let group = lane.phantom.max(1);
    let first = (socket.number - 1) / group * group + 1;
    let mut line = setting(scene.rig.device_name(socket.device), "phantom", &lane.name);
    line.first = Some(first);
    line.last = Some((first + group - 1).min(lane.size));
    line.value = Some(true.into());
    line.owner = owner;
    Some(((socket.device, socket.lane, 4, first), line))
}

/// For each source the desks on whose channels it is wanted.
fn listening(scene: &Scene) -> Vec<BTreeSet<u32>> {
    let mut desks = vec![BTreeSet::new(); scene.sources.len()];
    for want in scene.wants.iter().filter(|want| want.kind == WantKind::Channel) {
        if let Target::Source(source) = want.what
            && let Some(place) = desks.get_mut(source)
        {
            place.insert(want.end.device);
        }
    }
    desks
}

/// Who may turn a preamp that several desks share: the desk named by `gain by`, else the one whose list
/// declares the source. `None` where one desk alone uses it.
fn owner(
    scene: &Scene,
    socket: Point,
    source: &Source,
    listening: &BTreeSet<u32>,
    preamps: &[crate::rig::Preamp],
) -> Option<String> {
    let uses = |desk: &&u32| preamp_for(&scene.rig, Some(**desk), preamps) == Some(socket);
    if listening.iter().filter(uses).count() < 2 {
        return None;
    }
    let by = scene.rig.device(socket.device).and_then(|device| device.gain_by).map(|(desk, _)| desk);
    by.or(source.desk).map(|desk| scene.rig.device_name(desk).to_string())
}
