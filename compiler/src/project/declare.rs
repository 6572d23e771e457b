//! The declarations of every file, gathered as they stand: house and acts apart, a name declared twice
//! told. Changes are only collected here.

use super::acts;
use super::attrs;
use super::changes::Op;
use super::show::{
    Allow, Group, Head, Input, Keep, Library, Link, Loom, Output, Patch, Personal, Record, Row, SameInputs, Set,
};
use crate::diagnostics::Diagnostic;
use crate::quantity::Quantity;
use crate::source::{At, FileId, Span};
use crate::syntax::ast::{self, InputRow, Name, Statement, StatementKind as S};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// All that the files declare, before any change.
#[derive(Default)]
pub(super) struct Draft {
    pub head: Option<Head>,
    pub rate: Option<At<Quantity>>,
    pub clock: Option<Name>,
    pub library: Library,
    pub house: Patch,
    pub expects: Vec<At<ast::Expect>>,
    pub allows: Vec<Allow>,
    pub acts: Vec<ActDraft>,
    pub ops: Vec<Op>,
    pub diagnostics: Vec<Diagnostic>,
    names: HashMap<(Shelf, String), Declared>,
}

/// An act with its own rows only.
pub(super) struct ActDraft {
    pub name: Name,
    pub title: Option<ast::Text>,
    pub from: Option<At<ast::Time>>,
    pub to: Option<At<ast::Time>>,
    pub span: Span,
    pub own: Patch,
    pub expects: Vec<At<ast::Expect>>,
}

/// Names on one shelf must differ.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Shelf {
    Model,
    Carrier,
    /// Kinds and the mics that users describe stand in the same column.
    Mic,
    Feed,
    /// Acts, devices, sources and groups, which points and lists name: the house's, or those of an act.
    Thing(Option<String>),
}

#[derive(Clone)]
struct Declared {
    noun: &'static str,
    span: Span,
    /// A device or an act, whose name no act may take again.
    fixed: bool,
}

/// Words that open an attribute of an input row, where its third word would be its mic or DI.
const ROW_WORDS: &[&str] = &[
    "from",
    "via",
    "phantom",
    "48V",
    "gain",
    "pad",
    "stand",
    "level",
    "pickup",
    "lifted",
    "stereo",
    "spare",
    "polarity",
    "ears-only",
    "data",
    "at",
    "place",
    "who",
    "priority",
    "note",
    "channel",
    "to",
    "no",
    "any",
];

/// Where a statement stands: its file, whether that is the root, and its act.
#[derive(Clone, Copy)]
pub(super) struct Stand<'a> {
    pub file: FileId,
    pub in_root: bool,
    pub act: Option<&'a str>,
}

impl Draft {
    /// Takes in one file's statements, in the house or in an act.
    pub fn file(&mut self, statements: &[Statement], stand: Stand<'_>) {
        for (at, statement) in statements.iter().enumerate() {
            match &statement.kind {
                S::Version(version) => self.version(version, at == 0, statement.span),
                S::Show { .. } if !stand.in_root => {}
                _ => self.statement(statement, stand),
            }
        }
    }

    fn version(&mut self, version: &At<u32>, first: bool, span: Span) {
        if !first {
            let told = Diagnostic::error("version-not-first", span, "`fantail 1` stands on a file's first line only");
            self.diagnostics.push(told.help("move it to the first line, or take it out"));
        } else if version.value != 1 {
            let message = format!("this file is written for fantail {}, and this is fantail 1", version.value);
            let told = Diagnostic::error("version-unknown", version.span, message);
            self.diagnostics.push(told.help("write `fantail 1`, or read the file with a later fantail"));
        }
    }

