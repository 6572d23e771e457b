//! The stage patch: for each box, sub-snake and split, and for a desk's own sockets, what is plugged into which
//! socket, and what hangs on what comes out. Sorted by box and socket, since that is how a stage hand reads it.
//! What changes from act to act stands behind what holds all day, a row a socket and a column an act.

use super::super::known::Known;
use super::super::pictures::front;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table, Weight};
use super::by_act::{Line, Said, all_day, of_act, parts, tables};
use super::cautions;
use super::reader::{Readers, STAGE};
use super::whole::{Gear, Whole};
use super::words::{at_the_end, comes_by, headed, made, mic, notes, phantom, spoken, stand};
use crate::plan::{Bank, Device, Points, Role, cable_kind, length, point, port_or_bank, range};

/// One sheet for each piece of gear on stage, and for each other one that something is plugged into.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    let readers = Readers::of(whole);
    whole.gear().iter().filter_map(|gear| sheet(whole, &readers, gear)).collect()
}

fn sheet(whole: &Whole, readers: &Readers, gear: &Gear) -> Option<Sheet> {
    let (device, home) = (gear.device, gear.scenes.first()?);
    let banks = home.banks(&device.name).iter();
    let inputs = banks.clone().filter(|bank| bank.role == Role::In).flat_map(|bank| plugged(whole, gear, bank));
    let outputs = banks.filter(|bank| bank.role == Role::Out && bank.end).flat_map(|bank| leaving(whole, gear, bank));
    let mut parts = parts(inputs.chain(outputs));
    if parts.is_empty() && !is_on_stage(device) {
        return None;
    }
    parts.extend(place(device).map(Part::Words));
    parts.extend(self::parts([cables(home, device)]));
    parts.extend(front::in_acts(gear.scenes, &device.name).into_iter().map(Part::Picture));
    let sheet = Sheet {
        slug: format!("stage-patch-{}", device.name),
        title: format!("Stage patch: {}", headed(device)),
        reader: if device.role == "desk" { readers.at(&device.name) } else { STAGE },
        large: is_on_stage(device),
        cautions: vec![cautions::PHANTOM, cautions::EARTH],
        parts,
        ..Sheet::default()
    };
    Some(of_act(sheet, gear.act))
}

fn is_on_stage(device: &Device) -> bool {
    matches!(device.role.as_str(), "box" | "snake" | "split")
}

fn place(device: &Device) -> Option<String> {
    let lifted = (!device.lifted.is_empty()).then(|| format!("ground lifted: {}", device.lifted.join(", ")));
    let said =
        [device.remarks.place.clone().map(|place| format!("stands {place}")), device.remarks.note.clone(), lifted];
    let said: Vec<String> = said.into_iter().flatten().collect();
    (!said.is_empty()).then(|| said.join("; "))
}

/// All that stands at one socket in one act.
#[derive(Clone, Default, PartialEq)]
struct Socket {
    source: Option<String>,
    /// The source's label, or why nothing may be plugged here.
    label: String,
    mic: String,
    stand: String,
    phantom: Cell,
    place: String,
    notes: String,
}

impl Socket {
    fn of(known: &Known, device: &Device, at: &Points) -> Socket {
        let name = point(at.device, at.bank, at.first);
        if let Some(why) = out_of_use(device, at.first) {
            return Socket { label: why, ..Socket::default() };
        }
        let source = known.arriving(&name);
        let (plug, row) = (known.plug(&name), source.and_then(|source| known.source(source)));
        let told = row.filter(|_| plug.is_some());
        let who = told.and_then(|row| row.remarks.who.clone());
        Socket {
            source: source.map(String::from),
            label: source.map(|source| known.label(source)).unwrap_or_default(),
            mic: mic(plug),
            stand: stand(plug),
            phantom: phantom(known, at, source),
            place: told.and_then(|row| row.remarks.place.clone()).unwrap_or_default(),
            notes: who.into_iter().chain(told.map(notes).unwrap_or_default()).collect::<Vec<_>>().join(", "),
        }
    }

    /// All of it in one cell.
    fn said(&self) -> Said {
        let parts = [&self.label, &self.mic, &self.stand, &self.phantom.text, &self.place, &self.notes];
        let text = parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<_>>().join(", ");
        Said { source: self.source.clone(), cell: Cell { text, sign: self.phantom.sign } }
    }
}

fn out_of_use(device: &Device, line: u32) -> Option<String> {
    let kept = device.kept_for.iter().find(|kept| kept.line == line);
    let why = kept.map(|kept| format!("kept for {}: plug nothing here", kept.for_what));
    why.or_else(|| device.out_of_use.contains(&line).then(|| "dead line: plug nothing here".to_string()))
}

