//! One walk over the statements of a file that gathers its names.

use super::scope::{Scope, declared_part};
use super::{NameAt, Owner, Role, Symbol};
use crate::project::attrs;
use crate::source::Span;
use crate::syntax::ast::*;

/// `act` is that whose braces include the file.
pub(super) fn names<'s>(statements: &'s [Statement], scope: &'s Scope, act: Option<&'s str>) -> Vec<NameAt> {
    let mut walk = Walk { scope, names: Vec::new(), act, desk: None, row: None };
    walk.statements(statements);
    walk.names
}

struct Walk<'s> {
    scope: &'s Scope,
    names: Vec<NameAt>,
    act: Option<&'s str>,
    /// The desk whose rows these are.
    desk: Option<&'s str>,
    row: Option<Span>,
}

impl<'s> Walk<'s> {
    fn put(&mut self, name: &Name, symbol: Option<Symbol>, role: Role) {
        let Some(symbol) = symbol else { return };
        let row = self.row.unwrap_or(name.span);
        self.names.push(NameAt { span: name.span, symbol, role, row });
    }

    fn uses(&mut self, name: &Name, symbol: Option<Symbol>) {
        self.put(name, symbol, Role::Uses);
    }

    fn device(&mut self, name: &Name) {
        self.uses(name, self.scope.device(&name.value));
    }

    fn model(&mut self, name: &Name) {
        self.uses(name, Some(Symbol::Model(name.value.clone())));
    }

    fn statements(&mut self, statements: &'s [Statement]) {
        for statement in statements {
            self.row = Some(statement.span);
            self.desk = None;
            self.statement(&statement.kind);
        }
    }

    fn statement(&mut self, kind: &'s StatementKind) {
        let own = |name: &Name, act: Option<&str>| (act.map(str::to_string), name.value.clone());
        match kind {
            StatementKind::Version(_)
            | StatementKind::Show { .. }
            | StatementKind::Include { .. }
            | StatementKind::Rate(_) => {}
            StatementKind::Clock(desk) => self.device(desk),
            StatementKind::Carrier(carrier) => {
                let symbol = Symbol::Carrier(carrier.name.value.clone());
                self.put(&carrier.name, Some(symbol), Role::Declares);
            }
            StatementKind::Kind(kind) => {
                self.put(&kind.name, Some(Symbol::Kind(kind.name.value.clone())), Role::Declares);
            }
            StatementKind::Feed(feed) => {
                for name in [&feed.from, &feed.to] {
                    self.uses(name, self.scope.kind(&name.value));
                }
            }
            StatementKind::Mic(mic) => {
                self.put(&mic.name, Some(Symbol::Mic(mic.name.value.clone())), Role::Declares);
                if let Some(kind) = &mic.kind {
                    self.uses(kind, self.scope.kind(&kind.value));
                }
            }
            StatementKind::Model(model) => self.model_block(model),
            StatementKind::Device(device) => {
                self.put(&device.name, Some(Symbol::Device(device.name.value.clone())), Role::Declares);
                if let Some(model) = &device.model {
                    self.model(model);
                }
                self.desk = Some(&device.name.value);
                self.attrs(&device.attrs);
            }
            StatementKind::Link { from, to, attrs } => {
                self.place(from);
                self.place(to);
                self.attrs(attrs);
            }
            StatementKind::Loom { from, to, attrs } => {
                self.terms(from);
                self.terms(to);
                self.attrs(attrs);
            }
            StatementKind::SpareCable(attrs) => self.attrs(attrs),
            StatementKind::Inputs { desk, rows } => {
                self.list_of(desk.as_ref());
                rows.iter().for_each(|row| self.input(row));
            }
            StatementKind::InputsSame { desk, of } => {
                self.device(desk);
                self.device(of);
            }
            StatementKind::Outputs { desk, rows } => {
                self.list_of(desk.as_ref());
                for row in rows {
                    self.row = Some(row.span);
                    self.bank_here(&row.bank);
                    self.attrs(&row.attrs);
                }
            }
            StatementKind::Personal { desk, rows } => {
                self.list_of(desk.as_ref());
                for row in rows {
                    self.row = Some(row.span);
                    self.terms(&row.feeds);
                    self.attrs(&row.attrs);
                }
            }
            StatementKind::Record { what, desk, .. } => {
                self.sources(what);
                desk.iter().for_each(|desk| self.device(desk));
            }
            StatementKind::Keep { what, out_of } => {
                self.terms(what);
                out_of.iter().for_each(|name| self.device(name));
            }
            StatementKind::Group { name, members } => {
                let (act, value) = own(name, self.act);
                self.put(name, Some(Symbol::Group { act, name: value }), Role::Declares);
                self.terms(members);
            }
            StatementKind::Set { to, from } => {
                self.terms(to);
                self.terms(from);
            }
            StatementKind::Act(act) => {
                self.put(&act.name, Some(Symbol::Act(act.name.value.clone())), Role::Declares);
                let around = self.act.replace(&act.name.value);
                self.statements(&act.statements);
                self.act = around;
            }
            StatementKind::Expect(expect) => self.expect(expect),
            StatementKind::Allow { rule, on, .. } => {
                self.uses(rule, Some(Symbol::Rule(rule.value.clone())));
                on.iter().for_each(|terms| self.terms(terms));
            }
            StatementKind::Change { what, attrs } => {
                self.what(what, Role::Changes);
                self.attrs(attrs);
            }
            StatementKind::Without { what } => self.what(what, Role::TakesOut),
        }
    }

