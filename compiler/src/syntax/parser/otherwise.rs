//! What people write where the language has another word or another order, and what to write instead. It only
//! puts help to what was told already: nothing here decides whether a row reads.

use super::super::significant::{Spanned, nfc};
use super::super::tokens::TokenKind;
use super::super::words::{INPUT_ATTRIBUTES, OUTPUT_ATTRIBUTES, OUTPUT_USES, STATEMENT_WORDS};
use super::problem::Topic;
use crate::diagnostics::{Diagnostic, Edit, nearest};
use crate::source::Span;

/// The trade's other words for a statement.
const STATEMENTS: &[(&str, &str)] = &[
    ("stagebox", "box"),
    ("stage-box", "box"),
    ("mixer", "desk"),
    ("multicore", "snake"),
    ("cable", "link"),
    ("patch", "inputs"),
    ("input-list", "inputs"),
    ("mixes", "outputs"),
    ("tracks", "record"),
];

/// … for what an output row can say.
const OUTPUTS: &[(&str, &str)] = &[
    ("floor", "wedge"),
    ("floor-wedge", "wedge"),
    ("iem", "in-ears"),
    ("iems", "in-ears"),
    ("ears", "in-ears"),
    ("house", "pa"),
    ("mains", "pa"),
    ("subs", "sub"),
    ("front-fill", "fill"),
    ("fills", "fill"),
    ("sidefill", "side-fill"),
    ("stream", "broadcast"),
    ("fx", "effects"),
    ("intercom", "comms"),
    ("player", "who"),
    ("linked", "stereo"),
    ("pair", "stereo"),
];

/// … for what an input row can say.
const INPUTS: &[(&str, &str)] = &[
    ("p48", "phantom"),
    ("phantom-power", "phantom"),
    ("trim", "gain"),
    ("preamp", "gain"),
    ("boom", "stand tall"),
    ("tall", "stand tall"),
    ("short", "stand short"),
    ("straight", "stand straight"),
    ("clip", "stand clip"),
    ("inverted", "polarity inverted"),
    ("invert", "polarity inverted"),
    ("flip", "polarity inverted"),
    ("phase", "polarity inverted"),
    ("linked", "stereo"),
    ("pair", "stereo"),
    ("attenuate", "pad"),
    ("player", "who"),
    ("performer", "who"),
];

/// … for a stand.
const STANDS: &[(&str, &str)] = &[
    ("boom", "tall"),
    ("high", "tall"),
    ("low", "short"),
    ("small", "short"),
    ("clamp", "clip"),
    ("round", "straight"),
];

/// … for a priority.
const PRIORITY: &[(&str, &str)] =
    &[("high", "must"), ("essential", "must"), ("medium", "should"), ("normal", "should"), ("low", "may")];

/// … for a desk's bank.
const BANKS: &[(&str, &str)] = &[
    ("aux", "mix"),
    ("auxes", "mix"),
    ("bus", "mix"),
    ("send", "mix"),
    ("monitor", "mix"),
    ("master", "main"),
    ("lr", "main"),
    ("group", "mix"),
    ("subgroup", "mix"),
];

/// What is turned on a desk and no part of a patch.
const OF_THE_MIX: &[&str] = &["vca", "dca", "mute-group", "scene", "snapshot", "eq", "gate", "compressor", "fader"];

/// What people write for `but`.
const EXCEPT: &[&str] = &["except", "without", "minus", "excluding", "apart"];

/// What people write for `reaches`.
const REACHES: &[&str] = &["in", "into", "to", "on", "at", "goes", "arrives", "reach", "is"];

/// Words of several parts that are written as one.
const JOINED: &[&[&str]] = &[INPUT_ATTRIBUTES, OUTPUT_USES];

/// What people join lists with.
const JOINTS: &[&str] = &["and", "plus", "+"];

/// The language's word for a statement that people call otherwise.
pub fn statement(word: &str) -> Option<&'static str> {
    meant(STATEMENTS, &word.to_lowercase())
}

