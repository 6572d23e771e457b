//! A trace for a person: the way of the signal, a hop a line, with the setting behind it.

use super::{Hop, InActs, Trace, Way};
use crate::plan::table::{Table, clean};

pub(super) fn text(trace: &Trace) -> String {
    let mut out = String::new();
    let lives = trace.traced.iter().any(|in_acts| !in_acts.is_dead());
    for in_acts in &trace.traced {
        let acts = acts(in_acts);
        if lives && in_acts.is_dead() && in_acts.ways.iter().all(|way| way.hops.is_empty()) {
            print_dead(&mut out, &acts, in_acts);
            continue;
        }
        if !acts.is_empty() {
            out.push_str(&format!("{acts}\n"));
        }
        for way in &in_acts.ways {
            print_way(&mut out, way);
        }
    }
    out
}

/// `acts heron, gantry`; nothing where it holds in every act.
pub(crate) fn acts(in_acts: &InActs) -> String {
    match in_acts.acts.as_slice() {
        [] => String::new(),
        [one] => format!("act {}", clean(one)),
        several => format!("acts {}", clean(&several.join(", "))),
    }
}

/// Acts in which what others have is not there: a line for each reason.
fn print_dead(out: &mut String, acts: &str, in_acts: &InActs) {
    let mut whys: Vec<&str> = in_acts.ways.iter().filter_map(|way| way.dead_end.as_deref()).collect();
    whys.dedup();
    for why in whys {
        out.push_str(&format!("{acts}: {}\n", clean(why)));
    }
}

fn print_way(out: &mut String, way: &Way) {
    out.push_str(&format!("{}\n", title(way)));
    list(out, "carries", &way.carries);
    rows(way).print(out, 0);
    list(out, "goes into", &way.mixed_into);
    if let Some(why) = &way.dead_end {
        out.push_str(&format!("  dead end: {}\n", clean(why)));
    }
}

/// `stage.in 3: kick, "Kick"`
pub(crate) fn title(way: &Way) -> String {
    let mut title = way.of.clone();
    if let Some(source) = way.source.as_ref().filter(|source| **source != way.of) {
        title.push_str(&format!(": {source}"));
    }
    if let Some(label) = way.label.as_ref().filter(|label| **label != way.of) {
        title.push_str(&format!(", \"{label}\""));
    }
    clean(&title)
}

/// A hop a row: the point, the same at the cable's other end, the setting behind it, and whether it ends here.
pub(crate) fn rows(way: &Way) -> Table {
    let mut table = Table::default();
    for hop in &way.hops {
        let mark = if hop.here { "> " } else { "  " };
        let point = format!("{mark}{}{}", "  ".repeat(hop.depth), hop.point);
        let also = hop.also.as_ref().map(|also| format!("= {also}")).unwrap_or_default();
        table.row([point, also, hop.by.clone().unwrap_or_default(), ending(hop).to_string()]);
    }
    table
}

fn ending(hop: &Hop) -> &'static str {
    match (hop.end, hop.asked) {
        (false, _) => "",
        (true, true) => "asked for",
        (true, false) => "comes along",
    }
}

fn list(out: &mut String, title: &str, names: &[String]) {
    if !names.is_empty() {
        out.push_str(&format!("  {title} {}\n", clean(&names.join(", "))));
    }
}
