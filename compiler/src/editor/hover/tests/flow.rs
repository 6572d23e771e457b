//! The flow of signals from and to a place.

use super::*;
use crate::editor::{Item, flow_at, incoming, outgoing};

/// `name (detail) at the text to jump to`, an item a line.
fn said(made: &Made, items: &[Item]) -> Vec<String> {
    let text = |item: &Item| made.compiled.sources.text_at(item.span).to_string();
    items.iter().map(|item| format!("{} ({}) at `{}`", item.name, item.detail, text(item))).collect()
}

fn at(made: &Made, piece: &str) -> Vec<Item> {
    let (file, offset) = made.place("show.fantail", piece);
    flow_at(&made.compiled, &made.index, file, offset)
}

fn before(made: &Made, item: &Item) -> Vec<Item> {
    incoming(&made.compiled, &made.index, &item.of, &item.name)
}

fn next(made: &Made, item: &Item) -> Vec<Item> {
    outgoing(&made.compiled, &made.index, &item.of, &item.name)
}

#[test]
fn a_source_goes_to_its_socket_and_into_its_mixes() {
    let made = of(SHOW);
    let kick = at(&made, "1 ki|ck b");
    assert_eq!(said(&made, &kick), ["kick (\"Kick\") at `kick`"]);
    assert_eq!(said(&made, &before(&made, &kick[0])), Vec::<String>::new());
    let onward = next(&made, &kick[0]);
    assert_eq!(
        said(&made, &onward),
        [
            "riser.in 1 (kick, \"Kick\") at `from riser 1`",
            "foh.mix 1 (\"Lead\") at `to stage 1`",
            "foh.main 1 () at `to foh.out 15-16`",
            "foh.main 2 () at `to foh.out 15-16`",
        ]
    );
    let mut hop = onward[0].clone();
    let mut way = Vec::new();
    while let Some(to) = next(&made, &hop).into_iter().next() {
        assert_eq!(before(&made, &to), [hop]);
        way.push(to.name.clone());
        hop = to;
    }
    assert_eq!(way, ["riser.tail 1", "foh.portA 1", "foh.channel 1"], "slot 1 brings no mix back");
}

#[test]
fn a_mix_comes_from_what_it_carries() {
    let made = of(SHOW);
    let mix = at(&made, "mi|x 1 to");
    let names: Vec<String> = before(&made, &mix[0]).into_iter().map(|item| item.name).collect();
    assert_eq!(names, ["keys.left", "keys.right", "kick", "lead"]);
    assert_eq!(said(&made, &next(&made, &mix[0])), ["foh.portA 1 (foh.mix 1, \"Lead\") at `on foh.portA`"]);
}

#[test]
fn a_row_over_two_channels_is_two_sources() {
    let made = of(SHOW);
    let names = |piece| at(&made, piece).into_iter().map(|item| item.name).collect::<Vec<_>>();
    assert_eq!(names("ke|ys di"), ["keys.left", "keys.right"]);
    assert_eq!(names("stage |11-12"), ["stage.in 11", "stage.in 12"]);
}
