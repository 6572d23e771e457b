//! What somebody sends comes back to him: a far end that hears itself, late.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::attrs;
use crate::rig::{Point, Rig};
use crate::rules::channels::names_of;
use crate::rules::contents::{Carried, carried, is_heard, leave_out};
use crate::rules::rows::patch;
use crate::rules::say::names;
use crate::rules::{Facts, Seen};
use crate::source::Span;
use crate::syntax::ast::{Attr, DeviceWord};
use crate::wants::{Output, Spot, Use};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    slug: "returns-to-its-sender",
    code: "C065",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

/// Who stands at the far end of a line.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Far {
    Device(u32),
    /// As `who` says.
    Person(String),
}

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(facts, seen))
}

fn in_scene(facts: &Facts, seen: &Seen) -> Vec<Diagnostic> {
    let (inputs, outputs) = persons(facts, seen);
    let mut sent_by: BTreeMap<Far, BTreeSet<usize>> = BTreeMap::new();
    for (index, source) in seen.scene.sources.iter().enumerate() {
        let row = seen.scene.rows.get(source.row).map(|row| row.span);
        let plug = plug(&source.spot);
        let far = plug.and_then(|plug| outside(seen.rig, plug)).map(Far::Device);
        let person = row.and_then(|row| inputs.get(&row)).map(|who| Far::Person(who.to_string()));
        for far in far.into_iter().chain(person) {
            sent_by.entry(far).or_default().insert(index);
        }
    }
    if sent_by.is_empty() {
        return Vec::new();
    }
    let mut told_of = BTreeSet::new();
    let mut found = Vec::new();
    for output in &seen.scene.outputs {
        let Some(row) = seen.scene.rows.get(output.row) else { continue };
        let person = outputs.get(&row.span).filter(|_| is_a_far_end(output.used_as));
        let person = person.map(|who| Far::Person(who.to_string()));
        // A player's own rack, with the ears that he plays by, is no far end.
        let device = outside(seen.rig, output.to).filter(|_| !output.used_as.is_some_and(is_heard));
        for far in device.map(Far::Device).into_iter().chain(person) {
            let Some(own) = sent_by.get(&far) else { continue };
            let Carried::These(sources) = carried(seen, output) else { continue };
            let back: Vec<usize> = sources.intersection(own).copied().collect();
            if !back.is_empty() && told_of.insert(output.row) {
                found.extend(told(seen, output, &far, &back));
            }
        }
    }
    found
}

fn plug(spot: &Spot) -> Option<Point> {
    match spot {
        Spot::Socket(point) | Spot::Origin(point) => Some(*point),
        Spot::Any(_) | Spot::Nowhere => None,
    }
}

fn outside(rig: &Rig, point: Point) -> Option<u32> {
    rig.device(point.device).filter(|device| device.word == DeviceWord::Outside).map(|_| point.device)
}

/// A performer wants to hear himself; somebody at the far end of a line does not.
fn is_a_far_end(used_as: Option<Use>) -> bool {
    used_as.is_some_and(|used_as| matches!(used_as, Use::Broadcast | Use::Press | Use::Relay | Use::Comms))
}

type Persons<'a> = BTreeMap<Span, &'a str>;

/// Who stands in the rows of inputs and of outputs, by the places of rows.
fn persons<'a>(facts: &Facts<'a>, seen: &Seen) -> (Persons<'a>, Persons<'a>) {
    let patch = patch(facts, seen);
    let who = |span: Span, attrs: &'a [Attr]| Some((span, attrs::who(attrs)?.0.value.as_str()));
    let inputs = patch.inputs.iter().filter_map(|row| who(row.node.row.span, &row.node.row.attrs));
    let outputs = patch.outputs.iter().filter_map(|row| who(row.node.row.span, &row.node.row.attrs));
    (inputs.collect(), outputs.collect())
}

fn told(seen: &Seen, output: &Output, far: &Far, back: &[usize]) -> Option<Diagnostic> {
    let all = names_of(seen, back.iter().copied());
    let row = seen.scene.rows.get(output.row)?;
    let declared = seen.scene.rows.get(seen.scene.source(*back.first()?)?.row)?;
    let far = match far {
        Far::Device(device) => seen.rig.device_name(*device).to_string(),
        Far::Person(who) => who.clone(),
    };
    let (from, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let message = format!("`{far}` hears what it sent: `{from}` takes {} back to `{to}`", names(&all));
    let mix = seen.scene.mixes.get(&output.from);
    let place = mix.and_then(|mix| mix.said).or(row.place).unwrap_or(row.span);
    let told = Diagnostic::warning(RULE.slug, place, message).label(declared.span, format!("comes from `{far}`"));
    let told = leave_out(seen, told, output, back);
    Some(told.about(row.name.clone()))
}
