//! The channel list of a device: what each channel, track and personal feed was asked to carry, where that
//! plugs in, and the preamp behind it. What nobody asked for stands elsewhere.

use super::sockets::{mic, never, supplied};
use crate::plan::data::{Device, End, Plug, Role, Setting, Signal};
use crate::plan::dial::preamp;
use crate::plan::point::{Points, range};
use crate::plan::table::Table;
use crate::plan::view::View;
use std::collections::BTreeMap;

/// An end of this device, with what it carries.
#[derive(Clone, Copy)]
struct Strip<'p> {
    signal: &'p Signal,
    end: &'p End,
}

impl Strip<'_> {
    /// The same source from the same socket through the same preamp.
    fn same(&self, other: &Strip, full: &View) -> bool {
        let (mine, theirs) = (&self.end.path, &other.end.path);
        self.signal.source == other.signal.source
            && mine.first() == theirs.first()
            && inputs_on(full, mine).last() == inputs_on(full, theirs).last()
    }
}

/// Number, label, socket, microphone, preamp, 48 V, gain, pad, polarity. A track that takes what its channel takes is
/// not spelled out again.
pub(super) fn list(view: &View, full: &View, device: &Device) -> Table {
    let strips = strips(view, device);
    let first = strips.keys().next().map(|(bank, _)| *bank);
    let mut table = Table::default();
    let mut alike: Option<(usize, u32, u32)> = None;
    for ((bank, n), strip) in &strips {
        let model = first.filter(|first| first != bank).and_then(|first| strips.get(&(first, *n)));
        if model.is_some_and(|model| strip.same(model, full)) {
            alike = match alike {
                Some((of, start, last)) if of == *bank && last.checked_add(1) == Some(*n) => Some((of, start, *n)),
                other => {
                    say_alike(&mut table, view, device, first, other);
                    Some((*bank, *n, *n))
                }
            };
            continue;
        }
        say_alike(&mut table, view, device, first, alike.take());
        row(&mut table, full, device, strip);
    }
    say_alike(&mut table, view, device, first, alike);
    table
}

/// By the bank's place in the model, then number.
fn strips<'p>(view: &View<'p>, device: &Device) -> BTreeMap<(usize, u32), Strip<'p>> {
    let banks = view.wiring(&device.name).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    let inside = |bank: &str| banks.iter().position(|b| b.bank == bank && b.end && b.role == Role::Inner);
    let mut strips = BTreeMap::new();
    for signal in &view.signals {
        for end in signal.ends.iter().filter(|end| end.asked) {
            let Some(at) = Points::read(&end.end).filter(|at| at.device == device.name) else { continue };
            if let Some(bank) = inside(at.bank) {
                strips.insert((bank, at.first), Strip { signal, end });
            }
        }
    }
    strips
}

/// `track 1-12  as channel 1-12`
fn say_alike(table: &mut Table, view: &View, device: &Device, of: Option<usize>, run: Option<(usize, u32, u32)>) {
    let banks = view.wiring(&device.name).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    let name = |index: usize| banks.get(index).map(|bank| bank.bank.as_str());
    let Some((bank, first, last)) = run else { return };
    let (Some(bank), Some(of)) = (name(bank), of.and_then(name)) else { return };
    let numbers = range(first, last);
    table.row([format!("{bank} {numbers}"), format!("as {of} {numbers}")]);
}

fn row(table: &mut Table, full: &View, device: &Device, strip: &Strip) {
    let short = |point: &str| {
        point.strip_prefix(&device.name).and_then(|rest| rest.strip_prefix('.')).unwrap_or(point).to_string()
    };
    let Strip { signal, end } = strip;
    let label = Some(&signal.label).filter(|label| **label != signal.source).cloned().unwrap_or_default();
    let socket = end.path.first().map(|at| short(at)).unwrap_or_default();
    let inputs = inputs_on(full, &end.path);
    let by = inputs.last().filter(|by| Some(**by) != end.path.first().map(String::as_str));
    let plug = full.plugs.iter().chain(&full.given).find(|plug| Some(&plug.at) == end.path.first());
    table.row([
        short(&end.end),
        label,
        socket,
        mic(full, &signal.source),
        by.map(|by| format!("preamp {}", short(by))).unwrap_or_default(),
        Some(power(full, &inputs, plug.copied()))
            .filter(|power| !power.is_empty())
            .or_else(|| never(full, &signal.source))
            .unwrap_or_default(),
        set(full, "gain", inputs.last(), device),
        set(full, "pad", inputs.last(), device),
        plug.filter(|plug| plug.polarity_inverted).map(|_| "polarity inverted".to_string()).unwrap_or_default(),
    ]);
}

/// The sockets on a way: the last one is the desk's preamp for it.
fn inputs_on<'e>(full: &View, path: &'e [String]) -> Vec<&'e str> {
    let is_input = |at: &&str| {
        let Some(points) = Points::read(at) else { return false };
        let banks = full.wiring(points.device).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
        banks.iter().any(|bank| bank.bank == points.bank && bank.role == Role::In)
    };
    path.iter().map(String::as_str).filter(is_input).collect()
}

/// `48 V` where a preamp on the way gives it; where one at another leg does, which.
fn power(full: &View, inputs: &[&str], plug: Option<&Plug>) -> String {
    let on = |at: &&str| {
        let setting = Points::read(at).and_then(|at| full.setting("phantom", &at));
        setting.is_some_and(Setting::is_on)
    };
    if inputs.iter().any(on) {
        "48 V".to_string()
    } else {
        let asks = plug.filter(|plug| plug.phantom);
        asks.map(|plug| format!("{}, not from here", supplied(full, &plug.source))).unwrap_or_default()
    }
}

/// `gain 32 dB`, and which desk sets it where that is another one.
fn set(full: &View, what: &str, at: Option<&&str>, device: &Device) -> String {
    let setting = at.and_then(|at| Points::read(at)).and_then(|at| full.setting(what, &at));
    let Some(setting) = setting.filter(|setting| setting.value != Some(false.into())) else { return String::new() };
    let owner = setting.owner.as_ref().filter(|owner| **owner != device.name);
    let owner = owner.map(|owner| format!(", set from {owner}")).unwrap_or_default();
    format!("{}{owner}", preamp(setting).trim_end_matches(" on"))
}
