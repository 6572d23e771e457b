//! The stage plot: what stands where, from the performer's view. Fields of the stage for the trade's nine places, a
//! drawing to scale for places in metres, and lists for what says another place or none.

mod lay;
mod nine;
mod place;
mod scale;
mod things;

use super::super::known::Known;
use super::super::sheet::{Part, Picture, Sheet};
use super::paper::{Drawing, HEIGHT, LINE, WIDTH};
use lay::{Unit, balanced, filled, gap, units};
use place::{NAMES, Spot};
use scale::Mark;
use things::{Block, Item, Standing, standing};

const ACROSS: usize = 3;
const STEP: f64 = (WIDTH + 8.0) / ACROSS as f64;
const UNSAID: &str = "no place said";
/// A field with more lines than this has its list elsewhere, where the stage would be higher than a page.
const MANY: usize = 6;

/// One for all, where the acts stand alike; else one an act.
pub(in super::super) fn sheets(house: &Known, acts: &[Known]) -> Vec<Sheet> {
    let all: Vec<(&Known, Vec<Standing>)> = match acts {
        [] => vec![(house, standing(house))],
        acts => acts.iter().map(|act| (act, standing(act))).collect(),
    };
    let alike = all.windows(2).all(|two| matches!(two, [(_, a), (_, b)] if a == b));
    let shown = if alike { 1 } else { all.len() };
    let of = |(known, standing): &(&Known, Vec<Standing>)| sheet(known, standing, alike);
    all.iter().take(shown).map(of).filter(|sheet| sheet.parts.len() > 1).collect()
}

fn sheet(known: &Known, standing: &[Standing], alike: bool) -> Sheet {
    let act = known.act.filter(|_| !alike);
    let name = act.map(|act| act.title.clone().unwrap_or_else(|| act.act.clone()));
    let desk = known.devices.first().map_or_else(String::new, |desk| format!(" at {}", known.called(&desk.name)));
    let words = format!(
        "Left and right are the performer's: stage right is house left. The number before a source is its channel{desk}; \
         48V: it needs phantom power. A source without a place of its own stands with the gear that it is plugged into."
    );
    let title = name.map_or_else(|| "Stage plot".to_string(), |name| format!("Stage plot: {name}"));
    let pictures = pictures(&title, standing);
    Sheet {
        slug: act.map_or_else(|| "stage-plot".to_string(), |act| format!("stage-plot-{}", act.act)),
        title,
        reader: "stage crew",
        act: act.map(|act| act.act.clone()),
        large: false,
        cautions: Vec::new(),
        parts: std::iter::once(Part::Words(words)).chain(pictures.into_iter().map(Part::Picture)).collect(),
    }
}

fn pictures(title: &str, standing: &[Standing]) -> Vec<Picture> {
    let (said, mut out) = (said(standing), Vec::new());
    let mut rest: Vec<(String, Vec<Block>)> = Vec::new();
    let (mut cells, mut metres): ([[Vec<Block>; 3]; 3], Vec<_>) = (Default::default(), Vec::new());
    for one in standing {
        match &one.spot {
            Spot::Nine(row, column) => {
                if let Some(cell) = cells.get_mut(*row).and_then(|row| row.get_mut(*column)) {
                    cell.extend(one.blocks.iter().cloned());
                }
            }
            Spot::Metres(x, y) => metres.push((*x, *y, &one.blocks)),
            Spot::Words(words) => rest.push((words.clone(), one.blocks.clone())),
            Spot::Unsaid => rest.push((UNSAID.to_string(), one.blocks.clone())),
        }
    }
    rest.sort_by_key(|(words, _)| words == UNSAID);
    let mut letters = (0..).map(letter);
    if cells.iter().flatten().any(|cell| !cell.is_empty()) {
        let mut stage = nine::stage(&cells);
        let mut lists = Vec::new();
        if !stage.fits() {
            lists = taken_out(&mut cells, &mut letters);
            stage = nine::stage(&cells);
        }
        let mut drawing = Drawing::default();
        stage.draw(&mut drawing);
        lists.append(&mut rest);
        out.extend(with_lists(drawing, stage.height, [title, "the stage in nine fields", &said], &lists));
    }
    if !metres.is_empty() {
        // As the eye goes over the drawing: from the back, and from stage right.
        metres.sort_by(|(x, y, _), (other_x, other_y, _)| other_y.total_cmp(y).then(x.total_cmp(other_x)));
        let marks: Vec<Mark> = metres.iter().zip(&mut letters).map(|(one, letter)| mark(one, letter)).collect();
        let list = |(mark, (.., blocks)): (&Mark, &(f64, f64, &Vec<Block>))| {
            let place = format!("{}: {} m, {} m up", mark.letter, tenth(mark.across), tenth(mark.up));
            (place, blocks.to_vec())
        };
        let mut lists: Vec<(String, Vec<Block>)> = marks.iter().zip(&metres).map(list).collect();
        lists.append(&mut rest);
        let mut drawing = Drawing::default();
        let height = scale::draw(&mut drawing, &marks);
        out.extend(with_lists(drawing, height, [title, "the stage to scale, in metres", &said], &lists));
    }
    if !rest.is_empty() {
        out.extend(with_lists(Drawing::default(), 0.0, [title, "lists by place", &said], &rest));
    }
    out
}

