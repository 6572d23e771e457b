//! From what the grammar wants at a place to what the show has for it.

use super::known::{self, Known, Offer, facts};
use super::sockets::{self, Ask, Bank, Use};
use super::{Files, Here, Kind, how_many, last_of, plain, snippets};
use crate::editor::grammar::{Row, Said, Sign, Want};
use crate::editor::says::{in_short, says};
use crate::editor::things::{Thing, dimension, thing};
use crate::plan::Role;
use crate::quantity::Unit;
use crate::rig::{Asked, Lane, LaneKind, Model};
use crate::syntax::TokenKind;
use crate::syntax::ast::DeviceWord;
use crate::syntax::words::OUTPUT_USES;

pub(super) struct Offers<'a, 't> {
    pub here: &'a Here<'t>,
    pub known: Option<&'a Known<'a>>,
    pub row: &'static Row,
    pub files: &'a Files<'a>,
}

/// Words that a row may say more than once, or that say one thing in two ways.
const AGAIN: &[&str] = &["reserved", "no", "and"];
const ALIKE: &[(&str, &str)] = &[("place", "at"), ("at", "place"), ("phantom", "48V")];
/// Other spellings of what is offered anyway.
const NOT_OFFERED: &[&str] = &["48", "48V", "V", "console"];
/// Stands among the free sockets and those that are used.
const ANY: usize = 40;

