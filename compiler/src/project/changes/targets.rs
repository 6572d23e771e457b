//! Which rows a `change` or `without` means. An act's own rows come before the house's; a name that is
//! not there is told with the nearest one that is.

use super::super::attrs::{declares, same_dotted};
use super::super::names::nearest;
use super::super::show::{Patch, Row};
use super::{Context, Ground, Op};
use crate::diagnostics::{Diagnostic, Edit, Sort};
use crate::source::Span;
use crate::syntax::ast::{DeviceWord, Dotted, Name, Numbers, Range, Term, What};
use crate::syntax::words::DEVICE_WORDS;
use std::collections::{BTreeSet, HashMap};

/// One row, by its place in its list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(in super::super) enum Target {
    Input(usize),
    Output(usize),
    Personal(usize),
    Device(usize),
    Link(usize),
    Loom(usize),
    Group(usize),
    Record(usize),
    Rate,
    Clock,
}

/// The rows meant, or what to tell; nothing is told where the name may stand in what could not be read.
type Found = Result<Vec<Target>, Option<Box<Diagnostic>>>;

fn refuse(told: Diagnostic) -> Found {
    Err(Some(Box::new(told)))
}

pub(super) struct Finder<'a> {
    patch: &'a Patch,
    context: &'a Context<'a>,
    act: Option<&'a str>,
    has_rate: bool,
    has_clock: bool,
    inputs: HashMap<&'a str, Vec<usize>>,
    outputs: HashMap<&'a str, Vec<usize>>,
    devices: HashMap<&'a str, (usize, DeviceWord)>,
    only_desk: Option<&'a str>,
}

