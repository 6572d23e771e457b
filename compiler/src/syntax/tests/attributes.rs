//! Each attribute, by what it becomes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::super::ast::*;
use super::clean;
use crate::quantity::{Quantity, Unit};

/// The attributes of an input row `1 a MIC …`.
fn input(attrs: &str) -> Vec<AttrKind> {
    let parsed = clean(&format!("inputs {{ 1 a {attrs} }}"));
    let [StatementKind::Inputs { rows, .. }] =
        &parsed.statements.iter().map(|s| s.kind.clone()).collect::<Vec<_>>()[..]
    else {
        panic!("{attrs}")
    };
    rows[0].attrs.iter().map(|attr| attr.kind.clone()).collect()
}

fn device(text: &str) -> Device {
    match clean(text).statements.remove(0).kind {
        StatementKind::Device(device) => device,
        other => panic!("{other:?}"),
    }
}

fn device_attrs(attrs: &str) -> Vec<AttrKind> {
    device(&format!("box a {attrs}")).attrs.into_iter().map(|attr| attr.kind).collect()
}

fn shown(dotted: &Dotted) -> String {
    dotted.parts.iter().map(|part| part.value.clone()).collect::<Vec<_>>().join(".")
}

#[test]
fn the_word_after_the_name_is_the_mic() {
    assert!(matches!(&input("dynamic")[..], [AttrKind::Mic(mic)] if mic.value == "dynamic"));
    assert!(matches!(&input("phantom")[..], [AttrKind::Phantom]));
    assert!(matches!(&input("from any")[..], [AttrKind::FromAny(None)]));
    assert!(
        matches!(&input("dynamic from a.b any")[..], [AttrKind::Mic(_), AttrKind::FromAny(Some(b))] if shown(b) == "a.b")
    );
}

#[test]
fn phantom_in_three_spellings() {
    for spelling in ["phantom", "48V", "48 V"] {
        assert!(matches!(&input(spelling)[..], [AttrKind::Phantom]), "{spelling}");
        let after_a_name = input(&format!("di from loop {spelling}"));
        assert!(matches!(&after_a_name[..], [_, AttrKind::From(_), AttrKind::Phantom]), "{spelling}");
        let after_a_point = input(&format!("di from b 3 {spelling} pad"));
        assert!(matches!(&after_a_point[..], [_, AttrKind::From(_), AttrKind::Phantom, AttrKind::Pad]), "{spelling}");
    }
}

#[test]
fn quantities_with_and_without_a_blank() {
    for gain in ["gain -6 dB", "gain -6dB"] {
        let attrs = input(gain);
        let [AttrKind::Gain(gain)] = &attrs[..] else { panic!("{attrs:?}") };
        assert_eq!(gain.value, Quantity { number: -6.0, unit: Unit::Decibel });
    }
    for level in ["level 118 dB SPL", "level 118dB SPL"] {
        assert!(matches!(&input(level)[..], [AttrKind::Level(at)] if at.value.unit == Unit::DecibelSpl), "{level}");
    }
    let attrs = device_attrs("cable 75 m + 30m screened locking");
    let [AttrKind::Cable(cable)] = &attrs[..] else { panic!() };
    assert_eq!(cable.lengths.iter().map(|length| length.value.number).collect::<Vec<_>>(), [75.0, 30.0]);
    assert!(cable.screened && cable.locking);
}

#[test]
fn input_attributes() {
    assert!(matches!(&input("stand none")[..], [AttrKind::Stand(stand)] if stand.value == Stand::None));
    assert!(matches!(&input("polarity inverted")[..], [AttrKind::PolarityInverted]));
    assert!(matches!(&input("ears-only spare stereo")[..], [AttrKind::EarsOnly, AttrKind::Spare, AttrKind::Stereo]));
    assert!(
        matches!(&input("pickup piezo lifted")[..], [AttrKind::Pickup(at), AttrKind::Lifted] if at.value == Pickup::Piezo)
    );
    assert!(matches!(&input("spare for keys.left")[..], [AttrKind::SpareFor(of)] if shown(of) == "keys.left"));
    assert!(matches!(&input("priority may")[..], [AttrKind::Priority(at)] if at.value == Priority::May));
    assert!(matches!(&input("via split.iso-a")[..], [AttrKind::Via(leg)] if shown(leg) == "split.iso-a"));
    assert!(
        matches!(&input("who \"A\" \"B\", \"C\"")[..], [AttrKind::Who(_), AttrKind::Labels(labels)] if labels.len() == 2)
    );
    assert!(matches!(&input("note “says \"hi\"”")[..], [AttrKind::Note(note)] if note.value == "says \"hi\""));
    assert!(matches!(&input("at SC")[..], [AttrKind::Place(Place::Named(place))] if place.value == "C"));
    assert!(matches!(&input("place \"left\"")[..], [AttrKind::Place(Place::Text(_))]));
    let attrs = input("at -3.5 m, 2m");
    let [AttrKind::Place(Place::Metres { across, up })] = &attrs[..] else { panic!("{attrs:?}") };
    assert_eq!((across.value.number, up.value.number), (-3.5, 2.0));
}

