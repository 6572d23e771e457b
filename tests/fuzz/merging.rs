//! The laws of a merge that hold for any three texts: a side that changed nothing decides nothing, both sides alike
//! are that, the sides may change places, and no new word of a side is lost. It knows no fuzzer.

use fantail::merge::{Markers, Versions, merge};
use fantail::syntax::TokenKind;
use fantail::syntax::tokens::tokens;
use std::collections::HashMap;

const SIGNS: [char; 4] = ['<', '|', '=', '>'];

/// A merge of three texts, with markers that are longer than any row of signs in them.
pub struct Tried {
    pub text: String,
    pub clean: bool,
    size: usize,
}

pub fn tried(base: &str, ours: &str, theirs: &str) -> Tried {
    let run = |text: &str| text.split(|c| !SIGNS.contains(&c)).map(str::len).max();
    let size = [base, ours, theirs].into_iter().filter_map(run).max().map_or(7, |longest| longest + 1);
    let markers = Markers { size, ours: String::new(), base: Some(String::new()), theirs: String::new() };
    let merged = merge(Versions { base, ours, theirs });
    Tried { text: merged.text(&markers), clean: merged.is_clean(), size }
}

impl Tried {
    /// The sign of a line that is a marker.
    pub fn marker(&self, line: &str) -> Option<char> {
        let line = line.trim_start_matches('\u{feff}');
        let first = line.chars().next().filter(|first| SIGNS.contains(first))?;
        (line.trim_end() == first.to_string().repeat(self.size)).then_some(first)
    }

    /// The result with what is marked turned round.
    fn turned(&self) -> String {
        let (mut out, mut sides, mut side) = (String::new(), [const { String::new() }; 3], None);
        for line in self.text.split_inclusive('\n') {
            match (self.marker(line), side) {
                (Some('<'), _) => {
                    side = Some(0);
                    out.push_str(line);
                }
                (Some('|'), _) => side = Some(1),
                (Some('='), _) => side = Some(2),
                (Some(_), _) => {
                    let end = if line.ends_with("\r\n") { "\r\n" } else { "\n" };
                    let [ours, base, theirs] = std::mem::take(&mut sides);
                    let sign = |sign: &str| format!("{}{end}", sign.repeat(self.size));
                    out += &format!("{theirs}{}{base}{}{ours}{line}", sign("|"), sign("="));
                    side = None;
                }
                (None, Some(side)) => sides[side] += line,
                (None, None) => out.push_str(line),
            }
        }
        out
    }
}

/// Every word and every comment, with how often it stands there and its first line.
pub fn words(text: &str) -> HashMap<&str, (usize, &str)> {
    let mut out: HashMap<&str, (usize, &str)> = HashMap::new();
    for token in tokens(text) {
        if token.kind == TokenKind::Comment || !token.kind.is_trivia() {
            let start = text[..token.start as usize].rfind('\n').map_or(0, |at| at + 1);
            let end = text[start..].find('\n').map_or(text.len(), |at| start + at);
            let word = out.entry(token.text(text).trim_end()).or_insert((0, text[start..end].trim()));
            word.0 += 1;
        }
    }
    out
}

/// What one side alone changed, or both alike, is the result, byte for byte.
pub fn one_side(base: &str, new: &str, name: &str) {
    for (law, versions) in [("ours", [base, new, base]), ("theirs", [base, base, new]), ("both", [base, new, new])] {
        let [base, ours, theirs] = versions;
        let Tried { text, clean, .. } = tried(base, ours, theirs);
        assert!(clean && text == new, "{name}: {law} alone changed\n--- base\n{base}\n--- new\n{new}\n--- got\n{text}");
    }
}

/// The merge, and how many words were looked for in it.
pub fn two_sides(base: &str, ours: &str, theirs: &str, name: &str) -> (Tried, u32) {
    let shown = || format!("\n--- base\n{base}\n--- ours\n{ours}\n--- theirs\n{theirs}");
    let result = tried(base, ours, theirs);
    let other = tried(base, theirs, ours);
    assert_eq!(other.turned(), result.text, "{name}: the sides changed places{}", shown());
    let [in_base, in_ours, in_theirs] = [base, ours, theirs].map(words);
    let (found, mut looked_for) = (words(&result.text), 0);
    for (mine, others) in [(&in_ours, &in_theirs), (&in_theirs, &in_ours)] {
        for (word, (count, line)) in mine {
            if *count == 1 && !in_base.contains_key(word) && !others.contains_key(word) {
                looked_for += 1;
                let text = &result.text;
                assert!(found.contains_key(word), "{name}: `{word}` of `{line}` is lost{}\n--- got\n{text}", shown());
            }
        }
    }
    (result, looked_for)
}
