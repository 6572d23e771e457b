//! Devices in columns from the stage to the desks and on, with a line for each cable. Lines run between the columns
//! and under them, never through a box, and no two run along each other.

use super::super::paper::{Anchor, Drawing, HEIGHT, KEY, LINE, WIDTH};
use super::gear::{End, Gear, Set};
use rustc_hash::FxHashMap;

const COLUMNS: [(&str, &[&str]); 4] = [
    ("ON STAGE", &["snake", "split", "hub"]),
    ("BOXES", &["box"]),
    ("DESKS", &["desk"]),
    ("BEYOND", &["recorder", "outside"]),
];
const TOP: f64 = 2.0 * LINE;
const GAP: f64 = 2.0 * LINE;
const LANE: f64 = 6.0;
const NARROWEST: f64 = 96.0;
/// Where a line meets a row: above its middle from the left, below it from the right.
const ASIDE: f64 = 3.0;

struct Link<'g> {
    end: &'g End,
    /// Of both ends the device.
    ends: [usize; 2],
    columns: [usize; 2],
    /// Its lane in each space between columns that it uses, and under them.
    lanes: Vec<(usize, usize)>,
    under: Option<usize>,
}

/// The drawing and its height; `None` where it would not fit on a page.
pub(super) fn drawn(gear: &[Gear]) -> Option<(Drawing, f64)> {
    let (names, column_of) = columns(gear);
    let mut lanes = vec![0; names.len()];
    let mut under = 0;
    let links = links(gear, &column_of, &mut lanes, &mut under);
    let gutters: Vec<f64> = spaces(&lanes);
    let width = (WIDTH - gutters.iter().sum::<f64>()) / names.len() as f64;
    if width < NARROWEST && names.len() > 1 || gear.is_empty() {
        return None;
    }
    let sets: Vec<Set> = gear.iter().map(|one| Set::of(one, width)).collect();
    let (places, bottom) = stacked(&sets, &column_of, names.len());
    let height = bottom + LINE + under as f64 * LANE;
    if height > HEIGHT - 4.0 * LINE {
        return None;
    }
    let left = |column: usize| width * column as f64 + gutters.iter().take(column).sum::<f64>();
    let mut drawing = Drawing::default();
    for (column, name) in names.iter().enumerate() {
        drawing.text((left(column), 10.0), KEY, Anchor::Start, name);
    }
    let at: Vec<(f64, f64)> = places.iter().zip(&column_of).map(|(y, column)| (left(*column), *y)).collect();
    let paths = Paths { sets: &sets, at: &at, width, left: &left, bottom };
    for link in &links {
        paths.draw(&mut drawing, link);
    }
    for (set, at) in sets.iter().zip(&at) {
        set.draw(&mut drawing, *at);
    }
    Some((drawing, height))
}

/// The columns that somebody stands in, and who stands where.
fn columns(gear: &[Gear]) -> (Vec<&'static str>, Vec<usize>) {
    let of = |one: &Gear| COLUMNS.iter().position(|(_, roles)| roles.contains(&one.role.as_str())).unwrap_or(3);
    let wished: Vec<usize> = gear.iter().map(of).collect();
    let used: Vec<usize> = (0..COLUMNS.len()).filter(|column| wished.contains(column)).collect();
    let names = used.iter().filter_map(|column| COLUMNS.get(*column)).map(|(name, _)| *name).collect();
    let place = |wish: &usize| used.iter().position(|column| column == wish).unwrap_or(0);
    (names, wished.iter().map(place).collect())
}

fn links<'g>(gear: &'g [Gear], column_of: &[usize], lanes: &mut [usize], under: &mut usize) -> Vec<Link<'g>> {
    let index: FxHashMap<&str, usize> = gear.iter().enumerate().map(|(at, one)| (one.name.as_str(), at)).collect();
    let last = lanes.len().saturating_sub(1);
    let mut out = Vec::new();
    for (from, one) in gear.iter().enumerate() {
        for end in one.ends.iter().filter(|end| end.first) {
            let Some(to) = index.get(end.to.as_str()).copied() else { continue };
            let (Some(a), Some(b)) = (column_of.get(from).copied(), column_of.get(to).copied()) else { continue };
            // The space between columns is counted by the column on its left.
            let spaces = match (a.min(b), a.max(b)) {
                (a, b) if a == b && a == last && a > 0 => vec![a - 1],
                (a, b) if a == b || a + 1 == b => vec![a],
                (a, b) => vec![a, b - 1],
            };
            let far = spaces.len() > 1;
            let lanes = spaces.into_iter().filter_map(|space| {
                let lane = lanes.get_mut(space)?;
                *lane += 1;
                Some((space, *lane - 1))
            });
            let lanes = lanes.collect();
            *under += usize::from(far);
            out.push(Link {
                end,
                ends: [from, to],
                columns: [a, b],
                lanes,
                under: far.then_some(*under - usize::from(far)),
            });
        }
    }
    out
}

