//! What is unusual about a show, for who has never seen it: all that a plan says otherwise than most plans do.

use super::super::super::sheet::{Cell, Look, Row, Sign, Table, Weight};
use super::super::whole::{Lists, Whole, act_title};
use crate::plan::{Device, Plug, Points, Source, ranges};
use std::collections::{BTreeMap, BTreeSet};

/// From so many on, what is unusual fills a page.
const MANY: usize = 16;

pub(super) fn table(whole: &Whole) -> Table {
    let columns = [("what", Look::Key), ("where", Look::Plain), ("in act", Look::Plain)];
    let mut page = Page { table: Table::new(columns).titled("Unusual about this show"), whole };
    for lists in whole.lists() {
        lists.sources.iter().for_each(|source| page.source(&lists, source));
        lists.plugs.iter().for_each(|plug| page.plug(&lists, plug));
        lists.devices.iter().for_each(|device| page.device(&lists, device));
        page.owners(&lists);
        page.rest(&lists);
    }
    short(joined(page.table)).without_empty_columns()
}

/// What several acts say alike stands there once, with all of them.
fn joined(table: Table) -> Table {
    let mut first: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut rows: Vec<Row> = Vec::new();
    for row in table.rows {
        let [what, place, act] = row.cells.as_slice() else { continue };
        let at = *first.entry((what.text.clone(), place.text.clone())).or_insert(rows.len());
        match rows.get_mut(at).and_then(|row| row.cells.last_mut()) {
            Some(acts) if !acts.text.is_empty() => acts.text.push_str(&format!(", {}", act.text)),
            Some(_) => {}
            None => rows.push(row),
        }
    }
    Table { rows, ..table }
}

/// A front page is read at a glance: of a sort that has many, the first ones stand there, and how many more.
fn short(table: Table) -> Table {
    let sort = |row: &Row| row.cells.first().map(|cell| cell.text.clone()).unwrap_or_default();
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    table.rows.iter().for_each(|row| *counts.entry(sort(row)).or_default() += 1);
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut rows = Vec::new();
    for row in table.rows {
        let what = sort(&row);
        let (all, so_far) = (counts.get(&what).copied().unwrap_or(0), seen.entry(what.clone()).or_default());
        *so_far += 1;
        if *so_far <= MANY {
            rows.push(row);
        } else if *so_far == MANY + 1 {
            rows.push(Row::of([
                what.into(),
                format!("and {} more, on their sheets", all - MANY).into(),
                Cell::default(),
            ]));
        }
    }
    Table { rows, ..table }
}

struct Page<'w, 'k, 'p> {
    table: Table,
    whole: &'w Whole<'k, 'p>,
}

