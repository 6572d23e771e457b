//! A file's statements and rows as a tree of names, for finding one's way.

use super::index::{Index, Role, Symbol};
use crate::Compiled;
use crate::source::{FileId, Span};
use crate::syntax::ast::{Statement, StatementKind};

/// What an entry stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    Show,
    Device,
    /// A list of rows.
    List,
    Source,
    Output,
    Group,
    Act,
    Model,
    /// A bank, port or block of a model.
    Part,
    Kind,
    Cable,
    Change,
    /// What must hold.
    Promise,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Entry {
    pub name: String,
    /// The rest of the row, as far as it fits: `dynamic from stage 3`.
    pub detail: String,
    pub sort: Sort,
    pub span: Span,
    /// Its name within `span`.
    pub at: Span,
    pub inside: Vec<Entry>,
}

/// The longest detail, in characters.
const DETAIL: usize = 60;

pub fn outline(compiled: &Compiled, file: FileId) -> Vec<Entry> {
    let statements = compiled.parsed.get(&file).map(|parsed| parsed.statements.as_slice()).unwrap_or_default();
    statements.iter().filter_map(|statement| entry(compiled, statement)).collect()
}

/// Every name that the files of the show declare themselves, with what it stands for.
pub fn declared<'i>(compiled: &'i Compiled, index: &'i Index) -> impl Iterator<Item = (&'i str, Sort, Span)> {
    let of_show = |span: Span| compiled.sources.get(span.file).is_some_and(|file| file.path.is_some());
    let all = index.symbols().flat_map(|symbol| index.declarations(symbol));
    let own = all.filter(move |name| name.role == Role::Declares && of_show(name.span));
    own.map(|name| (name.symbol.name(), sort_of(&name.symbol), name.span))
}

fn sort_of(symbol: &Symbol) -> Sort {
    match symbol {
        Symbol::Device(_) => Sort::Device,
        Symbol::Source { .. } => Sort::Source,
        Symbol::Group { .. } => Sort::Group,
        Symbol::Act(_) => Sort::Act,
        Symbol::Model(_) => Sort::Model,
        Symbol::Part { .. } => Sort::Part,
        Symbol::Kind(_) | Symbol::Mic(_) | Symbol::Carrier(_) => Sort::Kind,
        Symbol::Rule(_) => Sort::Promise,
    }
}

fn entry(compiled: &Compiled, statement: &Statement) -> Option<Entry> {
    let inside = |rows: Vec<Entry>, sort: Sort| whole(compiled, statement, sort, rows);
    let row = |span: Span, at: Span, sort: Sort| named(compiled, span, at, sort);
    let name = |at: Span, sort: Sort| named(compiled, statement.span, at, sort);
    Some(match &statement.kind {
        StatementKind::Show { title, .. } => name(title.span, Sort::Show),
        StatementKind::Device(device) => name(device.name.span, Sort::Device),
        StatementKind::Group { name: group, .. } => name(group.span, Sort::Group),
        StatementKind::Mic(mic) => name(mic.name.span, Sort::Kind),
        StatementKind::Kind(kind) => name(kind.name.span, Sort::Kind),
        StatementKind::Carrier(carrier) => name(carrier.name.span, Sort::Kind),
        StatementKind::Inputs { rows, .. } => {
            inside(rows.iter().map(|one| row(one.span, one.name.span, Sort::Source)).collect(), Sort::List)
        }
        StatementKind::Outputs { rows, .. } => {
            let bank = |one: &crate::syntax::ast::OutputRow| one.bank.span.to(one.numbers.span);
            inside(rows.iter().map(|one| row(one.span, bank(one), Sort::Output)).collect(), Sort::List)
        }
        StatementKind::Personal { rows, .. } => {
            inside(rows.iter().map(|one| row(one.span, one.numbers.span, Sort::Output)).collect(), Sort::List)
        }
        StatementKind::Model(model) => {
            let parts = model.items.iter().map(|item| row(item.span, item.span, Sort::Part)).collect();
            Entry { inside: parts, ..name(model.name.span, Sort::Model) }
        }
        StatementKind::Act(act) => {
            let own = act.statements.iter().filter_map(|one| entry(compiled, one)).collect();
            Entry { inside: own, ..name(act.name.span, Sort::Act) }
        }
        StatementKind::InputsSame { .. } => inside(Vec::new(), Sort::List),
        StatementKind::Link { .. } | StatementKind::Loom { .. } | StatementKind::SpareCable(_) => {
            inside(Vec::new(), Sort::Cable)
        }
        StatementKind::Change { .. } | StatementKind::Without { .. } => inside(Vec::new(), Sort::Change),
        StatementKind::Record { .. }
        | StatementKind::Keep { .. }
        | StatementKind::Set { .. }
        | StatementKind::Expect(_)
        | StatementKind::Allow { .. } => inside(Vec::new(), Sort::Promise),
        StatementKind::Version(_)
        | StatementKind::Include { .. }
        | StatementKind::Rate(_)
        | StatementKind::Clock(_)
        | StatementKind::Feed(_) => return None,
    })
}

/// A row with a name: what stands after the name on its first line is the detail.
fn named(compiled: &Compiled, span: Span, at: Span, sort: Sort) -> Entry {
    let said = |span: Span| compiled.sources.text_at(span);
    let rest = said(Span { start: at.end.min(span.end), ..span });
    let name = said(Span { end: at.end.min(span.end).max(at.start), ..at });
    let name = name.trim_matches(['"', '\u{201c}', '\u{201d}']);
    Entry { name: one_line(name), detail: one_line(rest), sort, span, at: inside_of(span, at), inside: Vec::new() }
}

/// A statement that goes by what it says: `inputs foh`, `record all inputs but talkback`.
fn whole(compiled: &Compiled, statement: &Statement, sort: Sort, inside: Vec<Entry>) -> Entry {
    let name = one_line(compiled.sources.text_at(statement.span));
    Entry { name, detail: String::new(), sort, span: statement.span, at: statement.word, inside }
}

fn inside_of(span: Span, at: Span) -> Span {
    if span.holds(at) { at } else { Span { end: span.start, ..span } }
}

/// The first line up to a block or comment, blanks as one.
fn one_line(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default().split(['{', '#']).next().unwrap_or_default();
    let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(DETAIL) {
        Some((cut, _)) => format!("{}…", line.get(..cut).unwrap_or_default()),
        None => line,
    }
}