/// How wide each space is, for its lanes; none is needed behind the last column where no line runs there.
fn spaces(lanes: &[usize]) -> Vec<f64> {
    let last = lanes.len().saturating_sub(1);
    let of = |(at, lanes): (usize, &usize)| match lanes {
        0 if at == last => 0.0,
        lanes => 12.0 + LANE * lanes.saturating_sub(1) as f64,
    };
    lanes.iter().enumerate().map(of).collect()
}

/// How far down each box is, each column in the middle of the highest, on lines that are all the same apart.
fn stacked(sets: &[Set], column_of: &[usize], columns: usize) -> (Vec<f64>, f64) {
    let of = |column: usize| sets.iter().zip(column_of).filter(move |(_, at)| **at == column).map(|(set, _)| set);
    let heights: Vec<f64> = (0..columns).map(|at| of(at).map(|set| set.height + GAP).sum::<f64>() - GAP).collect();
    let highest = heights.iter().copied().fold(0.0, f64::max);
    let mut next: Vec<f64> =
        heights.iter().map(|height| TOP + ((highest - height) / 2.0 / LINE).floor() * LINE).collect();
    let mut place = |(set, column): (&Set, &usize)| {
        let next = next.get_mut(*column)?;
        let y = *next;
        *next += set.height + GAP;
        Some(y)
    };
    let places = sets.iter().zip(column_of).map(|pair| place(pair).unwrap_or(TOP)).collect();
    (places, TOP + highest)
}

struct Paths<'a> {
    sets: &'a [Set],
    at: &'a [(f64, f64)],
    width: f64,
    left: &'a dyn Fn(usize) -> f64,
    bottom: f64,
}

impl Paths<'_> {
    fn draw(&self, drawing: &mut Drawing, link: &Link) {
        let [from, to] = link.ends;
        let lane = |(space, lane): (usize, usize)| (self.left)(space) + self.width + LANE * (lane as f64 + 1.0);
        let xs: Vec<f64> = link.lanes.iter().copied().map(lane).collect();
        let (Some(first), Some(last)) = (xs.first().copied(), xs.last().copied()) else { return };
        // The end that is farther left takes the first space.
        let (at_from, at_to) = if link.columns[0] <= link.columns[1] { (first, last) } else { (last, first) };
        let (Some(start), Some(end)) = (self.meets(from, link, true, at_from), self.meets(to, link, false, at_to))
        else {
            return;
        };
        let mut points = vec![start, (at_from, start.1)];
        if let Some(under) = link.under {
            let y = self.bottom + LINE + under as f64 * LANE;
            points.extend([(at_from, y), (at_to, y)]);
        }
        points.extend([(at_to, end.1), end]);
        let stroke = if link.end.digital { 1.8 } else { 0.9 };
        let dash = link.end.quiet.then_some("6 3");
        drawing.group(&link.end.points, &format!("cable {}", link.end.cable), |drawing| {
            drawing.line(&points, stroke, dash);
        });
    }

    /// Where a box's row meets a lane: at the side that the lane is on.
    fn meets(&self, device: usize, link: &Link, first: bool, lane: f64) -> Option<(f64, f64)> {
        let (x, y) = self.at.get(device).copied()?;
        let rows = self.sets.get(device)?.rows();
        let row =
            rows.filter(|(end, _)| end.cable == link.end.cable && end.first == first).map(|(_, row)| row).next()?;
        let right = lane > x;
        let side = if right { x + self.width - 0.7 } else { x + 0.7 };
        Some((side, y + row + if right { ASIDE } else { -ASIDE }))
    }
}
