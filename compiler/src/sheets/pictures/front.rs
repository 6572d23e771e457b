//! The face of a piece of gear: its sockets as numbered rings in rows of eight, inputs and outputs apart, each with
//! what belongs there. A socket that must stay empty is filled. No word says a colour: a dark screen turns them round.

use super::super::known::Known;
use super::super::sheet::Picture;
use super::cable_ends;
use super::paper::{Anchor, Drawing, HEAD, HEIGHT, KEY, LINE, N, PLAIN, Pen, WIDTH};
use crate::plan::{Act, Bank, Device, Points, Role, point};
use maud::html;

const ACROSS: u32 = 8;
const CELL: f64 = WIDTH / ACROSS as f64;
const ROOM: f64 = CELL - 5.0;
/// Of a row, the ring and what is under its words.
const RING: f64 = 38.0;
const STEP: f64 = 11.0;
const LINES: usize = 5;
const LABEL: Pen = Pen { size: 9.0, bold: true };
/// The foot says what the signs mean.
const FOOT: f64 = 3.0 * LINE + 4.0;
const TOP: f64 = 20.0;
const LEGEND: [&str; 2] = [
    "Filled 48V: switched on at this socket. Framed 48V: comes over this line from another socket.",
    "Thick ring: in use. Broken ring: free. Filled ring: plug nothing here.",
];

/// How a socket looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ring {
    Used,
    Spare,
    Free,
    Closed,
}

#[derive(PartialEq)]
struct Socket {
    at: String,
    number: u32,
    ring: Ring,
    label: String,
    /// Under the label: what is plugged, by which line, why not.
    under: Vec<String>,
    /// 48 V goes on here, or comes from elsewhere.
    phantom: Option<bool>,
}

/// A strip across the face.
#[derive(PartialEq)]
enum Band {
    Heading(String),
    Words(String),
    /// Each with what is written under its ring.
    Row(Vec<(Socket, Lines)>),
}

type Lines = Vec<(Pen, String)>;

impl Band {
    fn height(&self) -> f64 {
        match self {
            Band::Heading(_) => 22.0,
            Band::Words(_) => LINE,
            Band::Row(sockets) => RING + STEP * sockets.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0) as f64,
        }
    }
}

/// The face in each act, once for acts in which it looks alike.
pub(in super::super) fn in_acts(scenes: &[Known], device: &str) -> Vec<Picture> {
    let mut faces: Vec<(Vec<Page>, Vec<&Known>)> = Vec::new();
    for known in scenes {
        let Some(device) = known.device(device) else { continue };
        let pages = pages(known, device);
        match faces.iter_mut().find(|(other, _)| *other == pages) {
            Some((_, acts)) => acts.push(known),
            None => faces.push((pages, vec![known])),
        }
    }
    let many = faces.len() > 1;
    let drawn = faces.iter().flat_map(|(pages, acts)| {
        let name = |act: &Act| act.title.clone().unwrap_or_else(|| act.act.clone());
        let names: Vec<String> = acts.iter().filter_map(|known| known.act).map(name).collect();
        let of = pages.len();
        (1..).zip(pages).map(move |(number, page)| {
            let part = (of > 1).then(|| format!("part {number} of {of}"));
            let act = many.then(|| names.join(" and "));
            picture(page, [act, part].into_iter().flatten().collect())
        })
    });
    drawn.collect()
}

/// What stands on one picture.
#[derive(PartialEq)]
struct Page {
    name: String,
    model: String,
    bands: Vec<Band>,
}

/// One, or several where the face is higher than a page. None for gear without sockets.
fn pages(known: &Known, device: &Device) -> Vec<Page> {
    let bands = bands(known, device);
    if !bands.iter().any(|band| matches!(band, Band::Row(_))) {
        return Vec::new();
    }
    let name = format!("{}: {}", known.numbered(&device.name), known.called(&device.name));
    let model = known.model(&device.name).and_then(|model| model.label.clone()).unwrap_or_default();
    let empty = || Page { name: name.clone(), model: model.clone(), bands: Vec::new() };
    let mut pages = vec![empty()];
    let mut left = HEIGHT - FOOT - TOP;
    for band in bands {
        // A heading stays with the row under it.
        let heading = matches!(band, Band::Heading(_));
        let need = if heading { band.height() + RING + STEP * LINES as f64 } else { band.height() };
        if need > left {
            pages.push(empty());
            left = HEIGHT - FOOT - TOP;
        }
        left -= band.height();
        if let Some(page) = pages.last_mut() {
            page.bands.push(band);
        }
    }
    pages
}

