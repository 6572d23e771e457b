//! What the walk found, against what the plan claims and what the rows want.

use super::Difference;
use super::point::Text;
use super::state::{Node, Side, State};
use super::walk::{Found, Source};
use crate::plan::{End, Plan, Signal, Wanted};
use rustc_hash::{FxHashMap as HashMap, FxHashSet as HashSet};

struct Claim<'p> {
    signal: &'p Signal,
    end: &'p End,
}

pub(super) fn check(state: &State<'_>, plan: &Plan, wanted: &[Wanted], differences: &mut Vec<Difference>) {
    let mut claims = read_claims(state, plan, differences);
    let mut wants = read_wants(state, wanted, differences);
    let mut path = Vec::new();
    let mut name = String::new();
    let mut others: Vec<Node> = wants.keys().copied().filter(|node| !is_end(state, *node)).collect();
    others.sort_unstable();
    for end in state.ends().chain(others) {
        let claim = claims.remove(&end);
        let wants = wants.remove(&end).unwrap_or_default();
        let found = state.walk(end, &mut path);
        let source = match found {
            Found::Source(source) => Some(source),
            _ => None,
        };
        differences.extend(state.fault(end, &found));
        if is_end(state, end) {
            let asked = wants.iter().any(|want| want.arrives);
            compare_claim(
                state,
                end,
                source.map(|source| (source, path.as_slice())),
                asked,
                claim.as_ref(),
                &mut name,
                differences,
            );
        }
        for want in wants {
            compare_want(state, end, source.map(|source| (source, path.as_slice())), want, differences);
        }
    }
    let mut left: Vec<_> = claims.into_iter().collect();
    left.sort_by_key(|(node, _)| *node);
    for (node, claim) in left {
        let claimed = format!("`{}` claimed", claim.signal.source);
        differences.push(state.difference(state.name(node), "no claim for what is no end", claimed));
    }
}

fn is_end(state: &State<'_>, node: Node) -> bool {
    state.inside(node.device).and_then(|inside| inside.banks.get(node.item)).is_some_and(|bank| bank.bank.end)
}

/// What the plan says arrives, by end point; and whether it says so once, and in order.
fn read_claims<'p>(state: &State<'_>, plan: &'p Plan, differences: &mut Vec<Difference>) -> HashMap<Node, Claim<'p>> {
    let act = plan.acts.iter().find(|act| Some(act.act.as_str()) == state.act);
    let mut claims = HashMap::default();
    let mut sources = HashSet::default();
    for list in [plan.signals.as_slice(), act.map(|act| act.signals.as_slice()).unwrap_or_default()] {
        let mut last_start = None;
        for signal in list {
            if !sources.insert(signal.source.as_str()) {
                differences.push(state.difference(signal.source.clone(), "one list of ends", "two"));
            }
            let mut last_end = None;
            for end in &signal.ends {
                let Some(node) = state.bank_point(&end.end) else {
                    let found = format!("`{}`", end.end);
                    differences.push(state.difference(signal.source.clone(), "ends that are there", found));
                    continue;
                };
                if last_end.replace(node).is_some_and(|last| last > node) {
                    differences.push(state.difference(end.end.clone(), "ends in order", "it comes too late"));
                }
                if let Some(other) = claims.insert(node, Claim { signal, end }) {
                    let found = format!("`{}` and `{}` claimed", other.signal.source, signal.source);
                    differences.push(state.difference(end.end.clone(), "one source", found));
                }
            }
            let start = signal.ends.first().and_then(|end| state.bank_point(end.path.first()?));
            if last_start.zip(start).is_some_and(|(last, start)| last > start) {
                differences.push(state.difference(signal.source.clone(), "signals in order", "it comes too late"));
            }
            last_start = start.or(last_start);
        }
    }
    claims
}

fn read_wants<'w>(
    state: &State<'_>,
    wanted: &'w [Wanted],
    differences: &mut Vec<Difference>,
) -> HashMap<Node, Vec<&'w Wanted>> {
    let mut wants: HashMap<Node, Vec<&Wanted>> = HashMap::default();
    for want in wanted.iter().filter(|want| want.act.is_none() || want.act.as_deref() == state.act) {
        match state.bank_point(&want.at) {
            Some(node) => wants.entry(node).or_default().push(want),
            None => differences.push(state.difference(want.at.clone(), "a point that is there", "none")),
        }
    }
    wants
}

