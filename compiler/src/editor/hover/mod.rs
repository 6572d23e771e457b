//! What is known of the thing at a byte: the proven path, where values come from, the facts of gear, what a
//! word means. It is data; the two forms of it as text stand in `print`.

mod device;
mod gear;
mod model;
mod path;
mod print;
mod rest;
mod source;
#[cfg(test)]
mod tests;

use super::complete::{row_at, said};
use super::grammar::Sign;
use super::index::{Index, NameAt, Owner, Symbol};
use super::says::says;
use super::spot::{self, Spot};
use crate::Compiled;
use crate::plan::Table;
use crate::source::{FileId, Span};
use crate::syntax::{TokenKind, place};

/// What to show at a place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hover {
    /// The name, number or word that it is about.
    pub span: Span,
    /// Empty where it has been said.
    pub title: String,
    pub parts: Vec<Part>,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Part {
    Line(String),
    /// Rows of cells that line up. The title may be empty.
    Table {
        title: String,
        rows: Vec<Vec<String>>,
    },
}

/// What is known of what a cursor at this byte stands in or touches the end of.
pub fn hover(compiled: &Compiled, index: &Index, file: FileId, offset: u32) -> Option<Hover> {
    let spot = spot::at(compiled, file, offset);
    let points = spot.as_ref().and_then(|spot| spot.points(compiled, offset));
    if let Some(at) = points {
        return path::points(compiled, &at);
    }
    let named = index.at(file, offset);
    let named = named.and_then(|name| of_name(compiled, index, spot.as_ref(), name));
    named.or_else(|| of_word(compiled, file, offset))
}

/// What all of these say, in the order of the first, taken out of each.
pub fn taken_together(all: &mut [Hover]) -> Option<Hover> {
    let (first, others) = all.split_first()?;
    let in_all = |part: &&Part| others.iter().all(|other| other.parts.contains(part));
    let parts: Vec<Part> = first.parts.iter().filter(in_all).cloned().collect();
    let alike = others.iter().all(|other| other.title == first.title);
    let title = if alike { first.title.clone() } else { String::new() };
    let same = Hover { span: first.span, title, parts };
    for one in all {
        one.parts.retain(|part| !same.parts.contains(part));
        if one.title == same.title {
            one.title.clear();
        }
    }
    Some(same)
}

fn of_name(compiled: &Compiled, index: &Index, spot: Option<&Spot>, name: &NameAt) -> Option<Hover> {
    let (title, parts) = match &name.symbol {
        Symbol::Source { .. } => source::source(compiled, index, name)?,
        Symbol::Device(device) => device::device(compiled, index, device)?,
        Symbol::Model(model) => model::model(compiled, index, model)?,
        Symbol::Part { name: part, of } => {
            let device = device_before(compiled, index, name).or_else(|| match of {
                Owner::Device(device) => Some(device.clone()),
                Owner::Model(_) => None,
            });
            model::part(compiled, of, part, device.as_deref())?
        }
        Symbol::Group { name: group, act } => rest::group(compiled, spot.and_then(|spot| spot.act), act, group)?,
        Symbol::Act(act) => rest::act(compiled, act)?,
        Symbol::Kind(kind) => gear::kind(compiled, kind)?,
        Symbol::Mic(mic) => gear::mic(compiled, index, mic)?,
        Symbol::Carrier(carrier) => gear::carrier(compiled, carrier)?,
        Symbol::Rule(rule) => rest::rule(rule)?,
    };
    Some(Hover { span: name.span, title, parts })
}

/// `foh` of `foh.portA`.
fn device_before(compiled: &Compiled, index: &Index, name: &NameAt) -> Option<String> {
    let dot = name.span.start.checked_sub(1)?;
    let text = &compiled.sources.get(name.span.file)?.text;
    let before = index.at(name.span.file, dot).filter(|_| text.as_bytes().get(dot as usize) == Some(&b'.'))?;
    match &before.symbol {
        Symbol::Device(device) => Some(device.clone()),
        _ => None,
    }
}

/// A word of the language, by where the grammar has it.
fn of_word(compiled: &Compiled, file: FileId, offset: u32) -> Option<Hover> {
    let (parsed, text) = (compiled.parsed.get(&file)?, &compiled.sources.get(file)?.text);
    let mut touching = parsed.tokens.iter().filter(|token| token.start <= offset && offset <= token.end);
    let token = touching.find(|token| token.kind == TokenKind::Word)?;
    let (row, mut row_said) = row_at(text, &place(text, token.end as usize)?)?;
    row_said.extend(said(token, text));
    let (_, word) = *row_said.last()?;
    let taken = row.after(&row_said).last;
    let of_word = taken.iter().filter(|want| !want.unit && matches!(want.sign, Sign::Word(known) if known == word));
    let means = of_word.map(|want| says(want.part, word)).find(|line| !line.is_empty())?;
    let span = Span { file, start: token.start, end: token.end };
    Some(Hover { span, title: token.text(text).to_string(), parts: vec![line(means)] })
}

fn line(text: impl Into<String>) -> Part {
    Part::Line(text.into())
}

/// A table, where it holds something.
fn table(title: &str, rows: Vec<Vec<String>>) -> Option<Part> {
    (!rows.is_empty()).then(|| Part::Table { title: title.to_string(), rows })
}

fn table_of(title: &str, rows: &Table) -> Option<Part> {
    table(title, rows.rows().to_vec())
}
