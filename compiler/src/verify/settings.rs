//! Settings: each is checked against the model's switches, then applied. One that the model does not
//! know is reported; where it can still be understood it is applied, so that what it would do shows.

use super::inside::{At, Feeder, Inside, Item};
use super::point::Text;
use super::state::{BankSet, Node, Routed, Side, State};
use crate::plan::{Act, Plan, Role, Route, Setting};
use rustc_hash::FxHashMap as HashMap;

/// A kind of setting on a device's bank or port; its settings are told apart by their points.
type Switch<'p> = (usize, &'p str, Item);

/// A setting refused: what was expected, and what was found.
type Refused = (String, String);

fn refuse<T>(expected: impl Into<String>, found: impl Into<String>) -> Result<T, Refused> {
    Err((expected.into(), found.into()))
}

/// `foh route channel 1-8`
fn place(setting: &Setting) -> String {
    let span = match (setting.first, setting.last) {
        (Some(first), Some(last)) if first == last => format!(" {first}"),
        (Some(first), Some(last)) => format!(" {first}-{last}"),
        _ => String::new(),
    };
    format!("{} {} {}{span}", setting.device, setting.set, setting.bank)
}

impl<'p> State<'p> {
    pub fn read_settings(&mut self, plan: &'p Plan, act: Option<&'p Act>) {
        let of_act = act.map(|act| act.settings.as_slice()).unwrap_or_default();
        // Modes first: which offsets there are depends on them.
        let mut all: Vec<_> = plan.settings.iter().map(|setting| (setting, false)).collect();
        all.extend(of_act.iter().map(|setting| (setting, true)));
        all.sort_by_key(|(setting, _)| setting.set != "mode");
        let mut switches: HashMap<Switch<'_>, Vec<(u32, u32)>> = HashMap::default();
        for (setting, in_act) in all {
            match self.apply(setting, in_act) {
                Ok((device, item, span)) => {
                    switches.entry((device, setting.set.as_str(), item)).or_default().push(span);
                }
                Err((expected, found)) => self.report(place(setting), expected, found),
            }
        }
        for ((device, set, item), mut spans) in switches {
            spans.sort_unstable();
            let twice = spans.iter().zip(spans.iter().skip(1)).find(|(one, next)| next.0 <= one.1);
            if let Some((_, next)) = twice {
                let name = self.item_name(device, item);
                self.report(format!("{name} {}", next.0), format!("one {set} setting"), "two");
            }
        }
        for dev in &mut self.devices {
            dev.banks.iter_mut().for_each(|bank| bank.routes.sort_by_key(|route| route.first));
            dev.ports.iter_mut().for_each(|port| port.routes.sort_by_key(|route| route.first));
        }
        self.check_most();
        self.check_hidden();
    }

    /// Applies a setting; gives the switch it is for.
    fn apply(&mut self, setting: &'p Setting, in_act: bool) -> Result<(usize, Item, (u32, u32)), Refused> {
        let Some(device) = self.by_name.get(setting.device.as_str()).copied() else {
            return refuse("a device of the plan", format!("`{}`", setting.device));
        };
        let item = self.inside(device).and_then(|inside| inside.item(&setting.bank));
        let Some(item @ (Item::Bank(_) | Item::Port(_))) = item else {
            return refuse("a bank or port of the model", format!("`{}`", setting.bank));
        };
        self.check_shape(setting)?;
        let span = match (setting.set.as_str(), item) {
            ("route", _) => self.apply_route(setting, device, item)?,
            ("phantom" | "pad" | "gain", Item::Bank(bank)) => self.apply_preamp(setting, device, bank)?,
            ("offset" | "slot" | "mode", Item::Bank(bank)) => {
                if in_act && self.devices.get(device).is_some_and(|dev| !dev.of_act) {
                    return refuse("the same in every act", "a setting of this act alone");
                }
                self.apply_whole(setting, device, bank)?;
                (1, u32::MAX)
            }
            _ => return refuse("a switch of the model", "none there"),
        };
        Ok((device, item, span))
    }

    /// Which keys a setting has follows from its kind.
    fn check_shape(&self, setting: &Setting) -> Result<(), Refused> {
        let ranged = setting.first.is_some() && setting.last.is_some();
        let bare = setting.first.is_none() && setting.last.is_none();
        let good = match setting.set.as_str() {
            "route" => ranged && setting.from.is_some() && setting.value.is_none(),
            "phantom" | "pad" | "gain" => ranged && setting.from.is_none() && setting.value.is_some(),
            "offset" | "slot" | "mode" => bare && setting.from.is_none() && setting.value.is_some(),
            other => return refuse("a kind of setting", format!("`{other}`")),
        };
        if !good {
            return refuse("the keys of its kind", "others");
        }
        if let Some(owner) = &setting.owner {
            let preamp = ["phantom", "pad", "gain"].contains(&setting.set.as_str());
            let desk = self.by_name.get(owner.as_str()).and_then(|owner| self.devices.get(*owner));
            if !preamp || desk.is_none_or(|dev| dev.device.role != "desk") {
                return refuse("a desk that owns a preamp", format!("`{owner}`"));
            }
        }
        Ok(())
    }

