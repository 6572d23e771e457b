//! Lists set in columns: what a thing takes of a width and a height, and where it then stands. Nothing overlaps,
//! since every thing has its own room.

use super::super::paper::{Anchor, Drawing, HEAD, KEY, PLAIN, Pen, pill_width};
use super::things::{self, Block, Item};
use maud::html;

/// Room for the number of a channel, before its label.
const NUMBER: f64 = 22.0;
/// A column of a list is not narrower.
pub(super) const NARROWEST: f64 = 112.0;
const STEP: f64 = 11.0;

/// A piece of writing, from the left upper corner of its unit.
struct Piece {
    at: (f64, f64),
    pen: Pen,
    anchor: Anchor,
    text: String,
}

/// What stays together in a column.
pub(super) struct Unit {
    pub height: f64,
    width: f64,
    kind: Kind,
    pieces: Vec<Piece>,
    sign: Option<&'static str>,
    points: Vec<String>,
    whole: String,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Title,
    Head,
    Item(things::Kind),
    Gap,
}

pub(super) fn units(blocks: &[Block], width: f64) -> Vec<Unit> {
    let mut out = Vec::new();
    for block in blocks {
        if !out.is_empty() {
            out.push(gap(width));
        }
        out.extend(block.head.iter().map(|words| head(words, width)));
        out.extend(block.items.iter().map(|item| set(item, width)));
    }
    out
}

pub(super) fn gap(width: f64) -> Unit {
    Unit::new(Kind::Gap, 5.0, width)
}

/// A heading over blocks.
pub(super) fn title(words: &str, width: f64) -> Unit {
    let mut unit = Unit::new(Kind::Title, 0.0, width);
    for line in HEAD.wrap(words, width, 2) {
        unit.height += 14.0;
        unit.pieces.push(Piece { at: (0.0, unit.height - 3.0), pen: HEAD, anchor: Anchor::Start, text: line });
    }
    unit
}

fn head(words: &str, width: f64) -> Unit {
    let mut unit = Unit::new(Kind::Head, 3.0, width);
    for line in KEY.wrap(words, width - 8.0, 3) {
        unit.height += STEP;
        unit.pieces.push(Piece { at: (4.0, unit.height - 2.0), pen: KEY, anchor: Anchor::Start, text: line });
    }
    unit.height += 3.0;
    Unit { whole: words.to_string(), ..unit }
}

fn set(item: &Item, width: f64) -> Unit {
    let mut unit = Unit::new(Kind::Item(item.kind), 0.0, width);
    let source = item.kind == things::Kind::Source;
    let indent = if source { NUMBER + 4.0 } else { 16.0 };
    let label = if source { item.label.clone() } else { format!("{} {}", item.number, item.label) };
    let sign = item.sign.map_or(0.0, |sign| pill_width(sign) + 3.0);
    let mut after = indent;
    for line in KEY.wrap(&label, width - indent - sign, 2) {
        unit.height += STEP;
        after = indent + KEY.width(&line) + 6.0;
        unit.pieces.push(Piece { at: (indent, unit.height - 2.0), pen: KEY, anchor: Anchor::Start, text: line });
    }
    unit.height = unit.height.max(STEP);
    let under = item.under.join(", ");
    let taken = if unit.height > STEP { 0.0 } else { sign };
    if PLAIN.width(&under) <= width - after - taken {
        let at = (after, unit.height - 2.0);
        unit.pieces.push(Piece { at, pen: PLAIN, anchor: Anchor::Start, text: under });
    } else {
        for line in PLAIN.wrap(&under, width - indent, 2) {
            unit.height += STEP;
            unit.pieces.push(Piece { at: (indent, unit.height - 2.0), pen: PLAIN, anchor: Anchor::Start, text: line });
        }
    }
    if source {
        let text = KEY.cut(&item.number, NUMBER);
        unit.pieces.push(Piece { at: (NUMBER, STEP - 2.0), pen: KEY, anchor: Anchor::End, text });
    }
    unit.height += 1.0;
    let words = [&item.number, &item.label].into_iter().chain(&item.under).map(String::as_str);
    let whole = words.chain(item.sign).collect::<Vec<_>>().join(", ");
    Unit { whole, sign: item.sign, points: item.points.clone(), ..unit }
}