    pub fn statement(&mut self, statement: &Statement, stand: Stand<'_>) {
        if let Some(act) = stand.act {
            if let Some(told) = acts::refuse_statement(statement, act) {
                self.diagnostics.push(told);
                return;
            }
        }
        match &statement.kind {
            S::Version(version) => self.version(version, false, statement.span),
            S::Include { .. } => {}
            S::Show { title, venue, date } => self.show(title, venue.as_ref(), date.as_ref(), statement.span),
            S::Rate(rate) => self.rate(rate, statement.span),
            S::Clock(clock) => self.clock(clock, statement.span),
            S::Carrier(_) | S::Kind(_) | S::Feed(_) | S::Mic(_) | S::Model(_) => self.describe(statement),
            S::Act(act) => self.act(act, statement.span, stand),
            S::Expect(expect) => {
                let expect = At::new(expect.clone(), statement.span);
                self.expects_of(stand.act).push(expect);
            }
            S::Allow { rule, on, because } => self.allows.push(Allow {
                rule: rule.clone(),
                on: on.clone(),
                because: because.clone(),
                span: statement.span,
                act: stand.act.map(str::to_string),
            }),
            S::Change { what, attrs } => self.op(what, Some(attrs.clone()), statement.span, stand),
            S::Without { what } => self.op(what, None, statement.span, stand),
            _ => self.patch_statement(statement, stand.act),
        }
    }

    fn op(&mut self, what: &ast::What, attrs: Option<Vec<ast::Attr>>, span: Span, stand: Stand<'_>) {
        let act = stand.act.map(str::to_string);
        self.ops.push(Op { file: stand.file, act, span, what: what.clone(), attrs });
    }

    fn expects_of(&mut self, act: Option<&str>) -> &mut Vec<At<ast::Expect>> {
        match self.acts.iter_mut().find(|draft| Some(draft.name.value.as_str()) == act) {
            Some(draft) => &mut draft.expects,
            None => &mut self.expects,
        }
    }

    fn patch_of(&mut self, act: Option<&str>) -> &mut Patch {
        match self.acts.iter_mut().find(|draft| Some(draft.name.value.as_str()) == act) {
            Some(draft) => &mut draft.own,
            None => &mut self.house,
        }
    }

    fn show(&mut self, title: &ast::Text, venue: Option<&ast::Text>, date: Option<&At<ast::Date>>, span: Span) {
        match &self.head {
            Some(head) => {
                let told = Diagnostic::error("said-twice", span, "this file says `show` twice");
                self.diagnostics.push(told.label(head.span, "first said here").help("keep one of them"));
            }
            None => {
                self.head = Some(Head { title: title.clone(), venue: venue.cloned(), date: date.cloned(), span });
            }
        }
    }

    fn rate(&mut self, rate: &At<Quantity>, span: Span) {
        match &self.rate {
            Some(first) => self.said_twice("rate", first.span, span),
            None => self.rate = Some(rate.clone()),
        }
    }

    fn clock(&mut self, clock: &Name, span: Span) {
        match &self.clock {
            Some(first) => self.said_twice("clock", first.span, span),
            None => self.clock = Some(clock.clone()),
        }
    }

    fn said_twice(&mut self, word: &str, first: Span, again: Span) {
        let message = format!("the show's `{word}` is said twice");
        let told = Diagnostic::error("said-twice", again, message)
            .label(first, "first said here")
            .help(format!("to replace the first, write `change {word} …`; else take one of them out"));
        self.diagnostics.push(told);
    }

    /// Descriptions of gear belong to no act, wherever they stand: one reached twice is one.
    fn describe(&mut self, statement: &Statement) {
        let mut said = |word: &str, name: &Name| {
            self.library.said.entry(format!("{word} {}", name.value)).or_insert(statement.span);
        };
        match &statement.kind {
            S::Model(model) => said("model", &model.name),
            S::Carrier(carrier) => said("carrier", &carrier.name),
            S::Kind(kind) => said("kind", &kind.name),
            S::Mic(mic) => said("mic", &mic.name),
            _ => {}
        }
        match &statement.kind {
            S::Model(model) => {
                let free = self.claim(Shelf::Model, &model.name, "model");
                self.library.models.extend(free.then(|| model.clone()));
            }
            S::Carrier(carrier) => {
                let free = self.claim(Shelf::Carrier, &carrier.name, "carrier");
                self.library.carriers.extend(free.then(|| carrier.clone()));
            }
            S::Kind(kind) => {
                let free = self.claim_mic(&kind.name, "kind");
                self.library.kinds.extend(free.then(|| kind.clone()));
            }
            S::Mic(mic) => {
                let free = self.claim_mic(&mic.name, "mic");
                self.library.mics.extend(free.then(|| mic.clone()));
            }
            S::Feed(feed) => {
                let pair =
                    Name::new(format!("{} to {}", feed.from.value, feed.to.value), feed.from.span.to(feed.to.span));
                if self.claim(Shelf::Feed, &pair, "feed") {
                    self.library.feeds.push(feed.clone());
                }
            }
            _ => {}
        }
    }

