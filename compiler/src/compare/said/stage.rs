//! What hands do on stage, as it is said.

use super::super::deeds::{Deed, Plugging, Side, Spot, Step};
use crate::plan::{Cable, cable_kind, length, ranges};
use serde_json::Value;
use std::collections::BTreeSet;

/// A plug that goes straight to its next socket is one line.
pub(super) fn unplugged(out: &Plugging, rest: &[Step]) -> (usize, Vec<String>) {
    let into = match rest.get(1).map(|next| &next.deed) {
        // Another use is another thing on the same output.
        Some(Deed::Plug(into)) if out.side == Side::Out && into.is != out.is => return (1, vec![unplug(out)]),
        Some(Deed::Plug(into)) if into.what == out.what && into.side == out.side => into,
        _ => return (1, vec![unplug(out)]),
    };
    match (out.at == into.at, out.is == into.is) {
        (true, same) => {
            let is = into.is.as_ref().filter(|_| !same).map(|is| format!(", now {is}")).unwrap_or_default();
            (2, vec![format!("{} at {}: unplug, plug in again{is}", out.called, out.at)])
        }
        (false, true) => (2, vec![format!("move {} from {} to {}", out.called, out.at, into.at)]),
        (false, false) => (1, vec![unplug(out)]),
    }
}

fn unplug(out: &Plugging) -> String {
    let is = out.is.as_ref().map(|is| format!(" ({is})")).unwrap_or_default();
    format!("unplug {}{is} {} {}", out.called, if out.side == Side::In { "from" } else { "at" }, out.at)
}

/// Whatever stands by itself.
pub(super) fn said(deed: &Deed) -> String {
    match deed {
        Deed::Plug(into) => {
            let is = into.is.as_ref().map(|is| format!(" ({is})")).unwrap_or_default();
            format!("plug {}{is} into {}", into.called, into.at)
        }
        Deed::Relabel { at, was, now } => format!("label at {at}: {now}, was {was}"),
        Deed::Pull { cable } => format!("pull {}", run(cable)),
        Deed::Lay { cable } => format!("lay {}", run(cable)),
        Deed::TakeAway { device } => format!("take {device} out"),
        Deed::Bring { device } => {
            let place = device.remarks.place.as_ref().map(|place| format!(", at {place}")).unwrap_or_default();
            format!("set {} up: {}{place}", device.name, device.model)
        }
        Deed::Stand { called, was, now, .. } => stand(called, was.as_ref(), now.as_ref()),
        Deed::Mark { device, of, was, now } => mark(device, of, was.as_ref(), now.as_ref()),
        // Those are said by whoever dials.
        _ => String::new(),
    }
}

/// `Hat: stand short, was tall; place riser`
fn stand(called: &str, was: Option<&Spot>, now: Option<&Spot>) -> String {
    let nothing = Spot::default();
    let was = was.unwrap_or(&nothing);
    let Some(now) = now else {
        let place = was.place.as_ref().map(|place| format!(" at {place}")).unwrap_or_default();
        return format!("take the stand of {called}{place} away");
    };
    let part = |word: &str, was: Option<&String>, now: Option<&String>| {
        let before = was.map(|was| format!(", was {was}")).unwrap_or_default();
        let is = now.map_or_else(|| format!("no {word}"), |now| format!("{word} {now}"));
        (was != now).then(|| format!("{is}{before}"))
    };
    let lift = if now.lifted { "ground lift of its DI on" } else { "ground lift of its DI off" };
    let parts = [
        part("stand", was.stand.as_ref(), now.stand.as_ref()),
        part("place", was.place.as_ref(), now.place.as_ref()),
        (was.lifted != now.lifted).then(|| lift.to_string()),
    ];
    format!("{called}: {}", parts.into_iter().flatten().collect::<Vec<_>>().join("; "))
}

