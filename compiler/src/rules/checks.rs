//! The checks of the finished plan, in order. A check keeps quiet where a rule that it builds on has
//! spoken: one cause, one message.

use super::*;
use crate::diagnostics::Diagnostic;
use std::collections::BTreeSet;

/// What a check can look at.
#[derive(Clone, Copy, PartialEq, Eq)]
enum When {
    /// Gear and rows as far as they were read.
    Always,
    /// What arrives where: nothing to say while there are errors.
    Settled,
}

type Check = (Rule, When, fn(&Facts) -> Vec<Diagnostic>);

/// Adding a check is a line here.
static CHECKS: &[Check] = &[
    (phantom_missing::RULE, When::Always, phantom_missing::check),
    (phantom_forbidden::RULE, When::Always, phantom_forbidden::check),
    (phantom_shared_switch::RULE, When::Always, phantom_shared_switch::check),
    (phantom_left_from_act_before::RULE, When::Always, phantom_left_from_act_before::check),
    (phantom_left_on_a_ribbon::RULE, When::Always, phantom_left_on_a_ribbon::check),
    (phantom_undeliverable::RULE, When::Always, phantom_undeliverable::check),
    (phantom_from_two::RULE, When::Always, phantom_from_two::check),
    (lift_cuts_phantom::RULE, When::Always, lift_cuts_phantom::check),
    (nearest_leg_lifted::RULE, When::Always, nearest_leg_lifted::check),
    (too_many_legs::RULE, When::Always, too_many_legs::check),
    (pair_gains_differ::RULE, When::Always, pair_gains_differ::check),
    (di_does_not_suit::RULE, When::Always, di_does_not_suit::check),
    (polarity_alike::RULE, When::Always, polarity_alike::check),
    (spare_unlike::RULE, When::Always, spare_unlike::check),
    (ears_only_leaks::RULE, When::Settled, ears_only_leaks::check),
    (kept_source_leaks::RULE, When::Settled, kept_source_leaks::check),
    (keep_promised::RULE, When::Settled, keep_promised::check),
    (expect_not_met::RULE, When::Always, expect_not_met::check),
    (mirrored_outputs::RULE, When::Settled, mirrored_outputs::check),
    (chain_off_the_blocks::RULE, When::Always, chain_off_the_blocks::check),
    (sockets_past_the_link::RULE, When::Settled, sockets_past_the_link::check),
    (box_unheard::RULE, When::Settled, box_unheard::check),
    (source_unheard::RULE, When::Settled, source_unheard::check),
    (desk_sockets_unheard::RULE, When::Settled, desk_sockets_unheard::check),
    (pair_on_even::RULE, When::Always, pair_on_even::check),
    (cable_too_long::RULE, When::Always, cable_too_long::check),
    (replaced_in_every_act::RULE, When::Always, replaced_in_every_act::check),
    (mix_without_its_source::RULE, When::Always, mix_without_its_source::check),
    (data_in_a_mix::RULE, When::Always, data_in_a_mix::check),
    (talkback_heard::RULE, When::Settled, talkback_heard::check),
    (source_on_many_channels::RULE, When::Always, source_on_many_channels::check),
    (raw_to_loudspeakers::RULE, When::Settled, raw_to_loudspeakers::check),
    (returns_to_its_sender::RULE, When::Settled, returns_to_its_sender::check),
    (feed_lacks::RULE, When::Settled, feed_lacks::check),
    (two_ways_into_one_mix::RULE, When::Settled, two_ways_into_one_mix::check),
    (recorder_full::RULE, When::Always, recorder_full::check),
    (not_offered::RULE, When::Settled, not_offered::check),
    (hangs_on_nothing::RULE, When::Settled, hangs_on_nothing::check),
    (device_unused::RULE, When::Settled, device_unused::check),
    (mic_unsaid::RULE, When::Settled, mic_unsaid::check),
    (names_alike::RULE, When::Always, names_alike::check),
    (must_behind_another_box::RULE, When::Settled, must_behind_another_box::check),
    (renumbered_on_the_way::RULE, When::Settled, renumbered_on_the_way::check),
    (group_scattered::RULE, When::Settled, group_scattered::check),
    (act_without_place::RULE, When::Settled, act_without_place::check),
    (labels_alike::RULE, When::Settled, labels_alike::check),
    (label_too_long::RULE, When::Settled, label_too_long::check),
    (acts_overlap::RULE, When::Always, acts_overlap::check),
    (second_clock::RULE, When::Always, second_clock::check),
    (clock_unsaid::RULE, When::Always, clock_unsaid::check),
    (clock_wired_apart::RULE, When::Always, clock_wired_apart::check),
    (rates_differ::RULE, When::Always, rates_differ::check),
    (backup_on_another_clock::RULE, When::Always, backup_on_another_clock::check),
    (cable_not_built_for_it::RULE, When::Always, cable_not_built_for_it::check),
    (single_run::RULE, When::Settled, single_run::check),
    (supplies_differ::RULE, When::Always, supplies_differ::check),
];

/// What the checks have to say, given what has been said.
pub fn check(facts: &Facts, said: &[Diagnostic]) -> Vec<Diagnostic> {
    let mut told = Told::of(said);
    let mut found: Vec<Diagnostic> = Vec::new();
    for (number, (_, _, check)) in CHECKS.iter().enumerate() {
        if told.lets(number, facts.settled) {
            let new = check(facts);
            told.add(&new);
            found.extend(new);
        }
    }
    found
}

/// What each check has to say, by its number, whatever has been said.
pub fn each(facts: &Facts) -> Vec<(usize, Vec<Diagnostic>)> {
    let speaks = |(_, (_, when, _)): &(usize, &Check)| facts.settled || *when == When::Always;
    let said = CHECKS.iter().enumerate().filter(speaks).map(|(number, (_, _, check))| (number, check(facts)));
    said.filter(|(_, found)| !found.is_empty()).collect()
}

/// The rules that have spoken so far.
#[derive(Clone, Default)]
pub struct Told(BTreeSet<&'static str>);

impl Told {
    pub fn of(said: &[Diagnostic]) -> Told {
        let mut told = Told::default();
        told.add(said);
        told
    }

    pub fn add(&mut self, said: &[Diagnostic]) {
        self.0.extend(said.iter().map(|one| one.rule));
    }

    pub fn join(&mut self, other: &Told) {
        self.0.extend(&other.0);
    }

    /// Whether a check may speak: it looks at what there is, and no rule that it builds on has spoken.
    pub fn lets(&self, check: usize, settled: bool) -> bool {
        let may = |(rule, when, _): &Check| {
            (settled || *when == When::Always) && !rule.prerequisites.iter().any(|rule| self.0.contains(rule))
        };
        CHECKS.get(check).is_some_and(may)
    }

    /// Whether any check keeps quiet for what has spoken.
    pub fn quiets(&self) -> bool {
        CHECKS.iter().any(|(rule, ..)| rule.prerequisites.iter().any(|rule| self.0.contains(rule)))
    }
}

/// How many checks there are.
pub fn count() -> usize {
    CHECKS.len()
}

/// Names beside a source's own that some check holds it against, wherever their rows stand.
pub fn kin(name: &str) -> Vec<String> {
    let mut kin: Vec<String> = names_alike::stem(name).map(str::to_string).into_iter().collect();
    for (first, second) in pair_gains_differ::SIDES.iter().chain(polarity_alike::SIDES) {
        let stem = name.strip_suffix(first).or_else(|| name.strip_suffix(second));
        kin.extend(stem.into_iter().flat_map(|stem| [format!("{stem}{first}"), format!("{stem}{second}")]));
    }
    kin
}