    fn claim_mic(&mut self, name: &Name, noun: &'static str) -> bool {
        if ROW_WORDS.contains(&name.value.as_str()) {
            let message =
                format!("no {noun} can be called `{}`: in an input row that word says something else", name.value);
            let told = Diagnostic::error("mic-named-like-an-attribute", name.span, message);
            self.diagnostics.push(told.help(format!("give the {noun} another name, as `my-{}`", name.value)));
            return false;
        }
        self.claim(Shelf::Mic, name, noun)
    }

    /// Whether the name was free on that shelf. A second declaration is told, the same one reached
    /// twice is not.
    fn claim(&mut self, shelf: Shelf, name: &Name, noun: &'static str) -> bool {
        let declared = Declared { noun, span: name.span, fixed: false };
        self.claim_as(shelf, name, declared)
    }

    fn claim_as(&mut self, shelf: Shelf, name: &Name, declared: Declared) -> bool {
        use std::collections::hash_map::Entry;
        match self.names.entry((shelf, name.value.clone())) {
            Entry::Vacant(free) => {
                free.insert(declared);
                true
            }
            Entry::Occupied(taken) => {
                let first = taken.get().clone();
                if first.span != declared.span {
                    self.diagnostics.push(tell_twice(&name.value, &first, &declared));
                }
                false
            }
        }
    }

    fn act(&mut self, act: &ast::Act, span: Span, stand: Stand<'_>) {
        let declared = Declared { noun: "act", span: act.name.span, fixed: true };
        if !self.claim_as(Shelf::Thing(None), &act.name, declared) {
            return;
        }
        self.acts.push(ActDraft {
            name: act.name.clone(),
            title: act.title.clone(),
            from: act.from.clone(),
            to: act.to.clone(),
            span,
            own: Patch::default(),
            expects: Vec::new(),
        });
        let inside = Stand { in_root: true, act: Some(&act.name.value), ..stand };
        for statement in &act.statements {
            self.statement(statement, inside);
        }
    }

    fn patch_statement(&mut self, statement: &Statement, act: Option<&str>) {
        let span = statement.span;
        match &statement.kind {
            S::Device(device) => self.device(device, span, act),
            S::Inputs { desk, rows } => self.inputs(desk.as_ref(), rows, act),
            S::Group { name, members } => {
                let declared = Declared { noun: "group", span: name.span, fixed: false };
                if self.claim_as(thing(act), name, declared) {
                    let group = Group { name: name.clone(), members: members.clone() };
                    self.patch_of(act).groups.push(Row::new(group, span, act));
                }
            }
            _ => plain_statement(self.patch_of(act), statement, act),
        }
    }

    fn device(&mut self, device: &ast::Device, span: Span, act: Option<&str>) {
        let declared = Declared { noun: device.word.value.word(), span: device.name.span, fixed: true };
        if self.claim_as(thing(act), &device.name, declared) {
            self.patch_of(act).devices.push(Row::new(device.clone(), span, act));
        }
    }

    fn inputs(&mut self, desk: Option<&Name>, rows: &[InputRow], act: Option<&str>) {
        for row in rows {
            let declared = Declared { noun: "source", span: row.name.span, fixed: false };
            if attrs::declares(row) && !self.claim_as(thing(act), &row.name, declared) {
                continue;
            }
            let input = Input { desk: desk.cloned(), row: row.clone() };
            self.patch_of(act).inputs.push(Row::new(input, row.span, act));
        }
    }

