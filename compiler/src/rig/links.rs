//! Cables: which port joins which, and which analogue line ends in which socket. A cable that cannot
//! work is reported and left out, so that later phases see only what carries signals.

use super::build::{ANY_SIGNAL, Cable, LinkEnd, Rig, Run, UsedAs, kept_for};
use super::model::{LaneKind, PortFact};
use super::model_items::{no_part, unknown};
use super::points::{Asked, Point};
use super::remarks::remarks;
use crate::diagnostics::{Diagnostic, Sort, counted};
use crate::plan::Role;
use crate::project::{Patch, Row, attrs, nearest};
use crate::source::Span;
use crate::syntax::ast::{self, Attr, AttrKind, Dotted, Faces, FeedVerdict};
use std::collections::BTreeSet;

/// Joins everything that the patch's rows say is joined.
pub fn join(rig: &mut Rig, devices: &[&Row<ast::Device>], patch: &Patch, found: &mut Vec<Diagnostic>) {
    for row in devices {
        hang(rig, row, found);
    }
    for link in &patch.links {
        let from = port_end(rig, &link.node.from, false, found);
        let to = port_end(rig, &link.node.to, true, found);
        let said = cable_of(&link.node.attrs);
        let span = link.node.from.span.to(link.node.to.span);
        rig.said_of.insert(span, remarks(&link.node.attrs));
        lay(rig, from, to, UsedAs::Main, said, span, found);
    }
    for row in devices {
        snake_tail(rig, row, found);
    }
    for loom in &patch.looms {
        let from = rig.points(&loom.node.from, Asked::RunFrom, None, found);
        let to = rig.points(&loom.node.to, Asked::RunTo, None, found);
        let Some(from) = from else { continue };
        match to {
            Some(to) => {
                rig.said_of.insert(loom.node.to.span, remarks(&loom.node.attrs));
                dead_lines(rig, &to, &loom.node.attrs, found);
                lines(rig, &from, &to, "loom", cable_of(&loom.node.attrs), loom.node.to.span, found);
            }
            None => rig.unlaid.extend(from.iter().map(|point| point.device)),
        }
    }
    rig.cables.sort_by_key(|cable| (cable.from, cable.to));
    index_of(rig);
    loops(rig, found);
    depth(rig, found);
}

/// A dead or reserved line of a loom ends in a socket that nothing may use.
fn dead_lines(rig: &mut Rig, to: &[Point], attrs: &[Attr], found: &mut Vec<Diagnostic>) {
    let dead = attrs::dead(attrs).map(|(numbers, _)| (numbers, "dead".to_string()));
    let kept = attrs::reserved(attrs).map(|(numbers, what, _)| (numbers, kept_for(what)));
    for (numbers, why) in dead.into_iter().chain(kept) {
        for range in &numbers.ranges {
            if range.first == 0 || range.last as usize > to.len() {
                let message = format!("this loom has lines 1-{}", to.len());
                found.push(Diagnostic::error("no-such-point", range.span, message));
                continue;
            }
            for end in to.iter().skip(range.first as usize - 1).take((range.last - range.first) as usize + 1) {
                if let Some(device) = rig.devices.get_mut(end.device as usize) {
                    device.out_of_use.insert(end.number, (why.clone(), range.span));
                }
            }
        }
    }
}

fn index_of(rig: &mut Rig) {
    rig.peers.clear();
    rig.starts.clear();
    for index in 0..rig.cables.len() {
        enter(rig, index);
    }
}

/// Notes at which ports a cable ends.
fn enter(rig: &mut Rig, index: usize) {
    let Some(cable) = rig.cables.get(index) else { return };
    rig.starts.entry(cable.from).or_insert(index);
    if cable.used_as == UsedAs::Main {
        rig.peers.insert(cable.from, (cable.to, index));
        rig.peers.insert(cable.to, (cable.from, index));
    }
}

