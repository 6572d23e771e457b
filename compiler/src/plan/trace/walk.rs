//! From a target to the signals on it and every hop they take. Reads paths; a silent point is followed
//! back by its settings only to say where the silence begins.

use super::names::Target;
use super::{Hop, Way};
use crate::plan::data::{End, Mix, Role, Signal};
use crate::plan::point::{Points, range};
use crate::plan::view::View;

pub(super) fn ways(view: &View, target: &Target) -> Vec<Way> {
    match target {
        Target::Source(name) => vec![source(view, name)],
        Target::Point(at) => point(view, at),
    }
}

fn source(view: &View, name: &str) -> Way {
    let signal = view.signals.iter().copied().find(|signal| signal.source == name);
    match signal.filter(|signal| !signal.ends.is_empty()) {
        Some(signal) => along(view, signal, name, None),
        None => unheard(view, name, name),
    }
}

/// A source that reaches no end.
fn unheard(view: &View, of: &str, name: &str) -> Way {
    let plug = view.plugs.iter().find(|plug| plug.source == name);
    let hops = plug.iter().map(|plug| hop(view, None, &plug.at)).map(|hop| Hop { here: of == hop.point, ..hop });
    let why = match (plug, replaced(view, name)) {
        (Some(plug), _) => format!("plugged into {}, and from there nothing takes it", plug.at),
        (None, Some(by)) => format!("not plugged in here: {by} stands in its place"),
        (None, None) if view.plan.acts.is_empty() => "plugged in nowhere".to_string(),
        (None, None) => "not plugged in here".to_string(),
    };
    let label = view.signals.iter().find(|s| s.source == name).map(|s| s.label.clone());
    Way { of: of.into(), source: Some(name.into()), label, hops: hops.collect(), dead_end: Some(why), ..Way::default() }
}

/// What an act has in the place of a source of the house, or of the row that it is a part of.
fn replaced<'p>(view: &View<'p>, name: &str) -> Option<&'p str> {
    let same = |row: &str| name.strip_prefix(row).is_some_and(|part| part.is_empty() || part.starts_with('.'));
    view.replaced.iter().find(|gone| same(&gone.source)).map(|gone| gone.by.as_str())
}

fn point(view: &View, at: &str) -> Vec<Way> {
    let through = view.through(at);
    if !through.is_empty() {
        let here = view.in_paths(at);
        return through.into_iter().map(|signal| along(view, signal, at, Some(&here))).collect();
    }
    if let Some(plug) = view.plugs.iter().find(|plug| plug.at == at) {
        return vec![unheard(view, at, &plug.source)];
    }
    let mut way = Way { of: at.into(), dead_end: Some(silence(view, at)), ..Way::default() };
    way.carries = carries(view, at);
    vec![way]
}

/// The ends of a signal, or those whose path passes `here`.
fn along(view: &View, signal: &Signal, of: &str, here: Option<&str>) -> Way {
    let passes = |end: &&End| here.is_none_or(|here| end.path.iter().any(|p| p == here));
    let ends: Vec<&End> = signal.ends.iter().filter(passes).collect();
    let mut tree = Node::default();
    for end in &ends {
        tree.add(&once(view, &end.path), end.asked);
    }
    let mut hops = Vec::new();
    tree.hops(view, None, 0, &mut hops);
    for hop in &mut hops {
        hop.here = here == Some(hop.point.as_str());
    }
    let dead_end = hops.is_empty().then(|| format!("nothing takes {}", signal.source));
    Way {
        of: of.to_string(),
        source: Some(signal.source.clone()),
        label: Some(signal.label.clone()).filter(|label| !label.is_empty()),
        hops,
        carries: carries(view, &signal.source),
        mixed_into: mixed_into(view, signal, &ends, here.is_none()),
        dead_end,
    }
}

/// The mixes that a signal goes into; of a point those only that take it by what hangs on the point.
fn mixed_into(view: &View, signal: &Signal, ends: &[&End], all: bool) -> Vec<String> {
    let takes = |mix: &&&Mix| {
        let by = channel(view, signal, &mix.mix).and_then(|end| Points::read(&end.end));
        let same = |end: &&&End| {
            let end = Points::read(&end.end);
            end.zip(by.as_ref()).is_some_and(|(end, by)| (end.device, end.bank) == (by.device, by.bank))
        };
        mix.of.contains(&signal.source) && (all || ends.iter().any(|end| same(&end)))
    };
    view.mixes.iter().filter(takes).map(|mix| mix.mix.clone()).collect()
}

/// A path in which both ends of a cable's line stand as one, at the cable's `from` end.
fn once(view: &View, path: &[String]) -> Vec<String> {
    let mut points: Vec<String> = Vec::new();
    for point in path {
        let name = view.in_paths(point);
        if points.last() != Some(&name) {
            points.push(name);
        }
    }
    points
}

/// Paths laid over each other.
#[derive(Default)]
struct Node {
    point: String,
    end: Option<bool>,
    next: Vec<Node>,
}

