//! A text as the client keeps it, by the words of the Language Server Protocol 3.17 and by nothing of the
//! server's; and what somebody, or something, does to it.

use fantail_tests::dice::Dice;
use fantail_tests::words;
use serde_json::{Value, json};

/// Line and character.
pub type Place = (u32, u32);

/// What a character of a position counts.
#[derive(Clone, Copy)]
pub enum Units {
    Utf8,
    Utf16,
    Utf32,
}

impl Units {
    pub const ALL: [Units; 3] = [Units::Utf8, Units::Utf16, Units::Utf32];

    pub fn name(self) -> &'static str {
        match self {
            Units::Utf8 => "utf-8",
            Units::Utf16 => "utf-16",
            Units::Utf32 => "utf-32",
        }
    }

    pub fn of(self, text: &str) -> u32 {
        let units = match self {
            Units::Utf8 => text.len(),
            Units::Utf16 => text.encode_utf16().count(),
            Units::Utf32 => text.chars().count(),
        };
        units as u32
    }
}

/// Where each line starts and where its end begins.
fn lines(text: &str) -> Vec<(usize, usize)> {
    let (mut found, mut start, mut at) = (Vec::new(), 0, 0);
    while at < text.len() {
        let rest = &text[at..];
        let end = ["\r\n", "\n", "\r"].into_iter().find(|end| rest.starts_with(end));
        match end {
            Some(end) => {
                found.push((start, at));
                at += end.len();
                start = at;
            }
            None => at += rest.chars().next().map_or(1, char::len_utf8),
        }
    }
    found.push((start, text.len()));
    found
}

pub fn offset(text: &str, (line, character): Place, units: Units) -> usize {
    let lines = lines(text);
    let Some(&(start, end)) = lines.get(line as usize) else { return text.len() };
    let ends = text[start..end].char_indices().map(|(at, c)| (at, at + c.len_utf8()));
    let past = ends.into_iter().find(|(_, after)| units.of(&text[start..start + after]) > character);
    start + past.map_or(end - start, |(at, _)| at)
}

pub fn place(text: &str, offset: usize, units: Units) -> Place {
    let lines = lines(text);
    let line = lines.iter().rposition(|(start, _)| *start <= offset).unwrap_or(0);
    let (start, end) = lines[line];
    (line as u32, units.of(&text[start..offset.min(end)]))
}

/// Edits of one answer, which count in the text as it stands before any of them.
pub fn applied(text: &str, edits: &Value, units: Units) -> String {
    let at = |place: &Value| {
        let number = |key: &str| place[key].as_u64().unwrap() as u32;
        offset(text, (number("line"), number("character")), units)
    };
    let edits = edits.as_array().unwrap().iter().map(|edit| {
        let range = &edit["range"];
        (at(&range["start"]), at(&range["end"]), edit["newText"].as_str().unwrap())
    });
    let mut edits: Vec<_> = edits.collect();
    edits.sort();
    let mut out = text.to_string();
    for (start, end, new) in edits.into_iter().rev() {
        out.replace_range(start..end, new);
    }
    out
}

/// The start of some word; of an empty text its start.
pub fn any_word(text: &str, units: Units, dice: &mut Dice) -> Place {
    let letter = |c: char| c.is_alphanumeric() || c == '-';
    let starts = text.char_indices().filter(|(at, c)| letter(*c) && !text[..*at].ends_with(letter));
    let starts: Vec<usize> = starts.map(|(at, _)| at).collect();
    if starts.is_empty() { (0, 0) } else { place(text, dice.pick(&starts), units) }
}

/// The text with characters before the words of many rows that no two ways to count agree on, a name of two
/// letters that are six bytes, and sometimes line ends of two characters.
pub fn far_from_ascii(text: &str, dice: &mut Dice) -> String {
    let noted = |(at, line): (usize, &str)| match at % 3 {
        0 if line.trim_start().starts_with(|c: char| c.is_ascii_digit()) => {
            line.replacen(" from ", " note \"\u{1f39b} e\u{301}\" from ", 1)
        }
        _ => line.to_string(),
    };
    let text: String = text.split_inclusive('\n').enumerate().map(noted).collect();
    text.replace("kick-in", "\u{592a}\u{9f13}").replace('\n', if dice.one_in(3) { "\r\n" } else { "\n" })
}