    /// An act's names come first inside it, but a device or an act keeps its name everywhere.
    pub fn tell_shadowed(&mut self) {
        let mut told: BTreeMap<Span, Diagnostic> = BTreeMap::new();
        for ((shelf, name), inner) in &self.names {
            let Shelf::Thing(Some(_)) = shelf else { continue };
            let Some(outer) = self.names.get(&(Shelf::Thing(None), name.clone())) else { continue };
            if inner.fixed || outer.fixed {
                told.insert(inner.span, tell_twice(name, outer, inner));
            }
        }
        self.diagnostics.extend(told.into_values());
    }

    /// Every name that stands in the house or in one of its acts, for "did you mean".
    pub fn act_names(&self) -> BTreeSet<String> {
        self.acts.iter().map(|act| act.name.value.clone()).collect()
    }
}

fn thing(act: Option<&str>) -> Shelf {
    Shelf::Thing(act.map(str::to_string))
}

fn tell_twice(name: &str, first: &Declared, again: &Declared) -> Diagnostic {
    let message = match first.noun == again.noun {
        true => format!("the {} `{name}` is declared twice", again.noun),
        false => format!("`{name}` is the name of a {} already, and now of a {}", first.noun, again.noun),
    };
    let help = match (first.noun, again.noun) {
        ("source", "source") => format!(
            "to change the first write `change input {name} …`; to put it on a second channel write just \
             the channel and `{name}`; for another source choose another name"
        ),
        ("group", "group") => format!(
            "a group has one list: write all its names there, or `change group {name} of …` with the whole list in a \
             file that includes it; for another group choose another name"
        ),
        ("act", "act") => format!(
            "to change what the first holds put its name before, as in `change input {name}.kick …`; for another act \
             choose another name"
        ),
        (a, b) if a == b && !matches!(a, "model" | "mic" | "kind" | "carrier" | "feed" | "act") => {
            format!("to change the first write `change {a} {name} …`; for another {a} choose another name")
        }
        _ => "give one of them another name".to_string(),
    };
    Diagnostic::error("name-declared-twice", again.span, message)
        .label(first.span, "first declared here")
        .help(help)
        .about(name)
}

/// The statements that declare no name.
fn plain_statement(patch: &mut Patch, statement: &Statement, act: Option<&str>) {
    let span = statement.span;
    match &statement.kind {
        S::Link { from, to, attrs } => {
            let link = Link { from: from.clone(), to: to.clone(), attrs: attrs.clone() };
            patch.links.push(Row::new(link, span, act));
        }
        S::Loom { from, to, attrs } => {
            let loom = Loom { from: from.clone(), to: to.clone(), attrs: attrs.clone() };
            patch.looms.push(Row::new(loom, span, act));
        }
        S::SpareCable(attrs) => patch.spare_cables.push(Row::new(attrs.clone(), span, act)),
        S::InputsSame { desk, of } => {
            patch.same_inputs.push(Row::new(SameInputs { desk: desk.clone(), of: of.clone() }, span, act));
        }
        S::Outputs { desk, rows } => patch
            .outputs
            .extend(rows.iter().map(|row| Row::new(Output { desk: desk.clone(), row: row.clone() }, row.span, act))),
        S::Personal { desk, rows } => patch
            .personal
            .extend(rows.iter().map(|row| Row::new(Personal { desk: desk.clone(), row: row.clone() }, row.span, act))),
        S::Record { what, desk, lasts } => {
            let record = Record { what: what.clone(), desk: desk.clone(), lasts: lasts.clone() };
            patch.records.push(Row::new(record, span, act));
        }
        S::Keep { what, out_of } => {
            patch.keeps.push(Row::new(Keep { what: what.clone(), out_of: out_of.clone() }, span, act));
        }
        S::Set { to, from } => patch.sets.push(Row::new(Set { to: to.clone(), from: from.clone() }, span, act)),
        _ => {}
    }
}
