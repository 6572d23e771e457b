//! One statement of a text that is cut, with the comments after it: what it declares, and every word in it,
//! since any of them may be a name.

use crate::project::attrs;
use crate::rules;
use crate::source::{FileId, Lines};
use crate::syntax::ast::{DeviceWord, Name, Sources, Statement, StatementKind as S};
use crate::syntax::{TokenKind, nfc, parse};
use rustc_hash::FxHasher;
use std::hash::Hasher;
use std::sync::atomic::{AtomicU64, Ordering};

pub(super) struct Chunk {
    /// Two chunks have never the same.
    pub id: u64,
    pub text: Box<str>,
    /// How many line ends it has.
    pub lines: u32,
    pub stands: Stands,
    pub declares: Vec<Declared>,
    /// What no other part may know of: the names that it declares, and how they look.
    pub keys: Vec<Key>,
    /// What joins it to who declares that. Sorted.
    pub words: Vec<Key>,
    /// Words of rows that could not be read. Sorted.
    pub broken: Vec<Key>,
}

/// A name, by its hash: two names of one hash are one too many, which joins what need not be joined.
pub(super) type Key = u64;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Stands {
    /// In every part: it holds everywhere, and names no gear.
    Everywhere,
    /// `allow`, which is for all parts together.
    Over,
    Once,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Declared {
    pub sort: Sort,
    pub name: String,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Sort {
    Desk,
    Gear,
    Source,
    Group,
}

static NEXT: AtomicU64 = AtomicU64::new(0);

impl Chunk {
    /// `None` for what looks at the whole show.
    pub fn read(text: &str, first: bool) -> Option<Chunk> {
        let parsed = parse(FileId(0), text);
        let mut stands = None;
        let mut chunk = Chunk {
            id: NEXT.fetch_add(1, Ordering::Relaxed),
            text: text.into(),
            lines: u32::try_from(Lines::of(text).count()).ok()?.saturating_sub(1),
            stands: Stands::Once,
            declares: Vec::new(),
            keys: Vec::new(),
            words: Vec::new(),
            broken: parsed.broken.iter().map(|word| key(word)).collect(),
        };
        for (at, statement) in parsed.statements.iter().enumerate() {
            let here = stands_as(statement, first && at == 0)?;
            if *stands.get_or_insert(here) != here {
                return None;
            }
            chunk.declare(statement);
        }
        chunk.stands = stands.unwrap_or(Stands::Once);
        let words = parsed.tokens.iter().filter(|token| token.kind == TokenKind::Word);
        chunk.words.extend(words.map(|token| key(&nfc(token.text(text)))));
        sort(&mut chunk.keys);
        sort(&mut chunk.words);
        sort(&mut chunk.broken);
        Some(chunk)
    }

    /// Whether the same chunks are joined with either.
    pub fn joins_like(&self, other: &Chunk) -> bool {
        (self.stands, &self.declares, &self.keys, &self.words)
            == (other.stands, &other.declares, &other.keys, &other.words)
    }

    fn declare(&mut self, statement: &Statement) {
        match &statement.kind {
            S::Device(device) if device.word.value == DeviceWord::Desk => self.name(Sort::Desk, &device.name),
            S::Device(device) => self.name(Sort::Gear, &device.name),
            S::Group { name, .. } => self.name(Sort::Group, name),
            // A second one is told with the first.
            S::Clock(_) => self.keys.push(key("\0clock")),
            S::Inputs { rows, .. } => {
                for row in rows.iter().filter(|row| attrs::declares(row)) {
                    self.name(Sort::Source, &row.name);
                    self.keys.push(key(&format!("\0{}", rules::names_alike::as_seen(&row.name.value))));
                    self.words.extend(rules::kin(&row.name.value).iter().map(|name| key(name)));
                }
            }
            _ => {}
        }
    }

    fn name(&mut self, sort: Sort, name: &Name) {
        self.keys.push(key(&name.value));
        self.declares.push(Declared { sort, name: name.value.clone() });
    }
}

pub(super) fn key(name: &str) -> Key {
    let mut hasher = FxHasher::default();
    hasher.write(name.as_bytes());
    hasher.finish()
}

fn sort(keys: &mut Vec<Key>) {
    keys.sort_unstable();
    keys.dedup();
    keys.shrink_to_fit();
}

fn stands_as(statement: &Statement, first: bool) -> Option<Stands> {
    match &statement.kind {
        S::Version(_) => first.then_some(Stands::Everywhere),
        S::Show { .. } | S::Rate(_) | S::SpareCable(_) => Some(Stands::Everywhere),
        S::Carrier(_) | S::Kind(_) | S::Feed(_) | S::Mic(_) | S::Model(_) => Some(Stands::Everywhere),
        S::Record { what: Sources::All { but: None, .. }, desk: None, .. } => Some(Stands::Everywhere),
        S::Allow { .. } => Some(Stands::Over),
        S::Inputs { desk, .. } | S::Outputs { desk, .. } | S::Personal { desk, .. } | S::Record { desk, .. } => {
            desk.as_ref().map(|_| Stands::Once)
        }
        S::Clock(_) | S::Device(_) | S::Link { .. } | S::Loom { .. } | S::InputsSame { .. } => Some(Stands::Once),
        S::Keep { .. } | S::Group { .. } | S::Set { .. } => Some(Stands::Once),
        S::Include { .. } | S::Act(_) | S::Expect(_) | S::Change { .. } | S::Without { .. } => None,
    }
}
