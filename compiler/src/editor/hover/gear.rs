//! Facts of what sources are made with: kinds, microphones, carriers.

use super::{Part, line, table};
use crate::Compiled;
use crate::editor::ground::{place, scene};
use crate::editor::index::{Index, Symbol};
use crate::rig::{KindFact, Library, MicFact};
use crate::syntax::ast::PhantomPolicy;

fn library(compiled: &Compiled) -> Option<&Library> {
    scene(compiled, None).map(|scene| scene.rig.library.as_ref())
}

/// `Hand-held vocal, dynamic: mic level, works with 48 V and without, 2 mV/Pa, max 150 dB SPL`
pub(super) fn mic_line(mic: &MicFact) -> String {
    let facts = facts(&mic.kind);
    let mut said = if mic.label == mic.kind.name { facts } else { format!("{}, {facts}", mic.label) };
    let measured = [
        mic.sensitivity_mv_pa.map(|sensitivity| format!("{sensitivity} mV/Pa")),
        mic.current_ma.map(|current| format!("draws {current} mA")),
        mic.max_db_spl.map(|max| format!("max {max} dB SPL")),
    ];
    let note = mic.note.as_ref().map(|note| format!("\"{note}\""));
    measured.into_iter().flatten().chain(note).for_each(|fact| said.push_str(&format!(", {fact}")));
    said
}

/// `condenser: mic level, needs 48 V`
fn facts(kind: &KindFact) -> String {
    let phantom = match kind.phantom {
        PhantomPolicy::Needs => "needs 48 V",
        PhantomPolicy::Tolerates => "works with 48 V and without",
        PhantomPolicy::Never => "takes no 48 V",
    };
    let mut said = format!("{}: {} level, {phantom}", kind.name, kind.signal);
    if !kind.suits.is_empty() {
        let suits: Vec<&str> = kind.suits.iter().map(|pickup| pickup.word()).collect();
        said.push_str(&format!(", suits {} pickups", suits.join(", ")));
    }
    if kind.data {
        said.push_str(", in no mix");
    }
    if kind.talkback {
        said.push_str(", to no audience");
    }
    if kind.mains {
        said.push_str(", has a switch of its own");
    }
    said
}

pub(super) fn kind(compiled: &Compiled, name: &str) -> Option<(String, Vec<Part>)> {
    let library = library(compiled)?;
    let kind = library.mic(name)?.kind;
    let mut feeds: Vec<Vec<String>> = Vec::new();
    let mut signals: Vec<&str> = library.signals().collect();
    signals.sort_unstable();
    signals.dedup();
    for to in signals {
        let (verdict, why) = library.feed(&kind.signal, to);
        let verdict = match verdict {
            crate::syntax::ast::FeedVerdict::Fine => "fine",
            crate::syntax::ast::FeedVerdict::Warn => "with a warning",
            crate::syntax::ast::FeedVerdict::Error => continue,
        };
        feeds.push(vec![format!("into {to}"), verdict.to_string(), why.unwrap_or_default().to_string()]);
    }
    let parts = std::iter::once(line(facts(&kind))).chain(table("", feeds)).collect();
    Some((format!("kind {name}"), parts))
}

pub(super) fn mic(compiled: &Compiled, index: &Index, name: &str) -> Option<(String, Vec<Part>)> {
    let mic = library(compiled)?.mic(name)?;
    let mut parts = vec![line(mic_line(&mic))];
    let declared = index.declarations(&Symbol::Mic(name.to_string())).next();
    parts.extend(declared.map(|name| line(format!("declared in {}", place(compiled, name.span)))));
    let mut used: Vec<&str> = Vec::new();
    let with = |scene: &'_ crate::wants::Scene| {
        scene.sources.iter().filter(|source| source.mic_said.as_ref().is_some_and(|said| said.value == name)).count()
    };
    let most = compiled.scenes.iter().max_by_key(|scene| with(scene));
    for source in most.iter().flat_map(|scene| &scene.sources) {
        if source.mic_said.as_ref().is_some_and(|said| said.value == name) {
            used.push(&source.name);
        }
    }
    if !used.is_empty() {
        parts.push(line(format!("{} in use: {}", used.len(), used.join(", "))));
    }
    Some((format!("mic {name}"), parts))
}

pub(super) fn carrier(compiled: &Compiled, name: &str) -> Option<(String, Vec<Part>)> {
    let carrier = library(compiled)?.carrier(name)?;
    let slots = carrier
        .slots
        .iter()
        .map(|(rate, count)| vec![format!("{count} slots each way"), format!("at {} kHz", f64::from(*rate) / 1000.0)]);
    let facts = [
        carrier.length_m.map(|metres| format!("cable up to {metres} m")),
        carrier.screened.then(|| "screened cable".to_string()),
        carrier.locking.then(|| "locking connectors".to_string()),
        carrier.latency_ms.map(|latency| format!("{latency} ms a hop")),
    ];
    let facts: Vec<String> = facts.into_iter().flatten().collect();
    let mut parts: Vec<Part> = table("", slots.collect()).into_iter().collect();
    if !facts.is_empty() {
        parts.push(line(facts.join(", ")));
    }
    Some((format!("carrier {name}"), parts))
}