impl Node {
    fn add(&mut self, path: &[String], asked: bool) {
        let Some((first, rest)) = path.split_first() else {
            self.end = Some(asked);
            return;
        };
        let at = self.next.iter().position(|node| node.point == *first).unwrap_or(self.next.len());
        if at == self.next.len() {
            self.next.push(Node { point: first.clone(), ..Node::default() });
        }
        if let Some(node) = self.next.get_mut(at) {
            node.add(rest, asked);
        }
    }

    fn hops(&self, view: &View, from: Option<&str>, depth: usize, out: &mut Vec<Hop>) {
        for node in &self.next {
            let depth = if self.next.len() > 1 { depth + 1 } else { depth };
            let hop = hop(view, from, &node.point);
            let asked = node.end == Some(true);
            // Where a cable leads on, nothing ends unless somebody asked for it.
            let end = node.end.is_some() && (asked || hop.also.is_none());
            out.push(Hop { depth, end, asked, ..hop });
            node.hops(view, Some(&node.point), depth, out);
        }
    }
}

fn hop(view: &View, from: Option<&str>, point: &str) -> Hop {
    let also = view.far_end(point).map(|(far, cable)| {
        let length = cable.length_m.map(|metres| format!("{metres} m ")).unwrap_or_default();
        format!("{far}, {length}{}", cable.carrier)
    });
    let by = from.and_then(|from| by(view, from, point));
    Hop { depth: 0, point: point.to_string(), also, by, end: false, asked: false, here: false }
}

/// The setting that brings a signal from one point of its path to the next.
fn by(view: &View, from: &str, to: &str) -> Option<String> {
    let from_far = view.far_end(from).map(|(far, _)| far);
    let to_far = view.far_end(to).map(|(far, _)| far);
    let froms: Vec<Points> = [Some(from), from_far.as_deref()].into_iter().flatten().filter_map(Points::read).collect();
    for to in [Some(to), to_far.as_deref()].into_iter().flatten().filter_map(Points::read) {
        let near = froms.iter().find(|from| from.device == to.device);
        if let Some(said) = near.and_then(|_| route(view, &to)) {
            return Some(said);
        }
        let value = |set, word: &str| {
            let setting = view.setting(set, &to).filter(|_| near.is_some())?;
            setting.value.as_ref().map(|value| format!("{word} {value}"))
        };
        if let Some(said) = value("offset", "offset") {
            return Some(said);
        }
    }
    froms.iter().find_map(|from| {
        let value = view.setting("slot", from)?.value.as_ref()?;
        Some(format!("from slot {value}"))
    })
}

/// `channel 9-16 from portA 9-16`
fn route(view: &View, to: &Points) -> Option<String> {
    let setting = view.setting("route", to)?;
    let from = setting.from.as_deref()?;
    let short = from.strip_prefix(to.device).and_then(|rest| rest.strip_prefix('.')).unwrap_or(from);
    let first = setting.first.unwrap_or(1);
    Some(format!("{} {} from {short}", setting.bank, range(first, setting.last.unwrap_or(first))))
}

/// What goes into a mix, each with the channel it comes by.
fn carries(view: &View, mix: &str) -> Vec<String> {
    let Some(mix) = view.mixes.iter().find(|m| m.mix == mix) else { return Vec::new() };
    let by_channel = |name: &String| {
        let signal = view.signals.iter().find(|signal| signal.source == *name)?;
        channel(view, signal, &mix.mix).map(|end| format!("{name} ({})", end.end))
    };
    mix.of.iter().map(|name| by_channel(name).unwrap_or_else(|| name.clone())).collect()
}

/// The end by which a mix has a signal: a channel of its desk.
fn channel<'p>(view: &View, signal: &'p Signal, mix: &str) -> Option<&'p End> {
    let desk = Points::read(mix)?.device;
    let banks = view.wiring(desk).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    let inner = |bank: &str| banks.iter().any(|b| b.bank == bank && b.role == Role::Inner && b.end);
    let ends = signal.ends.iter().filter_map(|end| Some((Points::read(&end.end)?, end)));
    let here = ends.filter(|(at, _)| at.device == desk && inner(at.bank));
    here.min_by_key(|(at, _)| (view.bank_index(desk, at.bank), at.first)).map(|(_, end)| end)
}

/// Why nothing arrives, as far back as settings say.
fn silence(view: &View, at: &str) -> String {
    let Some(points) = Points::read(at) else { return "nothing arrives here".to_string() };
    let origin = view.wiring(points.device).is_some_and(|wiring| {
        wiring.banks.iter().any(|bank| bank.bank == points.bank && matches!(bank.role, Role::Origin | Role::In))
    });
    if origin {
        let input = view
            .wiring(points.device)
            .is_some_and(|wiring| wiring.banks.iter().any(|bank| bank.bank == points.bank && bank.role == Role::In));
        return if input { "nothing is plugged in here" } else { "nothing takes it" }.to_string();
    }
    let Some(setting) = view.setting("route", &points) else { return "nothing arrives here".to_string() };
    let first = setting.first.unwrap_or(1);
    let from = setting.from.as_deref().and_then(Points::read).and_then(|from| from.matching(first, points.first));
    match from {
        Some(from) => format!("it takes {from}, where nothing arrives"),
        None => "nothing arrives here".to_string(),
    }
}