fn cable_of(attrs: &[Attr]) -> Option<ast::Cable> {
    attrs.iter().find_map(|attr| match &attr.kind {
        AttrKind::Cable(cable) => Some(cable.clone()),
        _ => None,
    })
}

/// `box stage-left on foh.portA`, `redundant on foh.portB`, `gain by monitors`.
fn hang(rig: &mut Rig, row: &Row<ast::Device>, found: &mut Vec<Diagnostic>) {
    let Some(device) = rig.device_named(&row.node.name.value) else { return };
    let said = cable_of(&row.node.attrs);
    for attr in &row.node.attrs {
        match &attr.kind {
            AttrKind::On(port) | AttrKind::RedundantOn(port) => {
                let main = matches!(attr.kind, AttrKind::On(_));
                let used_as = if main { UsedAs::Main } else { UsedAs::Redundant };
                let (from, to) = (port_end(rig, port, false, found), desk_port(rig, device, port, found));
                if main && to.is_none() {
                    let ports = rig.model(device).map_or(0, |model| model.ports.len());
                    rig.refused.extend((0..ports).map(|port| LinkEnd { device, port }));
                }
                lay(rig, from, to, used_as, said.clone(), attr.span, found);
            }
            AttrKind::BackupOf(other) => {
                let of = rig.device_named(&other.value);
                if of.is_none() && !rig.broken.contains(&other.value) {
                    let near = nearest(&other.value, rig.devices.iter().map(|device| device.name.as_str()));
                    found.push(unknown(Sort::Gear, "device", other, near));
                }
                if let Some(device) = rig.devices.get_mut(device as usize) {
                    device.backup_of = of.map(|of| (of, attr.span));
                }
            }
            AttrKind::GainBy(desk) => {
                let by = rig.device_named(&desk.value);
                if by.is_none() && !rig.broken.contains(&desk.value) {
                    let near = nearest(&desk.value, rig.devices.iter().map(|device| device.name.as_str()));
                    found.push(unknown(Sort::Gear, "desk", desk, near));
                }
                let is_desk = |by: &u32| rig.device(*by).is_some_and(|by| by.word == ast::DeviceWord::Desk);
                if by.is_some_and(|by| !is_desk(&by)) {
                    let message = format!("`{}` is no desk, and gains are turned on desks", desk.value);
                    found.push(Diagnostic::error("wrong-direction", desk.span, message).help("name a desk"));
                }
                if let (Some(by), Some(device)) = (by.filter(is_desk), rig.devices.get_mut(device as usize)) {
                    device.gain_by = Some((by, desk.span));
                }
            }
            _ => {}
        }
    }
}

/// The port of a box that faces the desk: where `on` plugs in.
fn desk_port(rig: &Rig, device: u32, on: &Dotted, found: &mut Vec<Diagnostic>) -> Option<LinkEnd> {
    let model = rig.model(device)?;
    let port = model.ports.iter().position(|port| port.faces == Faces::Desk).or_else(|| {
        let free = model.ports.iter().position(|port| port.faces == Faces::Any);
        free.filter(|port| !taken(rig, LinkEnd { device, port: *port }))
    });
    if port.is_none() && !rig.device(device).is_some_and(|device| device.model_missing) {
        let name = rig.device_name(device);
        let message = format!("`{name}` has no port that faces a desk");
        found.push(Diagnostic::error("wrong-port", on.span, message).help("say the cable as `link … to …`"));
    }
    port.map(|port| LinkEnd { device, port })
}

fn taken(rig: &Rig, end: LinkEnd) -> bool {
    rig.starts.contains_key(&end) || rig.peers.contains_key(&end)
}