/// Every socket of gear on stage, the free ones too: a free socket is looked for in the dark as well. Of other
/// gear those up to the last one in use.
fn plugged(whole: &Whole, gear: &Gear, bank: &Bank) -> Vec<Table> {
    let (device, Some(home)) = (gear.device, gear.scenes.first()) else { return Vec::new() };
    let at = |n| Points { device: &device.name, bank: &bank.bank, first: n, last: n };
    let of = |n| gear.scenes.iter().map(|known| Socket::of(known, device, &at(n))).collect();
    let mut sockets: Vec<Vec<Socket>> = (1..=bank.size).map(of).collect();
    if !is_on_stage(device) {
        let used = sockets.iter().rposition(|of| of.iter().any(|socket| *socket != Socket::default()));
        sockets.truncate(used.map_or(0, |used| used + 1));
    }
    let numbered = (1..).zip(sockets);
    let (same, other): (Vec<_>, Vec<_>) = numbered.partition(|(_, of)| all_day(of));
    let title = format!("plug in: {} {}", bank.bank, range(1, bank.size));
    let same = same.into_iter().filter_map(|(n, of)| Some((at(n), of.into_iter().next()?)));
    let mut all = vec![in_full(home, &title, same)];
    let line = |(n, of): &(u32, Vec<Socket>)| Line {
        head: vec![n.to_string().into(), line(home, &at(*n)).into()],
        said: of.iter().map(Socket::said).collect(),
        points: vec![point(&device.name, &bank.bank, *n)],
    };
    let lines: Vec<Line> = other.iter().map(line).collect();
    all.extend(tables(whole, &format!("{title}, by act"), &[("socket", Look::Key), ("line", Look::Plain)], &lines));
    all
}

/// `by drum-riser 3`, `to stage-left in 3`. Of a split, whose line leads to several, the cables say it for all.
fn line(known: &Known, at: &Points) -> String {
    let by = comes_by(known, &point(at.device, at.bank, at.first)).map(|line| format!("by {line}"));
    let to = Some(known.leads_to(at)).filter(|ends| ends.len() == 1).into_iter().flatten();
    let to = to.map(|end| format!("to {}", spoken(known, &end)));
    by.into_iter().chain(to).collect::<Vec<_>>().join(", ")
}