impl<'a> Finder<'a> {
    pub fn new(ground: &'a Ground<'_>, context: &'a Context<'_>) -> Self {
        let patch: &Patch = ground.patch;
        let mut inputs: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, row) in patch.inputs.iter().enumerate() {
            inputs.entry(&row.node.row.name.value).or_default().push(at);
        }
        let mut outputs: HashMap<&str, Vec<usize>> = HashMap::new();
        for (at, row) in patch.outputs.iter().enumerate() {
            outputs.entry(&row.node.row.bank.value).or_default().push(at);
        }
        let device = |(at, row): (usize, &'a Row<crate::syntax::ast::Device>)| {
            (row.node.name.value.as_str(), (at, row.node.word.value))
        };
        let devices = patch.devices.iter().enumerate().map(device).collect();
        Finder {
            patch,
            context,
            act: ground.act,
            has_rate: ground.rate.is_some(),
            has_clock: ground.clock.is_some(),
            inputs,
            outputs,
            devices,
            only_desk: only_desk(patch),
        }
    }

    pub fn find(&self, op: &Op) -> Found {
        match &op.what {
            What::Input(name) => self.input(op, name),
            What::Output(term) => self.output(op, term),
            What::Personal { desk, numbers } => self.personal(op, desk.as_ref(), numbers),
            What::Device { word, name } => self.device(op, word.value, word.span, name),
            What::Link { from, to } => self.link(op, from, to.as_ref()),
            What::Loom { from } => self.loom(op, from),
            What::Group(name) => self.group(op, name),
            What::Record(_) => self.records(op),
            What::Rate(span) if !self.has_rate => self.nothing_said("rate", "rate 96 kHz", *span),
            What::Clock(span) if !self.has_clock => self.nothing_said("clock", "clock foh", *span),
            What::Rate(_) => Ok(vec![Target::Rate]),
            What::Clock(_) => Ok(vec![Target::Clock]),
            What::Act(_) => Ok(Vec::new()),
        }
    }

    fn input(&self, op: &Op, dotted: &Dotted) -> Found {
        let (desk, name) = match part_of_act(dotted, self.act) {
            [name] => (None, name),
            [desk, name] if self.devices.contains_key(desk.value.as_str()) => (Some(desk), name),
            [source, ..] if self.inputs.contains_key(source.value.as_str()) => {
                let message = format!("`{}` is a part of `{}`, and a row changes whole", text(dotted), source.value);
                let help = format!("write `{} input {}`", verb(op), source.value);
                return refuse(Diagnostic::error("change-part-of-a-row", dotted.span, message).help(help));
            }
            _ => return self.nothing(op, "input", &text(dotted), dotted.span, self.inputs.keys().copied()),
        };
        let Some(rows) = self.inputs.get(name.value.as_str()) else {
            return self.nothing(op, "input", &name.value, name.span, self.inputs.keys().copied());
        };
        let rows = self.own_first(rows, |at| self.patch.inputs.get(at).and_then(|row| row.act.as_deref()));
        match desk {
            Some(desk) => self.input_on(op, desk, name, rows),
            None if op.attrs.is_none() => Ok(rows.into_iter().map(Target::Input).collect()),
            None => {
                let first = rows.iter().find(|at| self.declares(**at)).or(rows.first());
                Ok(first.map(|at| Target::Input(*at)).into_iter().collect())
            }
        }
    }

    fn declares(&self, at: usize) -> bool {
        self.patch.inputs.get(at).is_some_and(|row| declares(&row.node.row))
    }

    /// `monitors.kick-in`: that desk's own rows.
    fn input_on(&self, op: &Op, desk: &Name, name: &Name, rows: Vec<usize>) -> Found {
        let on_desk = |at: &&usize| {
            let said = self.patch.inputs.get(**at).and_then(|row| row.node.desk.as_ref());
            self.is_desk(said, Some(desk))
        };
        let here: Vec<usize> = rows.iter().filter(on_desk).copied().collect();
        let declaring = here.iter().copied().find(|at| self.declares(*at));
        let whole = format!("{}.{}", desk.value, name.value);
        match (&op.attrs, declaring, here.as_slice()) {
            (_, _, []) => {
                let message = format!("`{}` has no row of its own on `{}`", name.value, desk.value);
                let help =
                    format!("to {} the row that declares it write `{} input {}`", verb(op), verb(op), name.value);
                refuse(Diagnostic::error("change-of-nothing", desk.span.to(name.span), message).help(help))
            }
            (None, Some(_), _) if here.len() < rows.len() => {
                let message = format!("`{}` is declared on `{}`, and other rows still want it", name.value, desk.value);
                let told = Diagnostic::error("declaring-row-taken-out", op.span, message);
                let others = rows.iter().filter(|at| !here.contains(at)).filter_map(|at| self.patch.inputs.get(*at));
                let told = others.take(8).fold(told, |told, row| told.label(row.span, "still wanted here"));
                refuse(told.help(format!("take the source out everywhere: `without input {}`", name.value)))
            }
            (None, ..) => Ok(here.into_iter().map(Target::Input).collect()),
            (Some(_), Some(at), _) => Ok(vec![Target::Input(at)]),
            (Some(_), None, [at]) => Ok(vec![Target::Input(*at)]),
            (Some(_), None, _) => refuse(self.several(
                op,
                &whole,
                here.iter().filter_map(|at| self.patch.inputs.get(*at).map(|row| row.span)),
            )),
        }
    }

    fn output(&self, op: &Op, term: &Term) -> Found {
        let (Some(name), Some(range)) = (&term.name, term.range) else {
            let told = Diagnostic::error("change-of-nothing", term.span, "this names no output row by its number");
            return refuse(told.help("name bank and number, as `change output mix 1`"));
        };
        let (desk, bank) = match part_of_act(name, self.act) {
            [bank] => (None, bank),
            [desk, bank] => (Some(desk), bank),
            _ => return self.nothing(op, "output", &text(name), term.span, std::iter::empty()),
        };
        let rows = self.outputs.get(bank.value.as_str()).map(Vec::as_slice).unwrap_or_default();
        let rows = rows.iter().copied().filter(|at| {
            let row = self.patch.outputs.get(*at);
            row.is_some_and(|row| self.is_desk(row.node.desk.as_ref(), desk) && overlaps(&row.node.row.numbers, range))
        });
        let rows: Vec<usize> = rows.collect();
        let rows = self.own_first(&rows, |at| self.patch.outputs.get(at).and_then(|row| row.act.as_deref()));
        let said = format!("{} {}", text(name), range_text(range));
        if rows.is_empty() {
            return self.no_output(op, term, bank, range, &said);
        }
        let facts = rows.iter().filter_map(|at| {
            let row = self.patch.outputs.get(*at)?;
            Some((*at, row.span, &row.node.row.numbers))
        });
        let whole = |numbers: &Numbers| format!("output {} {}", text(name), numbers_text(numbers));
        self.numbered(op, term.span, &said, &[range], facts.collect(), whole)
            .map(|rows| rows.into_iter().map(Target::Output).collect())
    }

    fn no_output(&self, op: &Op, term: &Term, bank: &Name, range: Range, said: &str) -> Found {
        if self.outputs.contains_key(bank.value.as_str()) || self.outputs.is_empty() {
            return self.nothing(op, "output", said, term.span, std::iter::empty());
        }
        let mut told = self.nothing(op, "output", &bank.value, bank.span, self.outputs.keys().copied());
        if let Err(Some(told)) = &mut told {
            told.message = format!("there is no output row for `{} {}`", bank.value, range_text(range));
        }
        told
    }

    fn personal(&self, op: &Op, desk: Option<&Name>, numbers: &Numbers) -> Found {
        let desk = desk.filter(|desk| Some(desk.value.as_str()) != self.act);
        let facts: Vec<(usize, Span, &Numbers)> = self
            .patch
            .personal
            .iter()
            .enumerate()
            .filter_map(|(at, row)| {
                let hit = self.is_desk(row.node.desk.as_ref(), desk)
                    && numbers.ranges.iter().any(|range| overlaps(&row.node.row.numbers, *range));
                hit.then_some((at, row.span, &row.node.row.numbers))
            })
            .collect();
        let found: Vec<usize> = facts.iter().map(|(at, ..)| *at).collect();
        let own = self.own_first(&found, |at| self.patch.personal.get(at).and_then(|row| row.act.as_deref()));
        let facts: Vec<_> = facts.into_iter().filter(|(at, ..)| own.contains(at)).collect();
        let said = format!("personal {}", numbers_text(numbers));
        if facts.is_empty() {
            return self.nothing(op, "personal feed", &numbers_text(numbers), numbers.span, std::iter::empty());
        }
        let whole = |numbers: &Numbers| format!("personal {}", numbers_text(numbers));
        self.numbered(op, numbers.span, &said, &numbers.ranges, facts, whole)
            .map(|rows| rows.into_iter().map(Target::Personal).collect())
    }

    /// Rows are changed whole and one at a time; `without` may take out several whole ones.
    fn numbered(
        &self,
        op: &Op,
        span: Span,
        said: &str,
        ranges: &[Range],
        rows: Vec<(usize, Span, &Numbers)>,
        whole: impl Fn(&Numbers) -> String,
    ) -> Result<Vec<usize>, Option<Box<Diagnostic>>> {
        let covered = |numbers: &Numbers| {
            numbers.ranges.iter().all(|row| ranges.iter().any(|said| said.first <= row.first && row.last <= said.last))
        };
        if let Some((_, row, numbers)) = rows.iter().find(|(_, _, numbers)| !covered(numbers)) {
            let message = format!("`{said}` is only a part of a row, and a row changes whole");
            let help = format!("write `{} {}`", verb(op), whole(numbers));
            let told = Diagnostic::error("change-part-of-a-row", span, message).label(*row, "the row").help(help);
            return Err(Some(Box::new(told)));
        }
        if rows.len() > 1 && op.attrs.is_some() {
            let told = self.several(op, said, rows.iter().map(|(_, span, _)| *span));
            return Err(Some(Box::new(told)));
        }
        Ok(rows.into_iter().map(|(at, ..)| at).collect())
    }

    fn device(&self, op: &Op, word: DeviceWord, word_span: Span, name: &Name) -> Found {
        let Some((at, is)) = self.devices.get(name.value.as_str()).copied() else {
            return self.nothing(op, word.word(), &name.value, name.span, self.devices.keys().copied());
        };
        if is != word {
            let message = format!("`{}` is a {}, not a {}", name.value, is.word(), word.word());
            let told = Diagnostic::error("change-of-nothing", word_span.to(name.span), message)
                .help(format!("write `{} {} {}`", verb(op), is.word(), name.value))
                .fix("name it as what it is", vec![Edit { span: word_span, text: is.word().into() }], false);
            return refuse(match self.patch.devices.get(at) {
                Some(row) => told.label(row.span, "declared here"),
                None => told,
            });
        }
        Ok(vec![Target::Device(at)])
    }

    fn link(&self, op: &Op, from: &Dotted, to: Option<&Dotted>) -> Found {
        let joins = |a: &Dotted, b: &Dotted| match to {
            Some(to) => same_dotted(a, from) && same_dotted(b, to),
            None => same_dotted(a, from),
        };
        let rows: Vec<usize> = self
            .patch
            .links
            .iter()
            .enumerate()
            .filter(|(_, row)| joins(&row.node.from, &row.node.to) || joins(&row.node.to, &row.node.from))
            .map(|(at, _)| at)
            .collect();
        match rows.as_slice() {
            [] => {
                let hung = "a cable that a box's own line says is changed there: `change box NAME cable …`";
                let ends: Vec<String> = self.patch.links.iter().map(|row| text(&row.node.from)).collect();
                let told = self.nothing(op, "link", &text(from), from.span, ends.iter().map(String::as_str));
                told.map_err(|told| told.map(|told| Box::new(told.help(hung))))
            }
            [at] => Ok(vec![Target::Link(*at)]),
            _ => refuse(self.several(
                op,
                &format!("link {}", text(from)),
                rows.iter().filter_map(|at| self.patch.links.get(*at).map(|row| row.span)),
            )),
        }
    }

    fn loom(&self, op: &Op, from: &Dotted) -> Found {
        let start =
            |row: &Row<super::super::show::Loom>| row.node.from.terms.first().and_then(|term| term.name.clone());
        let rows: Vec<usize> = self
            .patch
            .looms
            .iter()
            .enumerate()
            .filter(|(_, row)| start(row).is_some_and(|name| same_dotted(&name, from)))
            .map(|(at, _)| at)
            .collect();
        let rows = self.own_first(&rows, |at| self.patch.looms.get(at).and_then(|row| row.act.as_deref()));
        match rows.as_slice() {
            [] => {
                let starts: Vec<String> = self.patch.looms.iter().filter_map(start).map(|name| text(&name)).collect();
                self.nothing(op, "loom", &text(from), from.span, starts.iter().map(String::as_str))
            }
            [at] => Ok(vec![Target::Loom(*at)]),
            _ if op.attrs.is_none() => Ok(rows.into_iter().map(Target::Loom).collect()),
            _ => refuse(self.several(
                op,
                &format!("loom {}", text(from)),
                rows.iter().filter_map(|at| self.patch.looms.get(*at).map(|row| row.span)),
            )),
        }
    }

    fn group(&self, op: &Op, name: &Name) -> Found {
        let rows: Vec<usize> = self
            .patch
            .groups
            .iter()
            .enumerate()
            .filter(|(_, row)| row.node.name.value == name.value)
            .map(|(at, _)| at)
            .collect();
        let rows = self.own_first(&rows, |at| self.patch.groups.get(at).and_then(|row| row.act.as_deref()));
        match rows.first() {
            Some(at) => Ok(vec![Target::Group(*at)]),
            None => {
                let names = self.patch.groups.iter().map(|row| row.node.name.value.as_str());
                self.nothing(op, "group", &name.value, name.span, names)
            }
        }
    }

    /// Every `record` inherited: of the files that this one includes; in an act, the house's.
    fn records(&self, op: &Op) -> Found {
        let inherited = |row: &Row<super::super::show::Record>| match self.act {
            Some(_) => row.act.is_none(),
            None => self.context.reach.includes(op.file, row.span.file),
        };
        let rows: Vec<Target> = self
            .patch
            .records
            .iter()
            .enumerate()
            .filter(|(_, row)| inherited(row))
            .map(|(at, _)| Target::Record(at))
            .collect();
        if rows.is_empty() && !self.context.incomplete {
            let message = "there is no `record` inherited that could be taken out";
            let help = "a `record` of this file itself is taken out by deleting its line";
            let told = Diagnostic::error("change-of-nothing", op.span, message).help(help);
            return refuse(told.missing(Sort::Changed, Some("record".to_string())));
        }
        Ok(rows)
    }

    /// An act's own rows where there are any, else the house's.
    fn own_first(&self, rows: &[usize], act_of: impl Fn(usize) -> Option<&'a str>) -> Vec<usize> {
        let own: Vec<usize> = rows.iter().copied().filter(|at| act_of(*at).is_some()).collect();
        if own.is_empty() { rows.to_vec() } else { own }
    }

    /// Whether a block's desk is the one said; a block without a desk belongs to the only one.
    fn is_desk(&self, of_row: Option<&Name>, said: Option<&Name>) -> bool {
        match (of_row, said) {
            (_, None) => true,
            (Some(row), Some(said)) => row.value == said.value,
            (None, Some(said)) => self.only_desk.is_none_or(|only| only == said.value),
        }
    }

    fn nothing_said(&self, word: &str, sample: &str, span: Span) -> Found {
        if self.context.incomplete {
            return Err(None);
        }
        let message = format!("no file says a `{word}` that this could change");
        let help = format!("say it without `change`: `{sample}`");
        refuse(
            Diagnostic::error("change-of-nothing", span, message)
                .help(help)
                .missing(Sort::Changed, Some(word.to_string())),
        )
    }

    fn nothing<'b>(&self, op: &Op, noun: &str, name: &str, span: Span, known: impl Iterator<Item = &'b str>) -> Found {
        let first = name.split('.').next().unwrap_or(name);
        if self.context.incomplete || self.context.broken.contains(name) || self.context.broken.contains(first) {
            return Err(None);
        }
        let doing = if op.attrs.is_some() { "change" } else { "take out" };
        let mut told =
            Diagnostic::error("change-of-nothing", span, format!("there is no {noun} `{name}` to {doing}")).about(name);
        if let Some(taken) = self.context.taken_out.iter().find(|taken| taken.name == name) {
            told = told.label(taken.span, "taken out here");
            return refuse(told.help("leave it in there, or take out this line"));
        }
        let elsewhere = self.noun_of(name).filter(|is| *is != noun);
        if let Some(acts) = self.context.in_acts.get(name).filter(|_| noun == "input" && elsewhere.is_none()) {
            return refuse(of_an_act(told, op, name, span, acts));
        }
        let told = match (nearest(name, known), elsewhere) {
            (_, Some(is)) => told.help(format!("`{name}` is a {is}: write `{} {is} {name}`", verb(op))),
            (near, None) => told.missing(sort_of(noun), Some(name.to_string())).near_or(
                span,
                near,
                "a `change` names what this file or an included one declares",
            ),
        };
        refuse(told)
    }

    fn noun_of(&self, name: &str) -> Option<&'static str> {
        if self.inputs.contains_key(name) {
            return Some("input");
        }
        if self.patch.groups.iter().any(|row| row.node.name.value == name) {
            return Some("group");
        }
        self.devices.get(name).map(|(_, word)| word.word())
    }

    fn several(&self, op: &Op, said: &str, rows: impl Iterator<Item = Span>) -> Diagnostic {
        let message = format!("`{said}` could be several rows, and a `change` is for one");
        let told = Diagnostic::error("change-of-several-rows", op.span, message)
            .help("name one row with its desk and all its numbers, a line for each row");
        rows.take(8).fold(told, |told, row| told.label(row, "this one?"))
    }
}