/// The port that a dotted name means. A device alone means its one port that fits: away from the desk
/// for the first end of a cable, toward it for the second.
fn port_end(rig: &Rig, name: &Dotted, second: bool, found: &mut Vec<Diagnostic>) -> Option<LinkEnd> {
    let mut parts = name.parts.as_slice();
    if let [first, rest @ ..] = parts
        && !rest.is_empty()
        && rig.act.as_deref() == Some(first.value.as_str())
    {
        parts = rest;
    }
    let (first, rest) = parts.split_first()?;
    let (device, port) = match (rig.device_named(&first.value), rest) {
        (Some(device), [port]) => (device, Some(port)),
        (Some(device), []) => (device, None),
        // `on portA`: a port of the only desk.
        (None, []) if rig.only_desk().is_some() => (rig.only_desk()?, Some(first)),
        _ => {
            if !rig.broken.contains(&first.value) {
                let near = nearest(&first.value, rig.devices.iter().map(|device| device.name.as_str()));
                found.push(unknown(Sort::Gear, "device", first, near));
            }
            return None;
        }
    };
    let model = rig.model(device)?;
    let missing = rig.device(device).is_some_and(|device| device.model_missing);
    let device_name = rig.device_name(device);
    let Some(port) = port else {
        let fits = |port: &PortFact| {
            matches!((port.faces, second), (Faces::Any, _) | (Faces::Desk, true) | (Faces::Next, false))
        };
        let fitting: Vec<usize> =
            (0..).zip(&model.ports).filter(|(_, port)| fits(port)).map(|(index, _)| index).collect();
        if let [port] = fitting.as_slice() {
            return Some(LinkEnd { device, port: *port });
        }
        if !missing {
            let ports: Vec<String> = model.ports.iter().map(|port| format!("`{device_name}.{}`", port.name)).collect();
            let mut problem = Diagnostic::error("which-port", name.span, format!("which port of `{device_name}`?"));
            problem = if ports.is_empty() {
                problem.help(format!("`{device_name}` has no ports"))
            } else {
                problem.help(format!("write {}", ports.join(" or ")))
            };
            found.push(problem);
        }
        return None;
    };
    let index = model.port(&port.value);
    if index.is_none() && !missing && !rig.broken.contains(&port.value) {
        let near = nearest(&port.value, model.ports.iter().map(|port| port.name.as_str()));
        found.push(if rig.device_named(&first.value).is_some() {
            no_part(&format!("`{device_name}`"), "port", port, near)
        } else {
            let message = format!("there is no device called `{0}`, and `{device_name}` has no port `{0}`", port.value);
            Diagnostic::unknown(Sort::Gear, port.value.clone(), port.span, message).near(port.span, near)
        });
    }
    Some(LinkEnd { device, port: index? })
}

/// Lays a cable; where it cannot be, its ends are noted, so that nobody complains of what does not arrive
/// over it.
fn lay(
    rig: &mut Rig,
    from: Option<LinkEnd>,
    to: Option<LinkEnd>,
    used_as: UsedAs,
    said: Option<ast::Cable>,
    span: Span,
    found: &mut Vec<Diagnostic>,
) {
    let laid = from.zip(to).is_some_and(|(from, to)| add_cable(rig, from, to, used_as, said, span, found).is_some());
    if !laid && used_as == UsedAs::Main {
        rig.refused.extend(from.into_iter().chain(to));
    }
}

