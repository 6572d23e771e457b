//! Every name that the files of a show say, where it stands, and what it is the name of. Names are looked up
//! as the language looks them up; one that means nothing is not in the list.

mod scope;
#[cfg(test)]
mod tests;
mod walk;

use crate::Compiled;
use crate::source::{FileId, Span};
use crate::syntax::Parsed;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::Arc;

/// What has a name. Equal symbols are the same thing, in whichever file.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Symbol {
    /// A desk, box, hub, snake, split, recorder, or gear that others bring.
    Device(String),
    /// A row of an input list. `act` where it is that act's own.
    Source {
        act: Option<String>,
        name: String,
    },
    Group {
        act: Option<String>,
        name: String,
    },
    Act(String),
    Model(String),
    /// A bank, port or named block.
    Part {
        of: Owner,
        name: String,
    },
    /// A kind of source or of signal: `condenser`.
    Kind(String),
    /// A microphone by its own name.
    Mic(String),
    Carrier(String),
    /// A rule of the catalogue.
    Rule(String),
}

/// What a bank belongs to: a model, or a device that says its banks itself.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Owner {
    Model(String),
    Device(String),
}

/// What a place does with a name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Role {
    Declares,
    Uses,
    /// A `change` of it.
    Changes,
    /// A `without` that takes it out.
    TakesOut,
}

/// A name at a place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NameAt {
    pub span: Span,
    pub symbol: Symbol,
    pub role: Role,
    /// The row or statement that says it.
    pub row: Span,
}

impl Symbol {
    /// The name alone, as it is written.
    pub fn name(&self) -> &str {
        match self {
            Symbol::Device(name)
            | Symbol::Source { name, .. }
            | Symbol::Group { name, .. }
            | Symbol::Act(name)
            | Symbol::Model(name)
            | Symbol::Part { name, .. }
            | Symbol::Kind(name)
            | Symbol::Mic(name)
            | Symbol::Carrier(name)
            | Symbol::Rule(name) => name,
        }
    }
}

/// Files that only an act's braces include, through others too, with that act.
fn files_of_acts(compiled: &Compiled) -> BTreeMap<FileId, String> {
    let mut of_house: BTreeSet<FileId> = compiled.parsed.keys().copied().collect();
    for include in &compiled.includes {
        of_house.remove(&include.to);
    }
    of_house.insert(compiled.root);
    let mut of_act: BTreeMap<FileId, String> = BTreeMap::new();
    // A pass for each file is as deep as includes can go.
    for _ in 0..compiled.includes.len() {
        for include in &compiled.includes {
            let act = include.act.clone().or_else(|| of_act.get(&include.from).cloned());
            match act {
                Some(act) => {
                    of_act.entry(include.to).or_insert(act);
                }
                None if of_house.contains(&include.from) => {
                    of_house.insert(include.to);
                }
                None => {}
            }
        }
    }
    of_act.retain(|file, _| !of_house.contains(file));
    of_act
}

/// All names of a show.
#[derive(Clone, Debug, Default)]
pub struct Index {
    /// By file and place.
    names: Vec<NameAt>,
    /// Which of `names` are each symbol's, in their order.
    by_symbol: BTreeMap<Symbol, Vec<usize>>,
}

impl Index {
    pub fn of(compiled: &Compiled) -> Index {
        let acts = files_of_acts(compiled);
        let scope = scope::Scope::of(compiled, &acts);
        let of_file = |(file, parsed): (&FileId, &Arc<Parsed>)| {
            walk::names(&parsed.statements, &scope, acts.get(file).map(String::as_str))
        };
        let mut names: Vec<NameAt> = compiled.parsed.iter().flat_map(of_file).collect();
        names.sort_by_key(|name| (name.span, name.role));
        names.dedup_by_key(|name| name.span);
        let mut by_symbol: BTreeMap<Symbol, Vec<usize>> = BTreeMap::new();
        for (at, name) in names.iter().enumerate() {
            by_symbol.entry(name.symbol.clone()).or_default().push(at);
        }
        Index { names, by_symbol }
    }

    /// The name that a cursor at this byte stands in or touches the end of.
    pub fn at(&self, file: FileId, offset: u32) -> Option<&NameAt> {
        let after = self.names.partition_point(|name| (name.span.file, name.span.start) <= (file, offset));
        let before = self.names.get(..after)?.last()?;
        (before.span.file == file && offset <= before.span.end).then_some(before)
    }

    /// Every name of a file, in order.
    pub fn in_file(&self, file: FileId) -> &[NameAt] {
        self.within(file, 0..u32::MAX)
    }

    /// Every name of a file that starts in these bytes, in order.
    pub fn within(&self, file: FileId, bytes: Range<u32>) -> &[NameAt] {
        let place = |at: u32| self.names.partition_point(|name| (name.span.file, name.span.start) < (file, at));
        self.names.get(place(bytes.start)..place(bytes.end)).unwrap_or(&[])
    }

    /// Every place that says this name, in order of files and places.
    pub fn places<'i>(&'i self, symbol: &Symbol) -> impl Iterator<Item = &'i NameAt> {
        self.by_symbol.get(symbol).into_iter().flatten().filter_map(|at| self.names.get(*at))
    }

    /// Where it is declared. A source that several lists have is declared where it is said what it is.
    pub fn declarations<'i>(&'i self, symbol: &Symbol) -> impl Iterator<Item = &'i NameAt> {
        self.places(symbol).filter(|name| name.role == Role::Declares)
    }

    pub fn symbols(&self) -> impl Iterator<Item = &Symbol> {
        self.by_symbol.keys()
    }
}
