//! What people write where the language has another word or another order, and what to write instead. It only
//! puts help to what was told already: nothing here decides whether a row reads.

use super::super::significant::{Spanned, nfc};
use super::super::tokens::TokenKind;
use super::super::words::{OUTPUT_ATTRIBUTES, OUTPUT_USES, STATEMENT_WORDS};
use crate::diagnostics::{Diagnostic, Edit};
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
    ("P48", "phantom"),
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

/// The language's word for a statement that people call otherwise.
pub fn statement(word: &str) -> Option<&'static str> {
    meant(STATEMENTS, &word.to_lowercase())
}

fn meant(words: &[(&str, &'static str)], word: &str) -> Option<&'static str> {
    words.iter().find(|(said, _)| *said == word).map(|(_, meant)| *meant)
}

/// Whether the help says that the row's missing `to` belongs here.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    To,
    Nothing,
}

/// Puts the help to a row's diagnostic, where there is one to give.
pub fn help(row: &[Spanned<'_>], told: &mut Diagnostic) -> Missing {
    let Some(at) = row.iter().position(|(_, span)| span.start == told.span.start) else { return Missing::Nothing };
    let place = Place { row, at };
    match told.rule {
        "unknown-attribute" if told.message.ends_with("of an input row") => place.in_input(told),
        "unknown-attribute" if told.message.ends_with("of an output row") => return place.in_output(told),
        "unreadable-row" => place.unreadable(told),
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

    fn in_input(&self, told: &mut Diagnostic) {
        let word = self.text(self.at);
        if let Some(word) = meant(INPUTS, word) {
            return self.replace(told, word);
        }
        if is_slip(told) {
            return;
        }
        if let Some(point) = self.point().filter(|_| !self.says("from")) {
            return say(told, format!("say where it plugs in with `from`: `from {point}`"));
        }
        // `10 lead vocal dynamic`: the name, what was taken for the microphone, and the microphone.
        if self.at == 3 && self.is_numbers(0) && [1, 2].iter().all(|at| self.kind(*at) == Some(TokenKind::Word)) {
            self.join(told, 1, 2);
        }
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
        } else if is_slip(told) {
            // It may be a name of the list of attributes after all.
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
            Some(TokenKind::Word) if told.message.contains("`tall`") => {
                if let Some(word) = meant(STANDS, word) {
                    self.replace(told, word);
                }
            }
            Some(TokenKind::Plus) => say(told, "phantom is written `phantom`, or `48V` without a sign".to_string()),
            Some(TokenKind::Text) if first == "act" && self.at == 1 => self.name_of_act(told),
            Some(TokenKind::Word) if first == "record" && ["to", "onto"].contains(&word) => {
                say(told, "name the recorder after `on`, as in `record all inputs on rack`".to_string());
            }
            Some(TokenKind::Word) if comma_before && self.is_numbers(0) => {
                say(told, "columns stand apart by blanks; a comma joins the items of one list".to_string());
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

/// A word that is near enough to one of the language to be a slip.
fn is_slip(told: &Diagnostic) -> bool {
    told.help.iter().any(|help| help.starts_with("did you mean"))
}

/// In place of what was said, a list of words mostly.
fn say(told: &mut Diagnostic, help: String) {
    told.help = vec![help];
    told.fixes.clear();
}
