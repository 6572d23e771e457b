//! Where the inputs of boxes ride on the way to a desk, from the chain's order and the boxes' sizes alone.

use crate::rig::{Feed, How, LinkEnd, Ride, Rig};
use crate::syntax::ast::DeviceWord;

/// A port's way up to a desk.
pub struct Climb {
    /// The desk's port.
    pub top: LinkEnd,
    /// By how many slots everything moves on the way.
    pub shift: u32,
    /// The last slot of the first port that still arrives.
    pub room: u32,
}

/// Follows what leaves by a port up to a desk. `None` where it leads to none.
pub fn climb(rig: &Rig, from: LinkEnd) -> Option<Climb> {
    let size = |end: LinkEnd, inward: bool| {
        let model = rig.model(end.device)?;
        let port = model.ports.get(end.port)?;
        Some(model.lane(if inward { port.inward } else { port.outward })?.size)
    };
    let (mut at, mut shift) = (from, 0);
    let mut room = size(at, false)?;
    for _ in 0..=rig.devices.len() {
        let (far, _) = rig.peer(at)?;
        if rig.device(far.device)?.word == DeviceWord::Desk {
            let room = room.min(size(far, true)?.saturating_sub(shift));
            return Some(Climb { top: far, shift, room });
        }
        let beyond = rig.model(far.device)?;
        let (_, onward) = beyond.passes.iter().find(|(inward, _)| *inward == far.port)?;
        shift += stacked(rig, far.device, *onward);
        at = LinkEnd { device: far.device, port: *onward };
        room = room.min(size(at, false)?.saturating_sub(shift));
    }
    None
}

/// How many slots the stacked banks of a device take at one of its ports.
pub fn stacked(rig: &Rig, device: u32, port: usize) -> u32 {
    let Some(model) = rig.model(device) else { return 0 };
    let riding = model.carries.iter().filter(|carry| carry.port == port && carry.at == Ride::Stacked);
    riding.map(|carry| model.lane(carry.bank).map_or(0, |lane| lane.size)).sum()
}

/// A device whose inputs ride a chain: where its first slot arrives at the desk, and how many there are.
pub struct Rider {
    pub device: u32,
    pub first: u32,
    pub size: u32,
}

/// The stacked devices on a desk's port, nearest first.
pub fn riders(rig: &Rig, top: LinkEnd) -> Vec<Rider> {
    let mut found = Vec::new();
    for device in rig.hanging_on(top) {
        let ports = rig.model(device).map_or(0, |model| model.ports.len());
        for port in 0..ports {
            let size = stacked(rig, device, port);
            let up = climb(rig, LinkEnd { device, port }).filter(|up| size > 0 && up.top == top);
            found.extend(up.map(|up| Rider { device, first: up.shift + 1, size }));
        }
    }
    found.sort_by_key(|rider| rider.first);
    found
}

/// The size of the blocks in which a desk's channels take what arrives at a port; 1 where point by point.
pub fn block_of(rig: &Rig, top: LinkEnd) -> u32 {
    let Some(model) = rig.model(top.device) else { return 1 };
    let (Some(channel), Some(port)) = (model.bank("channel"), model.ports.get(top.port)) else { return 1 };
    let of_channel = model.routes.iter().filter(|route| route.lane == channel);
    let from_port = of_channel.filter(|route| route.from.contains(&Feed::Lane(port.inward)));
    let size = |how: How| if let How::Blocks(size) = how { size } else { 1 };
    from_port.map(|route| size(route.how)).max().unwrap_or(1)
}

/// Every port of every desk.
pub fn desk_ports(rig: &Rig) -> Vec<LinkEnd> {
    let ports = |device: u32| rig.model(device).map_or(0, |model| model.ports.len());
    rig.desks().flat_map(|device| (0..ports(device)).map(move |port| LinkEnd { device, port })).collect()
}
