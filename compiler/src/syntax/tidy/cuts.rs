//! Where a row's cells begin, from what the parser made of it, and which rows stand in one table.

use super::super::ast::{
    Attr, AttrKind, Bank, Device, Expect, ModelItem, ModelItemKind, Statement, StatementKind, What,
};
use super::super::significant::Spanned;
use super::super::tokens::TokenKind;
use super::cell::Role;
use crate::source::Span;
use rustc_hash::FxHashMap;

/// What a row or statement stands among.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Among {
    /// Words in a line.
    None,
    /// The other rows of its block.
    Block,
    /// Statements of this kind, in the same group of lines.
    Kin(&'static str),
    /// The same; on one line its block's rows are cells too.
    Records(&'static str),
}

#[derive(Clone, Copy)]
pub(super) struct Cut {
    pub at: u32,
    pub role: Role,
    pub gap: usize,
}

#[derive(Default)]
pub(super) struct Cuts {
    /// By the place where a row or statement begins. One that the parser did not read is not here.
    pub rows: FxHashMap<u32, Among>,
    /// In order.
    pub cuts: Vec<Cut>,
}

pub(super) fn cuts(statements: &[Statement], sigs: &[Spanned<'_>]) -> Cuts {
    let mut cutter = Cutter { sigs, cuts: Cuts::default() };
    cutter.statements(statements);
    cutter.cuts.cuts.sort_by_key(|cut| cut.at);
    cutter.cuts
}

struct Cutter<'s, 't> {
    sigs: &'s [Spanned<'t>],
    cuts: Cuts,
}

impl Cutter<'_, '_> {
    fn cut(&mut self, at: Span, role: Role, gap: usize) {
        self.cuts.cuts.push(Cut { at: at.start, role, gap });
    }

    /// A cut some words before that place.
    fn cut_before(&mut self, at: Span, words: usize, role: Role, gap: usize) {
        let here = self.sigs.partition_point(|(_, span)| span.start < at.start);
        if let Some((_, word)) = here.checked_sub(words).and_then(|word| self.sigs.get(word)) {
            self.cut(*word, role, gap);
        }
    }

    fn statements(&mut self, statements: &[Statement]) {
        for statement in statements {
            let among = self.statement(statement);
            self.cuts.rows.insert(statement.span.start, among);
        }
    }

    fn statement(&mut self, statement: &Statement) -> Among {
        match &statement.kind {
            StatementKind::Inputs { rows, .. } => {
                for row in rows {
                    self.row(row.span, row.channels.as_ref().map(|numbers| numbers.span), row.name.span, &row.attrs);
                }
                Among::None
            }
            StatementKind::Outputs { rows, .. } => {
                for row in rows {
                    self.cuts.rows.insert(row.span.start, Among::Block);
                    self.cut(row.span, Role::Head, 0);
                    self.attrs(&row.attrs);
                }
                Among::None
            }
            StatementKind::Personal { rows, .. } => {
                for row in rows {
                    self.row(row.span, Some(row.numbers.span), row.feeds.span, &row.attrs);
                }
                Among::None
            }
            StatementKind::Model(model) => {
                model.items.iter().for_each(|item| self.model_item(item));
                Among::None
            }
            StatementKind::Act(act) => {
                self.statements(&act.statements);
                Among::None
            }
            StatementKind::Carrier(carrier) => self.record(statement, carrier.name.span, None, "carrier"),
            StatementKind::Kind(kind) => self.record(statement, kind.name.span, None, "kind"),
            StatementKind::Mic(mic) => {
                self.record(statement, mic.name.span, mic.label.as_ref().map(|label| label.span), "mic")
            }
            StatementKind::Device(device) => self.device(statement.word, device),
            StatementKind::Change { what, attrs } => self.change(statement.word, what, attrs),
            other => self.sentence(statement.word, other),
        }
    }

    /// `1 kick-in boundary from drum-riser 1`, `1 kick-in`
    fn row(&mut self, row: Span, numbers: Option<Span>, name: Span, attrs: &[Attr]) {
        self.cuts.rows.insert(row.start, Among::Block);
        if let Some(numbers) = numbers {
            self.cut(numbers, Role::Number, 0);
        }
        self.cut(name, Role::Name, 2);
        self.attrs(attrs);
    }

    fn attrs(&mut self, attrs: &[Attr]) {
        attrs.iter().for_each(|attr| self.cut(attr.span, role(&attr.kind), 2));
    }

    /// `mic vocal-hand "Hand-held" { kind dynamic; max 150 dB SPL }`
    fn record(&mut self, statement: &Statement, name: Span, label: Option<Span>, kin: &'static str) -> Among {
        self.cut(statement.word, Role::Head, 0);
        self.cut(name, Role::Name, 1);
        if let Some(label) = label {
            self.cut(label, Role::Label, 2);
        }
        let first = self.sigs.partition_point(|(_, span)| span.start < statement.span.start);
        let all = self.sigs.get(first..).unwrap_or(&[]);
        let all = all.get(..all.partition_point(|(_, span)| span.end <= statement.span.end)).unwrap_or(&[]);
        for ((sig, at), (next, after)) in all.iter().zip(all.iter().skip(1)) {
            match sig.kind {
                TokenKind::BlockOpen => self.cut(*at, role_in_a_record(next.text), 2),
                TokenKind::Semicolon if next.kind != TokenKind::BlockClose => {
                    self.cut(*after, role_in_a_record(next.text), 2);
                }
                _ => {}
            }
        }
        Among::Records(kin)
    }

    /// `box stage-left is box-16x8 on foh.portA`
    fn device(&mut self, word: Span, device: &Device) -> Among {
        self.cut(word, Role::Head, 0);
        self.cut(device.name.span, Role::Name, 1);
        if let Some(label) = &device.label {
            self.cut(label.span, Role::Label, 2);
        }
        if let Some(model) = &device.model {
            self.cut_before(model.span, 1, Role::Model, 1);
        }
        self.attrs(&device.attrs);
        Among::Kin("gear")
    }

    /// `change box stage-right on foh.portB`
    fn change(&mut self, word: Span, what: &What, attrs: &[Attr]) -> Among {
        let (kin, name) = match what {
            What::Input(name) => ("change input", name.span),
            What::Output(term) => ("change output", term.span),
            What::Personal { desk, numbers } => {
                ("change personal", desk.as_ref().map_or(numbers.span, |desk| desk.span))
            }
            What::Device { word, name } => {
                self.cut(word.span, Role::Noun, 1);
                ("change gear", name.span)
            }
            What::Link { from, .. } => ("change link", from.span),
            What::Loom { from } => ("change loom", from.span),
            What::Group(name) => ("change group", name.span),
            What::Act(_) | What::Record(_) | What::Rate(_) | What::Clock(_) => return Among::None,
        };
        self.cut(word, Role::Head, 0);
        self.cut(name, Role::Name, 1);
        self.attrs(attrs);
        Among::Kin(kin)
    }

    /// Statements that read as sentences: a word, a name, and where the rest begins.
    fn sentence(&mut self, word: Span, kind: &StatementKind) -> Among {
        self.cut(word, Role::Head, 0);
        match kind {
            StatementKind::Link { from, to, attrs } => {
                self.attrs(attrs);
                self.parts("link", from.span, &[(to.span, 1, Role::Way)])
            }
            StatementKind::Loom { from, to, attrs } => {
                self.attrs(attrs);
                self.parts("loom", from.span, &[(to.span, 1, Role::Way)])
            }
            StatementKind::Group { name, members } => self.parts("group", name.span, &[(members.span, 0, Role::Use)]),
            StatementKind::Keep { what, out_of } => {
                let out_of: Vec<_> = out_of.iter().take(1).map(|first| (first.span, 2, Role::Way)).collect();
                self.parts("keep", what.span, &out_of)
            }
            StatementKind::Set { to, from } => self.parts("set", to.span, &[(from.span, 1, Role::Way)]),
            StatementKind::Expect(Expect::Reaches { what, not, place }) => {
                let words = 1 + usize::from(not.is_some());
                self.parts("reaches", what.span, &[(place.span, words, Role::Way)])
            }
            StatementKind::Allow { rule, on, because } => {
                let on = on.as_ref().map(|on| (on.span, 1, Role::Way));
                let because = because.as_ref().map(|because| (because.span, 1, Role::Note));
                self.parts("allow", rule.span, &on.into_iter().chain(because).collect::<Vec<_>>())
            }
            StatementKind::Feed(feed) => {
                let verdict = [(feed.to.span, 1, Role::Way), (feed.verdict.span, 0, Role::Use)];
                let why = feed.why.as_ref().map(|why| (why.span, 0, Role::Label));
                self.parts("feed", feed.from.span, &verdict.into_iter().chain(why).collect::<Vec<_>>())
            }
            _ => Among::None,
        }
    }

    /// A name and the parts after it, each some words before that place.
    fn parts(&mut self, kin: &'static str, name: Span, parts: &[(Span, usize, Role)]) -> Among {
        self.cut(name, Role::Name, 1);
        parts.iter().for_each(|(at, words, role)| self.cut_before(*at, *words, *role, 1));
        Among::Kin(kin)
    }

    /// Banks and ports stand in columns; the other rows of a model are sentences.
    fn model_item(&mut self, item: &ModelItem) {
        let among = match &item.kind {
            ModelItemKind::Bank(bank) => {
                self.cut(item.span, Role::Head, 0);
                self.bank(bank, item.span);
                Among::Block
            }
            ModelItemKind::Port(port) => {
                self.cut(item.span, Role::Head, 0);
                self.cut(port.carrier.span, Role::Fact, 2);
                if let Some(flag) = port.powers.or(port.needs_power) {
                    self.cut(flag, Role::Flag, 2);
                }
                Among::Block
            }
            _ => Among::None,
        };
        self.cuts.rows.insert(item.span.start, among);
    }

    /// The role, the kind of signal and the like are one cell, right after the numbers.
    fn bank(&mut self, bank: &Bank, row: Span) {
        let first = self.sigs.partition_point(|(_, span)| span.start < bank.range.span.end);
        let facts = self.sigs.get(first..).unwrap_or(&[]);
        for (at, (sig, span)) in facts.iter().take_while(|(_, span)| span.end <= row.end).enumerate() {
            let role = match sig.text {
                "gain" => Role::Gain,
                "phantom" => Role::Phantom,
                "pad" => Role::Pad,
                "clip" => Role::Level,
                "isolated" => Role::Flag,
                _ if at == 0 => Role::Fact,
                _ => continue,
            };
            self.cut(*span, role, 2);
        }
    }
}

fn role(kind: &AttrKind) -> Role {
    match kind {
        AttrKind::Is(_) => Role::Model,
        AttrKind::Mic(_) => Role::Mic,
        AttrKind::On(_) | AttrKind::To(_) | AttrKind::From(_) | AttrKind::FromAny(_) | AttrKind::Via(_) => Role::Way,
        AttrKind::Phantom => Role::Phantom,
        AttrKind::Use(_) => Role::Use,
        AttrKind::Offset(_) | AttrKind::Slot(_) => Role::Offset,
        AttrKind::Gain(_) => Role::Gain,
        AttrKind::Pad => Role::Pad,
        AttrKind::Stand(_) => Role::Stand,
        AttrKind::Cable(_) => Role::Cable,
        AttrKind::Level(_) => Role::Level,
        AttrKind::Labels(_) => Role::Label,
        AttrKind::Stereo
        | AttrKind::Spare
        | AttrKind::SpareFor(_)
        | AttrKind::PolarityInverted
        | AttrKind::EarsOnly
        | AttrKind::Data
        | AttrKind::Lifted => Role::Flag,
        AttrKind::Place(_) => Role::Place,
        AttrKind::Who(_) => Role::Who,
        AttrKind::Note(_) => Role::Note,
        AttrKind::Of(_) => Role::Of,
        _ => Role::Other,
    }
}

/// The column of a row of a record, by its first word.
fn role_in_a_record(word: &str) -> Role {
    match word {
        "kind" | "signal" => Role::Mic,
        "phantom" => Role::Phantom,
        "sensitivity" => Role::Gain,
        "max" => Role::Level,
        "note" => Role::Note,
        _ => Role::Other,
    }
}