/// What is pasted, for better and for worse.
const PASTED: &[&str] = &[
    "🎛🎚 e\u{301}",
    "\r\n",
    "\r",
    "\u{0}",
    "\n",
    "\"",
    "{",
    "}",
    "#",
    ",",
    ";",
    "\u{feff}",
    "\u{2028}",
    "<<<<<<< ours\n  1  kick  boundary  from stage-left 1\n=======\n  1  kick  dynamic  from stage-left 2\n>>>>>>> theirs\n",
    "show \"Other\"\n",
    "include \"../rig.fantail\"\n",
    "include \"nowhere.fantail\"\n",
    "record all inputs\n",
    "1-48 ",
    "99999999999 ",
    "inputs foh {\r\n  1 kick boundary from stage-left 1\r\n",
];

/// One change: its range, none for the whole text, and the new text.
pub type Change = (Option<(Place, Place)>, String);

fn border(text: &str, dice: &mut Dice) -> usize {
    let mut at = dice.below(text.len() as u32 + 1) as usize;
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn word(text: &str, dice: &mut Dice) -> String {
    if dice.one_in(2) {
        let (_, list) = dice.pick(words::LISTS);
        return format!("{} ", dice.pick(list));
    }
    let own: Vec<&str> = text.split_whitespace().collect();
    if own.is_empty() { "kick ".to_string() } else { format!("{} ", dice.pick(&own)) }
}

/// A change of the text, or several that are one: each counts in the text that the one before left.
pub fn change(text: &str, original: &str, past: &[String], units: Units, dice: &mut Dice) -> Vec<Change> {
    let at = border(text, dice);
    let here = place(text, at, units);
    let put = |new: String| vec![(Some((here, here)), new)];
    match dice.below(16) {
        0..=2 => put(word(text, dice)),
        3 => put(dice.below(50).to_string()),
        4..=5 => put(dice.pick(PASTED).to_string()),
        6 => {
            let mut far = (at + dice.below(40) as usize).min(text.len());
            while !text.is_char_boundary(far) {
                far -= 1;
            }
            vec![(Some((here, place(text, far, units))), String::new())]
        }
        7..=8 => moved_row(text, dice),
        9 => vec![(Some((here, (u32::MAX >> 1, 0))), String::new())],
        10 => vec![(None, original.replace('\n', dice.pick(&["\n", "\r\n"])))],
        11 if dice.one_in(4) => vec![(None, String::new())],
        // A range that is turned round, or past the ends, or inside a character.
        11 => vec![(Some(((here.0 + dice.below(3), dice.below(99)), here)), word(text, dice))],
        12 => vec![(Some(((here.0, here.1 + 1), (here.0, u32::MAX))), "🎚".to_string())],
        13 => vec![(Some(((u32::MAX >> 1, 7), (u32::MAX >> 1, 7))), word(text, dice))],
        _ if past.is_empty() => put(word(text, dice)),
        // Undone: as editors send it, by a range or whole.
        _ => {
            let before = dice.pick(past);
            let whole = ((0, 0), place(text, text.len(), units));
            vec![(dice.one_in(2).then_some(whole), before)]
        }
    }
}

/// A row cut out, and put in, or twice in, above another.
fn moved_row(text: &str, dice: &mut Dice) -> Vec<Change> {
    let lines = lines(text);
    let (from, to) = (dice.below(lines.len() as u32), dice.below(lines.len() as u32));
    let (start, end) = lines[from as usize];
    let row = format!("{}\n", &text[start..end]);
    let put = (Some(((to, 0), (to, 0))), row);
    if dice.one_in(3) { vec![put] } else { vec![(Some(((from, 0), (from + 1, 0))), String::new()), put] }
}

/// What the protocol says that a change makes of a text; a range turned round is the same range.
pub fn changed(text: &str, (range, new): &Change, units: Units) -> String {
    let Some((start, end)) = range else { return new.clone() };
    let (start, end) = (offset(text, *start, units), offset(text, *end, units));
    let mut out = text.to_string();
    out.replace_range(start.min(end)..start.max(end), new);
    out
}

pub fn said((range, new): &Change) -> Value {
    let place = |(line, character): Place| json!({"line": line, "character": character});
    match range {
        Some((start, end)) => json!({"range": {"start": place(*start), "end": place(*end)}, "text": new}),
        None => json!({"text": new}),
    }
}
