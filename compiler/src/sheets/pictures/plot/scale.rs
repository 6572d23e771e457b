//! What says its place in metres, to scale: a letter where it stands, and the list of what each letter is.

use super::super::paper::{Anchor, Drawing, N, PLAIN, Pen, WIDTH};
use super::nine::{audience, sides};
use maud::html;

const TOP: f64 = 34.0;
const TALLEST: f64 = 300.0;
const LEFT: f64 = 34.0;
const RADIUS: f64 = 7.5;
const LETTER: Pen = Pen { size: 9.0, bold: true };
/// Lines of the grid are not closer.
const CLOSEST: f64 = 26.0;
/// Names are not longer beside their letters: the lists have them whole.
const LONGEST: f64 = 110.0;

/// Something with a letter, its place in metres.
pub(super) struct Mark {
    pub across: f64,
    pub up: f64,
    pub letter: String,
    /// A short name, written beside the letter where there is room.
    pub name: String,
    pub points: Vec<String>,
}

struct Scale {
    left: f64,
    front: f64,
    unit: f64,
    right: f64,
    back: f64,
}

type Point = (f64, f64);
/// Left, top, right, bottom.
type Area = (f64, f64, f64, f64);

/// Draws the stage with a letter at each place, in order; gives its height.
pub(super) fn draw(drawing: &mut Drawing, marks: &[Mark]) -> f64 {
    let scale = Scale::of(marks);
    sides(drawing);
    let bottom = scale.at(0.0, scale.front).1;
    let (left, right) = (scale.at(scale.left, 0.0).0, scale.at(scale.right, 0.0).0);
    drawing.frame((left, TOP), (right - left, bottom - TOP), 0.8, "#fff");
    grid(drawing, &scale, bottom);
    let edge = scale.at(0.0, 0.0).1;
    drawing.line(&[(left, edge), (right, edge)], 4.0, None);
    audience(drawing, bottom + 14.0);
    let mut taken = Vec::new();
    let bubbles: Vec<(Point, Point, &Mark)> = marks
        .iter()
        .map(|mark| {
            let point = scale.at(mark.across, mark.up);
            let bubble = free(point, &taken, (left, TOP, right, bottom));
            taken.push(around(bubble, RADIUS + 1.0));
            (point, bubble, mark)
        })
        .collect();
    for (point, bubble, _) in bubbles.iter().filter(|(point, bubble, _)| point != bubble) {
        drawing.line(&[*point, *bubble], 0.8, None);
        drawing.add(html! { circle cx=(N(point.0)) cy=(N(point.1)) r="2" {} });
    }
    for (_, at, mark) in &bubbles {
        bubble(drawing, *at, mark, &mut taken, (left, TOP, right, bottom));
    }
    bottom + 44.0
}

fn bubble(drawing: &mut Drawing, (x, y): (f64, f64), mark: &Mark, taken: &mut Vec<Area>, frame: Area) {
    let name = PLAIN.cut(&mark.name, LONGEST);
    let (wide, near) = (PLAIN.width(&name) + 2.0, RADIUS + 2.0);
    let beside = [
        (x + near, y - 5.5),
        (x - near - wide, y - 5.5),
        (x - wide / 2.0, y + near),
        (x - wide / 2.0, y - near - 11.0),
    ];
    let areas = beside.map(|(left, top)| (left, top, left + wide, top + 11.0));
    let spot = areas.into_iter().find(|area| within(*area, frame) && taken.iter().all(|other| apart(*area, *other)));
    drawing.standing_for(
        &mark.points,
        &format!("{} {}", mark.letter, mark.name),
        ((x - near, y - near), (2.0 * near, 2.0 * near)),
        |drawing| {
            drawing.add(html! {
                circle cx=(N(x)) cy=(N(y)) r=(N(RADIUS)) fill="#fff" stroke="#000" stroke-width="1.5" {}
            });
            drawing.text((x, y + 3.2), LETTER, Anchor::Middle, &mark.letter);
            if let Some(area) = spot {
                taken.push(area);
                drawing.add(html! {
                    rect x=(N(area.0)) y=(N(area.1)) width=(N(wide)) height="11" fill="#fff" {}
                });
                drawing.text((area.0 + 1.0, area.1 + 8.5), PLAIN, Anchor::Start, &name);
            }
        },
    );
}