fn mark(device: &str, of: &str, was: Option<&Value>, now: Option<&Value>) -> String {
    let says = match of {
        "out_of_use" => {
            let lines = |lines: BTreeSet<u32>| {
                let word = if lines.len() == 1 { "line" } else { "lines" };
                format!("{word} {}", ranges(&lines))
            };
            let part =
                |these: BTreeSet<u32>, says: &str| (!these.is_empty()).then(|| format!("{} {says}", lines(these)));
            let (before, after) = (numbers(was), numbers(now));
            joined([part(&after - &before, "must stay free: mark it"), part(&before - &after, "may be used again")])
        }
        "lifted" => {
            let legs = |legs: BTreeSet<&str>| legs.into_iter().collect::<Vec<_>>().join(", ");
            let part =
                |these: BTreeSet<&str>, says: &str| (!these.is_empty()).then(|| format!("{says} of {}", legs(these)));
            let (before, after) = (words(was), words(now));
            let lift = part(&after - &before, "lift the audio ground, never a mains earth,");
            joined([lift, part(&before - &after, "connect the audio ground")])
        }
        "kept_for" => {
            let part = |these: BTreeSet<String>, says: &str| {
                (!these.is_empty()).then(|| format!("{} {says}", these.into_iter().collect::<Vec<_>>().join(", ")))
            };
            let (before, after) = (kept(was), kept(now));
            joined([part(&after - &before, "now: mark it"), part(&before - &after, "no longer")])
        }
        "runs_on" if now.and_then(Value::as_str) == Some(device) => "it is the clock of all".to_string(),
        "supply" => {
            let named = |side: Option<&Value>| side.map_or_else(|| "a supply that no row names".to_string(), plainly);
            format!("switch it off, then mains from {}, was {}", named(now), named(was))
        }
        "gain_by" => match (was.and_then(Value::as_str), now.and_then(Value::as_str)) {
            (Some(was), Some(now)) => format!("its gains are turned from {now} now, not from {was}"),
            (_, Some(now)) => format!("its gains are turned from {now}"),
            (was, None) => format!("no row says any more that {} turns its gains", was.unwrap_or("a desk")),
        },
        "rate_hz" => {
            let khz = |side: Option<&Value>| {
                side.and_then(Value::as_f64).map_or_else(|| "no rate".to_string(), |hz| format!("{} kHz", hz / 1000.0))
            };
            format!("rate {}, was {}", khz(now), khz(was))
        }
        of => {
            let was = was.map(|was| format!(", was {}", plainly(was))).unwrap_or_default();
            format!("{} {}{was}", said_of(of), now.map_or_else(|| "no longer said".to_string(), plainly))
        }
    };
    format!("{device}: {says}")
}

fn joined(parts: [Option<String>; 2]) -> String {
    parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// A key of the plan as people say it.
fn said_of(key: &str) -> String {
    match key {
        "runs_on" => "counts by the clock of".to_string(),
        key => key.replace('_', " "),
    }
}

fn plainly(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(is) => if *is { "yes" } else { "no" }.to_string(),
        Value::Array(list) => list.iter().map(plainly).collect::<Vec<_>>().join(", "),
        Value::Object(says) => says.values().map(plainly).collect::<Vec<_>>().join(" for "),
        other => other.to_string(),
    }
}

fn numbers(list: Option<&Value>) -> BTreeSet<u32> {
    let all = list.and_then(Value::as_array).into_iter().flatten();
    all.filter_map(|one| u32::try_from(one.as_u64()?).ok()).collect()
}

/// `line 9 is kept for intercom`
fn kept(list: Option<&Value>) -> BTreeSet<String> {
    let said = |one: &Value| Some(format!("line {} is kept for {}", one.get("line")?, one.get("for")?.as_str()?));
    list.and_then(Value::as_array).into_iter().flatten().filter_map(said).collect()
}

fn words(list: Option<&Value>) -> BTreeSet<&str> {
    list.and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str).collect()
}

/// `foh.portA to stage-left.up (60 m, aes50, screened)`
fn run(cable: &Cable) -> String {
    let word = |is: bool, word: &str| if is { word.to_string() } else { String::new() };
    let kinds = [word(cable.screened, "screened"), word(cable.locking, "locking")];
    let facts = [length(cable.length_m), cable_kind(cable)].into_iter().chain(kinds);
    let facts: Vec<String> = facts.filter(|fact| !fact.is_empty()).collect();
    format!("{} to {} ({})", cable.from, cable.to, facts.join(", "))
}
