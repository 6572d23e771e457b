//! Preamps: gain and pad where a plug asks for them and nowhere else. And phantom power: on at the one preamp
//! that a source which asks for it is wired to, by the way that its plug says, and nowhere else. It travels
//! only along copper: plugs, lines, and what a passive piece copies, never through a transformer.

use super::Difference;
use super::inside::{Feeder, Fixed, Item};
use super::state::{Node, Side, State};
use crate::plan::Plug;
use rustc_hash::{FxHashMap as HashMap, FxHashSet as HashSet};
use std::collections::BTreeMap;

/// A switch: device, bank, group of sockets.
type Switch = (usize, usize, u32);

pub(super) fn check(state: &State<'_>, differences: &mut Vec<Difference>) {
    let mut supplies: HashMap<usize, Vec<(Switch, Vec<Node>)>> = HashMap::default();
    let mut sockets: Vec<Node> = state.plugged.keys().chain(state.runs.keys()).copied().collect();
    sockets.sort_unstable();
    sockets.dedup();
    for socket in sockets {
        let Some(switch) = switch_of(state, socket) else { continue };
        if let Some(way) = wired(state, socket, false)
            && let Some(plug) = way.last().and_then(|at| state.plugged.get(at)).copied()
            && state.plugs.get(plug).is_some_and(|plug| plug.phantom)
        {
            supplies.entry(plug).or_default().push((switch, way));
        }
    }
    check_ways(state, &supplies, differences);
    let mut needed = HashSet::default();
    let mut reached = HashSet::default();
    let mut plugs: Vec<_> = supplies.into_iter().collect();
    plugs.sort_unstable();
    for (plug, switches) in plugs {
        reached.extend(switches.iter().map(|(switch, _)| *switch));
        let on: HashSet<Switch> =
            switches.iter().map(|(switch, _)| *switch).filter(|s| state.phantom.contains(s)).collect();
        if on.len() == 1 {
            needed.extend(on);
        } else if let (true, Some(socket)) = (on.is_empty(), switches.first().and_then(|(_, way)| way.first())) {
            let source = state.plugs.get(plug).map_or("", |plug| plug.source.as_str());
            differences.push(state.difference(state.name(*socket), format!("phantom on for `{source}`"), "off"));
        }
    }
    let mut idle: Vec<_> = state.phantom.difference(&needed).copied().collect();
    idle.sort_unstable();
    for (device, item, group) in idle {
        let size = switch_size(state, device, item);
        let socket = Node { device, side: Side::Bank, item, n: group.saturating_mul(size).saturating_add(1) };
        let found = if reached.contains(&(device, item, group)) { "on, and supplied elsewhere too" } else { "on" };
        differences.push(state.difference(state.name(socket), "phantom off", found));
    }
}

/// Which preamp gives each source its 48 V, and by which sockets: as the plug says. A plug that gets none says
/// none.
fn check_ways(
    state: &State<'_>,
    supplies: &HashMap<usize, Vec<(Switch, Vec<Node>)>>,
    differences: &mut Vec<Difference>,
) {
    for (number, plug) in state.plugs.iter().enumerate() {
        let of_it = supplies.get(&number).map(Vec::as_slice).unwrap_or_default();
        let giving = of_it.iter().filter(|(switch, _)| state.phantom.contains(switch));
        let ways: Vec<Vec<String>> = giving.map(|(_, way)| state.path_names(way)).collect();
        if ways.contains(&plug.phantom_path) || (ways.is_empty() && plug.phantom_path.is_empty()) {
            continue;
        }
        let by = |way: Option<&Vec<String>>| match way {
            Some(way) if !way.is_empty() => format!("48 V by {}", way.join(" > ")),
            _ => "48 V by no way".to_string(),
        };
        differences.push(state.difference(plug.at.clone(), by(ways.first()), by(Some(&plug.phantom_path))));
    }
}

/// Gain and pad: at the preamps for which rows state them, and nowhere else. Each such preamp is wired to
/// its source.
pub(super) fn check_gains(state: &State<'_>, differences: &mut Vec<Difference>) {
    let mut gains: HashMap<String, f64> = HashMap::default();
    let mut pads: HashSet<String> = HashSet::default();
    let mut sockets: Vec<Node> = state.gains.keys().chain(&state.pads).copied().collect();
    sockets.sort_unstable();
    sockets.dedup();
    let wired_plug = |socket| wired(state, socket, true).and_then(|way| plug_at(state, *way.last()?));
    for socket in &sockets {
        let name = state.name(*socket);
        let wish = wired_plug(*socket).and_then(|plug| plug.preamps.iter().find(|wish| wish.at == name));
        let asked = wish.and_then(|wish| wish.gain_db);
        if let Some(gain) = state.gains.get(socket) {
            if asked != Some(*gain) {
                let expected = asked.map_or_else(|| "no gain stated".to_string(), |gain| format!("{gain} dB"));
                differences.push(state.difference(name.clone(), expected, format!("{gain} dB")));
            }
            gains.insert(name.clone(), *gain);
        }
        if state.pads.contains(socket) {
            if !wish.is_some_and(|wish| wish.pad) {
                differences.push(state.difference(name.clone(), "pad off", "on"));
            }
            pads.insert(name);
        }
    }
    let mut given: Vec<_> = state.given.iter().collect();
    given.sort_unstable_by_key(|(node, _)| **node);
    let plugs = state.plugs.iter().chain(given.into_iter().map(|(_, plug)| plug));
    for wish in plugs.flat_map(|plug| &plug.preamps) {
        if let Some(gain) = wish.gain_db.filter(|_| !gains.contains_key(&wish.at)) {
            differences.push(state.difference(wish.at.clone(), format!("{gain} dB"), "no gain set"));
        }
        if wish.pad && !pads.contains(&wish.at) {
            differences.push(state.difference(wish.at.clone(), "pad on", "off"));
        }
    }
}

