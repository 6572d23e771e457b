//! A show checked by its parts is told what the whole is told: the same words at the same places in the same
//! order. Every text that there is, alone and beside others, and edits of them. `FANTAIL_PARTS` says how many
//! random shows, `FANTAIL_SEED` the first seed.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::diagnostics::{Diagnostic, Severity};
use fantail::parts::Parts;
use fantail::project::InMemory;
use fantail::rules::{ALL, page};
use fantail_tests::apart::{beside, edited};
use fantail_tests::dice::Dice;
use fantail_tests::{correct, large, sized, small, texts};
use std::fs;
use std::path::Path;

const ROOT: &str = "/show.fantail";

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

fn whole(text: &str) -> Vec<Diagnostic> {
    fantail::compile(Path::new(ROOT), &InMemory::default().with("show.fantail", text)).diagnostics
}

#[derive(Default)]
struct Counts {
    texts: u32,
    cut: u32,
    told: u32,
    parts: usize,
    diagnostics: usize,
    wrong: Vec<String>,
}

/// What only one of them says.
fn differ(name: &str, text: &str, told: &[Diagnostic], whole: &[Diagnostic]) -> String {
    let only = |of: &[Diagnostic], not: &[Diagnostic]| {
        let only = of.iter().filter(|one| !not.contains(one));
        only.map(|one| format!("  {} {} {:?} {:?}\n", one.rule, one.message, one.help, one.labels)).collect::<String>()
    };
    let (parts, whole) = (only(told, whole), only(whole, told));
    format!("{name}: in parts\n{parts}whole\n{whole}---\n{text}---\n")
}

impl Counts {
    /// The law.
    fn holds(&mut self, name: &str, text: &str, before: Option<&Parts>) -> Option<Parts> {
        self.texts += 1;
        let parts = Parts::of(Path::new(ROOT), text, 100, before)?;
        self.cut += 1;
        let told = parts.diagnostics(true)?;
        let whole = whole(text);
        if told != whole {
            let fresh = Parts::of(Path::new(ROOT), text, 100, None).and_then(|fresh| fresh.diagnostics(true));
            let kept = if fresh == Some(whole.clone()) { ", after what was before" } else { "" };
            self.wrong.push(differ(&format!("{name}{kept}"), text, &told, &whole));
            return None;
        }
        let loud: Vec<_> = whole.iter().filter(|one| one.severity != Severity::Note).cloned().collect();
        assert_eq!(parts.diagnostics(false), Some(loud), "{name}, without notes");
        self.told += 1;
        self.parts += parts.count();
        self.diagnostics += whole.len();
        Some(parts)
    }

    fn edits(&mut self, name: &str, text: &str, edits: u32, dice: &mut Dice) {
        let mut text = text.to_string();
        let mut before = self.holds(name, &text, None);
        let start = text.clone();
        for edit in 0..edits {
            let new = if dice.one_in(8) { start.clone() } else { edited(&text, &start, dice) };
            let name = format!("{name}, edit {edit}");
            text = new;
            before = self.holds(&name, &text, before.as_ref()).or(before);
        }
    }

    fn judge(&self, what: &str) {
        assert!(self.wrong.is_empty(), "{} are told otherwise:\n{}", self.wrong.len(), self.wrong.concat());
        println!(
            "{what}: {} texts, {} cut, {} told by {} parts, {} diagnostics",
            self.texts, self.cut, self.told, self.parts, self.diagnostics
        );
    }
}

fn every_text() -> Vec<(String, String)> {
    let mut all = texts::all();
    for rule in ALL {
        let page = page::parse(rule.page).unwrap();
        let files = page.caught.files.iter().chain(&page.corrected.files);
        all.extend(files.map(|file| (format!("{}: {}", rule.slug, file.name), file.text.clone())));
    }
    for corpus in ["parse", "compile"] {
        for file in fs::read_dir(texts::top().join("tests/fuzz/corpus").join(corpus)).unwrap() {
            let path = file.unwrap().path();
            all.extend(fs::read_to_string(&path).ok().map(|text| (path.display().to_string(), text)));
        }
    }
    all.sort();
    all
}

#[test]
fn every_text_alone_and_beside_another() {
    let all = every_text();
    let mut counts = Counts::default();
    let mut dice = Dice(number("FANTAIL_SEED", 1));
    for (at, (name, text)) in all.iter().enumerate() {
        counts.holds(name, text, None);
        let (other, beside_it) = &all[dice.below(all.len() as u32) as usize];
        counts.holds(&format!("{name} beside {other}"), &beside(text, beside_it, at), None);
    }
    counts.judge("texts");
    assert!(counts.told > 100, "only {} were told by parts", counts.told);
}

#[test]
fn random_shows_and_edits_of_them() {
    let (first, shows) = (number("FANTAIL_SEED", 1), number("FANTAIL_PARTS", 8));
    let all = every_text();
    let mut counts = Counts::default();
    for seed in first..first + shows {
        let mut dice = Dice(seed);
        let mut text = String::new();
        for number in 0..dice.within(2, 4) as usize {
            let one = match dice.below(6) {
                0 => sized::show(dice.within(20, 70) as usize),
                1 => small::draw(dice.next()).text(),
                2 => large::draw(dice.next()).0.sources().into_iter().next().map(|(_, text)| text).unwrap_or_default(),
                3 => dice.pick(&all).1,
                _ => correct::show(dice.next()).replace("record all inputs", "record all inputs on foh"),
            };
            text = beside(&text, &one, number);
        }
        let text = format!("fantail 1\nshow \"All of it\"\n{text}");
        counts.edits(&format!("FANTAIL_SEED={seed}"), &text, 12, &mut dice);
    }
    counts.judge("random shows");
    // About one text in four is told by its parts; of a few shows it may be none.
    assert!(shows < 20 || counts.told > shows as u32, "only {} were told by parts", counts.told);
}
