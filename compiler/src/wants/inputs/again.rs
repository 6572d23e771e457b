//! Rows that want a source which another row declares: a double patch, another desk's list, a whole list again.

use super::{Reading, Via, fact, numbers_span, stated, via, want_channel};
use crate::diagnostics::{Diagnostic, Sort, counted};
use crate::plan::Remarks;
use crate::project::{Patch, Row, SameInputs, attrs, nearest};
use crate::rig::remarks;
use crate::source::{At, Span};
use crate::wants::{RowKind, Scene, Speaker, Spot, Stated, Target, WantKind};
use std::collections::BTreeSet;

/// A second want for a declared source: a double patch, another desk's list, another leg of a split.
pub(super) fn again(scene: &mut Scene, reading: &Reading, found: &mut Vec<Diagnostic>) {
    let row = &reading.row.node.row;
    let speaker = Speaker::of(reading.row.act.as_ref());
    let Some(sources) = scene.sources_named(&row.name.value, speaker).map(<[usize]>::to_vec) else {
        let gone = scene.replaced.contains_key(&row.name.value);
        let told = scene.rig.broken.contains(&row.name.value) || scene.part_of_nothing(&row.name.value, speaker);
        if (gone && speaker == Speaker::House) || told {
            return;
        }
        if gone {
            let message = format!("`{}` is replaced in this act, so no channel can have it", row.name.value);
            found.push(
                Diagnostic::error("source-replaced-in-act", row.name.span, message)
                    .help("name the act's own source, or move the row that replaces it to a free channel and socket"),
            );
            return;
        }
        if let Some(problem) = scene.of_another_act(&row.name.value, row.name.span, speaker) {
            found.push(problem);
            return;
        }
        let message = format!("no row says what `{}` is or where it plugs in", row.name.value);
        if row.name.value == "spare" {
            let number = reading.channels.first().copied().unwrap_or(1);
            let help = format!("a channel that is kept free has a name too: `{number} strip-{number} spare`");
            let told = Diagnostic::unknown(Sort::Source, row.name.value.clone(), row.name.span, message);
            found.push(told.help(help));
            return;
        }
        let near = nearest(&row.name.value, scene.by_name.keys().map(String::as_str));
        found.push(Diagnostic::unknown(Sort::Source, row.name.value.clone(), row.name.span, message).near_or(
            row.name.span,
            near,
            "add a microphone or DI and `from` with the socket",
        ));
        return;
    };
    let via = via(scene, reading, found);
    if via.is_none() && attrs::via(&row.attrs).is_some() {
        return;
    }
    let fact = scene.add_row(fact(reading, RowKind::Again));
    if let Some(stated) = stated(reading) {
        state_again(scene, reading, &sources, &stated, found);
    }
    let said = remarks(&row.attrs);
    if let Some(desk) = reading.desk.filter(|_| said != Remarks::default()) {
        for source in &sources {
            scene.sources.get_mut(*source).into_iter().for_each(|source| source.again.push((desk, said.clone())));
        }
    }
    if let Some(span) = attrs::phantom(&row.attrs) {
        for source in &sources {
            if let Some(source) = scene.sources.get_mut(*source) {
                source.phantom = source.phantom.or(Some(span));
                source.phantom_by.push(At::new(reading.desk, span));
            }
        }
    }
    if !reading.channels.is_empty() && reading.channels.len() != sources.len() && !sources.is_empty() {
        found.push(unequal_again(&row.name.value, reading.channels.len(), sources.len(), numbers_span(reading)));
        return;
    }
    if let Some(desk) = reading.desk {
        for (channel, source) in reading.channels.iter().zip(sources) {
            want_channel(scene, desk, *channel, source, via, fact);
        }
    }
}

