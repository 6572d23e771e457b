//! A show as one list of declarations: includes followed, changes applied, acts laid over the house.
//! Names are not resolved to devices or sources yet.

use crate::quantity::Quantity;
use crate::source::{At, FileId, Span};
use crate::syntax::ast::{self, Attr, Dotted, Name, Terms, Text};
use std::collections::{BTreeMap, BTreeSet};

/// Everything that the root and its includes say.
#[derive(Clone, Debug, Default)]
pub struct Show {
    pub root: Option<FileId>,
    pub head: Option<Head>,
    /// The files of this show in the order in which they were first included; std is not among them.
    pub files: Vec<FileId>,
    pub rate: Option<At<Quantity>>,
    pub clock: Option<Name>,
    pub library: Library,
    /// What holds in every act.
    pub house: Patch,
    /// By start time (those without last), then name.
    pub acts: Vec<Act>,
    pub expects: Vec<At<ast::Expect>>,
    pub allows: Vec<Allow>,
    /// Every word in statements and rows that could not be read: a name missed elsewhere may have been
    /// declared there, so nobody complains about it.
    pub broken: BTreeSet<String>,
    /// One part of a show that has more desks.
    pub part: bool,
    /// A file could not be read: what a name misses may be declared there, so nobody complains.
    pub incomplete: bool,
    /// Names that `without` took out, with the place that did it.
    pub taken_out: Vec<At<String>>,
    /// The rows of changes, for `explain`-like output: which thing, which attribute, old and new place.
    pub changes: Vec<Changed>,
    /// Rows that `without` took out.
    pub removed: Vec<Removed>,
}

#[derive(Clone, Debug)]
pub struct Head {
    pub title: Text,
    pub venue: Option<Text>,
    pub date: Option<At<ast::Date>>,
    pub span: Span,
}

/// What std and the files declare about gear. A later declaration of the same name has been reported.
#[derive(Clone, Debug, Default)]
pub struct Library {
    pub models: Vec<ast::Model>,
    pub carriers: Vec<ast::Carrier>,
    pub kinds: Vec<ast::Kind>,
    pub feeds: Vec<ast::Feed>,
    pub mics: Vec<ast::Mic>,
    /// Where each is said, whole: by its word and name, `model box-16x8`.
    pub said: BTreeMap<String, Span>,
}

/// The rows and gear of the house, or of one act with the house's. Rows stand in the order of files
/// and lines, which nothing may depend on but the order of messages.
#[derive(Clone, Debug, Default)]
pub struct Patch {
    pub devices: Vec<Row<ast::Device>>,
    pub links: Vec<Row<Link>>,
    pub looms: Vec<Row<Loom>>,
    pub spare_cables: Vec<Row<Vec<Attr>>>,
    pub inputs: Vec<Row<Input>>,
    /// `inputs monitors same as foh`
    pub same_inputs: Vec<Row<SameInputs>>,
    pub outputs: Vec<Row<Output>>,
    pub personal: Vec<Row<Personal>>,
    pub records: Vec<Row<Record>>,
    pub keeps: Vec<Row<Keep>>,
    pub groups: Vec<Row<Group>>,
    pub sets: Vec<Row<Set>>,
}

/// A declaration with what became of it. The node's attributes are those that hold: a changed one has
/// the span of the change that set it.
#[derive(Clone, Debug)]
pub struct Row<T> {
    pub node: T,
    /// The whole row or statement as first declared.
    pub span: Span,
    /// The changes that touched it, base first.
    pub changed_by: Vec<Span>,
    /// Declared inside this act.
    pub act: Option<String>,
}

#[derive(Clone, Debug)]
pub struct Link {
    pub from: Dotted,
    pub to: Dotted,
    pub attrs: Vec<Attr>,
}

#[derive(Clone, Debug)]
pub struct Loom {
    pub from: Terms,
    pub to: Terms,
    pub attrs: Vec<Attr>,
}

#[derive(Clone, Debug)]
pub struct Input {
    pub desk: Option<Name>,
    pub row: ast::InputRow,
}

#[derive(Clone, Debug)]
pub struct SameInputs {
    pub desk: Name,
    pub of: Name,
}

#[derive(Clone, Debug)]
pub struct Output {
    pub desk: Option<Name>,
    pub row: ast::OutputRow,
}

#[derive(Clone, Debug)]
pub struct Personal {
    pub desk: Option<Name>,
    pub row: ast::PersonalRow,
}

#[derive(Clone, Debug)]
pub struct Record {
    pub what: ast::Sources,
    pub desk: Option<Name>,
    /// How long it runs, where that is said.
    pub lasts: Option<At<Quantity>>,
}

#[derive(Clone, Debug)]
pub struct Keep {
    pub what: Terms,
    pub out_of: Vec<Name>,
}

#[derive(Clone, Debug)]
pub struct Group {
    pub name: Name,
    pub members: Terms,
}

#[derive(Clone, Debug)]
pub struct Set {
    pub to: Terms,
    pub from: Terms,
}

#[derive(Clone, Debug)]
pub struct Act {
    pub name: Name,
    pub title: Option<Text>,
    pub from: Option<At<ast::Time>>,
    pub to: Option<At<ast::Time>>,
    pub span: Span,
    /// The house's rows after this act's changes, and the act's own (`Row::act` is its name). An own
    /// row that stands on a house row's channel, mix or socket has not replaced it yet: `wants` does,
    /// since only there is a socket known.
    pub patch: Patch,
    /// What must hold in this act: the house's expectations without the names that the act takes out,
    /// and its own.
    pub expects: Vec<At<ast::Expect>>,
    /// Names that this act's `without` took out of the house, with the place that did it.
    pub taken_out: Vec<At<String>>,
}

#[derive(Clone, Debug)]
pub struct Allow {
    pub rule: Name,
    pub on: Option<Terms>,
    pub because: Option<Text>,
    pub span: Span,
    pub act: Option<String>,
}

/// One attribute that a `change` set, for showing where a value came from.
#[derive(Clone, Debug)]
pub struct Changed {
    /// `input kick-in`
    pub thing: String,
    /// `from`
    pub attribute: String,
    /// Where it stood before, where it did.
    pub before: Option<Span>,
    pub now: Span,
    pub act: Option<String>,
}

/// A row that is not there, and the line that took it out.
#[derive(Clone, Debug)]
pub struct Removed {
    pub row: Span,
    pub by: Span,
    /// In this act alone.
    pub act: Option<String>,
}

impl<T> Row<T> {
    pub fn new(node: T, span: Span, act: Option<&str>) -> Self {
        Row { node, span, changed_by: Vec::new(), act: act.map(str::to_string) }
    }
}
