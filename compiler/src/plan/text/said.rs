//! What rows say for people of a device, a source or an output, in a few words beside it. Only what is said stands
//! there.

use crate::plan::data::Device;
use crate::plan::facts::{Output, Remarks, Source};

/// `stands DSL`, `supply Stage A`, `clock internal`
pub(super) fn of_device(device: &Device) -> Vec<String> {
    let mut said = Vec::new();
    let mut say = |before: &str, what: Option<&String>| said.extend(what.map(|what| format!("{before}{what}")));
    say("stands ", device.remarks.place.as_ref());
    say("supply ", device.supply.as_ref());
    let own = device.runs_on.as_ref().filter(|on| **on == device.name).map(|_| "its own".to_string());
    let from = device.runs_on.as_ref().map(|on| format!("from {on}"));
    say("clock ", device.clock.clone().or(own).or(from).as_ref());
    say("", device.rate_hz.map(|rate| format!("{} kHz", f64::from(rate) / 1000.0)).as_ref());
    say("", device.converts.then(|| "converts".to_string()).as_ref());
    say("backup of ", device.backup_of.as_ref());
    say("ground lifted: ", Some(device.lifted.join(", ")).filter(|legs| !legs.is_empty()).as_ref());
    say("gains by ", device.gain_by.as_ref());
    say("", device.space_bytes.map(|bytes| format!("{} GB free", bytes / 1e9)).as_ref());
    said.extend(people(&device.remarks, false));
    said
}

/// `spare for lead, ground lifted, DSL, the singer`
pub(super) fn of_source(source: &Source) -> String {
    let mut said = itself(source);
    said.extend(people(&source.remarks, true));
    said.join(", ")
}

/// `spare for lead`, `ground lifted`: what it is, without place, people and note.
pub(crate) fn itself(source: &Source) -> Vec<String> {
    let mut said = Vec::new();
    let of = source.spare_for.join(", ");
    match (source.spare, of.is_empty()) {
        (true, true) => said.push("spare".to_string()),
        (true, false) => said.push(format!("spare for {of}")),
        (false, _) => {}
    }
    said.extend(source.pickup.as_ref().map(|pickup| format!("{pickup} pickup")));
    said.extend(source.lifted.then(|| "ground lifted".to_string()));
    said.extend(source.level_db_spl.map(|level| format!("{level} dB SPL")));
    said
}

pub(super) fn of_output(output: &Output) -> String {
    people(&output.remarks, true).join(", ")
}

/// Place, who, and the note as it stands.
pub(super) fn people(remarks: &Remarks, place: bool) -> Vec<String> {
    let place = remarks.place.as_ref().filter(|_| place);
    [place, remarks.who.as_ref(), remarks.note.as_ref()].into_iter().flatten().cloned().collect()
}