impl<'t> Offers<'_, 't> {
    /// What is written between quotes, behind these steps: files only.
    pub fn in_text(&self, wants: &[Want], steps: &str) -> Vec<Offer> {
        match wants.iter().any(|want| thing(want) == Some(Thing::File)) {
            true => (self.files)(steps).into_iter().map(file).collect(),
            false => Vec::new(),
        }
    }

    pub fn of(&self, want: &Want) -> Vec<Offer> {
        match want.sign {
            Sign::Word(word) if want.unit => self.units(want, word),
            Sign::Word("{") => {
                vec![Offer { snippet: Some("{\n  $0\n}".to_string()), ..Offer::new("{", Kind::Snippet) }]
            }
            Sign::Word(_) => plain(want.sign).into_iter().filter_map(|word| self.word(want, word)).collect(),
            // What is offered for a number is offered for a range.
            Sign::Range => Vec::new(),
            _ => thing(want).map(|thing| self.thing(thing, want)).unwrap_or_default(),
        }
    }

    fn units(&self, want: &Want, word: &str) -> Vec<Offer> {
        let dimension = dimension(want.part, want.word);
        let starts = |unit: &&Unit| unit.symbol().split([' ', '/']).next() == Some(word);
        let units = Unit::ALL.iter().filter(|unit| Some(unit.dimension()) == dimension).filter(starts);
        units.map(|unit| Offer::new(unit.symbol(), Kind::Unit)).collect()
    }

    fn word(&self, want: &Want, word: &'static str) -> Option<Offer> {
        let said = |word: &str| self.here.says(word);
        let alike = ALIKE.iter().any(|(one, other)| *one == word && said(other));
        let of_cable = want.part == "cable" && word != "cable";
        let twice = (want.opens || of_cable) && !AGAIN.contains(&word) && (said(word) || alike);
        let used = want.part == "use" && OUTPUT_USES.iter().any(|word| said(word));
        if twice || used || NOT_OFFERED.contains(&word) {
            return None;
        }
        let kind = if want.part == "use" { Kind::Use } else { Kind::Word };
        let offer = explained(want.part, word, kind);
        let offer = match (want.part, word) {
            (_, "any") => offer.rank(ANY),
            ("to", "to") if want.opens || self.here.sort() == "output-row" => offer.rank(Kind::Use.rank() - 1),
            _ => offer,
        };
        let opens_a_block = self.here.row.is_empty() && want.word.is_empty();
        let snippet = opens_a_block.then(|| snippets::block(word, self.known)).flatten();
        Some(match snippet {
            Some(snippet) => Offer { snippet: Some(snippet), kind: Kind::Snippet, ..offer },
            None => offer,
        })
    }

    fn thing(&self, thing: Thing, want: &Want) -> Vec<Offer> {
        if want.sign == Sign::Number {
            return self.number(thing);
        }
        if thing == Thing::File {
            let files = (self.files)("").into_iter().map(file).filter(|offer| offer.kind == Kind::File);
            return files.map(|offer| Offer { label: format!("\"{}\"", offer.label), ..offer }).collect();
        }
        let Some(known) = self.known.filter(|_| want.sign == Sign::Name) else { return Vec::new() };
        if self.here.last() == "." {
            return self.part(known, thing);
        }
        self.name(known, thing)
    }

    fn name(&self, known: &Known<'_>, thing: Thing) -> Vec<Offer> {
        let any = || known.devices(|_| true);
        let desks = || known.devices(|word| word == DeviceWord::Desk);
        let sources = || [known.sources(), known.groups()].concat();
        match thing {
            Thing::Desk => desks(),
            Thing::Recording => known.devices(|word| matches!(word, DeviceWord::Desk | DeviceWord::Recorder)),
            Thing::Device | Thing::Fed | Thing::Feeds | Thing::RunFrom => any(),
            Thing::DeviceOfWord => self.devices_named(known),
            Thing::Model => known.models(self.device_word()),
            Thing::Source => known.sources(),
            Thing::Again => self.again(known),
            Thing::SourceOrGroup => self.unsaid(sources()),
            Thing::SourceOrPoint if self.here.sort() == "personal-row" => [sources(), self.outputs(known)].concat(),
            Thing::SourceOrPoint => [sources(), any()].concat(),
            Thing::PointOrUse => [any(), self.uses()].concat(),
            Thing::Group => known.groups(),
            Thing::Act => known.acts(),
            Thing::Mic => [known.mics(), known.kinds()].concat(),
            Thing::Kind => known.kinds(),
            Thing::Signal => known.signals(),
            Thing::Carrier => known.carriers(),
            Thing::Rule => known::rules(),
            Thing::Use => self.unsaid(self.uses()),
            Thing::Attribute => self.attributes(),
            Thing::Port => known.ports(self.own_device()),
            Thing::Plug => self.places(known, Asked::Plug),
            Thing::Output if self.is_output() => self.places(known, Asked::Output),
            Thing::Output | Thing::RunTo => self.places(known, Asked::RunTo),
            Thing::Leg if self.here.first() == "split" => self.banks(known, sockets::leaves),
            Thing::Leg => known.legs(),
            Thing::Bank => self.outputs(known),
            Thing::ModeBank => self.mode_banks(known),
            Thing::Mode => self.modes(known),
            Thing::Own => known.parts_of(self.here.head.get(1).unwrap_or(&""), false),
            Thing::OwnPort => known.parts_of(self.here.head.get(1).unwrap_or(&""), true),
            _ => Vec::new(),
        }
    }

    fn number(&self, thing: Thing) -> Vec<Offer> {
        let Some(known) = self.known.filter(|_| self.here.last() != ".") else { return Vec::new() };
        let desk = self.desk(known);
        let ask = |used: Use, own| Ask { used, count: 1, own };
        let on_desk = |bank: &str, used: Use, own| {
            let bank = desk.and_then(|desk| known.bank_of(desk, bank));
            bank.map(|bank| known.next(&bank, ask(used, own), self.above())).unwrap_or_default()
        };
        let model = || known.model_of(self.own_device(), self.here.after_word("is"));
        let settings = |all: fn(&Model) -> Vec<u32>, what| {
            model().map(|model| known.settings(self.own_device(), all(model), what)).unwrap_or_default()
        };
        match thing {
            Thing::Channel => self.channels(known, on_desk("channel", Use::End, self.own())),
            Thing::Feed if self.here.row.is_empty() => on_desk("personal", Use::End, ""),
            Thing::OutputNumber if self.here.head.is_empty() || self.here.row.len() == 1 => self.output_numbers(known),
            Thing::Plug => self.points(known, Asked::Plug, Use::Plug),
            Thing::Output if self.is_output() => self.points(known, Asked::Output, Use::Output),
            Thing::Output | Thing::RunTo => self.points(known, Asked::RunTo, Use::Plug),
            Thing::Offset => settings(|model| sockets::offsets(model, None), "offset"),
            Thing::Slot => settings(sockets::slots, "slot"),
            Thing::ModeOffset => {
                let mode = self.here.row.iter().nth_back(1).map(|(_, text)| *text);
                let offsets = model().map(|model| sockets::offsets(model, mode)).unwrap_or_default();
                known.settings(self.own_device(), offsets, "offset")
            }
            Thing::Line => self.lines(known),
            Thing::RunFrom => self.in_order(known, Asked::RunFrom, 1),
            Thing::Fed | Thing::PointOrUse => self.in_order(known, Asked::Fed, 1),
            Thing::Feeds => self.in_order(known, Asked::Feeds, how_many(self.first_numbers())),
            Thing::SourceOrPoint if self.here.sort() == "personal-row" => self.in_order(known, Asked::Feeds, 1),
            Thing::SourceOrPoint => self.in_order(known, Asked::Fed, 1),
            _ => Vec::new(),
        }
    }

    /// Numbers of the bank that stands before, free or not: what is set, or looked at.
    fn in_order(&self, known: &Known<'_>, asked: Asked, count: u32) -> Vec<Offer> {
        let bank = known.bank(&self.here.dotted(), asked, self.desk(known));
        bank.map(|bank| known.in_order(&bank, count.max(1))).unwrap_or_default()
    }

    /// Lines of this device, or of this run, that are not said yet.
    fn lines(&self, known: &Known<'_>) -> Vec<Offer> {
        let lines = match self.here.first() {
            "loom" => {
                (1..=how_many(self.first_numbers())).map(|line| Offer::new(line.to_string(), Kind::Socket)).collect()
            }
            _ => {
                let model = known.model_of(self.own_device(), self.here.after_word("is"));
                model.map(|model| known.lines(self.own_device(), model)).unwrap_or_default()
            }
        };
        let list = self.here.row.rsplit(|(_, text)| ["dead", "reserved"].contains(text)).next().unwrap_or(&[]);
        let said: Vec<(u32, u32)> = list.iter().filter_map(|(_, text)| last_of(text)).collect();
        let unsaid = |offer: &Offer| {
            offer
                .label
                .parse()
                .is_ok_and(|line: u32| !said.iter().any(|(first, last)| (*first..=*last).contains(&line)))
        };
        lines.into_iter().filter(unsaid).collect()
    }

    /// The row from its first number on.
    fn first_numbers(&self) -> &[Said<'t>] {
        let at = self.here.row.iter().position(|(_, text)| last_of(text).is_some());
        at.and_then(|at| self.here.row.get(at..)).unwrap_or(&[])
    }

    /// What follows a dot.
    fn part(&self, known: &Known<'_>, thing: Thing) -> Vec<Offer> {
        let Some(device) = self.here.dotted().first().copied() else { return Vec::new() };
        let asked = match thing {
            Thing::Plug => Asked::Plug,
            Thing::Output if self.is_output() => Asked::Output,
            Thing::Output | Thing::RunTo => Asked::RunTo,
            Thing::RunFrom => Asked::RunFrom,
            Thing::Leg => return known.parts(device, false, sockets::leaves),
            Thing::Port => return known.parts(device, true, |_| true),
            Thing::Feeds => Asked::Feeds,
            Thing::Fed => Asked::Fed,
            _ => {
                let points = known.parts(device, false, |lane| Asked::Fed.fits(lane));
                return [points, known.inside(&self.here.dotted().join("."))].concat();
            }
        };
        known.parts(device, false, |lane| asked.fits(lane))
    }

    /// The device whose statement, or change, this is.
    fn own_device(&self) -> &'t str {
        let nth = if self.here.first() == "change" { 2 } else { 1 };
        self.here.at(nth).unwrap_or("")
    }

    fn device_word(&self) -> &'t str {
        let nth = usize::from(self.here.first() == "change");
        self.here.at(nth).unwrap_or("")
    }

    fn devices_named(&self, known: &Known<'_>) -> Vec<Offer> {
        let said = if self.here.last() == "console" { "desk" } else { self.here.last() };
        known.devices(|word| word.word() == said)
    }

    /// The desk whose rows these are.
    fn desk(&self, known: &Known<'_>) -> Option<u32> {
        known.desk(self.here.head.get(1).copied().filter(|_| self.here.head.first() != Some(&"act")))
    }

    fn is_output(&self) -> bool {
        self.here.sort() == "output-row" || self.here.at(1) == Some("output")
    }

    /// Names that the row has not yet.
    fn unsaid(&self, offers: Vec<Offer>) -> Vec<Offer> {
        offers.into_iter().filter(|offer| !self.here.says(&offer.label)).collect()
    }

    fn uses(&self) -> Vec<Offer> {
        OUTPUT_USES.iter().map(|word| explained("use", word, Kind::Use)).collect()
    }

    /// Attributes that a change could take away: those of its row.
    fn attributes(&self) -> Vec<Offer> {
        let before = self.here.row.len().saturating_sub(1);
        let next = self.row.after(self.here.row.get(..before).unwrap_or(&[]));
        let opens = next.wants.iter().filter(|want| want.opens && !["no", "use"].contains(&want.part));
        let words =
            opens.filter_map(|want| Some((want, plain(want.sign)?))).filter(|(_, word)| !NOT_OFFERED.contains(word));
        words.map(|(want, word)| explained(want.part, word, Kind::Word)).collect()
    }

    /// The last channel, feed or output of the row above.
    fn above(&self) -> u32 {
        let mut numbers = self.here.above.iter().skip_while(|(kind, _)| *kind == TokenKind::Word);
        numbers.next().and_then(|(_, text)| last_of(text)).map_or(0, |(_, last)| last)
    }

    /// The name that the row declares.
    fn own(&self) -> &'t str {
        let words = self.here.row.iter().filter(|(kind, _)| *kind == TokenKind::Word);
        let nth = if self.here.first() == "change" { 2 } else { 0 };
        words.map(|(_, text)| *text).nth(nth).unwrap_or("")
    }

    /// How many sockets the row needs.
    fn count(&self, known: &Known<'_>) -> u32 {
        if self.here.last() == "," {
            return 1;
        }
        let said = match self.here.sort() {
            "output-row" => how_many(self.here.row.get(1..).unwrap_or(&[])),
            "input-row" => how_many(&self.here.row),
            _ if self.here.at(1) == Some("input") => known.width(self.own()).unwrap_or(1),
            _ if self.here.at(1) == Some("output") => how_many(self.here.row.get(3..).unwrap_or(&[])),
            _ => 1,
        };
        if said == 0 && self.here.says("stereo") { 2 } else { said.max(1) }
    }

    fn places(&self, known: &Known<'_>, asked: Asked) -> Vec<Offer> {
        let used = if asked == Asked::Output { Use::Output } else { Use::Plug };
        let own = if asked == Asked::Plug { self.own().to_string() } else { self.own_output() };
        let above: Vec<&str> = self.here.above.iter().map(|(_, text)| *text).collect();
        known.places(asked, Ask { used, count: self.count(known), own: &own }, &above, self.desk(known))
    }

    /// Numbers of the bank that stands before.
    fn points(&self, known: &Known<'_>, asked: Asked, used: Use) -> Vec<Offer> {
        let name = self.here.dotted();
        let own = if asked == Asked::Plug { self.own().to_string() } else { self.own_output() };
        let bank = known.bank(&name, asked, self.desk(known));
        bank.map(|bank| known.numbers(&bank, Ask { used, count: self.count(known), own: &own })).unwrap_or_default()
    }

    /// `mix 1`, of an output row.
    fn own_output(&self) -> String {
        let from = if self.here.sort() == "output-row" { 0 } else { 2 };
        let words: Vec<&str> = self.here.row.iter().skip(from).take(2).map(|(_, text)| *text).collect();
        words.join(" ")
    }

    fn again(&self, known: &Known<'_>) -> Vec<Offer> {
        known.again(self.here.head.get(1).copied())
    }

    /// The next channels, and a whole row on the first of them.
    fn channels(&self, known: &Known<'_>, next: Vec<Offer>) -> Vec<Offer> {
        let starts = self.here.row.is_empty();
        if !(starts || self.here.last() == "channel") {
            return Vec::new();
        }
        let row = next.first().filter(|_| starts).map(|first| {
            let socket =
                self.places(known, Asked::Plug).into_iter().next().map_or("any".to_string(), |socket| socket.label);
            let label = format!("{} name kind from {socket}", first.label);
            let socket = snippets::plain(&socket);
            snippets::row(label, format!("{} ${{1:name}} ${{2:dynamic}} from ${{3:{socket}}}$0", first.label))
        });
        next.into_iter().chain(row).collect()
    }

    /// Banks that are sent: of this desk, or of each where none is said.
    fn outputs(&self, known: &Known<'_>) -> Vec<Offer> {
        let Some(rig) = known.rig() else { return Vec::new() };
        let desk = self.desk(known);
        let starts = self.here.sort() == "output-row" && self.here.row.is_empty();
        let desks = rig.desks().filter(|one| desk.is_none_or(|desk| desk == *one));
        let mut out = Vec::new();
        for (at, model) in desks.filter_map(|at| Some((at, rig.model(at)?))) {
            for lane in model.lanes.iter().filter(|lane| lane.kind == LaneKind::Bank(Role::Origin)) {
                let bank =
                    if desk.is_some() { lane.name.clone() } else { format!("{}.{}", rig.device_name(at), lane.name) };
                out.push(Offer::new(bank, Kind::Bank).detail(format!("1-{}", lane.size)));
                out.extend(
                    known
                        .bank_of(at, &lane.name)
                        .filter(|_| starts)
                        .map(|bank| self.output(known, &bank))
                        .unwrap_or_default(),
                );
            }
        }
        out
    }

    /// The next number of a bank, and where the list has the bank already, a whole row.
    fn output(&self, known: &Known<'_>, bank: &Bank<'_>) -> Vec<Offer> {
        let ask = Ask { used: Use::Output, count: 1, own: "" };
        let above = self.here.above.first().is_some_and(|(_, text)| *text == bank.fact.name);
        let all = known.numbers(bank, ask);
        let in_list = above || all.iter().any(|offer| offer.detail != "free");
        let after = if above { self.above() } else { 0 };
        let Some(first) = known.next(bank, ask, after).into_iter().next() else { return Vec::new() };
        let label = format!("{} {}", bank.fact.name, first.label);
        let rank = if above { 0 } else { 1 + usize::from(!in_list) };
        let next = Offer::new(&label, Kind::Channel).detail(first.detail).rank(rank);
        let socket = known.places(Asked::Output, ask, &[], self.desk(known)).into_iter().next().filter(|_| in_list);
        let row = socket.map(|socket| {
            let place = snippets::plain(&socket.label);
            let snippet = format!("{label} to ${{1:{place}}} ${{2:wedge}}$0");
            snippets::row(format!("{label} to {} use", socket.label), snippet)
        });
        [next].into_iter().chain(row).collect()
    }

    fn output_numbers(&self, known: &Known<'_>) -> Vec<Offer> {
        let name = self.here.dotted();
        let (bank, desk) = match name.as_slice() {
            [desk, bank] => (*bank, known.desk(Some(desk))),
            [bank] => (*bank, self.desk(known)),
            _ => return Vec::new(),
        };
        let Some(bank) = desk.and_then(|desk| known.bank_of(desk, bank)) else { return Vec::new() };
        let ask = Ask { used: Use::Output, count: 1, own: "" };
        match self.here.sort() {
            "output-row" => known.next(&bank, ask, self.above()),
            // What is changed or taken out is there already.
            _ => {
                let all = known.numbers(&bank, ask).into_iter();
                all.filter(|offer| offer.detail != "free").map(|offer| offer.rank(0)).collect()
            }
        }
    }

    /// Banks of the device whose statement this is.
    fn banks(&self, known: &Known<'_>, fits: impl Fn(&Lane) -> bool) -> Vec<Offer> {
        let model = known.model_of(self.own_device(), self.here.after_word("is"));
        let lanes = model.into_iter().flat_map(|model| &model.lanes).filter(|lane| fits(lane));
        lanes.map(|lane| Offer::new(&lane.name, Kind::Bank)).filter(|offer| !self.here.says(&offer.label)).collect()
    }

    fn mode_banks(&self, known: &Known<'_>) -> Vec<Offer> {
        let Some(model) = known.model_of(self.own_device(), self.here.after_word("is")) else { return Vec::new() };
        let has_modes = |name: &str| model.bank(name).is_some_and(|bank| !model.modes(bank).is_empty());
        self.banks(known, |lane| has_modes(&lane.name))
            .into_iter()
            .map(|offer| offer.detail("has modes").doc(facts(model)))
            .collect()
    }

    fn modes(&self, known: &Known<'_>) -> Vec<Offer> {
        let model = known.model_of(self.own_device(), self.here.after_word("is"));
        let modes = model.and_then(|model| Some(model.modes(model.bank(self.here.last())?)));
        modes.unwrap_or_default().into_iter().map(|mode| Offer::new(mode, Kind::Word).rank(0)).collect()
    }
}

/// A word with what it means: in short beside it, and whole where that says more.
fn explained(part: &str, word: &str, kind: Kind) -> Offer {
    let (short, whole) = (in_short(part, word), says(part, word));
    let more = if whole.trim_end_matches('.') == short { "" } else { whole };
    Offer::new(word, kind).detail(short).doc(more)
}

fn file(name: String) -> Offer {
    let kind = if name.ends_with('/') { Kind::Folder } else { Kind::File };
    Offer::new(name, kind)
}
