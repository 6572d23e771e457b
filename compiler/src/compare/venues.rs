//! Shows that share a rig, side by side: where any of them is otherwise than the rig itself, thing by thing. Who a thing
//! is decides, and a new name is another thing.

use super::Said;
use super::blame::Blame;
use super::data::{Change, Verb};
use super::facts::{Facts, Key, Thing};
use super::names::Renames;
use super::rows::{of_kind, pairs, sent, verb};
use crate::diagnostics::counted;
use crate::plan::{Origin, Table, View, clean, in_markdown};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// The rig and what each show makes of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Venues {
    /// The format: 1.
    pub fantail: u32,
    /// What the others are held against.
    pub base: String,
    pub venues: Vec<String>,
    /// By thing.
    pub rows: Vec<Row>,
}

/// One thing that is not everywhere as in the rig.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    pub thing: String,
    pub called: String,
    /// In what it differs; `there` where it is whether it is there at all.
    pub what: String,
    pub base: Cell,
    /// In the order of the venues.
    pub cells: Vec<Cell>,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Cell {
    /// Nothing where the thing itself is not there, or where nothing more can be said than that it differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub says: Option<String>,
    pub differs: bool,
    /// The rows that did it, as far as a row did.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub origins: Vec<Origin>,
}

/// Every name with its plan; the first is the rig.
pub fn venues(base: (&str, Said), others: &[(&str, Said)]) -> Venues {
    let columns: Vec<Column> =
        std::iter::once(&base).chain(others).map(|(_, said)| Column::of(base.1, *said)).collect();
    let keys: BTreeSet<&Key> = columns.iter().flat_map(|column| column.facts.all.keys()).collect();
    let rows = match columns.split_first() {
        Some((rig, shows)) => keys.into_iter().filter_map(|key| row(key, rig, shows)).collect(),
        None => Vec::new(),
    };
    Venues { fantail: 1, base: base.0.into(), venues: others.iter().map(|(name, _)| (*name).into()).collect(), rows }
}

/// A new name is another thing.
static NONE: Renames = Renames::none();

struct Column<'p> {
    /// Which rows make it otherwise than the rig.
    blame: Blame<'p>,
    facts: Facts,
    things: BTreeSet<Thing>,
}

impl<'p> Column<'p> {
    /// What holds in every act, and under the name of each act what it adds.
    fn of(rig: Said<'p>, said: Said<'p>) -> Self {
        let mut facts = Facts::of_show(said.plan);
        // The head of a column says which show it is.
        facts.all.retain(|key, _| key.thing.kind != "show" || !["title", "venue", "date"].contains(&key.of.as_str()));
        facts.add(Facts::of(&View::house(said.plan)), None);
        for act in &said.plan.acts {
            facts.add(Facts::of(&View::only(said.plan, act)), Some(&act.act));
        }
        let things = facts.all.keys().map(|key| key.thing.clone()).collect();
        Column { blame: Blame::new(rig.plan, rig, said, &NONE), facts, things }
    }

    fn has(&self, thing: &Thing) -> bool {
        self.things.contains(thing)
    }

    fn is(&self, key: &Key) -> Option<&String> {
        self.facts.all.get(key).map(|fact| &fact.is)
    }

    fn model(&self, thing: &Thing) -> Option<&String> {
        self.is(&Key { thing: thing.clone(), verb: Verb::Exchanged, of: String::new() })
    }

    /// Where a thing stands; else what it is.
    fn place(&self, thing: &Thing) -> Option<String> {
        let at = |verb| self.is(&Key { thing: thing.clone(), verb, of: String::new() });
        at(Verb::Moved).or_else(|| at(Verb::Added)).cloned()
    }
}

fn row(key: &Key, rig: &Column, shows: &[Column]) -> Option<Row> {
    let thing = &key.thing;
    let known = |column: &Column| column.facts.called.get(thing).cloned();
    let differs = |show: &Column| match key.verb {
        Verb::Added => rig.has(thing) != show.has(thing),
        verb if verb.needs_both() && (rig.is(key).is_none() || show.is(key).is_none()) => false,
        // Another piece is dialled anew from the start.
        verb if verb.is_dialled() && rig.model(thing) != show.model(thing) => false,
        _ => rig.has(thing) && show.has(thing) && rig.is(key) != show.is(key),
    };
    if key.thing.is_known_of_gear() && key.verb == Verb::Added || !shows.iter().any(differs) {
        return None;
    }
    let says = |column: &Column| match key.verb {
        _ if !column.has(thing) => None,
        Verb::Added => column.place(thing),
        _ => column.is(key).cloned().filter(|is| !is.contains('{')),
    };
    let cell = |show: &Column| {
        let differs = differs(show);
        let mut says = says(show);
        if key.verb == Verb::Sent && differs {
            let (out, add) = sent(rig.is(key).map(String::as_str), show.is(key).map(String::as_str));
            let parts = [("without", out), ("and", add)].into_iter().filter(|(_, names)| !names.is_empty());
            says =
                Some(parts.map(|(word, names)| format!("{word} {}", names.join(", "))).collect::<Vec<_>>().join("; "));
        }
        let origins = match differs {
            true => show.blame.of(&Change {
                verb: key.verb,
                thing: thing.text(),
                of: key.of.clone(),
                was: rig.is(key).cloned(),
                now: show.is(key).cloned(),
                ..Change::default()
            }),
            false => Vec::new(),
        };
        Cell { says, differs, origins }
    };
    let word = verb(key.verb, &key.of);
    // One word alone does not tell which.
    let of = if word == key.of { "" } else { &key.of };
    Some(Row {
        thing: thing.text(),
        called: std::iter::once(rig).chain(shows).find_map(known).unwrap_or_else(|| thing.name.to_string()),
        what: if key.verb == Verb::Added { "there".into() } else { format!("{word} {of}").trim_end().to_string() },
        base: Cell { says: says(rig), ..Cell::default() },
        cells: shows.iter().map(cell).collect(),
    })
}

