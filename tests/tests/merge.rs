//! Laws of the three-way merge, over every text that there is and random shows, each with random edits: a
//! side that changed nothing decides nothing, both sides alike are that, the sides may change places, and no
//! edit is lost unmarked; edits that have nothing to do with each other both hold. `FANTAIL_MERGES` says how many edits a text, `FANTAIL_SEED` the first seed.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::merge::meaning;
use fantail::source::FileId;
use fantail::syntax::tokens::tokens;
use fantail::syntax::{TokenKind, parse};
use fantail_tests::apart::edited;
use fantail_tests::dice::Dice;
use fantail_tests::{large, texts};
use merging::{Tried, one_side, tried, two_sides, words};
use std::collections::BTreeMap;

#[path = "../fuzz/merging.rs"]
mod merging;

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// The result without what is marked.
fn outside(result: &Tried) -> String {
    let mut inside = false;
    let mut out = String::new();
    for line in result.text.split_inclusive('\n') {
        match result.marker(line) {
            Some('<') => inside = true,
            Some('>') => inside = false,
            Some(_) => {}
            None if !inside => out.push_str(line),
            None => {}
        }
    }
    out
}

/// The lines above and below the first that says that.
fn beside<'t>(text: &'t str, line: &str) -> [Option<&'t str>; 2] {
    let at = text.lines().position(|other| other.trim() == line);
    let nth = |at: Option<usize>| text.lines().nth(at?).map(str::trim);
    [nth(at.and_then(|at| at.checked_sub(1))), nth(at.map(|at| at + 1))]
}

#[derive(Default)]
struct Counts {
    merges: u32,
    clean: u32,
    words: u32,
}

impl Counts {
    fn two_sides(&mut self, base: &str, ours: &str, theirs: &str, moved: bool, name: &str) {
        let (result, looked_for) = two_sides(base, ours, theirs, name);
        self.merges += 1;
        self.clean += u32::from(result.clean);
        self.words += looked_for;
        if moved {
            return;
        }
        let [in_base, in_ours, in_theirs] = [base, ours, theirs].map(words);
        let free = outside(&result);
        let free = words(&free);
        for (mine, others, other_text) in [(&in_ours, &in_theirs, theirs), (&in_theirs, &in_ours, ours)] {
            let gone = in_base.iter().filter(|(word, (count, _))| *count == 1 && !mine.contains_key(*word));
            for (word, (_, line)) in gone {
                let kept = others.get(word).is_some_and(|(count, there)| *count == 1 && there == line);
                if kept && beside(base, line) == beside(other_text, line) {
                    self.words += 1;
                    assert!(
                        !free.contains_key(word),
                        "{name}: `{word}` of `{line}` is back\n--- base\n{base}\n--- ours\n{ours}\n--- theirs\n\
                         {theirs}\n--- got\n{}",
                        result.text
                    );
                }
            }
        }
    }
}

/// Some edits, one after the other. What one side took out and the other moved elsewhere is no row of the same place.
fn after_edits(text: &str, may_move: bool, dice: &mut Dice) -> String {
    let mut new = text.to_string();
    for _ in 0..dice.within(1, 3) {
        new = match dice.below(12) {
            0 if may_move => moved(&new, dice),
            1 => new.replace("\r\n", "\n").replace('\n', "\r\n"),
            2 => fantail::syntax::tidy::tidy(&new),
            3 => commented(&new, dice),
            4 => format!("\u{feff}{}", new.trim_start_matches('\u{feff}')),
            5 => new.trim_end().to_string(),
            6 => format!("{new}<<<<<<< a\ninclude \"b\"\n=======\n>>>>>>> c\n"),
            _ => edited(&new, text, dice),
        };
    }
    new
}

/// A line, or some, put elsewhere.
fn moved(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    let from = dice.below(lines.len() as u32) as usize;
    let count = (dice.within(1, 4) as usize).min(lines.len().saturating_sub(from));
    let taken: Vec<&str> = lines.drain(from..from + count).collect();
    let to = dice.below(lines.len() as u32 + 1) as usize;
    lines.splice(to..to, taken);
    lines.concat()
}