/// `None` where the cable cannot be, which is told.
fn add_cable(
    rig: &mut Rig,
    from: LinkEnd,
    to: LinkEnd,
    used_as: UsedAs,
    said: Option<ast::Cable>,
    span: Span,
    found: &mut Vec<Diagnostic>,
) -> Option<()> {
    let port = |end: LinkEnd| rig.model(end.device).and_then(|model| model.ports.get(end.port)).cloned();
    let (first, second) = (port(from)?, port(to)?);
    let (from_text, to_text) = (rig.port_text(from), rig.port_text(to));
    if from == to {
        let message = format!("a cable from `{from_text}` to itself");
        found.push(Diagnostic::error("cable-loop", span, message).help("say the port at the far end"));
        return None;
    }
    // A redundant cable doubles a main one at its far end, so only its near port must be free.
    let ends: &[LinkEnd] = if used_as == UsedAs::Main { &[from, to] } else { &[from] };
    for end in ends {
        let joined = rig.peers.get(end).map(|(_, cable)| *cable);
        let other = rig.starts.get(end).copied().or(joined.filter(|_| used_as == UsedAs::Main));
        if let Some(other) = other.and_then(|cable| rig.cables.get(cable)) {
            let message = format!("two cables in one port: `{}`", rig.port_text(*end));
            found.push(
                Diagnostic::error("port-used-twice", span, message)
                    .label(other.span, "the first one")
                    .help("move one of them to another port, or to the box's port that leads on")
                    .about(rig.device_name(to.device).to_string()),
            );
            return None;
        }
    }
    if first.carrier != second.carrier {
        let message = format!("`{from_text}` speaks {} and `{to_text}` speaks {}", first.carrier, second.carrier);
        found.push(Diagnostic::error("unlike-carriers", span, message).help("join ports of one carrier"));
        return None;
    }
    let (from, to, first, second) = match (first.faces, second.faces) {
        (Faces::Desk, Faces::Any | Faces::Next) => (to, from, second, first),
        _ => (from, to, first, second),
    };
    let joins =
        matches!((first.faces, second.faces), (Faces::Any | Faces::Next, Faces::Desk) | (Faces::Any, Faces::Any));
    if !joins {
        let message = format!(
            "`{from_text}` and `{to_text}` both face {}",
            if first.faces == Faces::Desk { "a desk" } else { "away from the desk" }
        );
        found.push(
            Diagnostic::error("wrong-port", span, message)
                .help("a box takes its clock and its feeds at the port that faces the desk: plug the cable there"),
        );
        return None;
    }
    if second.needs_power && !first.powers {
        let message = format!("`{to_text}` needs power from its port and `{from_text}` gives none");
        found.push(
            Diagnostic::error("port-without-power", span, message)
                .help("use a port that powers, or say a model of the hub with a supply of its own")
                .about(rig.device_name(to.device).to_string()),
        );
    }
    rig.cables.push(Cable { from, to, carrier: first.carrier, used_as, said, span });
    enter(rig, rig.cables.len() - 1);
    Some(())
}

/// `snake drum-riser is snake-12 to stage-left 1-12`
fn snake_tail(rig: &mut Rig, row: &Row<ast::Device>, found: &mut Vec<Diagnostic>) {
    let Some(device) = rig.device_named(&row.node.name.value) else { return };
    let said = cable_of(&row.node.attrs);
    for attr in &row.node.attrs {
        let AttrKind::To(lists) = &attr.kind else { continue };
        let Some(model) = rig.model(device) else { continue };
        let Some(tail) = model.lanes.iter().position(|lane| lane.kind == LaneKind::Bank(Role::Out)) else {
            if !rig.model_missing(device) {
                let message = format!("`{}` has no lines that lead on", row.node.name.value);
                found.push(Diagnostic::error("wrong-direction", attr.span, message));
            }
            rig.unlaid.insert(device);
            continue;
        };
        let size = model.lane(tail).map_or(0, |lane| lane.size);
        let tail = u32::try_from(tail).unwrap_or(0);
        if let [_, second, ..] = lists.as_slice() {
            let message = "a snake's lines have one far end each";
            found.push(Diagnostic::error("lists-unequal", second.span, message).help("join the lists with `,`"));
        }
        let Some(list) = lists.first() else { continue };
        let Some(to) = rig.points(list, Asked::RunTo, None, found) else {
            rig.unlaid.insert(device);
            continue;
        };
        if to.len() > size as usize {
            let (lines, most) = (counted(size as usize, "line"), counted(size as usize, "socket"));
            let message = format!("`{}` has {lines}, and {} sockets are named", row.node.name.value, to.len());
            found.push(Diagnostic::error("lists-unequal", list.span, message).help(format!("name at most {most}")));
            rig.unlaid.insert(device);
            continue;
        }
        let from: Vec<Point> = (1..=size).take(to.len()).map(|number| Point { device, lane: tail, number }).collect();
        lines(rig, &from, &to, "snake", said.clone(), list.span, found);
    }
}