impl Facts {
    fn add(&mut self, more: Facts, act: Option<&str>) {
        for (mut key, fact) in more.all {
            if let Some(act) = act.filter(|_| key.verb != Verb::Added) {
                key.of = format!("{} in {act}", key.of).trim_start().to_string();
            }
            self.all.entry(key).or_insert(fact);
        }
        more.called.into_iter().for_each(|(thing, called)| {
            self.called.entry(thing).or_insert(called);
        });
    }
}

impl Row {
    fn thing_said(&self) -> String {
        let (kind, name) = self.thing.split_once(' ').unwrap_or((&self.thing, ""));
        of_kind(kind, if kind == "cable" { name } else { &self.called })
    }
}

impl Venues {
    fn head(&self) -> Vec<String> {
        let fixed = ["thing", "what", self.base.as_str()];
        fixed.into_iter().chain(self.venues.iter().map(String::as_str)).map(String::from).collect()
    }

    /// All rows as they are printed: a pair that is alike as one, and with its name where two things are called alike.
    fn lines(&self) -> Vec<Vec<String>> {
        let mut things: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
        self.rows.iter().for_each(|row| {
            things.entry(row.thing_said()).or_default().insert(&row.thing);
        });
        let (mut lines, mut last): (Vec<Vec<String>>, BTreeMap<&str, usize>) = (Vec::new(), BTreeMap::new());
        for row in &self.rows {
            let mut thing = row.thing_said();
            if things.get(&thing).is_some_and(|things| things.len() > 1) {
                thing = format!("{thing} ({})", row.thing);
            }
            let line = self.cells(row, thing);
            let before = last.get(row.what.as_str()).and_then(|at| lines.get_mut(*at));
            let both = before.and_then(|before| pairs(before, &line).map(|both| *before = both));
            if both.is_none() {
                last.insert(&row.what, lines.len());
                lines.push(line);
            }
        }
        lines
    }

    /// What is as in the rig is a dot.
    fn cells(&self, row: &Row, thing: String) -> Vec<String> {
        let absent = if row.what == "there" { "not there" } else { "" };
        let said = |cell: &Cell| match (&cell.says, cell.differs) {
            (Some(says), _) if !says.is_empty() => says.clone(),
            (Some(_), _) if row.what == "there" => "there".to_string(),
            (None, true) if row.what != "there" => "otherwise".to_string(),
            (Some(_), _) => "nothing".to_string(),
            (None, _) => absent.to_string(),
        };
        let cell = |cell: &Cell| if cell.differs || cell.says.is_none() { said(cell) } else { "·".to_string() };
        let rig = match (&row.base.says, row.what == Verb::Sent.word()) {
            (Some(of), true) if !of.is_empty() => counted(of.split(", ").count(), "source"),
            _ => said(&row.base),
        };
        let fixed = [thing, row.what.clone(), rig];
        fixed.into_iter().chain(row.cells.iter().map(cell)).collect()
    }

    /// In columns.
    pub fn text(&self) -> String {
        if self.rows.is_empty() {
            return format!("Everywhere as in {}.\n", clean(&self.base));
        }
        let mut table = Table::default();
        table.row(self.head());
        self.lines().into_iter().for_each(|line| table.row(line));
        let mut out = String::new();
        table.print_wrapped(&mut out, 0);
        out
    }

    /// Fit for a review.
    pub fn markdown(&self) -> String {
        let line = |cells: Vec<String>| {
            let cells: Vec<String> = cells.iter().map(|cell| in_markdown(&clean(cell))).collect();
            format!("| {} |\n", cells.join(" | "))
        };
        let head = self.head();
        let rule = format!("|{}\n", " --- |".repeat(head.len()));
        let rows: String = self.lines().into_iter().map(line).collect();
        format!("{}{rule}{rows}", line(head))
    }

    /// As data.
    pub fn json(&self) -> String {
        // Plain data always has a form as JSON.
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}