    fn list_of(&mut self, desk: Option<&'s Name>) {
        desk.iter().for_each(|desk| self.device(desk));
        self.desk = desk.map(|desk| desk.value.as_str());
    }

    fn input(&mut self, row: &'s InputRow) {
        self.row = Some(row.span);
        let symbol = self.scope.source(self.act, &row.name.value);
        // Without a place or a kind it is one more desk's channel for a source declared elsewhere.
        let role = if attrs::declares(row) { Role::Declares } else { Role::Uses };
        self.put(&row.name, symbol, role);
        self.attrs(&row.attrs);
    }

    fn attrs(&mut self, attrs: &'s [Attr]) {
        attrs.iter().for_each(|attr| self.attr(&attr.kind));
    }

    fn attr(&mut self, kind: &'s AttrKind) {
        match kind {
            AttrKind::Is(model) => match self.scope.device(&model.value) {
                Some(device) => self.uses(model, Some(device)),
                None => self.model(model),
            },
            AttrKind::On(place) | AttrKind::RedundantOn(place) | AttrKind::Via(place) => self.place(place),
            AttrKind::FromAny(place) => place.iter().for_each(|place| self.place(place)),
            AttrKind::GainBy(name) | AttrKind::BackupOf(name) => self.device(name),
            AttrKind::Mode { bank, .. } => self.bank_here(bank),
            AttrKind::LiftedLegs(legs) => legs.iter().for_each(|leg| self.bank_here(leg)),
            AttrKind::Bank { name, .. } => {
                let of = self.desk.map(|device| Owner::Device(device.to_string()));
                let symbol = of.map(|of| Symbol::Part { of, name: name.value.clone() });
                self.put(name, symbol, Role::Declares);
            }
            AttrKind::To(lists) => lists.iter().for_each(|terms| self.terms(terms)),
            AttrKind::From(terms) => self.terms(terms),
            AttrKind::Mic(name) => self.uses(name, self.scope.mic(&name.value)),
            AttrKind::SpareFor(name) => self.source(name, Role::Uses),
            AttrKind::Of(sources) => self.sources(sources),
            _ => {}
        }
    }

    /// `foh.portA`, `stage-left`: a device, and a bank, port or block of it.
    fn place(&mut self, name: &Dotted) {
        match name.parts.as_slice() {
            [bank] if self.scope.device(&bank.value).is_none() => self.bank_here(bank),
            [device] => self.device(device),
            [device, part, ..] => {
                self.device(device);
                self.uses(part, self.scope.part_of_device(&device.value, &part.value));
            }
            [] => {}
        }
    }

    /// A bank of the desk, or device, whose rows these are.
    fn bank_here(&mut self, bank: &Name) {
        let device = self.desk.or(self.scope.only_desk());
        self.uses(bank, device.and_then(|device| self.scope.part_of_device(device, &bank.value)));
    }

    fn terms(&mut self, terms: &Terms) {
        terms.terms.iter().for_each(|term| self.term(term));
    }

    fn term(&mut self, term: &Term) {
        let Some(name) = &term.name else { return };
        match (term.range, name.parts.as_slice()) {
            (None, _) if self.is_source(name) => self.source(name, Role::Uses),
            _ => self.place(name),
        }
    }