/// Lays lines pair by pair, and reports them as few runs of neighbours.
fn lines(
    rig: &mut Rig,
    from: &[Point],
    to: &[Point],
    used_as: &'static str,
    said: Option<ast::Cable>,
    span: Span,
    found: &mut Vec<Diagnostic>,
) {
    if from.len() != to.len() {
        let verb = if from.len() == 1 { "starts" } else { "start" };
        let ends = if to.len() == 1 { "ends" } else { "end" };
        let message = format!("{} {verb} and {} {ends}", counted(from.len(), "line"), to.len());
        found.push(Diagnostic::error("lists-unequal", span, message).help("name as many points on both sides"));
        rig.unlaid.extend(from.iter().map(|point| point.device));
        return;
    }
    if !kinds_fit(rig, from, to, span, found) {
        rig.unlaid.extend(from.iter().map(|point| point.device));
        return;
    }
    let first_run = rig.runs.len();
    let mut twice: Vec<(Point, Point, Point)> = Vec::new();
    for (from, to) in from.iter().zip(to) {
        if let Some((other, _)) = rig.brought_to(*to) {
            twice.push((*to, other, *from));
            continue;
        }
        let next_to = |run: &Run| {
            run.from.device == from.device
                && run.from.lane == from.lane
                && run.from.number + run.count == from.number
                && run.to.device == to.device
                && run.to.lane == to.lane
                && run.to.number + run.count == to.number
        };
        let grows = rig.runs.len() > first_run && rig.runs.last().is_some_and(next_to);
        if grows {
            if let Some(run) = rig.runs.last_mut() {
                run.count += 1;
            }
        } else {
            rig.runs.push(Run { from: *from, to: *to, count: 1, used_as, said: said.clone(), span });
        }
        rig.brought.insert(*to, (*from, rig.runs.len() - 1));
        rig.led.entry(*from).or_default().push(*to);
    }
    found.extend(fed_twice(rig, &twice, span));
    rig.unlaid.extend(twice.iter().map(|(_, _, from)| from.device));
}

/// Sockets, each with the line that is there and the one that is said to end there too.
fn fed_twice(rig: &Rig, twice: &[(Point, Point, Point)], span: Span) -> Option<Diagnostic> {
    let (first, ..) = twice.first()?;
    let texts =
        |pick: fn(&(Point, Point, Point)) -> Point| rig.points_text(&twice.iter().map(pick).collect::<Vec<_>>());
    let (to, there, too) = (texts(|all| all.0), texts(|all| all.1), texts(|all| all.2));
    let (is, lines) = if twice.len() == 1 { ("is", "two lines") } else { ("are", "two lines each") };
    let message = format!("{to} {is} fed by {lines}: {there} and {too}");
    let mut problem =
        Diagnostic::error("socket-used-twice", span, message).about(rig.device_name(first.device).to_string());
    if let Some(run) = rig.brought_to(*first).and_then(|(_, run)| rig.runs.get(run)) {
        problem = problem.label(run.span, "the first one");
    }
    Some(problem.help("give one of them another socket"))
}

fn kinds_fit(rig: &Rig, from: &[Point], to: &[Point], span: Span, found: &mut Vec<Diagnostic>) -> bool {
    let mut seen = Vec::new();
    for (from, to) in from.iter().zip(to) {
        let (Some(first), Some(second)) = (rig.lane_at(*from), rig.lane_at(*to)) else { continue };
        if first.signal == ANY_SIGNAL || second.signal == ANY_SIGNAL || seen.contains(&(&first.signal, &second.signal))
        {
            continue;
        }
        seen.push((&first.signal, &second.signal));
        let (verdict, why) = rig.library.feed(&first.signal, &second.signal);
        let said = format!(
            "`{}` carries {} and `{}` takes {}",
            rig.point_text(*from),
            first.signal,
            rig.point_text(*to),
            second.signal
        );
        let message = why.map_or(said.clone(), |why| format!("{said}: {why}"));
        match verdict {
            FeedVerdict::Fine => {}
            FeedVerdict::Warn => found.push(Diagnostic::warning("level-mismatch", span, message)),
            FeedVerdict::Error => {
                found.push(Diagnostic::error("kinds-do-not-join", span, message).help("use sockets of one kind"));
                return false;
            }
        }
    }
    true
}

