//! The signal flow: every device and every cable, from the stage to the desks and on. A rig that does not fit on a
//! page is drawn desk by desk; what is too much even then, in boxes without lines, joined by the numbers alone.

mod drawn;
mod gear;

use super::super::known::Known;
use super::super::sheet::{Part, Picture, Sheet};
use super::paper::{Anchor, Drawing, HEIGHT, LINE, PLAIN, WIDTH};
use crate::plan::Device;
use crate::plan::port_or_bank;
use drawn::drawn;
use gear::{Gear, Rig, Set, said, spares};
use rustc_hash::{FxHashMap, FxHashSet};

/// So many devices are drawn together, where they can be told apart.
const TOGETHER: usize = 12;
const ACROSS: usize = 3;
const ENDS: usize = 7;
const LEGEND: [&str; 3] = [
    "A cable has the same number at both its ends. Thick line: digital. Thin line: analogue.",
    "Broken line: redundant, it carries what the main one carries.",
    "Slots in use: in and out of the device that names them, in any act.",
];

pub(in super::super) fn sheet(any: &Known) -> Option<Sheet> {
    let rig = Rig::of(any);
    let mut parts: Vec<Picture> = Vec::new();
    let all: Vec<Gear> = any.devices.iter().map(|device| rig.gear(device)).collect();
    let whole = (all.len() <= TOGETHER).then(|| picture(any, &all, "Signal flow")).flatten();
    match whole {
        Some(picture) => parts.push(picture),
        None => {
            for (number, names) in (1..).zip(pages(any)) {
                let gear: Vec<Gear> = names.iter().map(|device| rig.gear(device)).collect();
                let title = format!("Signal flow, part {number}");
                match picture(any, &gear, &title) {
                    Some(picture) => parts.push(picture),
                    None => parts.extend(plain(any, &gear, &title)),
                }
            }
        }
    }
    (!any.view.cables.is_empty()).then(|| Sheet {
        slug: "signal-flow".to_string(),
        title: "Signal flow".to_string(),
        reader: "everybody",
        parts: parts.into_iter().map(Part::Picture).collect(),
        ..Sheet::default()
    })
}

fn picture(any: &Known, gear: &[Gear], title: &str) -> Option<Picture> {
    let (mut drawing, height) = drawn(gear)?;
    let height = foot(&mut drawing, height, any);
    Some(drawing.picture(title.to_string(), said(gear, any.plan), height))
}

/// What the lines mean; gives the whole height.
fn foot(drawing: &mut Drawing, height: f64, any: &Known) -> f64 {
    let mut y = height + 3.0;
    for words in LEGEND.iter().map(|words| words.to_string()).chain(spares(any.plan)) {
        y += LINE;
        drawing.text((0.0, y), PLAIN, Anchor::Start, &PLAIN.cut(&words, WIDTH));
    }
    y + 4.0
}

/// Each desk with what hangs on it, small ones together, and last what hangs on none.
fn pages<'p>(any: &Known<'p>) -> Vec<Vec<&'p Device>> {
    let mut beside: FxHashMap<&str, Vec<&str>> = FxHashMap::default();
    for cable in &any.view.cables {
        let ends = [&cable.from, &cable.to].map(|end| port_or_bank(end).map(|(name, _)| name));
        if let [Some(a), Some(b)] = ends {
            beside.entry(a).or_default().push(b);
            beside.entry(b).or_default().push(a);
        }
    }
    let (mut seen, mut pages) = (FxHashSet::default(), vec![Vec::new()]);
    let is_desk = |device: &Device| device.role == "desk";
    let desks = any.devices.iter().filter(|one| is_desk(one));
    for start in desks.chain(any.devices.iter().filter(|one| !is_desk(one))).copied() {
        let mut group: Vec<&Device> = Vec::new();
        let mut open = vec![start];
        while let Some(device) = open.pop() {
            if (is_desk(device) && device.name != start.name) || !seen.insert(device.name.as_str()) {
                continue;
            }
            group.push(device);
            let next = beside.get(device.name.as_str()).into_iter().flatten().rev();
            open.extend(next.filter_map(|name| any.device(name)));
        }
        match pages.last_mut() {
            Some(page) if page.len() + group.len() <= TOGETHER / 2 => page.extend(group),
            _ if group.is_empty() => {}
            _ => pages.push(group),
        }
    }
    pages.retain(|page| !page.is_empty());
    pages
}

/// Boxes in columns, without lines.
fn plain(any: &Known, gear: &[Gear], title: &str) -> Vec<Picture> {
    let step = (WIDTH + 8.0) / ACROSS as f64;
    let sets: Vec<Set> = gear.iter().flat_map(|one| Set::parts(one, step - 8.0, ENDS)).collect();
    let room = HEIGHT - 6.0 * LINE;
    let mut pages: Vec<Vec<Vec<&Set>>> = Vec::new();
    let mut left = 0.0;
    for set in &sets {
        if set.height > left {
            left = room;
            match pages.last_mut() {
                Some(page) if page.len() < ACROSS => page.push(Vec::new()),
                _ => pages.push(vec![Vec::new()]),
            }
        }
        left -= set.height + LINE;
        if let Some(column) = pages.last_mut().and_then(|page| page.last_mut()) {
            column.push(set);
        }
    }
    let words = said(gear, any.plan);
    let draw = |(number, page): (usize, Vec<Vec<&Set>>)| {
        let (mut drawing, mut lowest) = (Drawing::default(), 0.0_f64);
        for (column, sets) in (0..).map(f64::from).zip(page) {
            let mut y = 0.0;
            for set in sets {
                set.draw(&mut drawing, (column * step, y + 1.0));
                y += set.height + LINE;
            }
            lowest = lowest.max(y);
        }
        let height = foot(&mut drawing, lowest, any);
        let said = if number == 1 { words.clone() } else { format!("{title}: the first page says it all in words.") };
        drawing.picture(format!("{title}, page {number}"), said, height)
    };
    (1..).zip(pages).map(draw).collect()
}
