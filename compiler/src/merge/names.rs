//! Who is who: by what name the same row is found again in another version of its text, and where its parts
//! begin. A row that says no name is known by its words alone.

use crate::source::Span;
use crate::syntax::ast::{
    Attr, AttrKind, Dotted, InputRow, ModelItem, Name, OutputRow, PersonalRow, Statement, StatementKind as S, What,
};
use crate::syntax::{Parsed, Token};

/// A statement or row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Thing {
    pub span: Span,
    /// The plainest first.
    pub names: Vec<String>,
    pub rank: Option<u32>,
    /// What the part before the first cut is.
    pub first: &'static str,
    /// In order, behind the first word.
    pub cuts: Vec<Cut>,
    pub inner: Inner,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Inner {
    Nothing,
    Things(Vec<Thing>),
    /// Rows that are known by their lines.
    Lines,
}

impl Thing {
    /// One without parts.
    pub fn row(span: Span, names: Vec<String>) -> Self {
        Thing { span, names, rank: None, first: "", cuts: Vec::new(), inner: Inner::Nothing }
    }
}

/// Where a part of a row begins.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Cut {
    pub key: String,
    pub rank: u32,
    pub at: u32,
}

/// The key of a part that says what its row is called.
pub(super) const NAME: &str = "name";

/// The key of a part that lists names, in no order.
pub(super) const MEMBERS: &str = "of";

/// In which order parts that both sides put in stand; other words come after, labels last.
const ORDER: &[&str] = &[
    NAME, "is", "to", "mic", "from", "via", "on", "offset", "phantom", "gain", "pad", "stereo", "stand", "use",
    MEMBERS, "cable", "place", "who", "note",
];

pub(super) fn things(text: &str, parsed: &Parsed) -> Vec<Thing> {
    let signs = parsed.tokens.iter().filter(|token| !token.kind.is_trivia()).copied().collect();
    Namer { text, signs }.statements(&parsed.statements)
}

struct Namer<'t> {
    text: &'t str,
    signs: Vec<Token>,
}