    fn apply_route(&mut self, setting: &Setting, device: usize, item: Item) -> Result<(u32, u32), Refused> {
        let inside = self.inside(device);
        let Some(inside) = inside else { return refuse("a model", "none") };
        let (first, last) = (setting.first.unwrap_or(0), setting.last.unwrap_or(0));
        if first == 0 || first > last || last > inside.target_size(item) {
            return refuse("points that are there", format!("{first}-{last}"));
        }
        let text = setting.from.as_deref().unwrap_or_default();
        let source = Text::read(text).filter(|text| text.device == setting.device);
        let Some((source, from)) = source.and_then(|text| Some((text, inside.item(text.item)?))) else {
            return refuse("a bank, port or block of the device", format!("`{text}`"));
        };
        let size = inside.source_size(from);
        let (start, end) = match (source.span, from) {
            (Some(span), _) => span,
            (None, Item::Block(_)) => (1, size.min(last - first + 1)),
            (None, _) => return refuse("numbers", format!("`{text}`")),
        };
        if end < start || end > size || end - start > last - first {
            return refuse("as many points as are set", format!("`{text}`"));
        }
        let route = Routed { first, last, from, start, len: end - start + 1 };
        let refused = allowed(inside, setting, item, route, source.item).err();
        if let Some(dev) = self.devices.get_mut(device) {
            match item {
                Item::Bank(bank) => dev.banks.get_mut(bank).map(|bank| bank.routes.push(route)),
                Item::Port(port) => dev.ports.get_mut(port).map(|port| port.routes.push(route)),
                Item::Block(_) => None,
            };
        }
        refused.map_or(Ok((first, last)), Err)
    }

    /// Offset, slot and mode hold for a whole bank.
    fn apply_whole(&mut self, setting: &'p Setting, device: usize, bank: usize) -> Result<(), Refused> {
        let mode = self.devices.get(device).and_then(|dev| dev.banks.get(bank)).and_then(|set| set.mode);
        let Some(inside) = self.inside(device) else { return refuse("a model", "none") };
        let value = setting.value.as_ref();
        let number = value.and_then(serde_json::Value::as_u64).and_then(|value| u32::try_from(value).ok());
        let new = match setting.set.as_str() {
            "mode" => {
                let word = value.and_then(serde_json::Value::as_str);
                let known = modes(inside, bank);
                match word.filter(|word| known.contains(word)) {
                    Some(word) => BankSet { mode: Some(word), ..BankSet::default() },
                    None => return refuse(format!("one of its modes ({})", known.join(", ")), shown(setting)),
                }
            }
            "offset" => {
                let offset = chosen(number, &offset_choices(inside, bank, mode), setting)?;
                check_reserved_takes(inside, bank, mode, offset)?;
                BankSet { offset: Some(offset), ..BankSet::default() }
            }
            _ => {
                let slot = chosen(number, &slot_choices(inside, bank), setting)?;
                check_reserved_rides(inside, bank, slot)?;
                BankSet { slot: Some(slot), ..BankSet::default() }
            }
        };
        if let Some(set) = self.devices.get_mut(device).and_then(|dev| dev.banks.get_mut(bank)) {
            set.mode = set.mode.or(new.mode);
            set.offset = set.offset.or(new.offset);
            set.slot = set.slot.or(new.slot);
        }
        Ok(())
    }

    fn apply_preamp(&mut self, setting: &Setting, device: usize, bank: usize) -> Result<(u32, u32), Refused> {
        let Some(facts) = self.inside(device).and_then(|inside| inside.banks.get(bank)).map(|bank| bank.bank) else {
            return refuse("a bank", "none");
        };
        let (first, last) = (setting.first.unwrap_or(0), setting.last.unwrap_or(0));
        if first == 0 || first > last || last > facts.size || facts.role != Role::In {
            return refuse("preamps that are there", format!("{first}-{last}"));
        }
        let value = setting.value.as_ref();
        if setting.set == "gain" {
            let Some(gain) = value.and_then(serde_json::Value::as_f64) else { return refuse("dB", shown(setting)) };
            self.gains.extend((first..=last).map(|n| (Node { device, side: Side::Bank, item: bank, n }, gain)));
            return Ok((first, last));
        }
        let Some(on) = value.and_then(serde_json::Value::as_bool) else {
            return refuse("true or false", shown(setting));
        };
        if setting.set == "pad" {
            if on {
                self.pads.extend((first..=last).map(|n| Node { device, side: Side::Bank, item: bank, n }));
            }
            return Ok((first, last));
        }
        let group = facts.phantom;
        if group == 0 {
            return refuse("a phantom switch", "none there");
        }
        if (first - 1) % group != 0 || (last % group != 0 && last != facts.size) {
            return refuse(format!("whole phantom switches of {group}"), format!("{first}-{last}"));
        }
        if on {
            self.phantom.extend((first..=last).map(|n| (device, bank, (n - 1) / group)));
        }
        Ok((first, last))
    }

