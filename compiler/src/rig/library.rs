//! Carriers, kinds of microphone and what may feed what, as std and the files declare them.

use crate::diagnostics::{Diagnostic, Sort};
use crate::project::{Library as Declared, nearest};
use crate::syntax::ast::{CarrierItem, FeedVerdict, PhantomPolicy, Pickup};
use std::collections::{BTreeMap, BTreeSet};

/// How signals travel between ports.
#[derive(Clone, Debug, Default)]
pub struct Carrier {
    pub name: String,
    /// Rate in Hz and channels each way, ascending.
    pub slots: Vec<(u32, u32)>,
    pub length_m: Option<f64>,
    pub screened: bool,
    pub locking: bool,
    pub latency_ms: Option<f64>,
}

/// What a kind of microphone or line is.
#[derive(Clone, Debug)]
pub struct KindFact {
    pub name: String,
    pub signal: String,
    pub phantom: PhantomPolicy,
    /// Of a DI: what it is made for. Empty where nobody said.
    pub suits: Vec<Pickup>,
    /// Time code and the like, which nobody may hear.
    pub data: bool,
    /// Speech to the crew and the stage.
    pub talkback: bool,
    /// What gives it has a switch of its own.
    pub mains: bool,
}

/// A microphone that a user declared, or a bare kind.
#[derive(Clone, Debug)]
pub struct MicFact {
    pub kind: KindFact,
    pub label: String,
    pub sensitivity_mv_pa: Option<f64>,
    pub current_ma: Option<f64>,
    pub max_db_spl: Option<f64>,
    pub note: Option<String>,
    /// The name of a declared one; none of a bare kind.
    pub name: Option<String>,
}

impl MicFact {
    /// One of which no more is known than its kind.
    fn bare(kind: KindFact, label: &str) -> MicFact {
        let label = label.to_string();
        MicFact { kind, label, sensitivity_mv_pa: None, current_ma: None, max_db_spl: None, note: None, name: None }
    }
}

#[derive(Clone, Debug, Default)]
pub struct Library {
    carriers: BTreeMap<String, Carrier>,
    kinds: BTreeMap<String, KindFact>,
    mics: BTreeMap<String, MicFact>,
    feeds: BTreeMap<(String, String), (FeedVerdict, Option<String>)>,
}

impl Library {
    pub fn of(declared: &Declared, broken: &BTreeSet<String>, found: &mut Vec<Diagnostic>) -> Self {
        let mut library = Library::default();
        for carrier in &declared.carriers {
            library.add_carrier(carrier);
        }
        for kind in &declared.kinds {
            let fact = KindFact {
                name: kind.name.value.clone(),
                signal: kind.signal.as_ref().map_or_else(|| "mic".to_string(), |signal| signal.value.clone()),
                phantom: kind.phantom.as_ref().map_or(PhantomPolicy::Tolerates, |policy| policy.value),
                suits: kind.suits.iter().map(|pickup| pickup.value).collect(),
                data: kind.data,
                talkback: kind.talkback,
                mains: kind.mains,
            };
            library.kinds.insert(kind.name.value.clone(), fact);
        }
        for feed in &declared.feeds {
            let why = feed.why.as_ref().map(|why| why.value.clone());
            library.feeds.insert((feed.from.value.clone(), feed.to.value.clone()), (feed.verdict.value, why));
        }
        for signal in declared.kinds.iter().filter_map(|kind| kind.signal.as_ref()) {
            if !library.knows_signal(&signal.value) {
                let near = nearest(&signal.value, library.signals());
                found.push(super::model_items::unknown(Sort::Signal, "kind of signal", signal, near));
            }
        }
        for mic in &declared.mics {
            library.add_mic(mic, broken, found);
        }
        library
    }

