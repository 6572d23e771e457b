//! A channel or a socket goes straight to loudspeakers or ears, where a mix belongs.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::route::Origin;
use crate::rules::channels::first_free_mix;
use crate::rules::{Facts, Seen};
use crate::wants::{Output, Use};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    slug: "raw-to-loudspeakers",
    code: "C061",
    severity: Severity::Warning,
    prerequisites: &["unknown-name"],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(in_scene)
}

fn is_heard(used_as: Use) -> bool {
    use Use::{Delay, Fill, InEars, Pa, SideFill, Sub, Wedge};
    matches!(used_as, Pa | Sub | Fill | Delay | Wedge | SideFill | InEars)
}

fn in_scene(seen: &Seen) -> Vec<Diagnostic> {
    let mut told_of = BTreeSet::new();
    let heard = seen.scene.outputs.iter().filter_map(|output| Some((output, output.used_as.filter(|u| is_heard(*u))?)));
    heard.filter_map(|(output, used_as)| told(seen, output, used_as).filter(|_| told_of.insert(output.row))).collect()
}

fn told(seen: &Seen, output: &Output, used_as: Use) -> Option<Diagnostic> {
    let arrival = seen.arrival(output.to)?;
    let straight = matches!(arrival.origin, Origin::Source(_)) || seen.is_channel(output.from);
    let source = seen.scene.source(seen.source_of(arrival.origin).filter(|_| straight)?)?;
    let row = seen.scene.rows.get(output.row)?;
    let word = used_as.word();
    let (from, to) = (seen.rig.point_text(output.from), seen.rig.point_text(output.to));
    let message =
        format!("`{from}` takes `{}` straight to `{to}`, for {word}: no mix and no fader stands between", source.name);
    let mix = first_free_mix(seen, output.from.device).map_or_else(|| "mix N".to_string(), |mix| format!("mix {mix}"));
    Some(
        Diagnostic::warning(RULE.slug, row.span, message)
            .help(format!("send a mix in its place: `{mix} to {to} {word} of {}`", source.name))
            .about(row.name.clone()),
    )
}
