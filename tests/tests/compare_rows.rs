//! Which rows did it: in edits of shows every change names a row, and every row that is named stands on one side only,
//! as a reader of the texts alone sees them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::Compiled;
use fantail::compare::{Change, Said, compare};
use fantail::plan::Origin;
use fantail::project::InMemory;
use fantail_tests::apart::edited;
use fantail_tests::dice::Dice;
use fantail_tests::{correct, texts};
use std::collections::BTreeMap;
use std::path::Path;

/// Files by name.
type Texts = BTreeMap<String, String>;

fn planned(root: &str, texts: &Texts) -> Option<Compiled> {
    let files = texts.iter().fold(InMemory::default(), |files, (name, text)| files.with(name, text.as_str()));
    // Most edits are wrong, and nobody wants advice on them.
    let told = fantail::analyse(Path::new(root), &files).found;
    if told.iter().any(|one| one.is_error()) {
        return None;
    }
    let compiled = fantail::compile(Path::new(root), &files);
    (!compiled.has_errors()).then_some(compiled)
}

fn changes(old: &Compiled, new: &Compiled) -> Vec<Change> {
    let (before, after) = (old.origins(), new.origins());
    compare(Said { plan: &old.plan, origins: &before }, Said { plan: &new.plan, origins: &after }).changes
}

/// How often these words stand in a row of the texts, by the braces around it.
fn standing(texts: &Texts, says: &str) -> BTreeMap<String, usize> {
    let words: Vec<&str> = says.split_whitespace().collect();
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for text in texts.values() {
        let mut braces: Vec<String> = Vec::new();
        let mut all: Vec<&str> = Vec::new();
        for line in text.lines() {
            let code: Vec<&str> = line.split_whitespace().take_while(|word| !word.starts_with('#')).collect();
            all.extend(&code);
            if code.windows(words.len()).any(|some| some == words) {
                *counts.entry(braces.join(" ")).or_default() += 1;
            }
            match code.last() {
                Some(&"{") => braces.push(code.join(" ")),
                _ if code == ["}"] => drop(braces.pop()),
                _ => {}
            }
        }
        // What goes over several lines.
        *counts.entry("whole".into()).or_default() += all.windows(words.len()).filter(|some| *some == words).count();
    }
    counts
}

#[derive(Default, Debug)]
struct Counts {
    pairs: usize,
    changes: usize,
    /// Without a row.
    nobody: usize,
    rows: usize,
}

fn holds(counts: &mut Counts, name: &str, (root, old, new): (&str, &Texts, &Texts), was: &Compiled, now: &Compiled) {
    counts.pairs += 1;
    for change in changes(was, now) {
        counts.changes += 1;
        counts.rows += change.origins.len();
        counts.nobody += usize::from(change.origins.is_empty());
        let told = || format!("{name}, {root}: {change:#?}\n{}", differing(old, new));
        if std::env::var("FANTAIL_COUNT").is_err() {
            assert!(!change.origins.is_empty(), "no row did it: {}", told());
        }
        for Origin { says, .. } in &change.origins {
            if std::env::var("FANTAIL_COUNT").is_err() {
                assert!(standing(old, says) != standing(new, says), "`{says}` is the same on both sides: {}", told());
            }
        }
    }
}

fn differing(old: &Texts, new: &Texts) -> String {
    let lines = |texts: &Texts| texts.values().flat_map(|text| text.lines().map(String::from)).collect::<Vec<_>>();
    let (was, now) = (lines(old), lines(new));
    let only = |these: &[String], those: &[String], sign: &str| {
        these.iter().filter(|line| !those.contains(line)).map(|line| format!("{sign} {line}\n")).collect::<String>()
    };
    format!("{}{}", only(&was, &now, "-"), only(&now, &was, "+"))
}

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

