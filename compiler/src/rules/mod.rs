//! The catalogue: every rule that a diagnostic may speak under, each with its page. A rule is a folder
//! of its own and one line in the list below; codes are given once and never re-used.

pub mod allow;
pub mod bug;
mod chains;
mod channels;
mod checks;
mod contents;
mod facts;
mod latency;
pub mod page;
mod rows;
mod say;
mod sides;
mod strips;

pub use crate::diagnostics::Rule;
use crate::diagnostics::nearest;
pub use checks::{Told, check, count, each, kin};
pub use facts::{Facts, Seen};

/// `cargo fmt` does not look inside a macro's list: format a rule's files by name.
macro_rules! catalogue {
    ($($rule:ident,)*) => {
        $(pub mod $rule;)*

        /// Every rule, in the order of codes.
        pub static ALL: &[Rule] = &[$($rule::RULE,)*];
    };
}

// By code.
catalogue! {
    unreadable_row,
    wrong_unit,
    unknown_statement,
    unknown_attribute,
    attribute_twice,
    unclosed_text,
    unclosed_block,
    stray_bracket,
    strange_character,
    bad_number,
    bad_range,
    bad_date,
    bad_time,
    unfinished_list,
    row_too_long,
    nested_too_deep,
    unknown_place,
    not_in_an_act,
    name_declared_twice,
    file_missing,
    folder_in_place_of_file,
    no_plain_file,
    file_too_big,
    file_unreadable,
    not_utf_8,
    include_cycle,
    include_outside,
    version_unknown,
    version_not_first,
    said_twice,
    mic_named_like_an_attribute,
    change_of_nothing,
    change_part_of_a_row,
    change_of_several_rows,
    change_does_not_fit,
    changed_twice,
    changed_by_two_files,
    changed_and_taken_out,
    declaring_row_taken_out,
    box_taken_out_but_used,
    change_without_effect,
    name_taken_out,
    part_of_a_show,
    unknown_name,
    no_such_point,
    point_without_number,
    wrong_direction,
    which_bank,
    lists_unequal,
    kinds_do_not_join,
    level_mismatch,
    socket_used_twice,
    port_used_twice,
    wrong_port,
    which_port,
    unlike_carriers,
    cable_loop,
    port_without_power,
    slot_past_the_link,
    bank_without_direction,
    bank_out_of_size,
    bank_routed_twice,
    model_like_itself,
    mic_without_kind,
    chain_too_long,
    channel_used_twice,
    line_out_of_use,
    stereo_needs_two,
    mix_said_twice,
    not_an_input,
    group_of_itself,
    no_desk,
    which_desk,
    name_replaced_in_act,
    gain_said_twice,
    act_replaces_part_of_a_row,
    source_nowhere,
    source_replaced_in_act,
    list_repeats_itself,
    gain_out_of_range,
    label_of_one_side,
    impossible_block,
    point_wanted_twice,
    offsets_clash,
    modes_clash,
    slots_clash,
    too_few_points,
    not_cabled,
    no_way_there,
    driven_by_first_desk_only,
    track_records_silence,
    not_recorded,
    kept_source_recorded,
    pin_in_the_way,
    pinned_twice,
    no_such_setting,
    offset_not_possible,
    offset_on_reserved_slots,
    too_hard_to_route,
    pinned_past_the_limit,
    silent_output,
    phantom_missing,
    phantom_forbidden,
    phantom_shared_switch,
    phantom_undeliverable,
    ears_only_leaks,
    kept_source_leaks,
    keep_promised,
    expect_not_met,
    mirrored_outputs,
    chain_off_the_blocks,
    sockets_past_the_link,
    box_unheard,
    source_unheard,
    desk_sockets_unheard,
    pair_on_even,
    cable_too_long,
    device_unused,
    mic_unsaid,
    allow_without_effect,
    allow_without_reason,
    error_not_allowed,
    plan_not_proven,
    phantom_left_from_act_before,
    replaced_in_every_act,
    second_clock,
    clock_wired_apart,
    rates_differ,
    backup_on_another_clock,
    cable_not_built_for_it,
    single_run,
    supplies_differ,
    phantom_from_two,
    lift_cuts_phantom,
    nearest_leg_lifted,
    too_many_legs,
    pair_gains_differ,
    di_does_not_suit,
    polarity_alike,
    spare_unlike,
    source_on_many_channels,
    raw_to_loudspeakers,
    mix_without_its_source,
    data_in_a_mix,
    talkback_heard,
    returns_to_its_sender,
    feed_lacks,
    two_ways_into_one_mix,
    recorder_full,
    not_offered,
    renumbered_on_the_way,
    must_behind_another_box,
    list_longer_than_the_desk,
    names_alike,
    labels_alike,
    label_too_long,
    group_scattered,
    act_without_place,
    phantom_left_on_a_ribbon,
    clock_unsaid,
    hangs_on_nothing,
    acts_overlap,
}