fn compare_claim(
    state: &State<'_>,
    end: Node,
    found: Option<(Source, &[Node])>,
    asked: bool,
    claim: Option<&Claim<'_>>,
    name: &mut String,
    differences: &mut Vec<Difference>,
) {
    let mut differ = |expected: String, found: String| {
        differences.push(state.difference(state.name(end), expected, found));
    };
    match (found, claim) {
        (None, None) => {}
        (None, Some(claim)) => differ("silence".into(), format!("`{}` claimed", claim.signal.source)),
        (Some((source, _)), None) => differ(format!("`{}`", state.source_name(source)), "no claim".into()),
        (Some((source, path)), Some(claim)) => {
            if !is_source(state, source, &claim.signal.source) {
                differ(format!("`{}`", state.source_name(source)), format!("`{}` claimed", claim.signal.source));
            } else if !same_path(state, path, &claim.end.path, name) {
                differ(state.path_names(path).join(" > "), format!("{} claimed", claim.end.path.join(" > ")));
            }
            if claim.end.asked != asked {
                let word = |asked| if asked { "asked for" } else { "dragged along" };
                differ(word(asked).into(), format!("{} claimed", word(claim.end.asked)));
            }
            if let (Source::Origin(node), false) = (source, claim.signal.kind.is_empty()) {
                let bank = state.inside(node.device).and_then(|inside| inside.banks.get(node.item));
                if bank.is_some_and(|bank| bank.bank.bank != claim.signal.kind) {
                    differ("the origin's bank as its kind".into(), format!("`{}`", claim.signal.kind));
                }
            }
        }
    }
}

fn is_source(state: &State<'_>, source: Source, name: &str) -> bool {
    match source {
        Source::Plug(plug) => state.plugs.get(plug).is_some_and(|plug| plug.source == name),
        Source::Origin(_) => state.source_name(source) == name,
    }
}

fn same_path(state: &State<'_>, path: &[Node], claimed: &[String], name: &mut String) -> bool {
    let mut claimed = claimed.iter();
    for node in path.iter().rev().filter(|node| node.side != Side::Out) {
        name.clear();
        state.write_name(*node, name);
        if claimed.next() != Some(&*name) {
            return false;
        }
    }
    claimed.next().is_none()
}

fn compare_want(
    state: &State<'_>,
    end: Node,
    found: Option<(Source, &[Node])>,
    want: &Wanted,
    differences: &mut Vec<Difference>,
) {
    let arrives =
        found.is_some_and(|(source, path)| is_source(state, source, &want.what) || passes(state, path, &want.what));
    let heard = || found.map_or_else(|| "silence".to_owned(), |(source, _)| format!("`{}`", state.source_name(source)));
    let mut differ = |expected: String, found: String| {
        differences.push(state.difference(state.name(end), expected, found));
    };
    if arrives != want.arrives {
        let not = if want.arrives { "" } else { "never " };
        differ(format!("{not}`{}`", want.what), heard());
    } else if let (true, Some(via), Some((_, path))) = (want.arrives, &want.via, found)
        && !passes(state, path, via)
    {
        differ(format!("`{}` by way of {via}", want.what), state.path_names(path).join(" > "));
    }
}

/// A path goes through a point (`split.iso-a 3`) or through a bank or port (`split.iso-a`). A link's
/// slot is known by either of its ends.
fn passes(state: &State<'_>, path: &[Node], what: &str) -> bool {
    let Some(text) = Text::read(what) else { return false };
    let Some(device) = state.by_name.get(text.device).copied() else { return false };
    let Some(inside) = state.inside(device) else { return false };
    let (bank, port) = (inside.bank(text.item), inside.port(text.item));
    path.iter().any(|node| {
        let item = if node.side == Side::Bank { bank } else { port };
        node.device == device && item == Some(node.item) && text.span.is_none_or(|span| span == (node.n, node.n))
    })
}