/// What sort of name a thing has that a change speaks of.
fn sort_of(noun: &str) -> Sort {
    match noun {
        "input" | "group" => Sort::Source,
        _ if DEVICE_WORDS.contains(&noun) => Sort::Gear,
        _ => Sort::Changed,
    }
}

/// The name is an act's: what it is called from here.
fn of_an_act(told: Diagnostic, op: &Op, name: &str, span: Span, acts: &[String]) -> Diagnostic {
    let full: Vec<String> = acts.iter().map(|act| format!("{act}.{name}")).collect();
    let written: Vec<String> = full.iter().map(|full| format!("`{} input {full}`", verb(op))).collect();
    let belongs = if acts.len() == 1 { "it belongs to an act" } else { "acts have one each" };
    let told = told.help(format!("{belongs}: write {}", written.join(" or ")));
    match full.as_slice() {
        [only] => told.fix(format!("write `{only}`"), vec![Edit { span, text: only.clone() }], false),
        _ => told,
    }
}

fn only_desk(patch: &Patch) -> Option<&str> {
    let mut desks = patch.devices.iter().filter(|row| row.node.word.value == DeviceWord::Desk);
    let first = desks.next()?;
    desks.next().is_none().then_some(first.node.name.value.as_str())
}

/// A dotted name without the act's before it.
pub(in super::super) fn part_of_act<'n>(dotted: &'n Dotted, act: Option<&str>) -> &'n [Name] {
    match dotted.parts.as_slice() {
        [first, rest @ ..] if !rest.is_empty() && Some(first.value.as_str()) == act => rest,
        all => all,
    }
}