fn picture(page: &Page, tail: Vec<String>) -> Picture {
    let name = std::iter::once(page.name.clone()).chain(tail).collect::<Vec<_>>().join(", ");
    let mut drawing = Drawing::default();
    let model = PLAIN.cut(&page.model, WIDTH / 2.0);
    let room = WIDTH - PLAIN.width(&model) - 12.0;
    drawing.text((0.0, 12.0), HEAD, Anchor::Start, &HEAD.cut(&name, room));
    drawing.text((WIDTH, 12.0), PLAIN, Anchor::End, &model);
    let mut y = TOP;
    for band in &page.bands {
        match band {
            Band::Heading(words) => drawing.text((0.0, y + 16.0), KEY, Anchor::Start, &KEY.cut(words, WIDTH)),
            Band::Words(words) => drawing.text((0.0, y + 9.5), PLAIN, Anchor::Start, &PLAIN.cut(words, WIDTH)),
            Band::Row(sockets) => {
                for (column, (socket, lines)) in (0..).map(f64::from).zip(sockets) {
                    draw(&mut drawing, (column * CELL, y), band.height(), socket, lines);
                }
            }
        }
        y += band.height();
    }
    for (line, words) in (0..).map(f64::from).zip(LEGEND) {
        drawing.text((0.0, y + 16.0 + line * LINE), PLAIN, Anchor::Start, words);
    }
    drawing.picture(format!("Front of {name}"), said(&page.bands), y + FOOT)
}

/// `1 Kick In, 48 V; 2 Kick Out`
fn said(bands: &[Band]) -> String {
    let mut parts: Vec<String> = Vec::new();
    for band in bands {
        match band {
            Band::Heading(words) | Band::Words(words) => parts.push(words.clone()),
            Band::Row(sockets) => {
                let sockets = sockets.iter().map(|(socket, _)| socket);
                parts.extend(sockets.filter(|one| one.ring != Ring::Free).map(whole));
            }
        }
    }
    format!("{}.", parts.join("; "))
}

fn whole(socket: &Socket) -> String {
    let phantom = match socket.phantom {
        Some(true) => Some("48 V on".to_string()),
        Some(false) => Some("48 V from another socket".to_string()),
        None => None,
    };
    let words = std::iter::once(format!("{} {}", socket.number, socket.label).trim_end().to_string());
    words.chain(socket.under.iter().cloned()).chain(phantom).collect::<Vec<_>>().join(", ")
}

fn bands(known: &Known, device: &Device) -> Vec<Band> {
    let mut out: Vec<Band> = cable_ends(known, &device.name).into_iter().map(Band::Words).collect();
    for bank in known.banks(&device.name).iter().filter(|bank| bank.role == Role::In) {
        let sockets: Vec<Socket> = (1..=bank.size).map(|n| input(known, device, bank, n)).collect();
        let idle = sockets.iter().all(|one| one.ring == Ring::Free);
        if idle && matches!(device.role.as_str(), "recorder" | "outside") {
            continue;
        }
        out.push(Band::Heading(format!("{} 1-{}: plug in", bank.bank, bank.size)));
        rows(&mut out, sockets);
    }
    for bank in known.banks(&device.name).iter().filter(|bank| bank.role == Role::Out && bank.end) {
        let lines = known.cables_at(&device.name, &bank.bank);
        if !lines.is_empty() {
            continue;
        }
        let sockets: Vec<Socket> = (1..=bank.size).map(|n| output(known, device, bank, n)).collect();
        if sockets.iter().all(|one| one.ring == Ring::Free) {
            out.push(Band::Words(format!("{} 1-{}: nothing comes out", bank.bank, bank.size)));
            continue;
        }
        out.push(Band::Heading(format!("{} 1-{}: comes out", bank.bank, bank.size)));
        rows(&mut out, sockets);
    }
    out
}

fn rows(out: &mut Vec<Band>, sockets: Vec<Socket>) {
    let written = |socket: Socket| {
        let lines = socket.lines();
        (socket, lines)
    };
    let mut left = sockets.into_iter().map(written).peekable();
    while left.peek().is_some() {
        out.push(Band::Row(left.by_ref().take(ACROSS as usize).collect()));
    }
}

fn input(known: &Known, device: &Device, bank: &Bank, n: u32) -> Socket {
    let at = point(&device.name, &bank.bank, n);
    let empty =
        Socket { number: n, ring: Ring::Free, label: String::new(), under: vec!["free".into()], phantom: None, at };
    if device.out_of_use.contains(&n) {
        let kept = device.kept_for.iter().find(|kept| kept.line == n);
        let why = kept.map_or_else(|| "dead".to_string(), |kept| format!("kept for {}", kept.for_what));
        return Socket { ring: Ring::Closed, under: vec![why], ..empty };
    }
    let line = Some(known.in_paths(&empty.at)).filter(|line| *line != empty.at);
    let dead = |at: Points| known.device(at.device).is_some_and(|far| far.out_of_use.contains(&at.first));
    if let Some(line) = line.as_ref().filter(|line| Points::read(line).is_some_and(dead)) {
        return Socket { ring: Ring::Closed, under: vec!["dead".to_string(), by(known, line)], ..empty };
    }
    let Some(source) = known.arriving(&empty.at) else {
        let under = line.map(|line| vec!["no source".to_string(), by(known, &line)]);
        return Socket { under: under.unwrap_or_else(|| vec!["free".to_string()]), ..empty };
    };
    let (plug, row) = (known.plug(&empty.at), known.source(source));
    let spot = Points { device: &device.name, bank: &bank.bank, first: n, last: n };
    let origin = known.signal(source).and_then(|signal| known.plug(signal.ends.first()?.path.first()?));
    let asks = plug.or(origin).is_some_and(|plug| plug.phantom);
    let spare = row.is_some_and(|row| row.spare);
    let mic = plug.and_then(|plug| plug.mic.clone());
    let never = known.never_phantom(source).then(|| "never 48 V".to_string());
    let under = [never, mic, spare.then(|| "spare".to_string()), line.map(|line| by(known, &line))];
    Socket {
        ring: if spare { Ring::Spare } else { Ring::Used },
        label: known.label(source),
        under: under.into_iter().flatten().collect(),
        phantom: if known.is_on("phantom", &spot) { Some(true) } else { asks.then_some(false) },
        ..empty
    }
}

