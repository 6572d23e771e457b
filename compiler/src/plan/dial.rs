//! What a device is dialled to, run by run and in the words of who dials it.

use super::data::Setting;
use super::point::{Points, range};

/// Routes that are dialled in one go: a block, or points one by one where both sides count on by one.
pub(crate) struct Run<'p> {
    pub bank: &'p str,
    pub first: u32,
    pub last: u32,
    /// With the device before it: `foh.portA 1-8`.
    pub from: String,
    /// The settings that it stands for, in order.
    pub of: Vec<&'p Setting>,
}

/// The routes, a block each; point routes joined where both sides count on by one.
pub(crate) fn runs<'p>(settings: &[&'p Setting]) -> Vec<Run<'p>> {
    let mut runs: Vec<(Run, Option<Points>)> = Vec::new();
    for setting in settings.iter().copied().filter(|s| s.set == "route") {
        let Some(from) = setting.from.as_deref() else { continue };
        let first = setting.first.unwrap_or(1);
        let last = setting.last.unwrap_or(first);
        let single = Points::read(from).filter(|from| first == last && from.first == from.last);
        if let (Some(single), Some((run, Some(before)))) = (single, runs.last_mut()) {
            let follows = run.bank == setting.bank && run.last.checked_add(1) == Some(first);
            let same = (before.device, before.bank) == (single.device, single.bank);
            if follows && same && before.last.checked_add(1) == Some(single.first) {
                run.last = first;
                run.of.push(setting);
                before.last = single.first;
                run.from = format!("{}.{} {}", before.device, before.bank, range(before.first, before.last));
                continue;
            }
        }
        runs.push((Run { bank: &setting.bank, first, last, from: from.to_string(), of: vec![setting] }, single));
    }
    runs.into_iter().map(|(run, _)| run).collect()
}

/// `48 V on`, `gain 32 dB`, `pad off`.
pub(crate) fn preamp(setting: &Setting) -> String {
    let on = if setting.value.as_ref().and_then(|v| v.as_bool()).unwrap_or(false) { "on" } else { "off" };
    match setting.set.as_str() {
        "phantom" => format!("48 V {on}"),
        "pad" => format!("pad {on}"),
        other => format!("{other} {} dB", plain(setting.value.as_ref())),
    }
}

/// A value as it is dialled: a whole number without its `.0`, a word without quotes.
pub(crate) fn plain(value: Option<&serde_json::Value>) -> String {
    match value {
        None => String::new(),
        Some(serde_json::Value::String(word)) => word.clone(),
        Some(value) => value.as_f64().map_or_else(|| value.to_string(), |number| number.to_string()),
    }
}