fn overlaps(numbers: &Numbers, range: Range) -> bool {
    numbers.ranges.iter().any(|own| own.first <= range.last && range.first <= own.last)
}

fn verb(op: &Op) -> &'static str {
    if op.attrs.is_some() { "change" } else { "without" }
}

fn text(dotted: &Dotted) -> String {
    let parts: Vec<&str> = dotted.parts.iter().map(|part| part.value.as_str()).collect();
    parts.join(".")
}

fn range_text(range: Range) -> String {
    if range.first == range.last { range.first.to_string() } else { format!("{}-{}", range.first, range.last) }
}

fn numbers_text(numbers: &Numbers) -> String {
    let ranges: Vec<String> = numbers.ranges.iter().map(|range| range_text(*range)).collect();
    ranges.join(", ")
}

/// What a `change` names, as one would write it: `input kick-in`.
pub(in super::super) fn thing_text(what: &What) -> String {
    match what {
        What::Input(name) => format!("input {}", text(name)),
        What::Output(term) => {
            let name = term.name.as_ref().map(text).unwrap_or_default();
            format!("output {name} {}", term.range.map(range_text).unwrap_or_default())
        }
        What::Personal { desk: Some(desk), numbers } => format!("personal {} {}", desk.value, numbers_text(numbers)),
        What::Personal { desk: None, numbers } => format!("personal {}", numbers_text(numbers)),
        What::Device { word, name } => format!("{} {}", word.value.word(), name.value),
        What::Link { from, .. } => format!("link {}", text(from)),
        What::Loom { from } => format!("loom {}", text(from)),
        What::Group(name) => format!("group {}", name.value),
        What::Act(name) => format!("act {}", name.value),
        What::Record(_) => "record".into(),
        What::Rate(_) => "rate".into(),
        What::Clock(_) => "clock".into(),
    }
}

/// The act before a dotted name, where there is one: `kestrel.kick`.
pub(in super::super) fn starts_with_act<'n>(what: &'n What, acts: &BTreeSet<String>) -> Option<&'n Name> {
    let dotted = match what {
        What::Input(dotted) => dotted,
        What::Output(term) => term.name.as_ref()?,
        _ => return None,
    };
    let first = dotted.parts.first().filter(|_| dotted.parts.len() > 1)?;
    acts.contains(&first.value).then_some(first)
}