/// The rule of that slug or code; upper and lower case are alike.
pub fn find(name: &str) -> Option<&'static Rule> {
    ALL.iter().find(|rule| rule.slug.eq_ignore_ascii_case(name) || rule.code.eq_ignore_ascii_case(name))
}

/// The rules whose name or first sentence holds a word of three letters or more; upper and lower case are
/// alike.
pub fn holding(word: &str) -> Vec<Rule> {
    let word = word.to_lowercase();
    let holds = |rule: &&Rule| rule.slug.contains(&word) || rule.summary().to_lowercase().contains(&word);
    ALL.iter().filter(|rule| word.chars().count() > 2 && holds(rule)).copied().collect()
}

/// The slug that a mistyped name most likely stands for: the nearest, or the only one that has it as a
/// part.
pub fn did_you_mean(name: &str) -> Option<&'static str> {
    let name = name.to_lowercase().replace(['_', ' '], "-");
    if let Some(rule) = find(&name) {
        return Some(rule.slug);
    }
    nearest(&name, ALL.iter().map(|rule| rule.slug)).or_else(|| {
        let mut holding = ALL.iter().filter(|rule| name.len() > 2 && rule.slug.contains(&name));
        holding.next().filter(|_| holding.next().is_none()).map(|rule| rule.slug)
    })
}

/// What the letter of a code stands for, as headings of the catalogue.
pub const GROUPS: &[(char, &str)] = &[
    ('S', "Reading a file"),
    ('P', "Files, names and changes"),
    ('R', "Gear and cables"),
    ('W', "Rows: what must reach where"),
    ('X', "Routing"),
    ('C', "Checks of the finished plan"),
];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use std::collections::BTreeSet;
    use std::path::Path;

    #[test]
    fn names_are_given_once() {
        let slugs: BTreeSet<_> = ALL.iter().map(|rule| rule.slug).collect();
        let codes: Vec<_> = ALL.iter().map(|rule| rule.code).collect();
        assert_eq!(slugs.len(), ALL.len(), "a slug stands twice");
        assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), ALL.len(), "a code stands twice: {codes:?}");
    }

    #[test]
    fn the_list_is_by_code() {
        let place = |rule: &Rule| {
            let letter = rule.code.chars().next().unwrap();
            (GROUPS.iter().position(|(known, _)| *known == letter), rule.code)
        };
        for pair in ALL.windows(2) {
            assert!(place(&pair[0]) < place(&pair[1]), "{} stands before {}", pair[0].slug, pair[1].slug);
        }
    }

    #[test]
    fn slugs_and_codes_have_their_form() {
        for Rule { slug, code, .. } in ALL {
            let words: Vec<_> = slug.split('-').collect();
            let word =
                |word: &&str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
            assert!(words.iter().all(word) && words.len() >= 2, "{slug} is no lower-case-with-hyphens");
            let (letter, digits) = code.split_at(1);
            assert!(GROUPS.iter().any(|(known, _)| letter.starts_with(*known)), "{code} is of no group");
            assert!(
                digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit()),
                "{code} is no letter and three digits"
            );
        }
    }

    #[test]
    fn prerequisites_are_rules_and_make_no_circle() {
        fn follow(rule: &Rule, way: &mut Vec<&str>) {
            assert!(!way.contains(&rule.slug), "prerequisites go in a circle: {way:?}");
            way.push(rule.slug);
            for slug in rule.prerequisites {
                follow(find(slug).unwrap_or_else(|| panic!("{}: no rule {slug}", rule.slug)), way);
            }
            way.pop();
        }
        for rule in ALL {
            follow(rule, &mut Vec::new());
        }
    }

    #[test]
    fn every_folder_is_a_rule_of_its_name() {
        let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
        let folders =
            std::fs::read_dir(here).unwrap().map(|entry| entry.unwrap()).filter(|entry| entry.path().is_dir());
        let folders: BTreeSet<_> = folders.map(|entry| entry.file_name().into_string().unwrap()).collect();
        let rules: BTreeSet<_> = ALL.iter().map(|rule| rule.slug.replace('-', "_")).collect();
        assert_eq!(folders, rules);
    }

    #[test]
    fn every_page_is_whole() {
        for rule in ALL {
            let page = page::parse(rule.page).unwrap_or_else(|wrong| panic!("{}: {wrong}", rule.slug));
            assert_eq!(page.slug, rule.slug);
            assert_eq!(page.summary, rule.summary());
            assert!(!rule.page.contains('\r'), "{}: the page has CR", rule.slug);
        }
    }

    #[test]
    fn a_rule_is_found_by_either_name() {
        assert_eq!(find("s001").map(|rule| rule.slug), Some("unreadable-row"));
        assert_eq!(find("unreadable-row").map(|rule| rule.code), Some("S001"));
        assert_eq!(find("bracket"), None);
        assert_eq!(did_you_mean("unreadable-rwo"), Some("unreadable-row"));
        assert_eq!(did_you_mean("Unreadable_Row"), Some("unreadable-row"));
        assert_eq!(did_you_mean("bracket"), Some("stray-bracket"));
        assert_eq!(did_you_mean("zzz"), None);
    }
}