impl Scale {
    /// A metre of room around everything, and always the middle of the front edge.
    fn of(marks: &[Mark]) -> Scale {
        let fold = |start: f64, pick: fn(f64, f64) -> f64, of: fn(&Mark) -> f64| marks.iter().map(of).fold(start, pick);
        let (left, right) = (fold(0.0, f64::min, |p| p.across), fold(0.0, f64::max, |p| p.across));
        let (front, back) = (fold(1.0, f64::min, |p| p.up), fold(0.0, f64::max, |p| p.up));
        let (left, right, front, back) =
            ((left - 1.0).floor(), (right + 1.0).ceil(), (front - 1.0).floor().min(0.0), (back + 1.0).ceil());
        let unit = ((WIDTH - LEFT - 1.0) / (right - left)).min(TALLEST / (back - front));
        Scale { left, front, unit, right, back }
    }

    fn at(&self, x: f64, y: f64) -> (f64, f64) {
        (LEFT + (x - self.left) * self.unit, TOP + (self.back - y) * self.unit)
    }

    /// One, two or five metres, tens of them, …
    fn step(&self) -> f64 {
        let mut step = 1.0;
        for factor in [2.0, 2.5, 2.0].into_iter().cycle().take(60) {
            if step * self.unit >= CLOSEST {
                break;
            }
            step *= factor;
        }
        step
    }
}

fn grid(drawing: &mut Drawing, scale: &Scale, bottom: f64) {
    let step = scale.step();
    let ticks = |from: f64, to: f64| {
        let first = (from / step).ceil();
        (0..64).map(move |n| (first + f64::from(n)) * step).take_while(move |tick| *tick <= to)
    };
    let (left, right) = (scale.at(scale.left, 0.0).0, scale.at(scale.right, 0.0).0);
    for x in ticks(scale.left, scale.right) {
        let (at, label) = (scale.at(x, 0.0).0, PLAIN.cut(&format!("{x}"), CLOSEST));
        drawing.line(&[(at, TOP), (at, bottom)], 0.4, Some("2 3"));
        let half = PLAIN.width(&label) / 2.0;
        drawing.text((at.clamp(half, WIDTH - half), bottom + 13.0), PLAIN, Anchor::Middle, &label);
    }
    for y in ticks(scale.front, scale.back) {
        let (at, label) = (scale.at(0.0, y).1, PLAIN.cut(&format!("{y} m"), LEFT - 4.0));
        drawing.line(&[(left, at), (right, at)], 0.4, Some("2 3"));
        drawing.text((LEFT - 3.0, at + 3.0), PLAIN, Anchor::End, &label);
    }
}

/// The spot itself, or the nearest one around it where no letter stands yet.
fn free(point: (f64, f64), taken: &[Area], frame: Area) -> (f64, f64) {
    let rings = (1..40).flat_map(|ring| {
        (0..12).map(move |n| {
            let (angle, far) = (f64::from(n) * std::f64::consts::PI / 6.0, f64::from(ring) * 9.0);
            (point.0 + angle.cos() * far, point.1 + angle.sin() * far)
        })
    });
    let open = |at: &(f64, f64)| {
        let area = around(*at, RADIUS + 1.0);
        within(area, frame) && taken.iter().all(|other| apart(area, *other))
    };
    std::iter::once(point).chain(rings).find(open).unwrap_or(point)
}

fn around((x, y): (f64, f64), far: f64) -> Area {
    (x - far, y - far, x + far, y + far)
}

fn apart(a: Area, b: Area) -> bool {
    a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1
}

fn within(a: Area, frame: Area) -> bool {
    a.0 >= frame.0 && a.1 >= frame.1 && a.2 <= frame.2 && a.3 <= frame.3
}
