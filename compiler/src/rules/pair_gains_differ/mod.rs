//! The two sides of a pair are set to unlike gains.

use crate::diagnostics::{Diagnostic, Rule, Severity};
use crate::project::attrs;
use crate::rig::place_text;
use crate::rules::rows::written;
use crate::rules::{Facts, Seen, sides};
use crate::source::At;
use crate::syntax::ast::InputRow;
use crate::wants::Source;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    slug: "pair-gains-differ",
    code: "C054",
    severity: Severity::Warning,
    prerequisites: &["gain-said-twice"],
    page: include_str!("rule.md"),
};

pub const SIDES: &[(&str, &str)] = &[("-left", "-right"), (".left", ".right"), ("-l", "-r"), ("-L", "-R")];

/// A difference that is heard as a picture that leans, in dB.
const MOST_DB: f64 = 1.0;

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| in_scene(facts, seen))
}

fn in_scene(facts: &Facts, seen: &Seen) -> Vec<Diagnostic> {
    let written = written(facts, seen);
    let row = |source: &Source| written.get(&seen.scene.rows.get(source.row)?.span).copied();
    let named: BTreeMap<&str, &Source> =
        seen.scene.sources.iter().map(|source| (source.name.as_str(), source)).collect();
    let pairs = sides::pairs(&named, SIDES).into_iter();
    let one = pairs.filter(|(left, right)| !row(left).zip(row(right)).is_some_and(|(left, right)| apart(left, right)));
    one.flat_map(|(left, right)| told(left, right)).collect()
}

/// Two players, or two places: one on the left and one on the right, and no pair.
fn apart(left: &InputRow, right: &InputRow) -> bool {
    let who = |row: &InputRow| attrs::who(&row.attrs).map(|(name, _)| name.value.clone());
    let place = |row: &InputRow| attrs::place(&row.attrs).map(|(place, _)| place_text(place));
    who(left).zip(who(right)).is_some_and(|(a, b)| a != b) || place(left).zip(place(right)).is_some_and(|(a, b)| a != b)
}

/// Once for each desk whose rows state both.
fn told(left: &Source, right: &Source) -> Vec<Diagnostic> {
    let label = |source: &Source| source.mic.as_ref().map(|mic| mic.label.clone());
    // Two unlike microphones are no pair whose gains must be one.
    if label(left) != label(right) {
        return Vec::new();
    }
    let differ = |a: &At<f64>, b: &At<f64>| (a.value - b.value).abs() > MOST_DB + 1e-9;
    let of_desk = |one: &crate::wants::Stated| {
        let gain = one.gain_db.clone()?;
        let other = right.stated.iter().find(|other| other.desk == one.desk && other.gain_db.is_some())?;
        let other = other.gain_db.clone().filter(|other| differ(&gain, other))?;
        let message = format!(
            "`{}` is set to {} dB and `{}` to {} dB: the pair leans to one side",
            left.name, gain.value, right.name, other.value,
        );
        let help = format!(
            "state one gain for both, such as `gain {} dB`, and check that the two feeds are alike",
            gain.value
        );
        Some(
            Diagnostic::warning(RULE.slug, other.span, message)
                .label(gain.span, format!("`{}` is stated here", left.name))
                .help(help)
                .about(right.name.clone())
                .about(left.name.clone()),
        )
    };
    left.stated.iter().filter_map(of_desk).collect()
}
