//! The stage in nine fields, upstage at the top and the audience at the bottom: in each what stands there.

use super::super::paper::{Anchor, Drawing, HEAD, HEIGHT, KEY, PLAIN, Pen, WIDTH};
use super::lay::{Columns, NARROWEST, Unit, balanced, units};
use super::place::NAMES;
use super::things::Block;
use maud::html;

const TOP: f64 = 34.0;
const PAD: f64 = 5.0;
const TAG: f64 = 14.0;
const LOWEST: f64 = 58.0;
/// Widths of the three columns are counted in parts of the sheet.
const PARTS: usize = 12;
const LEAST: usize = 3;
const TAGGED: Pen = Pen { size: 9.0, bold: true };

struct Cell {
    units: Vec<Unit>,
    columns: Columns,
    /// From column to column.
    step: f64,
}

/// A stage set in columns of given widths.
pub(super) struct Stage {
    widths: [f64; 3],
    rows: Vec<(f64, Vec<Cell>)>,
    pub height: f64,
}

/// With the widths at which it comes out lowest; of those the most even ones.
pub(super) fn stage(cells: &[[Vec<Block>; 3]; 3]) -> Stage {
    let many: usize = cells.iter().flatten().flatten().map(|block| block.items.len()).sum();
    let even = PARTS / 3;
    let mut best = set(cells, [even, even, even]);
    if many > 200 {
        return best;
    }
    for left in LEAST..=PARTS - 2 * LEAST {
        for middle in LEAST..=PARTS - left - LEAST {
            let other = set(cells, [left, middle, PARTS - left - middle]);
            if other.height + 10.0 < best.height {
                best = other;
            }
        }
    }
    best
}

fn set(cells: &[[Vec<Block>; 3]; 3], parts: [usize; 3]) -> Stage {
    let widths = parts.map(|part| WIDTH * part as f64 / PARTS as f64);
    let rows = cells.iter().map(|row| {
        let set: Vec<Cell> = row.iter().zip(widths).map(|(blocks, width)| cell(blocks, width - 2.0 * PAD)).collect();
        let height = set.iter().map(|cell| cell.columns.height + TAG + PAD).fold(LOWEST, f64::max);
        (height, set)
    });
    let rows: Vec<(f64, Vec<Cell>)> = rows.collect();
    let height = TOP + rows.iter().map(|(height, _)| height).sum::<f64>() + 30.0;
    Stage { widths, rows, height }
}

/// In as few columns as are needed to be lowest.
fn cell(blocks: &[Block], width: f64) -> Cell {
    let most = ((width / NARROWEST) as usize).clamp(1, 4);
    let in_columns = |many: usize| {
        let step = (width + PAD) / many as f64;
        let units = units(blocks, step - PAD);
        let columns = balanced(&units, many);
        Cell { units, columns, step }
    };
    let mut best = in_columns(1);
    for many in 2..=most {
        let other = in_columns(many);
        if other.columns.height < best.columns.height {
            best = other;
        }
    }
    best
}

impl Stage {
    pub fn fits(&self) -> bool {
        self.height <= HEIGHT
    }

    pub fn draw(&self, drawing: &mut Drawing) {
        sides(drawing);
        let (mut y, bottom) = (TOP, self.height - 30.0);
        drawing.frame((0.75, TOP), (WIDTH - 1.5, bottom - TOP), 1.5, "#fff");
        for ((height, cells), names) in self.rows.iter().zip(NAMES) {
            if y > TOP {
                drawing.line(&[(0.0, y), (WIDTH, y)], 0.5, Some("3 3"));
            }
            let mut x = 0.0;
            for ((cell, width), name) in cells.iter().zip(self.widths).zip(names) {
                drawing.text((x + PAD, y + 11.0), TAGGED, Anchor::Start, name);
                let at = (x + PAD, y + TAG);
                cell.columns.draw(&cell.units, drawing, 0, cell.columns.count(), at, cell.step);
                x += width;
            }
            y += height;
        }
        let [left, middle, _] = self.widths;
        for x in [left, left + middle] {
            drawing.line(&[(x, TOP), (x, bottom)], 0.5, Some("3 3"));
        }
        drawing.line(&[(0.0, bottom), (WIDTH, bottom)], 4.0, None);
        audience(drawing, bottom);
    }
}

/// Whose left and right, and where upstage is.
pub(super) fn sides(drawing: &mut Drawing) {
    for (y, left, middle, right) in [
        (12.0, "STAGE RIGHT", "UPSTAGE", "STAGE LEFT"),
        (25.0, "performer's right, house left", "the back", "performer's left, house right"),
    ] {
        let pen = if y < 20.0 { HEAD } else { PLAIN };
        drawing.text((0.0, y), pen, Anchor::Start, left);
        drawing.text((WIDTH / 2.0, y), pen, Anchor::Middle, middle);
        drawing.text((WIDTH, y), pen, Anchor::End, right);
    }
}

/// Who sits before the front edge.
pub(super) fn audience(drawing: &mut Drawing, y: f64) {
    drawing.text((WIDTH / 2.0, y + 18.0), HEAD, Anchor::Middle, "AUDIENCE");
    drawing.text((0.0, y + 16.0), KEY, Anchor::Start, "DOWNSTAGE: the front edge");
    for x in [WIDTH / 2.0 - 52.0, WIDTH / 2.0 + 46.0] {
        let path = format!("M{x:.1} {:.1}h7l-3.5 7z", y + 10.0);
        drawing.add(html! { path d=(path) {} });
    }
}