    fn is_source(&self, name: &Dotted) -> bool {
        let Some(first) = name.parts.first() else { return false };
        self.source_or_group(&first.value).is_some() || self.scope.act(&first.value).is_some()
    }

    fn source_or_group(&self, name: &str) -> Option<Symbol> {
        self.scope.source(self.act, name).or_else(|| self.scope.group(self.act, name))
    }

    /// `kick-in`, `keys.left`, `kestrel.kick`, `kestrel.keys.left`; the side of a source is no name.
    fn source(&mut self, name: &Dotted, role: Role) {
        let Some(first) = name.parts.first() else { return };
        if let Some(symbol) = self.source_or_group(&first.value) {
            return self.put(first, Some(symbol), role);
        }
        self.uses(first, self.scope.act(&first.value));
        if let Some(second) = name.parts.get(1) {
            self.put(second, self.scope.own_source(&first.value, &second.value), role);
        }
    }

    fn sources(&mut self, sources: &Sources) {
        match sources {
            Sources::All { but, .. } => but.iter().for_each(|terms| self.terms(terms)),
            Sources::Named(terms) => self.terms(terms),
        }
    }

    fn what(&mut self, what: &'s What, role: Role) {
        match what {
            What::Input(name) => self.changed_input(name, role),
            What::Output(term) => self.term(term),
            What::Personal { desk, .. } => desk.iter().for_each(|desk| self.device(desk)),
            What::Device { name, .. } => {
                self.put(name, self.scope.device(&name.value), role);
                self.desk = Some(&name.value);
            }
            What::Link { from, to } => {
                self.place(from);
                to.iter().for_each(|to| self.place(to));
            }
            What::Loom { from } => self.place(from),
            What::Group(name) => self.put(name, self.scope.group(self.act, &name.value), role),
            What::Act(name) => self.put(name, self.scope.act(&name.value), role),
            What::Record(_) | What::Rate(_) | What::Clock(_) => {}
        }
    }

    /// `kick-in`, `monitors.kick-in`
    fn changed_input(&mut self, name: &'s Dotted, role: Role) {
        match name.parts.as_slice() {
            [desk, source] if self.scope.device(&desk.value).is_some() => {
                self.device(desk);
                self.put(source, self.scope.source(self.act, &source.value), role);
                self.desk = Some(&desk.value);
            }
            _ => self.source(name, role),
        }
    }

    fn expect(&mut self, expect: &Expect) {
        match expect {
            Expect::Reaches { what, place, .. } => {
                self.term(what);
                self.term(place);
            }
            Expect::Spare { on, .. } => on.iter().for_each(|name| self.device(name)),
            Expect::Latency { from, to, .. } => {
                self.term(from);
                self.term(to);
            }
        }
    }

    fn model_block(&mut self, model: &'s Model) {
        self.put(&model.name, Some(Symbol::Model(model.name.value.clone())), Role::Declares);
        if let Some(like) = &model.like {
            self.model(like);
        }
        for item in &model.items {
            self.row = Some(item.span);
            self.model_item(&model.name.value, &item.kind);
        }
    }

    fn model_item(&mut self, model: &str, item: &ModelItemKind) {
        if let Some(name) = declared_part(item) {
            let symbol = Symbol::Part { of: Owner::Model(model.to_string()), name: name.value.clone() };
            self.put(name, Some(symbol), Role::Declares);
        }
        let mut parts: Vec<&Name> = Vec::new();
        match item {
            ModelItemKind::Port(port) => {
                self.uses(&port.carrier, Some(Symbol::Carrier(port.carrier.value.clone())));
            }
            ModelItemKind::Passes { port, other, .. } => parts.extend([port, other]),
            ModelItemKind::Rides { bank, port, .. } | ModelItemKind::Takes { bank, port, .. } => {
                parts.extend([bank, port]);
            }
            ModelItemKind::Copies { bank, of, .. } => parts.extend([bank, of]),
            ModelItemKind::Route(route) => {
                parts.push(&route.bank);
                parts.extend(&route.from);
            }
            ModelItemKind::Block { points, .. } => {
                let firsts = points.terms.iter().filter_map(|term| term.name.as_ref()?.parts.first());
                parts.extend(firsts);
            }
            ModelItemKind::Reserved { port, for_what, .. } => parts.extend([port, for_what]),
            ModelItemKind::Pairs { banks } => parts.extend(banks),
            _ => {}
        }
        for part in parts {
            self.uses(part, self.scope.part_of_model(model, &part.value));
        }
    }
}