/// A second row may state gain and pad for its own desk's preamp, but not what is stated already.
fn state_again(scene: &mut Scene, reading: &Reading, sources: &[usize], stated: &Stated, found: &mut Vec<Diagnostic>) {
    for index in sources {
        let Some(source) = scene.sources.get(*index) else { continue };
        let Spot::Socket(plug) = source.spot else {
            if let Some(source) = scene.sources.get_mut(*index) {
                source.stated.push(stated.clone());
            }
            continue;
        };
        let preamps = crate::rig::preamps_of(&scene.rig, plug);
        let own = crate::rig::preamp_for(&scene.rig, stated.desk, &preamps);
        let both = |other: &&Stated| {
            (other.gain_db.is_some() && stated.gain_db.is_some()) || (other.pad.is_some() && stated.pad.is_some())
        };
        let here = |other: &&Stated| crate::rig::preamp_for(&scene.rig, other.desk, &preamps) == own;
        let first = source.stated.iter().filter(both).find(here);
        let place = |stated: &Stated| stated.gain_db.as_ref().map(|gain| gain.span).or(stated.pad);
        if let (Some(first), Some(here)) = (first.and_then(place), place(stated)) {
            let message = format!("the gain of `{}` is stated twice for one preamp", source.name);
            found.push(
                Diagnostic::error("gain-said-twice", here, message)
                    .label(first, "the first one")
                    .help("a shared preamp has one gain: keep the owner's, and trim on the other desk")
                    .about(reading.row.node.row.name.value.clone()),
            );
            return;
        }
        if let Some(source) = scene.sources.get_mut(*index) {
            source.stated.push(stated.clone());
        }
    }
}

fn unequal_again(name: &str, channels: usize, sources: usize, span: Span) -> Diagnostic {
    let message = format!("`{name}` is {} and gets {}", counted(sources, "source"), counted(channels, "channel"));
    Diagnostic::error("lists-unequal", span, message)
        .help(format!("name {}, or one side: `{name}.left`", counted(sources, "channel")))
}

/// `inputs monitors same as foh`: every channel of the other list again, but where a row of its own stands.
pub(super) fn same_lists(scene: &mut Scene, patch: &Patch, readings: &[Reading], found: &mut Vec<Diagnostic>) {
    for row in in_turn(patch, found) {
        let desk = scene.desk_of_block(Some(&row.node.desk), row.span, found);
        let of = scene.desk_of_block(Some(&row.node.of), row.span, found);
        let (Some(desk), Some(of)) = (desk, of) else { continue };
        let own: BTreeSet<u32> =
            readings.iter().filter(|r| r.desk == Some(desk)).flat_map(|r| r.channels.clone()).collect();
        let size =
            scene.rig.model(desk).and_then(|model| model.lane(model.bank("channel")?)).map_or(0, |lane| lane.size);
        let copied: Vec<(u32, usize, Via)> = scene
            .wants
            .iter()
            .filter(|want| want.kind == WantKind::Channel && want.end.device == of)
            .filter_map(|want| match want.what {
                Target::Source(source) => Some((want.end.number, source, want.via)),
                Target::Point(_) => None,
            })
            .collect();
        let fact = scene.plain_row(&format!("inputs {}", row.node.desk.value), row.span, RowKind::Again);
        for (channel, source, via) in copied {
            if own.contains(&channel) {
                continue;
            }
            if channel > size {
                let message = format!(
                    "`{}` has {size} channels, and `{}` has a channel {channel}",
                    row.node.desk.value, row.node.of.value
                );
                found.push(Diagnostic::error("no-such-point", row.span, message).help("list the rows that it needs"));
                break;
            }
            want_channel(scene, desk, channel, source, via, fact);
        }
    }
}

/// Lists that repeat another, each after the list that it repeats; a ring of them is reported.
fn in_turn<'a>(patch: &'a Patch, found: &mut Vec<Diagnostic>) -> Vec<&'a Row<SameInputs>> {
    let mut left: Vec<&Row<SameInputs>> = patch.same_inputs.iter().collect();
    left.sort_by(|a, b| (&a.node.desk.value, &a.node.of.value).cmp(&(&b.node.desk.value, &b.node.of.value)));
    let mut ordered = Vec::new();
    while !left.is_empty() {
        let waits = |row: &Row<SameInputs>| left.iter().any(|other| other.node.desk.value == row.node.of.value);
        let (later, now): (Vec<_>, Vec<_>) = left.iter().copied().partition(|row| waits(row));
        if now.is_empty() {
            for row in later {
                let message =
                    format!("the list of `{}` repeats itself, by way of `{}`", row.node.desk.value, row.node.of.value);
                found.push(
                    Diagnostic::error("list-repeats-itself", row.span, message).help("write one of the lists out"),
                );
            }
            break;
        }
        ordered.extend(now);
        left = later;
    }
    ordered
}