fn commented(text: &str, dice: &mut Dice) -> String {
    let at = dice.below(text.lines().count().max(1) as u32) as usize;
    let said = format!("# said {}", dice.next());
    let own = dice.one_in(2);
    let line = |(number, line): (usize, &str)| match number == at {
        true if own => format!("{said}\n{line}"),
        true => format!("{}  {said}\n", line.trim_end()),
        false => line.to_string(),
    };
    text.split_inclusive('\n').enumerate().map(line).collect()
}

fn shows() -> Vec<(String, String)> {
    let mut all = texts::all();
    let drawn = |seed| (format!("seed {seed}"), large::draw(seed).0.sources().remove(0).1);
    all.extend((1..=number("FANTAIL_SHOWS", 10)).map(drawn));
    all
}

#[test]
fn laws() {
    let (edits, seed) = (number("FANTAIL_MERGES", 1), number("FANTAIL_SEED", 1));
    let mut counts = Counts::default();
    for (at, (name, base)) in shows().iter().enumerate() {
        let mut dice = Dice(seed.wrapping_mul(1_000_003).wrapping_add(at as u64));
        one_side(base, base, name);
        one_side("", base, name);
        one_side(base, "", name);
        for _ in 0..edits {
            let may_move = dice.one_in(2);
            let (ours, theirs) = (after_edits(base, may_move, &mut dice), after_edits(base, may_move, &mut dice));
            one_side(base, &ours, name);
            counts.two_sides(base, &ours, &theirs, may_move, name);
        }
    }
    println!("{} merges, {} clean, {} words looked for", counts.merges, counts.clean, counts.words);
    assert!(counts.clean * 2 > counts.merges && counts.words > 100);
}

/// What somebody does to one row.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Edit {
    /// An attribute of that word.
    Says(&'static str, String),
    Gone,
    /// One more in a group.
    Member(String),
    /// A new row below.
    Below(String),
    Comment(String),
    Wider,
}

/// A row of inputs, or a group, that has a line of its own.
fn is_row(line: &str) -> bool {
    let row = line.trim();
    is_group(row)
        || (row.starts_with(|c: char| c.is_ascii_digit()) && !row.ends_with(','))
            && line.contains(" from ")
            && !line.contains(['{', '}', ';', '#'])
}

fn is_group(row: &str) -> bool {
    row.starts_with("group ") && !row.contains('#') && !row.ends_with(',')
}

fn draw(row: &str, who: &str, dice: &mut Dice) -> Edit {
    let number = dice.within(1, 3);
    let says = |word: &'static str, text: String| if row.contains(word) { Edit::Wider } else { Edit::Says(word, text) };
    match dice.below(8) {
        0..=3 | 5 if is_group(row.trim()) => Edit::Member(format!("{who}-{}", dice.next())),
        0..=1 => says("gain", format!("gain {number} dB")),
        2 => says("note", format!("note \"{number}\"")),
        3 => says("pad", "pad".to_string()),
        4 => Edit::Gone,
        5 => Edit::Below(format!("  {}  {who}-{}  dynamic  from any\n", dice.within(1, 99), dice.next())),
        6 => Edit::Comment(format!("# {who} {}", dice.next())),
        _ => Edit::Wider,
    }
}

type Edits = BTreeMap<usize, Vec<Edit>>;

fn drawn(lines: &[&str], rows: &[usize], who: &str, dice: &mut Dice) -> Edits {
    let mut edits = Edits::new();
    for _ in 0..dice.within(1, 4) {
        let row = dice.pick(rows);
        edits.entry(row).or_insert_with(|| vec![draw(lines[row], who, dice)]);
    }
    edits
}

fn applied(lines: &[&str], edits: &Edits) -> String {
    let mut out = String::new();
    for (at, line) in lines.iter().enumerate() {
        let edits = edits.get(&at).map_or(&[][..], Vec::as_slice);
        let (mut row, mut above, mut below) = (line.trim_end().to_string(), String::new(), String::new());
        for edit in edits {
            match edit {
                Edit::Says(_, text) => row += &format!("  {text}"),
                Edit::Member(name) => row += &format!(", {name}"),
                Edit::Below(new) => below += new,
                Edit::Comment(said) => above += &format!("{said}\n"),
                Edit::Wider => row = row.replace(" from ", "    from  "),
                Edit::Gone => {}
            }
        }
        let row = if edits.contains(&Edit::Gone) { String::new() } else { format!("{row}\n") };
        out += &format!("{above}{row}{below}");
    }
    out
}