/// No chain of boxes is longer, on any stage or in any test.
const LONGEST_CHAIN: usize = 64;

/// A chain that is longer than any is cut, so that what follows stays quick.
fn depth(rig: &mut Rig, found: &mut Vec<Diagnostic>) {
    let is_desk = |device: u32| rig.device(device).is_some_and(|device| device.word == ast::DeviceWord::Desk);
    let mut depths: Vec<Option<usize>> = (0u32..).zip(&rig.devices).map(|(d, _)| is_desk(d).then_some(0)).collect();
    let mut open: Vec<u32> = rig.desks().collect();
    let mut too_deep: Option<Span> = None;
    let mut cut = BTreeSet::new();
    while let Some(at) = open.pop() {
        let here = depths.get(at as usize).copied().flatten().unwrap_or(0);
        for (index, cable) in rig.cables.iter().enumerate() {
            let far = if cable.from.device == at { cable.to.device } else { cable.from.device };
            let touches = cable.from.device == at || cable.to.device == at;
            let Some(depth) = depths.get_mut(far as usize).filter(|depth| touches && depth.is_none()) else { continue };
            if here >= LONGEST_CHAIN {
                too_deep = Some(too_deep.map_or(cable.span, |first| first.min(cable.span)));
                cut.insert(index);
                continue;
            }
            *depth = Some(here + 1);
            open.push(far);
        }
    }
    if let Some(span) = too_deep {
        let message = format!("a chain of more than {LONGEST_CHAIN} boxes");
        found.push(Diagnostic::error("chain-too-long", span, message).help("hang some of them on another port"));
        let mut index = 0;
        let refused = &mut rig.refused;
        rig.cables.retain(|cable| {
            index += 1;
            let stays = !cut.contains(&(index - 1));
            if !stays {
                refused.extend([cable.from, cable.to]);
            }
            stays
        });
        index_of(rig);
    }
}

/// A ring of boxes has no way to a desk: report it once, at the cable that closes it.
fn loops(rig: &mut Rig, found: &mut Vec<Diagnostic>) {
    let mut group: Vec<usize> = (0..rig.devices.len()).collect();
    let root = |group: &[usize], mut at: usize| {
        while let Some(up) = group.get(at).copied()
            && up != at
        {
            at = up;
        }
        at
    };
    let mut closing = Vec::new();
    for (index, cable) in rig.cables.iter().enumerate().filter(|(_, cable)| cable.used_as == UsedAs::Main) {
        let from = root(&group, cable.from.device as usize);
        let to = root(&group, cable.to.device as usize);
        let is_desk = |end: LinkEnd| rig.device(end.device).is_some_and(|device| device.word == ast::DeviceWord::Desk);
        if from != to {
            if let Some(entry) = group.get_mut(to) {
                *entry = from;
            }
        } else if !is_desk(cable.from) && !is_desk(cable.to) {
            closing.push(index);
        }
    }
    for index in closing.into_iter().rev() {
        let cable = rig.cables.remove(index);
        rig.refused.extend([cable.from, cable.to]);
        let message =
            format!("the cable from `{}` to `{}` closes a ring", rig.port_text(cable.from), rig.port_text(cable.to));
        found.push(Diagnostic::error("cable-loop", cable.span, message).help("leave one cable of the ring out"));
    }
    index_of(rig);
}