    /// No bank is fed at more points at a time than its route says.
    fn check_most(&mut self) {
        for device in 0..self.devices.len() {
            let Some(inside) = self.inside(device) else { continue };
            let limited: Vec<_> = inside
                .wiring
                .routes
                .iter()
                .filter_map(|route| Some((route, route.at_most?, inside.item(&route.bank)?)))
                .collect();
            for (route, most, item) in limited {
                let fed = self.fed_by(device, item, route);
                if fed > most {
                    let name = self.item_name(device, item);
                    self.report(name, format!("at most {most} points fed at a time"), fed.to_string());
                }
            }
        }
    }

    /// No slot is routed on which one of the device's banks rides.
    fn check_hidden(&mut self) {
        let mut hidden = Vec::new();
        for (device, dev) in self.devices.iter().enumerate() {
            let ports = self.insides.get(dev.inside).map(|inside| inside.ports.as_slice()).unwrap_or_default();
            for (item, (port, set)) in ports.iter().zip(&dev.ports).enumerate() {
                let rides = |n: u32| port.rider(n, &dev.banks).is_some();
                let routes = set.routes.iter().filter(|route| (route.first..=route.last).all(rides));
                hidden.extend(routes.map(|route| (device, Item::Port(item), route.first)));
            }
        }
        for (device, item, first) in hidden {
            let name = self.item_name(device, item);
            self.report(format!("{name} {first}"), "slots that are free", "a bank that rides there");
        }
    }

    fn fed_by(&self, device: usize, item: Item, route: &Route) -> u32 {
        let (Some(dev), Some(inside)) = (self.devices.get(device), self.inside(device)) else { return 0 };
        let set = match item {
            Item::Bank(bank) => dev.banks.get(bank).map(|bank| &bank.routes),
            Item::Port(port) => dev.ports.get(port).map(|port| &port.routes),
            Item::Block(_) => None,
        };
        let (first, last) = (route.first.unwrap_or(1), route.last.unwrap_or(u32::MAX));
        let of_route = |set: &&Routed| {
            first <= set.first && set.last <= last && route.from.iter().any(|from| inside.item(from) == Some(set.from))
        };
        set.into_iter().flatten().filter(of_route).map(|set| set.len).sum()
    }

    fn item_name(&self, device: usize, item: Item) -> String {
        let inside = self.inside(device);
        let device = self.devices.get(device).map_or("", |dev| dev.device.name.as_str());
        let name = match item {
            Item::Bank(bank) => inside.and_then(|inside| inside.banks.get(bank)).map(|bank| bank.bank.bank.as_str()),
            Item::Port(port) => inside.and_then(|inside| inside.ports.get(port)).map(|port| port.port.port.as_str()),
            Item::Block(_) => None,
        };
        format!("{device}.{}", name.unwrap_or_default())
    }
}

/// A route setting is exactly one block, or one point, of a route of the model.
fn allowed(inside: &Inside<'_>, setting: &Setting, item: Item, set: Routed, from: &str) -> Result<(), Refused> {
    let mut refused = ("a switch of the model".to_owned(), "none there".to_owned());
    let mut good = false;
    for route in inside.routes(&setting.bank) {
        let (first, last) = (route.first.unwrap_or(1), route.last.unwrap_or_else(|| inside.target_size(item)));
        if route.fixed {
            if set.first <= last && first <= set.last {
                return refuse("points that are free", "a fixed route there");
            }
            continue;
        }
        if set.first < first || set.last > last {
            continue;
        }
        if !route.from.iter().any(|name| name == from || names_point_of(inside, name, set)) {
            refused = (format!("from {}", route.from.join(", ")), format!("`{from}`"));
            continue;
        }
        let block = route.block.unwrap_or(1).max(1);
        let size = inside.source_size(set.from);
        let target = block.min(last.saturating_sub(set.first) + 1);
        let source = target.min(size - set.start + 1);
        let aligned = (set.first - 1) % block == 0 && (set.start - 1) % block == 0;
        if aligned && set.last - set.first + 1 == target && set.len == source {
            good = true;
        } else {
            refused =
                (format!("a whole block of {block}"), format!("`{}`", setting.from.as_deref().unwrap_or_default()));
        }
    }
    if !good {
        return Err(refused);
    }
    let reserved = inside.wiring.reserved.iter().find(|reserved| {
        let here = reserved.port == setting.bank && reserved.rate_hz.is_none_or(|rate| rate == inside.rate);
        here && set.first <= reserved.last && reserved.first <= set.last && reserved.for_what != from
    });
    match reserved {
        Some(reserved) => refuse(format!("slots reserved for {}", reserved.for_what), format!("`{from}`")),
        None => Ok(()),
    }
}

