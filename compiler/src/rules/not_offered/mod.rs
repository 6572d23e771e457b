//! A source that no personal feed offers, by itself or in a mix.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::rig::Point;
use crate::rules::channels::{by_desk, names_of, of_sources};
use crate::rules::contents::with_inside;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::wants::{Target, Want, WantKind};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "not-offered",
    code: "C069",
    severity: Severity::Note,
    prerequisites: &["unknown-name", "mix-without-its-source"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut feeds: BTreeMap<u32, Vec<&Want>> = BTreeMap::new();
    for want in seen.scene.wants.iter().filter(|want| want.kind == WantKind::Personal && is_a_feed(seen, want.end)) {
        feeds.entry(want.end.device).or_default().push(want);
    }
    if feeds.is_empty() {
        return Vec::new();
    }
    let on_channel: BTreeMap<Point, usize> = of_sources(seen).map(|(want, source)| (want.end, source)).collect();
    let heard = by_desk(seen);
    let told = |(desk, feeds): (&u32, &Vec<&Want>)| {
        let offered = offered(seen, feeds, &on_channel)?;
        let wanted = |source: &&usize| {
            seen.scene.source(**source).is_some_and(|source| !(source.data || source.talkback || source.spare))
        };
        let left: Vec<usize> = heard.get(desk)?.difference(&offered).filter(wanted).copied().collect();
        told(seen, feeds.first()?, *desk, &left)
    };
    feeds.iter().filter_map(told).collect()
}

/// A feed of a desk; that of a hub repeats one.
fn is_a_feed(seen: &Seen, end: Point) -> bool {
    seen.rig.lane_at(end).is_some_and(|lane| lane.name == "personal")
}

/// What the feeds carry; `None` where one carries a mix whose contents nobody says.
fn offered(seen: &Seen, feeds: &[&Want], on_channel: &BTreeMap<Point, usize>) -> Option<BTreeSet<usize>> {
    let mut offered = BTreeSet::new();
    for feed in feeds {
        match feed.what {
            Target::Source(source) => offered.extend([source]),
            Target::Point(point) => match on_channel.get(&point).or_else(|| seen.given.get(&point)) {
                Some(source) => offered.extend([*source]),
                None => offered.extend(seen.scene.mixes.get(&point)?.of.as_ref()?.iter().copied()),
            },
        }
    }
    Some(with_inside(seen, offered))
}

fn told(seen: &Seen, feed: &Want, desk: u32, left: &[usize]) -> Option<Diagnostic> {
    if left.is_empty() {
        return None;
    }
    let row = seen.scene.rows.get(feed.row)?;
    let all = names_of(seen, left.iter().copied());
    let message = format!("no personal feed of `{}` offers {}", seen.rig.device_name(desk), names(&all));
    Some(
        Diagnostic::note(RULE.slug, row.span, message)
            .help("give it a feed, or put it into a mix that a feed carries: in a group nobody turns it alone")
            .about(seen.rig.device_name(desk).to_string()),
    )
}