    fn add_carrier(&mut self, declared: &crate::syntax::ast::Carrier) {
        let mut carrier = Carrier { name: declared.name.value.clone(), ..Carrier::default() };
        for item in &declared.items {
            match &item.value {
                CarrierItem::Slots { count, rate } => {
                    if let Some(rate) = super::model_items::hertz(rate.value) {
                        carrier.slots.push((rate, count.value.min(super::model_items::LARGEST_BANK)));
                    }
                }
                CarrierItem::Length(length) => carrier.length_m = length.value.metres(),
                CarrierItem::Screened => carrier.screened = true,
                CarrierItem::Locking => carrier.locking = true,
                CarrierItem::Latency(time) => carrier.latency_ms = time.value.milliseconds(),
            }
        }
        carrier.slots.sort_unstable();
        self.carriers.insert(carrier.name.clone(), carrier);
    }

    /// A microphone of which nothing is known but its name: rows that use it say nothing wrong.
    fn unsaid(&mut self, name: &str) {
        let kind = KindFact {
            name: "unsaid".to_string(),
            signal: "mic".to_string(),
            phantom: PhantomPolicy::Tolerates,
            suits: Vec::new(),
            data: false,
            talkback: false,
            mains: false,
        };
        self.mics.insert(name.to_string(), MicFact::bare(kind, name));
    }

    fn add_mic(&mut self, mic: &crate::syntax::ast::Mic, broken: &BTreeSet<String>, found: &mut Vec<Diagnostic>) {
        let Some(kind_name) = &mic.kind else {
            // A row that could not be read may have said it.
            if !broken.contains("kind") {
                let message = format!("microphone `{}` does not say its kind", mic.name.value);
                found.push(
                    Diagnostic::error("mic-without-kind", mic.name.span, message)
                        .help("add `kind dynamic`, or the kind that it is"),
                );
            }
            self.unsaid(&mic.name.value);
            return;
        };
        let Some(kind) = self.kinds.get(&kind_name.value).cloned() else {
            let near = nearest(&kind_name.value, self.kinds.keys().map(String::as_str));
            found.push(super::model_items::unknown(Sort::Mic, "kind of microphone", kind_name, near));
            self.unsaid(&mic.name.value);
            return;
        };
        let fact = MicFact {
            kind,
            label: mic.label.as_ref().map_or_else(|| mic.name.value.clone(), |label| label.value.clone()),
            sensitivity_mv_pa: mic.sensitivity.as_ref().map(|s| s.value.number),
            current_ma: mic.current.as_ref().and_then(|c| c.value.milliamperes()),
            max_db_spl: mic.max.as_ref().map(|m| m.value.number),
            note: mic.note.as_ref().map(|note| note.value.clone()),
            name: Some(mic.name.value.clone()),
        };
        self.mics.insert(mic.name.value.clone(), fact);
    }

    pub fn carrier(&self, name: &str) -> Option<&Carrier> {
        self.carriers.get(name)
    }

    pub fn carriers(&self) -> impl Iterator<Item = &str> {
        self.carriers.keys().map(String::as_str)
    }

    /// A declared microphone or a plain kind, as the third word of an input row.
    pub fn mic(&self, name: &str) -> Option<MicFact> {
        self.mics.get(name).cloned().or_else(|| {
            let kind = self.kinds.get(name)?.clone();
            Some(MicFact::bare(kind, name))
        })
    }

    /// The kinds that say that they suit a pickup.
    pub fn kinds_suiting(&self, pickup: Pickup) -> impl Iterator<Item = &str> {
        self.kinds.values().filter(move |kind| kind.suits.contains(&pickup)).map(|kind| kind.name.as_str())
    }

    pub fn mic_names(&self) -> impl Iterator<Item = &str> {
        self.mics.keys().chain(self.kinds.keys()).map(String::as_str)
    }

    /// May this kind of signal feed that one, and what is to be said about it?
    pub fn feed(&self, from: &str, to: &str) -> (FeedVerdict, Option<&str>) {
        match self.feeds.get(&(from.to_string(), to.to_string())) {
            Some((verdict, why)) => (*verdict, why.as_deref()),
            None => (FeedVerdict::Error, None),
        }
    }

    pub fn signals(&self) -> impl Iterator<Item = &str> {
        self.feeds.keys().flat_map(|(from, to)| [from.as_str(), to.as_str()])
    }

    pub fn knows_signal(&self, name: &str) -> bool {
        self.signals().any(|signal| signal == name)
    }
}