impl Unit {
    fn new(kind: Kind, height: f64, width: f64) -> Unit {
        let (sign, points, whole) = (None, Vec::new(), String::new());
        Unit { height, width, kind, pieces: Vec::new(), sign, points, whole }
    }

    fn draw(&self, drawing: &mut Drawing, (x, y): (f64, f64)) {
        let frame = ((x, y), (self.width, self.height));
        drawing.standing_for(&self.points, &self.whole, frame, |drawing| {
            match self.kind {
                Kind::Head => drawing.frame((x + 0.5, y + 1.5), (self.width - 1.0, self.height - 3.0), 1.2, "#fff"),
                Kind::Item(things::Kind::Loudspeaker) => loudspeaker(drawing, (x, y)),
                Kind::Item(things::Kind::Ears) => earpiece(drawing, (x, y)),
                _ => {}
            }
            for piece in &self.pieces {
                drawing.text((x + piece.at.0, y + piece.at.1), piece.pen, piece.anchor, &piece.text);
            }
            if let Some(sign) = self.sign {
                drawing.pill((x + self.width - pill_width(sign) - 0.5, y), sign, sign == "48V");
            }
        });
    }
}

/// A wedge, seen from its side.
fn loudspeaker(drawing: &mut Drawing, (x, y): (f64, f64)) {
    let path = format!("M{:.1} {:.1}h12v-2.5l-9-5z", x + 0.5, y + 9.5);
    drawing.add(html! { path d=(path) fill="#fff" stroke="#000" stroke-width="1.2" {} });
}

/// An earpiece on its cable.
fn earpiece(drawing: &mut Drawing, (x, y): (f64, f64)) {
    let path = format!("M{:.1} {:.1}a3 3 0 1 1 3 3v2.5", x + 3.0, y + 4.0);
    drawing.add(html! { path d=(path) fill="none" stroke="#000" stroke-width="1.6" {} });
}

/// Units in columns of one height: for each column, which units.
pub(super) struct Columns {
    pub height: f64,
    columns: Vec<(usize, usize)>,
}

/// As low as so many columns can be.
pub(super) fn balanced(units: &[Unit], columns: usize) -> Columns {
    let total: f64 = units.iter().map(|unit| unit.height).sum();
    let mut height = total / columns as f64;
    loop {
        let filled = filled(units, height);
        if filled.columns.len() <= columns {
            return filled;
        }
        height += 4.0;
    }
}

/// As many columns as it takes.
pub(super) fn filled(units: &[Unit], height: f64) -> Columns {
    let (mut columns, mut start, mut at, mut used, mut highest) = (Vec::new(), 0, 0, 0.0, 0.0_f64);
    while let Some(unit) = units.get(at) {
        let need = with_next(units.get(at..).unwrap_or_default());
        if at > start && used + need > height {
            columns.push((start, at));
            start = if unit.kind == Kind::Gap { at + 1 } else { at };
            (at, used) = (start, 0.0);
            continue;
        }
        used += unit.height;
        highest = highest.max(used);
        at += 1;
    }
    if start < units.len() {
        columns.push((start, units.len()));
    }
    Columns { height: highest, columns }
}

/// What must stand in one column with the first: headings stay with what they head.
fn with_next(units: &[Unit]) -> f64 {
    let heads = units.iter().take_while(|unit| matches!(unit.kind, Kind::Head | Kind::Title)).count();
    units.iter().take(heads + 1).map(|unit| unit.height).sum()
}

impl Columns {
    pub fn count(&self) -> usize {
        self.columns.len()
    }

    /// Draws so many columns from one on, each `step` right of the one before.
    pub fn draw(&self, units: &[Unit], drawing: &mut Drawing, from: usize, many: usize, at: (f64, f64), step: f64) {
        for (column, (start, end)) in (0..).map(f64::from).zip(self.columns.iter().skip(from).take(many)) {
            let mut y = at.1;
            for unit in units.get(*start..*end).unwrap_or_default() {
                if unit.kind != Kind::Gap {
                    unit.draw(drawing, (at.0 + column * step, y));
                }
                y += unit.height;
            }
        }
    }
}