fn mark((across, up, blocks): &(f64, f64, &Vec<Block>), letter: String) -> Mark {
    let items = || blocks.iter().flat_map(|block| &block.items);
    let heads = blocks.iter().filter_map(|block| block.head.clone());
    let first = items().map(|item| item.label.clone()).chain(heads).next().unwrap_or_default();
    let more = items().count().saturating_sub(1);
    let name = if more > 0 { format!("{first} +{more}") } else { first };
    let points = items().flat_map(|item| item.points.clone()).collect();
    Mark { across: *across, up: *up, letter, name, points }
}

/// Takes the long lists out of their fields, each with a letter in its place.
fn taken_out(
    cells: &mut [[Vec<Block>; 3]; 3],
    letters: &mut impl Iterator<Item = String>,
) -> Vec<(String, Vec<Block>)> {
    let mut lists = Vec::new();
    for (row, names) in cells.iter_mut().zip(NAMES) {
        for (cell, name) in row.iter_mut().zip(names) {
            let many: usize = cell.iter().map(|block| block.items.len()).sum();
            if many <= MANY {
                continue;
            }
            let Some(letter) = letters.next() else { continue };
            let heads = cell.iter().filter_map(|block| block.head.clone());
            let sign = format!("List {letter}: {many} lines");
            let short = std::iter::once(sign).chain(heads).map(|head| Block { head: Some(head), items: Vec::new() });
            let short: Vec<Block> = short.collect();
            lists.push((format!("List {letter}: {name}"), std::mem::replace(cell, short)));
        }
    }
    lists
}

/// The drawing with the lists under it where they fit on its page, else on pages of their own.
fn with_lists(
    mut drawing: Drawing,
    height: f64,
    [title, what, said]: [&str; 3],
    lists: &[(String, Vec<Block>)],
) -> Vec<Picture> {
    let width = STEP - 8.0;
    let mut all: Vec<Unit> = Vec::new();
    for (words, blocks) in lists {
        all.extend((!all.is_empty()).then(|| gap(width)));
        all.push(lay::title(words, width));
        all.extend(units(blocks, width));
    }
    let name = |what: &str| format!("{title}: {what}");
    let under = balanced(&all, ACROSS);
    if all.is_empty() || height + LINE + under.height <= HEIGHT {
        under.draw(&all, &mut drawing, 0, ACROSS, (0.0, height + LINE), STEP);
        return vec![drawing.picture(name(what), said.to_string(), height + LINE + under.height + 2.0)];
    }
    let mut out = Vec::new();
    if height > 0.0 {
        out.push(drawing.picture(name(what), said.to_string(), height));
    }
    let pages = filled(&all, HEIGHT);
    for (number, from) in (1..).zip((0..pages.count()).step_by(ACROSS)) {
        let mut page = Drawing::default();
        pages.draw(&all, &mut page, from, ACROSS, (0.0, 0.0), STEP);
        let said = if out.is_empty() { said } else { "The first picture says it all in words." };
        out.push(page.picture(name(&format!("lists, page {number}")), said.to_string(), pages.height + 4.0));
    }
    out
}

/// `USC: 1 Kick In, 2 Kick Out. DSC: mix 2 Lead.`
fn said(standing: &[Standing]) -> String {
    let item = |item: &Item| format!("{} {}", item.number, item.label);
    let of = |one: &Standing| {
        let place = match &one.spot {
            Spot::Nine(row, column) => NAMES.get(*row).and_then(|row| row.get(*column)).unwrap_or(&"").to_string(),
            Spot::Metres(x, y) => format!("{} m across, {} m up", tenth(*x), tenth(*y)),
            Spot::Words(words) => words.clone(),
            Spot::Unsaid => UNSAID.to_string(),
        };
        let heads = one.blocks.iter().filter_map(|block| block.head.clone());
        let items = one.blocks.iter().flat_map(|block| &block.items).map(item);
        format!("{place}: {}.", heads.chain(items).collect::<Vec<_>>().join(", "))
    };
    standing.iter().map(of).collect::<Vec<_>>().join(" ")
}

/// A, B, … Z, AA, AB, …
fn letter(number: u32) -> String {
    let last = char::from(b'A' + (number % 26) as u8);
    if number < 26 { last.to_string() } else { format!("{}{last}", letter(number / 26 - 1)) }
}

fn tenth(metres: f64) -> f64 {
    (metres * 10.0).round() / 10.0
}