impl Namer<'_> {
    /// The words there, with one blank between them.
    fn said(&self, span: Span) -> String {
        let first = self.signs.partition_point(|sign| sign.start < span.start);
        let signs = self.signs.iter().skip(first).take_while(|sign| sign.end <= span.end);
        signs.map(|sign| sign.text(self.text)).collect::<Vec<_>>().join(" ")
    }

    /// Where the word before that place begins.
    fn before(&self, span: Span) -> u32 {
        let here = self.signs.partition_point(|sign| sign.start < span.start);
        here.checked_sub(1).and_then(|word| self.signs.get(word)).map_or(span.start, |sign| sign.start)
    }

    fn statements(&self, statements: &[Statement]) -> Vec<Thing> {
        let mut things: Vec<Thing> = statements.iter().map(|statement| self.statement(statement)).collect();
        things.sort_by_key(|thing| thing.span.start);
        things
    }

    fn statement(&self, statement: &Statement) -> Thing {
        let kind = &statement.kind;
        Thing {
            span: statement.span,
            names: self.names(statement),
            rank: None,
            first: "",
            cuts: self.parts(kind),
            inner: self.inner(kind),
        }
    }

    fn names(&self, statement: &Statement) -> Vec<String> {
        let word = self.said(statement.word);
        let says = |span: Span| format!("{word} {}", self.said(span));
        let desk = |desk: &Option<Name>| self.of_desk(&word, desk.as_ref());
        vec![match &statement.kind {
            S::Version(_) | S::Show { .. } | S::Rate(_) | S::Clock(_) => word,
            S::Include { path, .. } => says(path.span),
            S::Carrier(carrier) => says(carrier.name.span),
            S::Kind(kind) => says(kind.name.span),
            S::Mic(mic) => says(mic.name.span),
            S::Model(model) => says(model.name.span),
            S::Feed(feed) => says(feed.from.span.to(feed.to.span)),
            S::Device(device) => format!("gear {}", self.said(device.name.span)),
            S::Link { from, to, .. } => return vec![says(from.span), says(from.span.to(to.span))],
            S::Loom { from, to, .. } => return vec![says(from.span), says(from.span.to(to.span))],
            S::Keep { what, .. } => says(what.span),
            S::Group { name, .. } => says(name.span),
            S::Set { to, .. } => says(to.span),
            S::Allow { rule, on, .. } => says(on.as_ref().map_or(rule.span, |on| rule.span.to(on.span))),
            S::Change { what, .. } | S::Without { what } => self.changed(what),
            S::Inputs { desk: of, .. } | S::Outputs { desk: of, .. } => desk(of),
            S::Personal { desk: of, .. } | S::Record { desk: of, .. } => desk(of),
            S::InputsSame { desk, .. } => says(desk.span),
            S::Act(act) => says(act.name.span),
            S::Expect(_) | S::SpareCable(_) => self.said(statement.span),
        }]
    }

    /// Where the parts begin of what has any.
    fn parts(&self, kind: &S) -> Vec<Cut> {
        match kind {
            S::Device(device) => {
                let is = device.model.as_ref().map(|model| cut("is", self.before(model.span)));
                let label = device.label.as_ref().map(|label| cut("label", label.span.start));
                let own = [cut(NAME, device.name.span.start)].into_iter().chain(is).chain(label);
                self.cuts(own, &device.attrs)
            }
            S::Link { from, to, attrs } => {
                self.cuts([cut(NAME, from.span.start), cut("to", self.before(to.span))], attrs)
            }
            S::Loom { from, to, attrs } => {
                self.cuts([cut(NAME, from.span.start), cut("to", self.before(to.span))], attrs)
            }
            S::Group { name, members } => {
                self.cuts([cut(NAME, name.span.start), cut(MEMBERS, members.span.start)], &[])
            }
            S::Change { attrs, .. } => self.cuts([], attrs),
            _ => Vec::new(),
        }
    }

    fn of_desk(&self, word: &str, desk: Option<&Name>) -> String {
        desk.map_or_else(|| word.to_string(), |desk| format!("{word} {}", self.said(desk.span)))
    }

    fn inner(&self, kind: &S) -> Inner {
        Inner::Things(match kind {
            S::Inputs { rows, .. } => rows.iter().map(|row| self.input(row)).collect(),
            S::Outputs { rows, .. } => rows.iter().map(|row| self.output(row)).collect(),
            S::Personal { rows, .. } => rows.iter().map(|row| self.personal(row)).collect(),
            S::Act(act) => self.statements(&act.statements),
            S::Model(model) => model.items.iter().map(|item| self.model_item(item)).collect(),
            S::Carrier(_) | S::Kind(_) | S::Mic(_) => return Inner::Lines,
            _ => return Inner::Nothing,
        })
    }

    /// A change and a taking out of one thing are rivals.
    fn changed(&self, what: &What) -> String {
        let dotted = |sort: &str, name: &Dotted| format!("venue's {sort} {}", self.said(name.span));
        match what {
            What::Input(name) => dotted("input", name),
            What::Output(term) => format!("venue's output {}", self.said(term.span)),
            What::Personal { desk, numbers } => {
                format!("{} {}", self.of_desk("venue's personal", desk.as_ref()), self.said(numbers.span))
            }
            What::Device { name, .. } => format!("venue's gear {}", self.said(name.span)),
            What::Link { from, .. } => dotted("link", from),
            What::Loom { from } => dotted("loom", from),
            What::Group(name) => format!("venue's group {}", self.said(name.span)),
            What::Act(name) => format!("venue's act {}", self.said(name.span)),
            What::Record(_) => "venue's record".to_string(),
            What::Rate(_) => "venue's rate".to_string(),
            What::Clock(_) => "venue's clock".to_string(),
        }
    }

    fn input(&self, row: &InputRow) -> Thing {
        let name = self.said(row.name.span);
        let channels = row.channels.as_ref();
        let finer = channels.map(|channels| format!("{name} on {}", self.said(channels.span)));
        Thing {
            span: row.span,
            rank: channels.and_then(|channels| channels.ranges.first()).map(|range| range.first),
            names: [name].into_iter().chain(finer).collect(),
            first: if channels.is_some() { "channel" } else { NAME },
            cuts: self.cuts([cut(NAME, row.name.span.start)], &row.attrs),
            inner: Inner::Nothing,
        }
    }

    fn output(&self, row: &OutputRow) -> Thing {
        Thing {
            span: row.span,
            rank: row.numbers.ranges.first().map(|range| range.first),
            names: vec![self.said(row.bank.span.to(row.numbers.span)), self.said(row.span)],
            first: "",
            cuts: self.cuts([], &row.attrs),
            inner: Inner::Nothing,
        }
    }

    fn personal(&self, row: &PersonalRow) -> Thing {
        Thing {
            span: row.span,
            rank: row.numbers.ranges.first().map(|range| range.first),
            names: vec![self.said(row.numbers.span), self.said(row.span)],
            first: "",
            cuts: self.cuts([cut(MEMBERS, row.feeds.span.start)], &row.attrs),
            inner: Inner::Nothing,
        }
    }

    /// A row of a model, by its first two words.
    fn model_item(&self, item: &ModelItem) -> Thing {
        let said = self.said(item.span);
        let name = said.split(' ').take(2).collect::<Vec<_>>().join(" ");
        Thing::row(item.span, vec![name, said])
    }

    fn cuts(&self, own: impl IntoIterator<Item = Cut>, attrs: &[Attr]) -> Vec<Cut> {
        let of_attrs = attrs.iter().map(|attr| cut(&self.key(attr), attr.span.start));
        let mut cuts: Vec<Cut> = own.into_iter().chain(of_attrs).collect();
        cuts.sort_by_key(|cut| cut.at);
        cuts
    }

    /// What two attributes of one row may not both say.
    fn key(&self, attr: &Attr) -> String {
        match &attr.kind {
            AttrKind::Mic(_) => "mic".to_string(),
            AttrKind::Use(_) => "use".to_string(),
            AttrKind::Labels(_) => "label".to_string(),
            AttrKind::Place(_) => "place".to_string(),
            AttrKind::Bank { name, .. } => format!("bank {}", self.said(name.span)),
            AttrKind::Mode { bank, .. } => format!("mode {}", self.said(bank.span)),
            AttrKind::Reserved { lines, .. } => format!("reserved {}", self.said(lines.span)),
            AttrKind::GainBy(_) => "gain by".to_string(),
            AttrKind::LiftedLegs(_) => "lifted legs".to_string(),
            AttrKind::Phantom => "phantom".to_string(),
            AttrKind::No(word) if word.value.starts_with("48") => "phantom".to_string(),
            AttrKind::No(word) => self.said(word.span),
            _ => self.said(attr.span).split(' ').next().unwrap_or_default().to_string(),
        }
    }
}

fn cut(key: &str, at: u32) -> Cut {
    let rank = match key {
        "label" => ORDER.len() + 1,
        key => ORDER.iter().position(|known| *known == key).unwrap_or(ORDER.len()),
    };
    Cut { key: key.to_string(), rank: u32::try_from(rank).unwrap_or(u32::MAX), at }
}
