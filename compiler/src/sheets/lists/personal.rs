//! Personal-monitor feeds: what each number carries, so that whoever mixes their own finds it.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Row, Sheet, Table};
use super::by_act::{in_words, parts};
use super::cautions;
use super::reader::MONITORS;
use super::whole::{Whole, act_title};
use super::words::spoken;
use crate::plan::{Act, PersonalFeed, Points};
use std::collections::BTreeMap;

pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let mut tables = by_desk(whole, &whole.plan.personal, None);
    for act in &whole.plan.acts {
        tables.extend(by_desk(whole, &act.personal, Some(act)));
    }
    let parts = parts(tables);
    (!parts.is_empty()).then(|| Sheet {
        slug: "personal-feeds".to_string(),
        title: "Personal-monitor feeds".to_string(),
        reader: MONITORS,
        cautions: vec![cautions::HEARING],
        parts,
        ..Sheet::default()
    })
}

fn by_desk(whole: &Whole, feeds: &[PersonalFeed], act: Option<&Act>) -> Vec<Table> {
    let mut desks: BTreeMap<&str, Vec<&PersonalFeed>> = BTreeMap::new();
    for feed in feeds {
        let desk = Points::read(&feed.feed).map_or(feed.feed.as_str(), |at| at.device);
        desks.entry(desk).or_default().push(feed);
    }
    let only = act.map(|act| format!(", only {}", act_title(act))).unwrap_or_default();
    let scenes = whole.scenes_of(act);
    let table = |(desk, feeds): (&str, Vec<&PersonalFeed>)| {
        let columns = [
            ("feed", Look::Key),
            ("carries", Look::Key),
            ("stereo", Look::Plain),
            ("who", Look::Plain),
            ("place", Look::Plain),
            ("heard at", Look::Plain),
            ("notes", Look::Plain),
            ("heard", Look::Tick),
        ];
        let mut table = Table::new(columns).titled(format!("{}{only}", whole.called(desk)));
        feeds.iter().for_each(|feed| table.push(row(scenes, feed)));
        table
    };
    desks.into_iter().map(table).collect()
}

fn row(scenes: &[Known], feed: &PersonalFeed) -> Row {
    let number = Points::read(&feed.feed).map_or_else(|| feed.feed.clone(), |at| at.first.to_string());
    let label = scenes.iter().map(|known| known.label(&feed.of)).find(|label| *label != feed.of);
    let cells = [
        number,
        label.unwrap_or_else(|| feed.of.clone()),
        if feed.stereo { "stereo" } else { "" }.to_string(),
        feed.remarks.who.clone().unwrap_or_default(),
        feed.remarks.place.clone().unwrap_or_default(),
        in_words(scenes, |known| heard_at(known, feed)),
        feed.remarks.note.clone().unwrap_or_default(),
    ];
    Row::of(cells.map(Cell::from)).about(Some(&feed.of)).at([feed.feed.clone()])
}

/// `ears-drums feed 1`: where the feed comes out.
fn heard_at(known: &Known, feed: &PersonalFeed) -> String {
    let behind = known.passing(&feed.feed).iter().filter(|(_, end)| end.asked && end.end != feed.feed);
    behind.map(|(_, end)| spoken(known, &end.end)).collect::<Vec<_>>().join(", ")
}