impl Page<'_, '_, '_> {
    fn say(&mut self, lists: &Lists, what: &str, place: String) -> Option<&mut Row> {
        let act = lists.act.map(act_title).unwrap_or_default();
        self.table.push(Row::of([what.into(), place.into(), act.into()]));
        self.table.rows.last_mut()
    }

    /// A row about a source: pointing at it lights its way.
    fn of_source(&mut self, lists: &Lists, what: &str, source: &str, more: String) {
        let more = if more.is_empty() { more } else { format!(": {more}") };
        let place = format!("{}{more}", self.whole.label(source));
        if let Some(row) = self.say(lists, what, place) {
            row.source = Some(source.to_string());
        }
    }

    fn source(&mut self, lists: &Lists, source: &Source) {
        let name = &source.source;
        let plug = lists.known.plug_of(name);
        if self.whole.plan.phantom_hurts(source) && plug.is_some() {
            let at = plug.map(|plug| self.whole.spot(&plug.at)).unwrap_or_default();
            let place = format!("{} at {at}", source.label);
            if let Some(row) = self.say(lists, "", place) {
                let kind = source.kind.as_deref().unwrap_or_default();
                let text = format!("never 48 V: {kind}");
                row.cells.splice(0..1, [Cell { text, sign: Some(Sign::NeverPhantom) }]);
                (row.source, row.weight) = (Some(name.clone()), Weight::Danger);
            }
        }
        if source.spare {
            let of: Vec<String> = source.spare_for.iter().map(|of| self.whole.label(of)).collect();
            let of = if of.is_empty() { String::new() } else { format!("for {}", of.join(", ")) };
            self.of_source(lists, "spare", name, of);
        }
        for (is, what) in [
            (source.lifted, "ground lifted at its DI"),
            (source.ears_only, "for ears only"),
            (source.data, "data, in no mix"),
        ] {
            if is {
                self.of_source(lists, what, name, String::new());
            }
        }
        if let Some(note) = &source.remarks.note {
            self.of_source(lists, "note", name, note.clone());
        }
    }

    fn plug(&mut self, lists: &Lists, plug: &Plug) {
        if plug.polarity_inverted {
            self.of_source(lists, "polarity inverted", &plug.source, String::new());
        }
        if plug.preamps.iter().any(|preamp| preamp.pad) {
            self.of_source(lists, "pad on", &plug.source, self.whole.spot(&plug.at));
        }
    }

    fn device(&mut self, lists: &Lists, device: &Device) {
        let called = self.whole.called(&device.name);
        let kept: BTreeSet<u32> = device.kept_for.iter().map(|kept| kept.line).collect();
        let dead: BTreeSet<u32> = device.out_of_use.iter().copied().filter(|line| !kept.contains(line)).collect();
        if !dead.is_empty() {
            self.say(lists, "dead lines, plug nothing there", format!("{called} {}", ranges(&dead)));
        }
        for kept in &device.kept_for {
            self.say(lists, "reserved line", format!("{called} {} for {}", kept.line, kept.for_what));
        }
        if lists.act.is_some() {
            self.say(lists, "gear of an act", format!("{called}: {}", self.whole.model(device)));
        }
        if !device.lifted.is_empty() {
            self.say(lists, "ground lifted, by its own switch only", format!("{called} {}", device.lifted.join(", ")));
        }
        if device.converts {
            self.say(lists, "converts its rate", called.clone());
        }
        if let Some(rate) = device.rate_hz.filter(|rate| *rate != self.whole.plan.rate_hz) {
            self.say(lists, "another rate", format!("{called}: {} kHz", f64::from(rate) / 1000.0));
        }
        if let Some(clock) = device.clock.as_ref().filter(|clock| *clock != "internal") {
            self.say(lists, "another clock", format!("{called}: {clock}"));
        }
        if let Some(of) = &device.backup_of {
            self.say(lists, "backup", format!("{called} for {}", self.whole.called(of)));
        }
        if let Some(note) = &device.remarks.note {
            self.say(lists, "note", format!("{called}: {note}"));
        }
    }

    /// Gains that one desk turns for another.
    fn owners(&mut self, lists: &Lists) {
        let mut owned: BTreeMap<(&str, &str, &str), BTreeSet<u32>> = BTreeMap::new();
        for setting in lists.settings.iter().filter(|setting| setting.set == "gain") {
            let owner = setting.owner.as_deref().filter(|owner| *owner != setting.device);
            let numbers = setting.first.unwrap_or(1)..=setting.last.or(setting.first).unwrap_or(1);
            if let Some(owner) = owner {
                owned.entry((&setting.device, &setting.bank, owner)).or_default().extend(numbers);
            }
        }
        for ((device, bank, owner), numbers) in owned {
            let place =
                format!("{} {bank} {}: only {}", self.whole.called(device), ranges(&numbers), self.whole.called(owner));
            self.say(lists, "gain turned by one desk for all", place);
        }
    }

    fn rest(&mut self, lists: &Lists) {
        for cable in lists.cables.iter().filter(|cable| cable.used_as == "redundant") {
            self.say(lists, "redundant link", format!("{} to {}", cable.from, cable.to));
        }
        for promise in lists.promised {
            let without: Vec<String> = promise.without.iter().map(|source| self.whole.label(source)).collect();
            let place = format!("{}: do not send {}", self.whole.spot(&promise.mix), without.join(", "));
            if let Some(row) = self.say(lists, "left out of a mix by hand", place) {
                row.points.push(promise.mix.clone());
            }
        }
        let outputs = lists.outputs.iter().map(|output| (&output.from, &output.remarks));
        let personal = lists.personal.iter().map(|feed| (&feed.feed, &feed.remarks));
        for (at, note) in outputs.chain(personal).filter_map(|(at, remarks)| Some((at, remarks.note.as_ref()?))) {
            if let Some(row) =
                self.say(lists, "note", format!("{}: {note}", self.whole.spot(Points::read(at).map_or("", |_| at))))
            {
                row.points.push(at.clone());
            }
        }
        for cable in lists.cables {
            if let Some(note) = &cable.remarks.note {
                self.say(lists, "note", format!("cable {} to {}: {note}", cable.from, cable.to));
            }
        }
    }
}
