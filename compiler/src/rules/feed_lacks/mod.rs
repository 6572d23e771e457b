//! A feed for a recording, a broadcast, the press, a relay or a hearing loop lacks sources of its desk.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::plan::Role;
use crate::rig::LaneKind;
use crate::rules::channels::{by_desk, is_programme, names_of};
use crate::rules::contents::{Carried, carried};
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::wants::{Output, Spot, Use};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "feed-lacks",
    code: "C066",
    severity: Severity::Note,
    prerequisites: &["unknown-name", "mix-without-its-source"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn is_a_feed(used_as: Use) -> bool {
    matches!(used_as, Use::Record | Use::Broadcast | Use::Press | Use::Relay | Use::HearingLoop)
}

/// A feed as one row says it, with all that its points carry together.
struct Feed<'a> {
    output: &'a Output,
    used_as: Use,
    carries: BTreeSet<usize>,
    unsaid: bool,
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut feeds: BTreeMap<usize, Feed> = BTreeMap::new();
    for output in &seen.scene.outputs {
        let Some(used_as) = output.used_as.filter(|used_as| is_a_feed(*used_as)) else { continue };
        let is_mix = seen.rig.lane_at(output.from).is_some_and(|lane| lane.kind == LaneKind::Bank(Role::Origin));
        if !is_mix {
            continue;
        }
        let feed = Feed { output, used_as, carries: BTreeSet::new(), unsaid: false };
        let feed = feeds.entry(output.row).or_insert(feed);
        match carried(seen, output) {
            Carried::These(sources) => feed.carries.extend(sources),
            Carried::Unsaid => feed.unsaid = true,
        }
    }
    feeds.retain(|_, feed| !feed.unsaid);
    if feeds.is_empty() {
        return Vec::new();
    }
    let heard = by_desk(seen);
    feeds.values().filter_map(|feed| told(seen, feed, heard.get(&feed.output.from.device)?)).collect()
}

fn told(seen: &Seen, feed: &Feed, heard: &BTreeSet<usize>) -> Option<Diagnostic> {
    let output = feed.output;
    let kept = seen.scene.kept.iter().filter(|kept| kept.uses.contains(&feed.used_as));
    let kept: BTreeSet<usize> = kept.map(|kept| kept.source).collect();
    let wanted = |source: &usize| {
        let fact = seen.scene.source(*source);
        !kept.contains(source)
            && fact.is_some_and(|source| is_programme(source) && source.spot != Spot::Origin(output.from))
            && !fact
                .is_some_and(|source| matches!(source.spot, Spot::Origin(point) if point.device == output.to.device))
    };
    let absent: Vec<usize> = heard.difference(&feed.carries).copied().filter(wanted).collect();
    if absent.is_empty() {
        return None;
    }
    let row = seen.scene.rows.get(output.row)?;
    let mix = seen.scene.mixes.get(&output.from);
    let all = names_of(seen, absent);
    let message = format!("the {} feed `{}` lacks {}", feed.used_as.word(), row.name, names(&all));
    let help = match mix.and_then(|mix| mix.said) {
        Some(_) => "add what is missing after `of`, if it should be there",
        None => "what is kept out of the main is missing here too: feed it from a mix of its own, `of all inputs`",
    };
    let place = mix.and_then(|mix| mix.said).or(row.place).unwrap_or(row.span);
    Some(Diagnostic::note(RULE.slug, place, message).help(help).about(row.name.clone()))
}
