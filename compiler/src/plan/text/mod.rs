//! The routing plan as text: what to plug and dial, device by device, in an order in which it can be
//! read aloud. It repeats the plan and works nothing out beyond what the plan holds. The same plan gives
//! the same text, byte for byte.

mod changeover;
mod channels;
mod device;
mod mixes;
mod order;
mod power;
mod said;
mod settings;
mod sockets;

use super::data::{Act, Device, Plan, Setting};
use super::table::{Table, clean};
use super::usage::Usage;
use super::view::View;
use crate::diagnostics::did_you_mean;
pub(crate) use changeover::text as changeover;
pub(crate) use device::{digest, length, what as cable_kind};
pub(crate) use order::devices as device_order;
pub(crate) use said::itself as said_of_itself;
pub(crate) use settings::unlike_points;

/// The plan as text. With `device` only that device's part; with `act` everything that holds in that
/// act, as one; without, what holds in all, then what each act adds.
///
/// # Errors
/// A message for the user where there is no such device or act.
pub fn text(plan: &Plan, device: Option<&str>, act: Option<&str>) -> Result<String, String> {
    let act = act.map(|name| find_act(plan, name)).transpose()?;
    let whole = View::any(plan);
    if let Some(name) = device.filter(|name| whole.device(name).is_none()) {
        let names = whole.all_devices().iter().map(|device| device.name.as_str());
        return Err(format!("there is no device `{name}`{}", suggest(name, names)));
    }
    let mut order = order::devices(&whole);
    order.retain(|one| device.is_none_or(|name| name == one.name));
    let view = act.map_or_else(|| View::house(plan), |act| View::act(plan, act));
    let mut out = head(plan, act);
    if device.is_none() {
        out.push_str(&changes(plan, act));
        out.push_str(&allowed(plan, act));
    }
    let any = if act.is_some() { &view } else { &whole };
    let changeover = act.map(|act| changeover(plan, act, &order, 0)).unwrap_or_default();
    out.push_str(&cautions(if changeover.is_empty() { any } else { &whole }));
    if !changeover.is_empty() {
        out.push_str(&format!("\n{changeover}"));
    }
    if device.is_none() {
        out.push_str(&power::text(plan));
    }
    let usage = Usage::of(any);
    for one in order.iter().filter(|one| view.devices.iter().any(|d| d.name == one.name)) {
        device::print(&mut out, &view, &view, one, Some(&usage));
    }
    if device.is_none() {
        spare_cables(&mut out, &view);
    }
    if act.is_none() {
        for act in &plan.acts {
            print_act(&mut out, plan, act, &order);
        }
    }
    Ok(out)
}

/// What is otherwise here than in the files that the show took over, with where each value comes from.
fn changes(plan: &Plan, act: Option<&Act>) -> String {
    let mut out = String::new();
    for change in plan.changes.iter().filter(|change| holds(change.act.as_ref(), act)) {
        let act = in_act(change.act.as_ref());
        out.push_str(&format!("  {}{act}: {} ({})\n", clean(&change.thing), clean(&change.now), clean(&change.now_in)));
        if let (Some(was), Some(file)) = (&change.was, &change.was_in) {
            out.push_str(&format!("      was {} ({})\n", clean(was), clean(file)));
        }
    }
    if out.is_empty() { out } else { format!("\nchanged for this show\n{out}") }
}

/// What a rule speaks against and the show says is meant, with the reason.
fn allowed(plan: &Plan, act: Option<&Act>) -> String {
    let mut out = String::new();
    for one in plan.allowed.iter().filter(|one| holds(one.act.as_ref(), act)) {
        let on = one.on.as_ref().map(|on| format!(" on {on}")).unwrap_or_default();
        let (act, because) = (in_act(one.act.as_ref()), clean(&one.because));
        out.push_str(&format!("  {}{}{act}: {because}\n", one.rule, clean(&on)));
        one.said.iter().for_each(|said| out.push_str(&format!("      {}\n", clean(said))));
    }
    if out.is_empty() { out } else { format!("\nallowed in this show\n{out}") }
}

/// Whether what one act says, or all of them, is asked for.
fn holds(of: Option<&String>, asked: Option<&Act>) -> bool {
    of.is_none_or(|of| asked.is_none_or(|act| *of == act.act))
}

