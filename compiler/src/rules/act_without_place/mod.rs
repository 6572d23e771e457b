//! A channel's name tells a place in one act and none, or another, in this one.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::{Input, Row, attrs};
use crate::rig::place_text;
use crate::rules::Facts;
use crate::syntax::ast::InputRow;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "act-without-place",
    code: "C082",
    severity: Severity::Note,
    prerequisites: &["no-such-point"],
    page: include_str!("rule.md"),
};

/// No desk has more channels; a row that says more was told elsewhere.
const MOST: u32 = 1024;

/// A desk by name, where it is said, and a channel.
type Channel<'a> = (Option<&'a str>, u32);

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    let of_acts = facts.show.acts.iter().flat_map(|act| act.patch.inputs.iter().filter(|row| row.act.is_some()));
    let own: Vec<&Row<Input>> = of_acts.collect();
    let mut placed: BTreeMap<Channel, &Row<Input>> = BTreeMap::new();
    // The house's row rules; among acts the first that says a place.
    for row in facts.show.house.inputs.iter().chain(own.iter().copied()) {
        if attrs::place(&row.node.row.attrs).is_some() {
            for channel in channels(facts, row) {
                placed.entry(channel).or_insert(row);
            }
        }
    }
    let told = |row: &&Row<Input>| {
        let other = channels(facts, row).into_iter().find_map(|channel| placed.get(&channel).copied());
        tell(row, other.filter(|other| other.act != row.act)?)
    };
    own.iter().filter_map(told).collect()
}

fn channels<'a>(facts: &'a Facts, row: &'a Row<Input>) -> Vec<Channel<'a>> {
    let only = || {
        let rig = &facts.scenes.first()?.rig;
        rig.only_desk().map(|desk| rig.device_name(desk))
    };
    let desk = row.node.desk.as_ref().map(|desk| desk.value.as_str()).or_else(only);
    let ranges = row.node.row.channels.iter().flat_map(|numbers| &numbers.ranges);
    ranges.flat_map(|range| range.first..=range.last.min(MOST)).map(|channel| (desk, channel)).collect()
}

fn tell(row: &Row<Input>, other: &Row<Input>) -> Option<Diagnostic> {
    let place = |row: &InputRow| attrs::place(&row.attrs).map(|(place, span)| (place_text(place), span));
    let (there, at) = place(&other.node.row)?;
    let name = &row.node.row.name;
    let act = row.act.as_ref()?;
    let numbers = row.node.row.channels.as_ref()?;
    let first = numbers.ranges.first()?.first;
    let holder = &other.node.row.name.value;
    let (span, message, help) = match place(&row.node.row) {
        Some((here, _)) if here == there => return None,
        Some((here, span)) => (
            span,
            format!("channel {first} is {here} in act `{act}`, with `{}`, and {there} with `{holder}`", name.value),
            format!("list `{}` on the channel of its place, or keep the channel's place: `at {there}`", name.value),
        ),
        // Acts share no place that nobody gave the channel for the day.
        None if other.act.is_some() => return None,
        None => (
            name.span,
            format!(
                "channel {first} stands at {there} with `{holder}`, and act `{act}` does not say where `{}` stands",
                name.value
            ),
            format!("say it: `at {there}`, or the place where it stands"),
        ),
    };
    Some(
        Diagnostic::note(RULE.slug, span, message)
            .label(at, format!("`{holder}` stands here"))
            .help(help)
            .about(name.value.clone()),
    )
}