fn switch_size(state: &State<'_>, device: usize, bank: usize) -> u32 {
    state.inside(device).and_then(|inside| inside.banks.get(bank)).map_or(0, |bank| bank.bank.phantom)
}

fn switch_of(state: &State<'_>, socket: Node) -> Option<Switch> {
    let group = (socket.n - 1).checked_div(switch_size(state, socket.device, socket.item))?;
    Some((socket.device, socket.item, group))
}

fn plug_at<'p>(state: &State<'p>, node: Node) -> Option<&'p Plug> {
    let plugged = state.plugged.get(&node).and_then(|plug| state.plugs.get(*plug));
    plugged.or_else(|| state.given.get(&node)).copied()
}

/// Every switch with all that copper joins to its sockets, in order: each socket's way, the plug's source last.
pub(super) fn joined(state: &State<'_>) -> BTreeMap<(String, String, u32), Vec<String>> {
    let mut sockets: Vec<Node> = state.plugged.keys().chain(state.runs.keys()).copied().collect();
    sockets.sort_unstable();
    sockets.dedup();
    let mut all: BTreeMap<_, Vec<String>> = BTreeMap::new();
    for socket in sockets {
        let Some((_, item, group)) = switch_of(state, socket) else { continue };
        let way = copper(state, socket, false);
        let first = group.saturating_mul(switch_size(state, socket.device, item)).saturating_add(1);
        let (Some(dev), Some(facts)) =
            (state.devices.get(socket.device), state.inside(socket.device).and_then(|inside| inside.banks.get(item)))
        else {
            continue;
        };
        let of = all.entry((dev.device.name.clone(), facts.bank.bank.clone(), first)).or_default();
        of.extend(state.path_names(&way));
        of.extend(way.last().and_then(|at| plug_at(state, *at)).map(|plug| plug.source.clone()));
    }
    all
}

/// The way by copper from a preamp's socket to the plug that it is wired to, or to what gear gives of its own,
/// with no preamp between. A signal passes `transformers`, phantom power does not.
fn wired(state: &State<'_>, socket: Node, transformers: bool) -> Option<Vec<Node>> {
    let way = copper(state, socket, transformers);
    plug_at(state, *way.last()?)?;
    Some(way)
}

/// As far as copper leads from a preamp's socket: to a plug, or to where it ends.
fn copper(state: &State<'_>, socket: Node, transformers: bool) -> Vec<Node> {
    let (mut way, mut seen) = (Vec::new(), HashSet::default());
    let mut at = Some(socket);
    while let Some(node) = at.filter(|node| !state.out_of_use(*node) && seen.insert(*node)) {
        way.push(node);
        if plug_at(state, node).is_some() {
            break;
        }
        let line = state.runs.get(&node).copied();
        at = line.or_else(|| if node == socket { None } else { copied(state, node) }).filter(|next| {
            let inside = state.inside(next.device).and_then(|inside| inside.banks.get(next.item));
            inside.is_some_and(|facts| (!facts.bank.isolated || transformers) && facts.bank.phantom == 0)
        });
    }
    way
}

/// The point of the same piece that a passive point is wired to.
fn copied(state: &State<'_>, node: Node) -> Option<Node> {
    let mode = state.devices.get(node.device)?.banks.get(node.item)?.mode;
    let inside = state.inside(node.device)?;
    let bank = inside.banks.get(node.item)?;
    let straight = bank.fixed.iter().find(|fixed| (fixed.first..=fixed.last).contains(&node.n));
    if let Some(Fixed { first, from: Item::Bank(of), .. }) = straight {
        let n = node.n.checked_sub(*first)?.checked_add(1)?;
        let size = inside.banks.get(*of)?.bank.size;
        return (n <= size).then_some(Node { device: node.device, side: Side::Bank, item: *of, n });
    }
    bank.feeders.iter().find_map(|feeder| match feeder {
        Feeder::Copies { of, first, mode: needs } if needs.is_none() || *needs == mode => {
            let n = first.checked_add(node.n)?.checked_sub(1)?;
            let size = inside.banks.get(*of)?.bank.size;
            (n <= size).then_some(Node { device: node.device, side: Side::Bank, item: *of, n })
        }
        _ => None,
    })
}