fn in_act(act: Option<&String>) -> String {
    act.map(|act| format!(" in act {act}")).unwrap_or_default()
}

fn find_act<'p>(plan: &'p Plan, name: &str) -> Result<&'p Act, String> {
    let names = plan.acts.iter().map(|act| act.act.as_str());
    let missing = || match plan.acts.is_empty() {
        true => format!("this show has no acts, so none is called `{name}`"),
        false => format!("there is no act `{name}`{}", suggest(name, names)),
    };
    plan.acts.iter().find(|act| act.act == name).ok_or_else(missing)
}

/// `; did you mean `foh`?`, or nothing.
fn suggest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> String {
    did_you_mean(name, known).map(|question| format!("; {question}")).unwrap_or_default()
}

fn head(plan: &Plan, act: Option<&Act>) -> String {
    let mut table = Table::default();
    let mut line = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            table.row([name.to_string(), value]);
        }
    };
    line("show", Some(plan.show.title.clone()));
    line("venue", plan.show.venue.clone());
    line("date", plan.show.date.clone());
    line("rate", Some(format!("{} kHz", f64::from(plan.rate_hz) / 1000.0)));
    line("clock", Some(plan.clock.clone().unwrap_or_else(|| "nobody said which".to_string())));
    line("act", act.map(act_name));
    let mut out = String::new();
    table.print(&mut out, 0);
    out
}

/// `kestrel, "Kestrel Field", 23:20 to 00:30`
pub(crate) fn act_name(act: &Act) -> String {
    let mut name = act.act.clone();
    if let Some(title) = &act.title {
        name.push_str(&format!(", \"{title}\""));
    }
    match (&act.from, &act.to) {
        (Some(from), Some(to)) => name.push_str(&format!(", {from} to {to}")),
        (Some(from), None) => name.push_str(&format!(", from {from}")),
        (None, Some(to)) => name.push_str(&format!(", until {to}")),
        (None, None) => {}
    }
    name
}

/// What to mind with 48 V, where any is on. Handling as in common practice: muted, plugged first, then
/// switched, then waited for.
fn cautions(view: &View) -> String {
    let on = |s: &Setting| s.set == "phantom" && s.is_on();
    if !view.settings.iter().any(|s| on(s)) {
        return String::new();
    }
    "\n48 V: mute the outputs or pull the faders down, plug, switch it on, wait about 10 s, then open up. To unplug: \
     off,\nwait, unplug. All of it before in-ear packs go on. None to a passive ribbon. One supplier a line, never \
     two\ndesks. On mains and earth, local rules and a licensed person decide.\n"
        .to_string()
}

fn spare_cables(out: &mut String, view: &View) {
    let mut table = Table::default();
    for cable in view.cables.iter().filter(|cable| cable.used_as == "spare") {
        let ends = [&cable.from, &cable.to].into_iter().filter(|end| !end.is_empty()).cloned().collect::<Vec<_>>();
        table.row([device::length(cable.length_m), cable.carrier.clone(), ends.join(" to ")]);
    }
    for cable in &view.plan.spare_cables {
        let built = [(cable.screened, "screened"), (cable.locking, "locking")];
        let built: Vec<&str> = built.iter().filter(|(is, _)| *is).map(|(_, word)| *word).collect();
        table.row([device::length(cable.length_m), built.join(" "), said::people(&cable.remarks, true).join(", ")]);
    }
    if !table.is_empty() {
        out.push_str("\nspare cables, laid and unplugged\n");
        table.print(out, 4);
    }
}

/// What the act adds to what holds in every act, device by device.
fn print_act(out: &mut String, plan: &Plan, act: &Act, order: &[&Device]) {
    out.push_str(&format!("\nact {}\n", clean(&act_name(act))));
    let (view, full) = (View::only(plan, act), View::act(plan, act));
    let mut body = changeover(plan, act, order, 2);
    for device in order {
        device::print(&mut body, &view, &full, device, None);
    }
    let nothing = if view.is_empty() { "  the same as in every act\n" } else { "  nothing differs here\n" };
    out.push_str(if body.is_empty() { nothing } else { &body });
}