/// `line 3 of drum-riser`: the far socket of a line, its number first, since it must not be cut off.
fn by(known: &Known, line: &str) -> String {
    let name = |at: Points| format!("line {} of {}", at.first, known.called(at.device));
    Points::read(line).map_or_else(|| line.to_string(), name)
}

/// `out 7 of stage-right`, for the same reason.
fn far(known: &Known, end: &str) -> String {
    let name = |at: Points| format!("{} {} of {}", at.bank, at.first, known.called(at.device));
    Points::read(end).map_or_else(|| end.to_string(), name)
}

fn output(known: &Known, device: &Device, bank: &Bank, n: u32) -> Socket {
    let at = point(&device.name, &bank.bank, n);
    let mut passing = known.passing(&at).iter();
    let here = passing.clone().find(|(_, end)| end.end == at && end.asked);
    let on = passing.clone().find(|(_, end)| end.end != at && end.asked);
    let (ring, signal, under) = match (here, on, passing.next()) {
        (Some((signal, end)), _, _) => (Ring::Used, signal, end.used_as.clone()),
        (None, Some((signal, end)), _) => (Ring::Used, signal, Some(format!("to {}", far(known, &end.end)))),
        (None, None, Some((signal, _))) => (Ring::Free, signal, Some("not asked for".to_string())),
        (None, None, None) => {
            let label = String::new();
            return Socket { at, number: n, ring: Ring::Free, label, under: vec!["silent".into()], phantom: None };
        }
    };
    let from = Points::read(&signal.source).map(|from| format!("{} {}", from.bank, from.first));
    let label = known.output(&at).and_then(|row| row.label.clone()).unwrap_or_else(|| signal.label.clone());
    Socket { at, number: n, ring, label, under: from.into_iter().chain(under).collect(), phantom: None }
}

impl Socket {
    /// What is written under the ring.
    fn lines(&self) -> Lines {
        let label = LABEL.wrap(&self.label, ROOM, 2).into_iter().map(|line| (LABEL, line));
        let under = self.under.iter().flat_map(|words| PLAIN.wrap(words, ROOM, 2)).map(|line| (PLAIN, line));
        label.chain(under).take(LINES).collect()
    }
}

fn draw(drawing: &mut Drawing, (x, y): (f64, f64), height: f64, socket: &Socket, lines: &Lines) {
    let points = [socket.at.clone()];
    drawing.standing_for(&points, &whole(socket), ((x + 1.0, y + 1.0), (CELL - 2.0, height - 2.0)), |drawing| {
        ring(drawing, (x + 15.0, y + 16.0), socket);
        if let Some(on) = socket.phantom {
            drawing.pill((x + 34.0, y + 10.5), "48V", on);
        }
        let mut at = y + 28.0;
        for (pen, line) in lines {
            at += STEP;
            drawing.text((x + 3.0, at), *pen, Anchor::Start, line);
        }
    });
}

fn ring(drawing: &mut Drawing, (x, y): (f64, f64), socket: &Socket) {
    let (fill, ink) = if socket.ring == Ring::Closed { ("#000", "#fff") } else { ("#fff", "#000") };
    let (width, dash) = match socket.ring {
        Ring::Used | Ring::Closed => (2.2, None),
        Ring::Spare => (1.0, None),
        Ring::Free => (0.8, Some("2 2")),
    };
    drawing.add(html! {
        circle cx=(N(x)) cy=(N(y)) r="12" fill=(fill) stroke="#000" stroke-width=(N(width)) stroke-dasharray=[dash] {}
        @if socket.ring == Ring::Spare {
            circle cx=(N(x)) cy=(N(y)) r="10" fill="none" stroke="#000" {}
        }
        text x=(N(x)) y=(N(y + 3.6)) font-size="10" font-weight="bold" text-anchor="middle" fill=(ink) { (socket.number) }
    });
}