/// A table with a column for everything, of sockets that are the same all day.
fn in_full<'a>(known: &Known, title: &str, sockets: impl Iterator<Item = (Points<'a>, Socket)>) -> Table {
    let columns = [
        ("socket", Look::Key),
        ("source", Look::Key),
        ("mic or DI", Look::Plain),
        ("stand", Look::Plain),
        ("48 V", Look::Plain),
        ("place", Look::Plain),
        ("line", Look::Plain),
        ("notes", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns).titled(title);
    let row = |(at, socket): (Points, Socket)| {
        let line = line(known, &at);
        let name = point(at.device, at.bank, at.first);
        if socket == Socket::default() && line.is_empty() {
            return (at.first, Stand::Free(name));
        }
        let weight = if socket.source.is_some() { Weight::Plain } else { Weight::Quiet };
        let cells = [
            at.first.to_string().into(),
            socket.label.into(),
            socket.mic.into(),
            socket.stand.into(),
            socket.phantom,
            socket.place.into(),
            line.into(),
            socket.notes.into(),
        ];
        (at.first, Stand::Told(Row::of(cells).about(socket.source.as_deref()).at([name]).weighing(weight)))
    };
    fill(&mut table, sockets.map(row));
    table
}

/// What hangs on one socket out, in one act.
#[derive(Clone, Default, PartialEq)]
struct Hangs {
    source: Option<String>,
    cells: [String; 6],
}

impl Hangs {
    /// What hangs there, the label, the mix, place, who, note.
    fn of(known: &Known, at: &str) -> Hangs {
        let row = known.output(at);
        let arriving = known.asked(at).filter(|_| known.far_end(at).is_none());
        let source = row.map(|row| row.from.as_str()).or(arriving.map(|(signal, _)| signal.source.as_str()));
        let Some(source) = source else { return Hangs::default() };
        let used_as =
            row.and_then(|row| row.used_as.as_deref()).or(arriving.and_then(|(_, end)| end.used_as.as_deref()));
        let label = row.and_then(|row| row.label.clone()).unwrap_or_else(|| known.label(source));
        let said = |of: fn(&crate::plan::Remarks) -> &Option<String>| row.and_then(|row| of(&row.remarks).clone());
        let from = if Points::read(source).is_some() { made(source) } else { String::new() };
        let cells = [
            at_the_end(used_as),
            label,
            from,
            said(|remarks| &remarks.place).unwrap_or_default(),
            said(|remarks| &remarks.who).unwrap_or_default(),
            said(|remarks| &remarks.note).unwrap_or_default(),
        ];
        Hangs { source: Some(source.to_string()), cells }
    }

    fn said(&self) -> Said {
        let text = self.cells.iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<_>>().join(", ");
        Said { source: self.source.clone(), cell: text.into() }
    }
}

fn leaving(whole: &Whole, gear: &Gear, bank: &Bank) -> Vec<Table> {
    let device = gear.device;
    let name = |n| point(&device.name, &bank.bank, n);
    let open = device.role == "box";
    let free = |at: &str| gear.scenes.iter().all(|known| known.far_end(at).is_none());
    let hangs: Vec<(u32, Vec<Hangs>)> = (1..=bank.size)
        .map(|n| (n, gear.scenes.iter().map(|known| Hangs::of(known, &name(n))).collect::<Vec<_>>()))
        .filter(|(n, of)| of.iter().any(|one| one.source.is_some()) || (open && free(&name(*n))))
        .collect();
    let (same, other): (Vec<_>, Vec<_>) = hangs.into_iter().partition(|(_, of)| all_day(of));
    let title = format!("comes out: {}", bank.bank);
    let line = |(n, of): &(u32, Vec<Hangs>)| Line {
        head: vec![n.to_string().into()],
        said: of.iter().map(Hangs::said).collect(),
        points: vec![name(*n)],
    };
    let lines: Vec<Line> = other.iter().map(line).collect();
    let by_act = tables(whole, &format!("{title}, by act"), &[("socket", Look::Key)], &lines);
    let same = same.into_iter().filter_map(|(n, of)| Some((n, of.into_iter().next()?)));
    std::iter::once(hanging(same, name).titled(title)).chain(by_act).collect()
}

/// What hangs on sockets out all day.
fn hanging(sockets: impl Iterator<Item = (u32, Hangs)>, name: impl Fn(u32) -> String + Copy) -> Table {
    let columns = [
        ("socket", Look::Key),
        ("plug in", Look::Key),
        ("carries", Look::Key),
        ("from", Look::Plain),
        ("place", Look::Plain),
        ("who", Look::Plain),
        ("notes", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns);
    let row = |(n, one): (u32, Hangs)| match &one.source {
        None => (n, Stand::Free(name(n))),
        Some(source) => {
            let cells = std::iter::once(n.to_string()).chain(one.cells.clone()).map(Cell::from);
            (n, Stand::Told(Row::of(cells).about(Some(source)).at([name(n)])))
        }
    };
    fill(&mut table, sockets.map(row));
    table
}

/// A socket of which there is something to say, or a free one by its name.
enum Stand {
    Told(Row),
    Free(String),
}

/// Free sockets beside each other are one row.
fn fill(table: &mut Table, sockets: impl Iterator<Item = (u32, Stand)>) {
    let mut free: Option<(u32, u32)> = None;
    for (n, stand) in sockets {
        let before = free.take().filter(|(_, last)| last.checked_add(1) == Some(n));
        match stand {
            Stand::Told(row) => table.push(row),
            Stand::Free(name) => {
                let first = before.map_or(n, |(first, _)| first);
                let points = before.and_then(|_| table.rows.pop()).map(|row| row.points).unwrap_or_default();
                let cells = [range(first, n), "free".to_string()].map(Cell::from);
                table.push(Row::of(cells).at(points).at([name]).weighing(Weight::Quiet));
                free = Some((first, n));
            }
        }
    }
}

/// What connects the device itself: its ports and its looms.
fn cables(known: &Known, device: &Device) -> Table {
    let columns = [
        ("end here", Look::Key),
        ("to", Look::Key),
        ("length", Look::Number),
        ("kind", Look::Plain),
        ("done", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("cables");
    let model = known.plan.models.get(&device.model);
    let ports = model.map(|model| model.wiring.ports.as_slice()).unwrap_or_default().iter().map(|port| &port.port);
    let banks = known.banks(&device.name).iter().map(|bank| &bank.bank);
    for name in ports.chain(banks) {
        let here = format!("{}.{name}", device.name);
        for cable in known.cables_at(&device.name, name) {
            let own = |end: &str| end.strip_prefix(&here).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
            let (own, other) = if own(&cable.from) { (&cable.from, &cable.to) } else { (&cable.to, &cable.from) };
            let end = own.strip_prefix(&device.name).map_or(own.as_str(), |rest| rest.trim_start_matches('.'));
            let cells = [end.to_string(), far(known, other), length(cable.length_m), cable_kind(cable)];
            table.push(Row::of(cells.map(Cell::from)));
        }
    }
    table
}

/// `stage-right up`, `drum-riser tail 1-12`
fn far(known: &Known, end: &str) -> String {
    let port = || port_or_bank(end).map(|(device, port)| format!("{} {port}", known.called(device)));
    if Points::read(end).is_some() { spoken(known, end) } else { port().unwrap_or_else(|| end.to_string()) }
}