/// The language's word for a bank that people call otherwise.
pub fn bank(word: &str) -> Option<&'static str> {
    meant(BANKS, &word.to_lowercase())
}

/// What to do about a word that begins no statement, and is none mistyped.
pub fn no_statement(word: &str) -> Option<String> {
    let lower = word.to_lowercase();
    if OF_THE_MIX.contains(&lower.as_str()) {
        return Some(format!(
            "what is mixed on the desk is no part of the patch: take it out, or make `{word}` a comment"
        ));
    }
    let bank = ["mix", "main", "matrix"].into_iter().find(|bank| *bank == lower).or_else(|| bank(word))?;
    Some(format!("a row of an output stands in a block: `outputs foh {{ {bank} 1 to … }}`"))
}

/// What to write for a microphone or DI that is called otherwise.
pub fn mic(word: &str) -> Option<&'static str> {
    match word.to_lowercase().as_str() {
        "di" | "direct" | "di-box" => Some("say which sort: `di-active` (wants 48 V or a battery) or `di-passive`"),
        "wireless" => Some("the word for it here is `radio`"),
        _ => None,
    }
}

fn meant(words: &[(&str, &'static str)], word: &str) -> Option<&'static str> {
    words.iter().find(|(said, _)| *said == word).map(|(_, meant)| *meant)
}

fn nearly_meant(words: &[(&str, &'static str)], word: &str) -> Option<&'static str> {
    meant(words, nearest(word, words.iter().map(|(said, _)| *said))?)
}

/// Whether the help says that the row's missing `to` belongs here.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    To,
    Nothing,
}

/// Puts the help to a row's diagnostic, where there is one to give.
pub fn help(row: &[Spanned<'_>], topic: Topic, told: &mut Diagnostic) -> Missing {
    let Some(at) = row.iter().position(|(_, span)| span.start == told.span.start) else { return Missing::Nothing };
    let place = Place { row, at };
    let unread = ["unknown-attribute", "unreadable-row"].contains(&told.rule);
    if unread && (place.more_of_a_group(told) || place.but(told) || place.joint(told) || place.in_two_words(told)) {
        return Missing::Nothing;
    }
    match topic {
        Topic::InputAttribute => place.in_input(told),
        Topic::OutputAttribute => return place.in_output(told),
        Topic::Stand => place.instead(told, STANDS),
        Topic::Priority => place.instead(told, PRIORITY),
        _ if told.rule == "unreadable-row" => place.unreadable(told),
        _ => {}
    }
    Missing::Nothing
}

/// A token of a row that does not read.
struct Place<'a, 't> {
    row: &'a [Spanned<'t>],
    at: usize,
}

impl<'t> Place<'_, 't> {
    fn text(&self, at: usize) -> &'t str {
        self.row.get(at).map_or("", |(sig, _)| sig.text)
    }

    fn kind(&self, at: usize) -> Option<TokenKind> {
        self.row.get(at).map(|(sig, _)| sig.kind)
    }

    fn span(&self, at: usize) -> Option<Span> {
        self.row.get(at).map(|(_, span)| *span)
    }

    fn before(&self) -> Option<usize> {
        self.at.checked_sub(1)
    }

    fn says(&self, word: &str) -> bool {
        self.row.iter().any(|(sig, _)| sig.is_word(word))
    }

    fn is_numbers(&self, at: usize) -> bool {
        matches!(self.kind(at), Some(TokenKind::Number | TokenKind::Range))
    }

    /// `left 1` where `from left 1` is meant: words and numbers that are a point.
    fn point(&self) -> Option<String> {
        let mut text = nfc(self.text(self.at));
        let mut at = self.at + 1;
        while self.kind(at) == Some(TokenKind::Dot) && self.kind(at + 1) == Some(TokenKind::Word) {
            text.push_str(&format!(".{}", nfc(self.text(at + 1))));
            at += 2;
        }
        self.is_numbers(at).then(|| format!("{text} {}", self.text(at)))
    }

    /// `change group drums and hat`, `… but hat`: a change gives a group anew. Says whether that is it.
    fn more_of_a_group(&self, told: &mut Diagnostic) -> bool {
        let word = self.text(self.at);
        let more = JOINTS.contains(&word) || ["but", "with", "without"].contains(&word);
        let here = more && self.at == 3 && self.text(0) == "change" && self.text(1) == "group";
        if here {
            let group = nfc(self.text(2));
            say(told, format!("name all that the group is to hold: `change group {group} of …`"));
        }
        here
    }

    /// `a and b`, `a + b`, `a, and b` where a list is joined with commas. Says whether that is it.
    fn joint(&self, told: &mut Diagnostic) -> bool {
        let is_joint = |at: usize| JOINTS.contains(&self.text(at));
        let item = |at: usize| {
            !is_joint(at)
                && matches!(
                    self.kind(at),
                    Some(TokenKind::Word | TokenKind::Number | TokenKind::Range | TokenKind::Text)
                )
        };
        // After a comma `and` reads as an item, and what follows it is at fault.
        let joint = if is_joint(self.at) { Some(self.at) } else { self.before().filter(|at| is_joint(*at)) };
        let Some((joint, before)) = joint.and_then(|joint| Some((joint, joint.checked_sub(1)?))) else { return false };
        let after_comma = self.kind(before) == Some(TokenKind::Comma);
        let volts = self.text(joint) == "+" && self.text(joint + 1).starts_with(|c: char| c.is_ascii_digit());
        if volts || !item(joint + 1) || !(after_comma || item(before)) {
            return false;
        }
        let first = if after_comma { before.checked_sub(1) } else { Some(before) };
        let (first, second) = (first.map_or(String::new(), |at| self.ending_at(at)), self.starting_at(joint + 1));
        say(told, format!("a list is joined with commas: `{first}, {second}`"));
        if let (Some(last), Some(this)) = (self.span(before), self.span(joint)) {
            let text = if after_comma { "" } else { "," };
            let edit = Edit { span: Span { start: last.end, ..this }, text: text.to_string() };
            *told = told.clone().fix("join them with a comma", vec![edit], false);
        }
        true
    }

    /// `all inputs except kick`. Says whether that is it.
    fn but(&self, told: &mut Diagnostic) -> bool {
        let all = self.before().is_some_and(|at| self.text(at) == "inputs" && at > 0 && self.text(at - 1) == "all");
        let here = all && EXCEPT.contains(&self.text(self.at));
        if here {
            self.replace(told, "but");
        }
        here
    }

    /// `ears only`, `side fill`: the parts of one word. Says whether that is it.
    fn in_two_words(&self, told: &mut Diagnostic) -> bool {
        if self.kind(self.at + 1) != Some(TokenKind::Word) {
            return false;
        }
        let word = format!("{}-{}", self.text(self.at), self.text(self.at + 1));
        let here = JOINED.iter().any(|words| words.contains(&word.as_str()));
        if let (true, Some(from), Some(to)) = (here, self.span(self.at), self.span(self.at + 1)) {
            say(told, format!("it is one word: `{word}`"));
            let edit = Edit { span: from.to(to), text: word.clone() };
            *told = told.clone().fix(format!("write `{word}`"), vec![edit], false);
        }
        here
    }

    /// `3. hat`
    fn dot_after_a_channel(&self, told: &mut Diagnostic) {
        say(told, format!("no dot stands after a channel: `{} {} …`", self.text(0), nfc(self.text(self.at + 1))));
        if let Some(span) = self.span(self.at) {
            let edit = Edit { span, text: String::new() };
            *told = told.clone().fix("take the dot out", vec![edit], false);
        }
    }

    /// `include gear.fantail`
    fn file_in_quotes(&self, told: &mut Diagnostic) {
        let name: String = (self.at..self.row.len()).map(|at| self.text(at)).collect();
        say(told, format!("a file's name stands in quotes: `include \"{name}\"`"));
        if let (Some(from), Some(to)) = (self.span(self.at), self.span(self.row.len().saturating_sub(1))) {
            let edit = Edit { span: from.to(to), text: format!("\"{name}\"") };
            *told = told.clone().fix("put it in quotes", vec![edit], false);
        }
    }

    fn in_input(&self, told: &mut Diagnostic) {
        let word = self.text(self.at);
        if let Some(word) = meant(INPUTS, &word.to_lowercase()) {
            return self.replace(told, word);
        }
        if told.slip {
            return;
        }
        if let Some(point) = self.point().filter(|_| !self.says("from")) {
            return say(told, format!("say where it plugs in with `from`: `from {point}`"));
        }
        // `10 lead vocal dynamic`: the name, what was taken for the microphone, and the microphone.
        if self.at == 3 && self.is_numbers(0) && [1, 2].iter().all(|at| self.kind(*at) == Some(TokenKind::Word)) {
            return self.join(told, 1, 2);
        }
        self.instead(told, INPUTS);
    }

    /// The word for it here, where the one written is, or nearly is, another word for it.
    fn instead(&self, told: &mut Diagnostic, words: &[(&str, &'static str)]) {
        let word = self.text(self.at).to_lowercase();
        match meant(words, &word) {
            Some(word) => self.replace(told, word),
            None => self.ask(told, nearly_meant(words, &word)),
        }
    }

    /// A word, or a point whose number stands here.
    fn ending_at(&self, at: usize) -> String {
        let bank = at.checked_sub(1).filter(|_| self.is_numbers(at));
        let bank = bank.filter(|bank| self.kind(*bank) == Some(TokenKind::Word)).map(|bank| nfc(self.text(bank)));
        bank.into_iter().chain([nfc(self.text(at))]).collect::<Vec<_>>().join(" ")
    }

    /// A word, with its number where it is a point.
    fn starting_at(&self, at: usize) -> String {
        let number = (self.kind(at) == Some(TokenKind::Word) && self.is_numbers(at + 1)).then(|| self.text(at + 1));
        [nfc(self.text(at))].into_iter().chain(number.map(nfc)).collect::<Vec<_>>().join(" ")
    }

    fn in_output(&self, told: &mut Diagnostic) -> Missing {
        let word = self.text(self.at);
        if ["monitor", "monitors", "foldback"].contains(&word.to_lowercase().as_str()) {
            say(told, "say which sort: `wedge`, `side-fill` or `in-ears`".to_string());
        } else if let Some(word) = meant(OUTPUTS, &word.to_lowercase()) {
            self.replace(told, word);
        } else if let Some(point) = self.point().filter(|_| !self.says("to")) {
            say(told, format!("say where it goes with `to`: `to {point}`"));
            return Missing::To;
        } else if let Some(first) = self.before().filter(|at| self.is_name(*at)) {
            // Its own row, in the input list, may have to be mended first.
            say(told, joined(self.text(first), word).0);
        } else if told.slip {
            // It may be a name of the list of attributes after all.
        } else if let Some(word) = nearly_meant(OUTPUTS, &word.to_lowercase()) {
            self.ask(told, Some(word));
        } else if self.says("of") || word.starts_with(char::is_uppercase) {
            say(told, format!("a label stands in quotes: `\"{}\"`", nfc(word)));
        } else {
            say(told, format!("what a mix carries stands after `of`: `of {}`", nfc(word)));
        }
        Missing::Nothing
    }

    fn is_name(&self, at: usize) -> bool {
        let word = self.text(at);
        let own = OUTPUT_USES.contains(&word) || OUTPUT_ATTRIBUTES.contains(&word);
        self.kind(at) == Some(TokenKind::Word) && !own && self.says("of")
    }

    fn unreadable(&self, told: &mut Diagnostic) {
        let word = self.text(self.at);
        let first = self.text(0);
        let comma_before = self.before().is_some_and(|at| self.kind(at) == Some(TokenKind::Comma));
        match self.kind(self.at) {
            Some(TokenKind::Plus) => say(told, "phantom is written `phantom`, or `48V` without a sign".to_string()),
            Some(TokenKind::Text) if first == "act" && self.at == 1 => self.name_of_act(told),
            Some(TokenKind::Dot) if self.at == 1 && self.is_numbers(0) => self.dot_after_a_channel(told),
            Some(_) if first == "include" => self.file_in_quotes(told),
            Some(TokenKind::Word) if first == "expect" && REACHES.contains(&word) => self.replace(told, "reaches"),
            Some(TokenKind::Word) if first == "main" && self.at == 1 => {
                say(told, "the sides of a main are numbers: `main 1-2` is left and right".to_string());
            }
            Some(TokenKind::Word) if first == "record" && ["to", "onto"].contains(&word) => {
                say(told, "name the recorder after `on`, as in `record all inputs on rack`".to_string());
            }
            Some(TokenKind::Word) if comma_before && self.is_numbers(0) => {
                say(told, "columns stand apart by blanks; a comma joins the items of one list".to_string());
            }
            Some(TokenKind::Number | TokenKind::Range) if self.at == 1 && first == "spare" => {
                say(told, format!("a channel that is kept free has a name too: `{word} strip-{word} spare`"));
            }
            Some(TokenKind::Number | TokenKind::Range) if self.at == 1 && !STATEMENT_WORDS.contains(&first) => {
                say(told, format!("the channel stands first: `{word} {} …`", nfc(first)));
            }
            _ if word == "/" => say(told, "a name is letters, digits, `-` and `_`: write `-` for `/`".to_string()),
            _ => {}
        }
    }

    /// `act "Fiddle Set"`
    fn name_of_act(&self, told: &mut Diagnostic) {
        let title = nfc(self.text(self.at));
        let letters = |c: char| if c.is_alphanumeric() { c } else { ' ' };
        let plain: String = title.to_lowercase().chars().map(letters).collect();
        let name = plain.split_whitespace().collect::<Vec<_>>().join("-");
        if !name.starts_with(char::is_alphabetic) {
            return say(told, "an act has a name of one word before its title".to_string());
        }
        say(told, format!("an act has a name of one word before its title: `act {name} {title}`"));
        if let Some(span) = self.span(self.at) {
            let edit = Edit { span: Span { end: span.start, ..span }, text: format!("{name} ") };
            *told = told.clone().fix(format!("write `act {name}`"), vec![edit], false);
        }
    }

    fn replace(&self, told: &mut Diagnostic, word: &str) {
        say(told, format!("the word for it here is `{word}`"));
        if let Some(span) = self.span(self.at) {
            let edit = Edit { span, text: word.to_string() };
            *told = told.clone().fix(format!("write `{word}`"), vec![edit], false);
        }
    }

    fn ask(&self, told: &mut Diagnostic, word: Option<&str>) {
        if let (Some(span), Some(_)) = (self.span(self.at), word) {
            told.help.clear();
            *told = told.clone().near(span, word);
        }
    }

    /// Two words that are one name.
    fn join(&self, told: &mut Diagnostic, first: usize, second: usize) {
        let (help, name) = joined(self.text(first), self.text(second));
        say(told, help);
        if let (Some(from), Some(to)) = (self.span(first), self.span(second)) {
            let edit = Edit { span: from.to(to), text: name.clone() };
            *told = told.clone().fix(format!("write `{name}`"), vec![edit], false);
        }
    }
}

fn joined(first: &str, second: &str) -> (String, String) {
    let name = format!("{}-{}", nfc(first), nfc(second));
    (format!("a name of two words is joined with `-`: `{name}`"), name)
}

/// In place of what was said, a list of words mostly.
fn say(told: &mut Diagnostic, help: String) {
    told.help = vec![help];
    told.fixes.clear();
}
