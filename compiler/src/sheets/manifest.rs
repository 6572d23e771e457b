//! What a folder says of the pack in it: which sheets, and the mark of each. By it an old pack is held against the
//! show as it is now.

use super::forms::File;
use super::mark;
use super::sheet::{Head, Pack, Sheet};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// The format: 1.
    pub fantail: u32,
    pub show: Head,
    /// Of the plan; it stands on every page.
    pub mark: String,
    /// In the order of the book.
    pub sheets: Vec<Entry>,
    /// All files of the pack but this one, by name.
    pub files: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    pub slug: String,
    pub title: String,
    pub reader: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub act: Option<String>,
    /// Of what stands on this sheet, whatever the others say and whatever mark the plan has.
    pub mark: String,
}

/// A sheet that no longer matches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Off<'a> {
    pub slug: &'a str,
    pub title: &'a str,
    pub reader: &'a str,
    pub how: Stale,
}

/// How a sheet on paper stands to the show as it is now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stale {
    /// It says something else now.
    Changed,
    /// There is no such sheet any more.
    Gone,
    /// It was not there.
    New,
}

impl Stale {
    /// What to do with it.
    pub fn word(self) -> &'static str {
        match self {
            Stale::Changed => "print again",
            Stale::Gone => "take away: no longer in the pack",
            Stale::New => "print: it is new",
        }
    }
}

impl Manifest {
    pub const NAME: &str = "pack.json";

    pub fn of(pack: &Pack, files: &[File]) -> Manifest {
        let mut files: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
        files.sort();
        let sheets = pack.sheets.iter().map(|sheet| Entry::of(sheet, &pack.mark)).collect();
        Manifest { fantail: 1, show: pack.head.clone(), mark: pack.mark.clone(), sheets, files }
    }

    pub fn file(&self) -> File {
        // Plain data always has a form as JSON.
        let mut bytes = serde_json::to_vec_pretty(self).unwrap_or_default();
        bytes.push(b'\n');
        File { name: Self::NAME.to_string(), bytes }
    }

    /// The sheets that no longer match, in the order of the book; those that are gone last. None where the head of
    /// every page still holds and every sheet says what it said.
    pub fn stale<'a>(&'a self, pack: &'a Pack) -> Vec<Off<'a>> {
        let same_head = self.show == pack.head;
        let same = |entry: &Entry, sheet: &Sheet| same_head && entry.mark == mark::of_sheet(sheet, &pack.mark);
        off(&self.sheets, |entry| [&entry.slug, &entry.title, &entry.reader], &pack.sheets, same)
    }
}

/// Which sheets are not the same as before. Of what was before the slug, the title and the reader are asked.
pub(super) fn off<'a, E>(
    before: &'a [E],
    named: impl Fn(&'a E) -> [&'a str; 3],
    now: &'a [Sheet],
    same: impl Fn(&E, &Sheet) -> bool,
) -> Vec<Off<'a>> {
    let told = |[slug, title, reader]: [&'a str; 3], how| Off { slug, title, reader, how };
    let mut left: BTreeMap<&str, &E> = before.iter().map(|entry| (slug_of(named(entry)), entry)).collect();
    let mut off = Vec::new();
    for sheet in now {
        let how = match left.remove(sheet.slug.as_str()) {
            Some(entry) if same(entry, sheet) => continue,
            Some(_) => Stale::Changed,
            None => Stale::New,
        };
        off.push(told([&sheet.slug, &sheet.title, sheet.reader], how));
    }
    let gone = before.iter().map(named).filter(|named| left.contains_key(slug_of(*named)));
    off.extend(gone.map(|named| told(named, Stale::Gone)));
    off
}

fn slug_of([slug, ..]: [&str; 3]) -> &str {
    slug
}

impl Entry {
    fn of(sheet: &Sheet, of_plan: &str) -> Entry {
        Entry {
            slug: sheet.slug.clone(),
            title: sheet.title.clone(),
            reader: sheet.reader.to_string(),
            act: sheet.act.clone(),
            mark: mark::of_sheet(sheet, of_plan),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;
    use crate::sheets::Part;

    fn sheet(slug: &str, words: &str) -> Sheet {
        Sheet {
            slug: slug.into(),
            title: slug.to_uppercase(),
            parts: vec![Part::Words(words.into())],
            ..Sheet::default()
        }
    }

    fn pack(sheets: &[(&str, &str)]) -> Pack {
        Pack { sheets: sheets.iter().map(|(slug, words)| sheet(slug, words)).collect(), ..Pack::default() }
    }

    fn found<'a>(old: &'a Manifest, now: &'a Pack) -> Vec<(&'a str, Stale)> {
        old.stale(now).into_iter().map(|off| (off.title, off.how)).collect()
    }

    #[test]
    fn the_mark_of_the_plan_makes_no_sheet_stale() {
        let marked = |mark: &str| Pack { mark: mark.into(), ..pack(&[("labels", &format!("kick, {mark}"))]) };
        let old = Manifest::of(&marked("K7Q-2MX"), &[]);
        assert_eq!(found(&old, &marked("ZZZ-234")), []);
    }

    #[test]
    fn only_what_says_something_else_is_stale() {
        let old = Manifest::of(&pack(&[("a", "1"), ("b", "1"), ("c", "1")]), &[]);
        assert_eq!(found(&old, &pack(&[("a", "1"), ("b", "1"), ("c", "1")])), []);
        let now = pack(&[("a", "1"), ("b", "2"), ("d", "1")]);
        assert_eq!(found(&old, &now), [("B", Stale::Changed), ("D", Stale::New), ("C", Stale::Gone)]);
        let read: Manifest = serde_json::from_slice(&old.file().bytes).unwrap();
        assert_eq!(read, old);
    }

    #[test]
    fn another_date_is_on_every_page() {
        let old = Manifest::of(&pack(&[("a", "1")]), &[]);
        let mut now = pack(&[("a", "1")]);
        now.head.date = Some("2026-07-05".into());
        assert_eq!(found(&old, &now), [("A", Stale::Changed)]);
    }
}