#[test]
fn device_attributes() {
    assert!(matches!(&device_attrs("redundant on foh.portB")[..], [AttrKind::RedundantOn(_)]));
    assert!(matches!(&device_attrs("offset 9 slot 17")[..], [AttrKind::Offset(_), AttrKind::Slot(_)]));
    assert!(matches!(&device_attrs("gain by monitors")[..], [AttrKind::GainBy(desk)] if desk.value == "monitors"));
    assert!(
        matches!(&device_attrs("lifted iso-a, iso-b dead 3")[..], [AttrKind::LiftedLegs(legs), _] if legs.len() == 2)
    );
    assert!(matches!(&device_attrs("clock internal")[..], [AttrKind::ClockFrom(OwnClock::Internal)]));
    let attrs = device_attrs("clock external \"House clock\" supply \"Stage A\"");
    assert!(matches!(&attrs[..], [AttrKind::ClockFrom(OwnClock::External(clock)), AttrKind::Supply(supply)]
        if clock.value == "House clock" && supply.value == "Stage A"));
    assert!(matches!(&device_attrs("rate 44.1 kHz converts")[..], [AttrKind::RunsAt(_), AttrKind::Converts]));
    assert!(matches!(&device_attrs("backup of tape")[..], [AttrKind::BackupOf(of)] if of.value == "tape"));
    assert!(matches!(&device_attrs("dead 6, 11-12")[..], [AttrKind::Dead(lines)] if lines.ranges.len() == 2));
    let attrs = device_attrs("reserved 12 \"intercom\" \"Box A\"");
    assert!(matches!(&attrs[..], [AttrKind::Reserved { for_what: Some(text), .. }] if text.value == "intercom"));
    assert!(matches!(&device_attrs("optical copy")[..], [AttrKind::Mode { offset: None, .. }]));
    let attrs = device_attrs("offset 1 optical outputs offset 17");
    assert!(
        matches!(&attrs[..], [AttrKind::Offset(one), AttrKind::Mode { offset: Some(at), .. }] if (one.value, at.value) == (1, 17))
    );
    let outside = device("outside truck \"TV truck\" in 1-48 out 1-8");
    assert_eq!(outside.label.unwrap().value, "TV truck");
    assert!(matches!(&outside.attrs[..], [Attr { kind: AttrKind::Bank { range, .. }, .. }, _] if range.last == 48));
    let desk = device("console foh \"Desk\" is desk-48");
    assert_eq!((desk.word.value, desk.model.unwrap().value), (DeviceWord::Desk, "desk-48".to_string()));
}

#[test]
fn lists_go_on_in_their_bank() {
    let attrs = device_attrs("to foh.out 1-2, 5, b 3 and c 7-8");
    let [AttrKind::To(lists)] = &attrs[..] else { panic!("{attrs:?}") };
    assert_eq!(lists.len(), 2);
    let told: Vec<_> = lists[0].terms.iter().map(|t| (t.name.as_ref().map(shown), t.range.unwrap().last)).collect();
    assert_eq!(told, [(Some("foh.out".to_string()), 2), (None, 5), (Some("b".to_string()), 3)]);
}

#[test]
fn names_are_composed() {
    let parsed = clean("clock e\u{301}tage");
    assert!(matches!(&parsed.statements[0].kind, StatementKind::Clock(name) if name.value == "étage"));
}

#[test]
fn changes() {
    let parsed =
        clean("change input a.b dynamic channel 27-28 no phantom\nchange rate 96 kHz\nchange clock x\nwithout act k");
    let [first, rate, clock, without] = &parsed.statements[..] else { panic!() };
    let StatementKind::Change { what: What::Input(name), attrs } = &first.kind else { panic!() };
    assert_eq!(shown(name), "a.b");
    assert!(matches!(
        attrs.iter().map(|a| &a.kind).collect::<Vec<_>>()[..],
        [AttrKind::Mic(_), AttrKind::Channel(_), AttrKind::No(_)]
    ));
    assert!(
        matches!(&rate.kind, StatementKind::Change { what: What::Rate(_), attrs } if matches!(attrs[0].kind, AttrKind::Quantity(_)))
    );
    assert!(
        matches!(&clock.kind, StatementKind::Change { what: What::Clock(_), attrs } if matches!(attrs[0].kind, AttrKind::Is(_)))
    );
    assert!(matches!(&without.kind, StatementKind::Without { what: What::Act(_) }));
}

#[test]
fn spans_cover_what_they_name() {
    let text = "box a is b on c.d offset 9\ninputs foh {\n  1-2 keys di from a 1-2 stereo # end\n}\n";
    let parsed = clean(text);
    let at = |span: crate::source::Span| &text[span.range()];
    let StatementKind::Device(device) = &parsed.statements[0].kind else { panic!() };
    assert_eq!(at(parsed.statements[0].span), "box a is b on c.d offset 9");
    assert_eq!(device.attrs.iter().map(|attr| at(attr.span)).collect::<Vec<_>>(), ["on c.d", "offset 9"]);
    let StatementKind::Inputs { rows, .. } = &parsed.statements[1].kind else { panic!() };
    assert_eq!(at(rows[0].span), "1-2 keys di from a 1-2 stereo");
    assert_eq!(at(rows[0].channels.as_ref().unwrap().span), "1-2");
    assert_eq!(rows[0].attrs.iter().map(|attr| at(attr.span)).collect::<Vec<_>>(), ["di", "from a 1-2", "stereo"]);
    assert!(at(parsed.statements[1].span).starts_with("inputs") && at(parsed.statements[1].span).ends_with('}'));
}
