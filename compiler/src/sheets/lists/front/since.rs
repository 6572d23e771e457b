//! What changed since an earlier plan, by meaning: sources, devices and mixes that came, went or moved, 48 V and gain.
//! Order and wording of the files are no change.

use super::super::super::sheet::{Look, Row, Table};
use super::super::whole::Whole;
use crate::plan::{Output, Plan, Plug, Setting, Source, point};
use std::collections::BTreeMap;

/// What is told of a thing, and how it stands.
type Facts = BTreeMap<(&'static str, String), Fact>;

struct Fact {
    /// How people call the thing.
    name: String,
    is: String,
    source: Option<String>,
}

pub(super) fn table(whole: &Whole, before: &Plan) -> Table {
    let columns = [("changed", Look::Key), ("what", Look::Key), ("now", Look::Key), ("was", Look::Plain)];
    let mut table = Table::new(columns).titled("Changed since the earlier plan");
    let (was, now) = (facts(before), facts(whole.plan));
    for (key, fact) in &now {
        match was.get(key) {
            None => row(&mut table, key.0, fact, &fact.is, "—"),
            Some(old) if old.is != fact.is => row(&mut table, key.0, fact, &fact.is, &old.is),
            Some(_) => {}
        }
    }
    for (key, fact) in was.iter().filter(|(key, _)| !now.contains_key(*key)) {
        row(&mut table, key.0, fact, "gone", &fact.is);
    }
    table
}

fn row(table: &mut Table, what: &str, fact: &Fact, now: &str, was: &str) {
    let cells = [what.into(), fact.name.clone().into(), now.into(), was.into()];
    table.push(Row::of(cells).about(fact.source.as_deref()));
}

fn facts(plan: &Plan) -> Facts {
    let mut facts = Facts::new();
    let labels: BTreeMap<&str, &str> = plan
        .sources
        .iter()
        .chain(plan.acts.iter().flat_map(|act| &act.sources))
        .map(|source| (source.source.as_str(), source.label.as_str()))
        .collect();
    let house = (None, &plan.devices, &plan.sources, &plan.plugs, &plan.settings, &plan.outputs, &plan.mixes);
    let acts = plan.acts.iter().map(|act| {
        let name = Some(act.act.as_str());
        (name, &act.devices, &act.sources, &act.plugs, &act.settings, &act.outputs, &act.mixes)
    });
    for (act, devices, sources, plugs, settings, outputs, mixes) in std::iter::once(house).chain(acts) {
        let mut add = |what: &'static str, thing: &str, is: String, source: Option<&str>| {
            let called = labels.get(thing).copied().unwrap_or(thing);
            let name = act.map_or_else(|| called.to_string(), |act| format!("{called}, in {act}"));
            let key = (what, act.map_or_else(|| thing.to_string(), |act| format!("{act} {thing}")));
            facts.insert(key, Fact { name, is, source: source.map(String::from) });
        };
        devices.iter().for_each(|device| add("gear", &device.name, device.model.clone(), None));
        let called = |source: &Source| add("name", &source.source, source.label.clone(), Some(&source.source));
        sources.iter().for_each(called);
        plugs_of(plugs, &mut add);
        settings.iter().for_each(|setting| setting_of(setting, &mut add));
        outputs.iter().for_each(|output| add("output", &output.to, of_output(output), None));
        mixes.iter().for_each(|mix| add("mix", &mix.mix, mix.of.join(", "), None));
    }
    facts
}

/// `foh.mix 1, wedge, Lead wedge`
fn of_output(output: &Output) -> String {
    let parts = [Some(&output.from), output.used_as.as_ref(), output.label.as_ref()];
    parts.into_iter().flatten().map(String::as_str).collect::<Vec<_>>().join(", ")
}

/// By source, with every socket that it is plugged into.
fn plugs_of(plugs: &[Plug], add: &mut impl FnMut(&'static str, &str, String, Option<&str>)) {
    let mut of: BTreeMap<&str, (Vec<String>, &Plug)> = BTreeMap::new();
    for plug in plugs {
        of.entry(&plug.source).or_insert_with(|| (Vec::new(), plug)).0.push(plug.at.clone());
    }
    for (source, (at, plug)) in of {
        add("plug", source, at.join(", "), Some(source));
        let words = [plug.mic.clone(), plug.polarity_inverted.then(|| "polarity inverted".to_string())];
        add("source", source, words.into_iter().flatten().collect::<Vec<_>>().join(", "), Some(source));
    }
}

/// 48 V, gain and pad, each socket by itself; how routes run is not told.
fn setting_of(setting: &Setting, add: &mut impl FnMut(&'static str, &str, String, Option<&str>)) {
    let what = match setting.set.as_str() {
        "phantom" => "48 V",
        "gain" => "gain",
        "pad" => "pad",
        _ => return,
    };
    let is = match setting.value.as_ref() {
        Some(serde_json::Value::Bool(on)) => if *on { "on" } else { "off" }.to_string(),
        Some(value) => value.as_f64().map_or_else(|| value.to_string(), |db| format!("{db} dB")),
        None => String::new(),
    };
    let first = setting.first.unwrap_or(1);
    for number in first..=setting.last.unwrap_or(first) {
        add(what, &point(&setting.device, &setting.bank, number), is.clone(), None);
    }
}