#[test]
fn of_edits_of_random_shows() {
    let (first, count) = (number("FANTAIL_SEED", 0), number("FANTAIL_ROWS", 12));
    let mut counts = Counts::default();
    for seed in first..first + count {
        let text = correct::show(seed);
        let texts = Texts::from([("show.fantail".to_string(), text)]);
        edits(&mut counts, "show.fantail", texts, &mut Dice(seed.wrapping_add(7)), 30);
    }
    println!("{counts:?}");
    assert!(counts.pairs as u64 > count && counts.changes as u64 > count * 4, "{counts:?} are too few");
}

#[test]
fn of_edits_of_the_examples() {
    let examples: Texts = texts::files("examples").into_iter().collect();
    let (first, count) = (number("FANTAIL_SEED", 0), number("FANTAIL_ROWS", 12));
    let mut counts = Counts::default();
    for (name, text) in &examples {
        if !text.lines().any(|line| line.starts_with("show ")) {
            continue;
        }
        let folder = name.split('/').take(2).collect::<Vec<_>>().join("/");
        let texts: Texts = examples
            .iter()
            .filter(|(name, _)| name.starts_with(&folder))
            .map(|(n, t)| (n.clone(), t.clone()))
            .collect();
        for seed in first..first + count / 6 {
            edits(&mut counts, name, texts.clone(), &mut Dice(seed.wrapping_add(name.len() as u64)), 20);
        }
    }
    println!("{counts:?}");
    assert!(counts.pairs as u64 > count && counts.changes as u64 > count * 4, "{counts:?} are too few");
}

/// One edit after the other, each compared with the state before it.
fn edits(counts: &mut Counts, root: &str, mut texts: Texts, dice: &mut Dice, tries: usize) {
    let Some(mut was) = planned(root, &texts) else { return };
    let names: Vec<String> = texts.keys().cloned().collect();
    for edit in 0..tries {
        let mut tried = texts.clone();
        // Some late changes at once.
        for _ in 0..=dice.below(2) {
            let name = dice.pick(&names);
            let text = tried[&name].clone();
            let by_hand = dice.one_in(4);
            tried.insert(name, if by_hand { edited(&text, &text, dice) } else { late(&text, dice) });
        }
        let Some(now) = planned(root, &tried) else { continue };
        holds(counts, &format!("edit {edit}"), (root, &texts, &tried), &was, &now);
        (texts, was) = (tried, now);
    }
}

/// A late change as a technician makes it.
fn late(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(String::from).collect();
    let rows: Vec<usize> = (0..lines.len()).filter(|at| lines[*at].split_whitespace().count() > 2).collect();
    if rows.is_empty() {
        return text.to_string();
    }
    let (one, other) = (dice.pick(&rows), dice.pick(&rows));
    let words = |at: usize| lines[at].split_whitespace().map(String::from).collect::<Vec<_>>();
    let (mut a, mut b) = (words(one), words(other));
    let is_number = |word: &String| word.chars().all(|c| c.is_ascii_digit());
    let named: Vec<String> = rows.iter().filter_map(|at| words(*at).get(1).cloned()).collect();
    match dice.below(8) {
        0 => a.clear(),
        1 | 2 => {
            let at = dice.below(a.len().min(b.len()) as u32) as usize;
            std::mem::swap(&mut a[at], &mut b[at]);
        }
        3 | 4 => {
            let numbers: Vec<usize> = (0..a.len()).filter(|at| is_number(&a[*at])).collect();
            if !numbers.is_empty() {
                let at = dice.pick(&numbers);
                a[at] = dice.within(1, 48).to_string();
            }
        }
        5 => a.retain(|word| word != "phantom"),
        _ => {
            let name = dice.pick(&named);
            let line = dice.pick(&[
                "without input NAME",
                "change input NAME gain 31 dB",
                "change input NAME no phantom",
                "keep NAME out of in-ears",
                "record all inputs but NAME",
                "change input NAME pad",
                "without record",
                "change box NAME cable 21 m screened locking",
                "change box NAME offset 17",
                "without box NAME",
                "record all inputs",
            ]);
            lines.push(line.replace("NAME", &name));
            return lines.join("\n") + "\n";
        }
    }
    lines[one] = a.join(" ");
    if one != other {
        lines[other] = b.join(" ");
    }
    lines.join("\n") + "\n"
}