/// Point by point, a point of a named block may be named as itself.
fn names_point_of(inside: &Inside<'_>, block: &str, set: Routed) -> bool {
    let Some(Item::Block(block)) = inside.item(block) else { return false };
    set.len == 1 && inside.blocks.get(block).is_some_and(|points| points.contains(&(set.from, set.start)))
}

fn modes<'p>(inside: &Inside<'p>, bank: usize) -> Vec<&'p str> {
    let feeders = inside.banks.get(bank).map(|bank| bank.feeders.as_slice()).unwrap_or_default();
    let of = |feeder: &Feeder<'p>| match feeder {
        Feeder::Takes { mode, .. } | Feeder::Copies { mode, .. } => *mode,
    };
    feeders.iter().filter_map(of).collect()
}

/// The lists of choices, one for each way in which the bank takes at a setting in this mode.
fn offset_choices<'p>(inside: &Inside<'p>, bank: usize, set: Option<&str>) -> Vec<&'p [u32]> {
    let feeders = inside.banks.get(bank).map(|bank| bank.feeders.as_slice()).unwrap_or_default();
    let at_setting = |feeder: &Feeder<'p>| match feeder {
        Feeder::Takes { at: At::Setting, choices, mode, .. } if mode.is_none() || *mode == set => Some(*choices),
        _ => None,
    };
    feeders.iter().filter_map(at_setting).collect()
}

fn slot_choices<'p>(inside: &Inside<'p>, bank: usize) -> Vec<&'p [u32]> {
    let carried = inside.ports.iter().flat_map(|port| &port.carries);
    carried.filter(|carried| carried.bank == bank && carried.at == At::Setting).map(|carried| carried.choices).collect()
}

/// Without a list of choices any slot will do.
fn chosen(number: Option<u32>, lists: &[&[u32]], setting: &Setting) -> Result<u32, Refused> {
    if lists.is_empty() {
        return refuse("a switch of the model", "none there");
    }
    let fits = |number: &u32| *number > 0 && lists.iter().all(|list| list.is_empty() || list.contains(number));
    number.filter(fits).map_or_else(|| refuse("one of its choices", shown(setting)), Ok)
}

fn check_reserved_takes(inside: &Inside<'_>, bank: usize, mode: Option<&str>, first: u32) -> Result<(), Refused> {
    let Some(bank) = inside.banks.get(bank) else { return Ok(()) };
    for feeder in &bank.feeders {
        if let Feeder::Takes { port, at: At::Setting, mode: needs, .. } = feeder
            && (needs.is_none() || *needs == mode)
        {
            free(inside, *port, first, bank.bank.size, &bank.bank.bank)?;
        }
    }
    Ok(())
}

fn check_reserved_rides(inside: &Inside<'_>, bank: usize, first: u32) -> Result<(), Refused> {
    let Some(facts) = inside.banks.get(bank).map(|bank| bank.bank) else { return Ok(()) };
    for (number, port) in inside.ports.iter().enumerate() {
        if port.carries.iter().any(|carried| carried.bank == bank && carried.at == At::Setting) {
            free(inside, number, first, facts.size, &facts.bank)?;
        }
    }
    Ok(())
}

fn free(inside: &Inside<'_>, port: usize, first: u32, size: u32, bank: &str) -> Result<(), Refused> {
    let Some(port) = inside.ports.get(port).map(|port| port.port.port.as_str()) else { return Ok(()) };
    let last = first.saturating_add(size).saturating_sub(1);
    let taken = inside.wiring.reserved.iter().find(|reserved| {
        let here = reserved.port == port && reserved.rate_hz.is_none_or(|rate| rate == inside.rate);
        here && first <= reserved.last && reserved.first <= last && reserved.for_what != bank
    });
    match taken {
        Some(reserved) => refuse(
            format!("slots {}-{} of {port} for {}", reserved.first, reserved.last, reserved.for_what),
            format!("`{bank}` at {first}-{last}"),
        ),
        None => Ok(()),
    }
}

fn shown(setting: &Setting) -> String {
    setting.value.as_ref().map_or_else(|| "nothing".to_owned(), ToString::to_string)
}
