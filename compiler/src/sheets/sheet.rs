//! What a pack is: sheets of tables, words and pictures, as plain data. Nothing here knows how it is written
//! down, and nothing here knows a plan, but for the head that every page carries.

use crate::plan::Plan;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// All sheets of one show.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Pack {
    pub head: Head,
    /// The version mark of the plan, printed on every page.
    pub mark: String,
    pub sheets: Vec<Sheet>,
    /// The acts in the order of the day, by name, each with how people call it.
    pub acts: Vec<(String, String)>,
    /// Where each source goes, in the house and in each act.
    pub paths: Vec<PathOf>,
}

/// Everything that one source passes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct PathOf {
    pub source: String,
    pub label: String,
    /// The act that it holds in; without one it holds wherever no act says otherwise.
    pub act: Option<String>,
    /// Each point by each of its names: a link's slot has one at both ends.
    pub points: Vec<String>,
    /// The same in words, a line for each way.
    pub said: Vec<String>,
}

/// What every page says of the show.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    pub show: String,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub venue: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub date: Option<String>,
}

impl Head {
    pub fn of(plan: &Plan) -> Head {
        let show = &plan.show;
        Head { show: show.title.clone(), venue: show.venue.clone(), date: show.date.clone() }
    }

    /// `Night Ferry, Quayside Hall, 2026-07-04`
    pub fn line(&self) -> String {
        let parts = [Some(&self.show), self.venue.as_ref(), self.date.as_ref()];
        parts.into_iter().flatten().map(String::as_str).collect::<Vec<_>>().join(", ")
    }
}

/// What one person is handed.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Sheet {
    /// Names its file and its place in the book: `stage-patch-stage-left`.
    pub slug: String,
    pub title: String,
    /// Whom it is for: `stage crew`.
    pub reader: &'static str,
    /// The act that it holds in; without one it holds in all.
    pub act: Option<String>,
    /// Large type, for reading by a head torch.
    pub large: bool,
    pub cautions: Vec<&'static str>,
    pub parts: Vec<Part>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum Part {
    /// A sentence or two.
    Words(String),
    Table(Table),
    Picture(Picture),
    Labels(Labels),
}

/// Rows under named columns. Every row has as many cells as there are columns.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Table {
    /// Absent where the sheet's title says it all.
    pub title: Option<String>,
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Some are named after a device or an act.
    pub name: Cow<'static, str>,
    pub look: Look,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Look {
    /// Words.
    Plain,
    /// A number or a value, set to the right.
    Number,
    /// What the eye looks for first, in bold.
    Key,
    /// A box to tick by hand; its cells are empty.
    Tick,
    /// Room to write; its cells may be empty.
    Room,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Row {
    pub cells: Vec<Cell>,
    /// Points of the plan that the row stands for: they light with a source's path.
    pub points: Vec<String>,
    /// The source that the row is about: pointing at it lights that source's path.
    pub source: Option<String>,
    pub weight: Weight,
}

/// How much a row asks for attention.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub enum Weight {
    #[default]
    Plain,
    /// A heading inside a table: its first cell is the words.
    Group,
    /// Nothing is plugged there, or it is spare.
    Quiet,
    /// It can hurt somebody or something.
    Danger,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Cell {
    pub text: String,
    /// The text says so too: a form may show it larger.
    pub sign: Option<Sign>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Sign {
    /// 48 V goes on.
    Phantom,
    /// 48 V must never come here.
    NeverPhantom,
}

/// A drawing, whole and by itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Picture {
    pub title: String,
    /// What it shows, in words, for who does not see it.
    pub said: String,
    /// A complete `<svg>` element.
    pub svg: String,
    /// In points, where it is as wide as a page.
    pub height: f64,
}

/// Strips and cable ends to cut out, to scale.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Labels {
    pub title: String,
    /// Each label so wide and so high, in millimetres.
    pub width_mm: f64,
    pub height_mm: f64,
    /// Side by side in one strip, or each alone.
    pub strips: Vec<Vec<Label>>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Label {
    /// The number or the place, small.
    pub over: String,
    /// What is read from afar.
    pub text: String,
    /// What else, small.
    pub under: String,
}

impl From<String> for Cell {
    fn from(text: String) -> Cell {
        Cell { text, sign: None }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Cell {
        Cell::from(text.to_string())
    }
}

impl Table {
    pub fn new<N: Into<Cow<'static, str>>>(columns: impl IntoIterator<Item = (N, Look)>) -> Table {
        let columns = columns.into_iter().map(|(name, look)| Column { name: name.into(), look }).collect();
        Table { title: None, columns, rows: Vec::new() }
    }

    pub fn titled(mut self, title: impl Into<String>) -> Table {
        self.title = Some(title.into());
        self
    }

    /// Adds a row, filled up or cut to the number of columns.
    pub fn push(&mut self, mut row: Row) {
        row.cells.resize_with(self.columns.len(), Cell::default);
        self.rows.push(row);
    }

    /// Takes out the columns of words and values that no row fills.
    pub fn without_empty_columns(mut self) -> Table {
        let filled =
            |at: usize| self.rows.iter().any(|row| row.cells.get(at).is_some_and(|cell| !cell.text.is_empty()));
        let by_hand = |column: &Column| matches!(column.look, Look::Tick | Look::Room);
        let kept: Vec<bool> =
            self.columns.iter().enumerate().map(|(at, column)| by_hand(column) || filled(at)).collect();
        let keep = |at: usize| kept.get(at).copied().unwrap_or(true);
        for row in &mut self.rows {
            let mut at = 0..;
            row.cells.retain(|_| at.next().is_none_or(keep));
        }
        let mut at = 0..;
        self.columns.retain(|_| at.next().is_none_or(keep));
        self
    }
}

impl Row {
    pub fn of(cells: impl IntoIterator<Item = Cell>) -> Row {
        Row { cells: cells.into_iter().collect(), ..Row::default() }
    }

    pub fn group(words: impl Into<String>) -> Row {
        Row { weight: Weight::Group, ..Row::of([Cell::from(words.into())]) }
    }

    pub fn about(mut self, source: Option<&str>) -> Row {
        self.source = source.map(String::from);
        self
    }

    pub fn at(mut self, points: impl IntoIterator<Item = String>) -> Row {
        self.points.extend(points);
        self
    }

    pub fn weighing(mut self, weight: Weight) -> Row {
        self.weight = weight;
        self
    }
}

impl Sheet {
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.parts.iter().filter_map(|part| match part {
            Part::Table(table) => Some(table),
            _ => None,
        })
    }
}

impl Pack {
    /// Every table of the pack with its sheet, in order.
    pub fn tables(&self) -> impl Iterator<Item = (&Sheet, &Table)> {
        self.sheets.iter().flat_map(|sheet| sheet.tables().map(move |table| (sheet, table)))
    }
}