/// Whether both cannot hold.
fn at_odds(ours: &Edit, theirs: &Edit) -> bool {
    match (ours, theirs) {
        (Edit::Says(one, says), Edit::Says(other, otherwise)) => one == other && says != otherwise,
        (Edit::Says(..) | Edit::Member(_), Edit::Gone) | (Edit::Gone, Edit::Says(..) | Edit::Member(_)) => true,
        _ => false,
    }
}

#[test]
fn edits_of_both_sides_hold() {
    let (mut clean, mut marked, mut shared) = (0, 0, 0);
    for (at, (name, base)) in shows().iter().enumerate() {
        let lines: Vec<&str> = base.split_inclusive('\n').collect();
        // Which of two groups of one name a side means, nobody knows.
        let named = |line: &str| line.split_whitespace().take(2).collect::<Vec<_>>().join(" ");
        let twice =
            |line: &str| is_group(line.trim()) && lines.iter().filter(|other| named(other) == named(line)).count() > 1;
        let rows: Vec<usize> = (0..lines.len()).filter(|at| is_row(lines[*at]) && !twice(lines[*at])).collect();
        if rows.is_empty() || !parse(FileId(0), base).diagnostics.is_empty() {
            continue;
        }
        let mut dice = Dice(number("FANTAIL_SEED", 1).wrapping_mul(7919).wrapping_add(at as u64));
        for _ in 0..number("FANTAIL_MERGES", 4) {
            let (one, other) = (drawn(&lines, &rows, "one", &mut dice), drawn(&lines, &rows, "other", &mut dice));
            let (ours, theirs) = (applied(&lines, &one), applied(&lines, &other));
            let mut both = one.clone();
            let mut odds = false;
            for (row, edits) in &other {
                let mine = both.entry(*row).or_default();
                shared += u32::from(!mine.is_empty());
                odds |= edits.iter().any(|edit| mine.iter().any(|my| at_odds(my, edit)));
                mine.extend(edits.iter().filter(|edit| !one.get(row).is_some_and(|mine| mine.contains(edit))).cloned());
            }
            let Tried { text, clean: is_clean, .. } = tried(base, &ours, &theirs);
            let shown = || format!("{name}\n--- base\n{base}\n--- {one:?}\n--- {other:?}\n--- got\n{text}");
            assert_eq!(is_clean, !odds, "{}", shown());
            marked += u32::from(odds);
            if !odds {
                clean += 1;
                assert_eq!(meaning(&text), meaning(&applied(&lines, &both)), "{}", shown());
            }
        }
    }
    println!("{clean} clean, {marked} marked, {shared} times one row was edited by both");
    assert!(clean > 100 && marked > 10 && shared > 50);
}

/// Its rows in another order, where each has a line of its own.
fn turned_round(text: &str) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let runs = lines.chunk_by(|one, other| is_row(one) == is_row(other));
    let turned = runs.flat_map(|run| match is_row(run[0]) {
        true => run.iter().rev().copied().collect::<Vec<_>>(),
        false => run.to_vec(),
    });
    turned.collect()
}

#[test]
fn the_meaning_knows_no_layout_and_leaves_nothing_out() {
    for (name, text) in shows() {
        let said = meaning(&text);
        assert_eq!(meaning(&fantail::syntax::tidy::tidy(&text)), said, "{name}, tidy");
        assert_eq!(meaning(&text.replace('\n', "\r\n")), said, "{name}, other line ends");
        if text.ends_with('\n') && parse(FileId(0), &text).diagnostics.is_empty() {
            assert_eq!(meaning(&turned_round(&text)), said, "{name}, in another order");
        }
        let kinds = [TokenKind::Word, TokenKind::Number, TokenKind::Range, TokenKind::Text, TokenKind::Date];
        for token in tokens(&text).iter().filter(|token| kinds.contains(&token.kind)) {
            let word = token.text(&text);
            let other_words = ["phantom", "48V", "change", "without", "48", "V"];
            assert!(said.contains(word) || other_words.contains(&word), "{name}: `{word}` is left out of\n{said}");
        }
    }
}
