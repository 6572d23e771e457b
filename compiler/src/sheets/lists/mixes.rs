//! What goes into each mix of a desk, and what must not: first what musicians hear by, then the rest. A mix of which
//! no row says what it carries is said to be so.

use super::super::known::Known;
use super::super::sheet::{Cell, Look, Part, Row, Sheet, Table};
use super::by_act::{held, parts};
use super::cautions;
use super::input::channels;
use super::reader::{MONITORS, is_monitor};
use super::reminders;
use super::whole::Whole;
use super::words::{at_the_end, headed, spoken};
use crate::plan::{Bank, Contents, Device, Mix, Output, Places, Points, Promise, point, range};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};

/// All that is said of one mix.
#[derive(Clone, Default)]
struct Heard<'p> {
    mix: Option<&'p Mix>,
    outputs: Vec<&'p Output>,
    promise: Option<&'p Promise>,
}

/// By bank and number.
type OfDesk<'p> = BTreeMap<(usize, u32), Heard<'p>>;

/// A sheet for each desk that makes a mix.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    let heard: Vec<FxHashMap<&str, OfDesk>> = whole.scenes().iter().map(all).collect();
    let of = |known: &Known| {
        let at = whole.scenes().iter().position(|scene| scene.act.map(|act| &act.act) == known.act.map(|act| &act.act));
        at.and_then(|at| heard.get(at))
    };
    let sheet = |known: &_, desk: &_| sheet(known, desk, of(known)?.get(desk.name.as_str())?);
    let desks = whole.gear().into_iter().filter(|gear| gear.device.role == "desk");
    desks.flat_map(|gear| held(&gear, |known| sheet(known, gear.device))).collect()
}

/// What a scene says of the mixes of each desk.
fn all<'p>(known: &Known<'p>) -> FxHashMap<&'p str, OfDesk<'p>> {
    let mut all: FxHashMap<&str, OfDesk> = FxHashMap::default();
    let mut of = |name: &'p str, tell: &mut dyn FnMut(&mut Heard<'p>)| {
        let Some(at) = Points::read(name) else { return };
        let Some(bank) = known.banks(at.device).iter().position(|bank| bank.bank == at.bank) else { return };
        tell(all.entry(at.device).or_default().entry((bank, at.first)).or_default());
    };
    for mix in &known.view.mixes {
        of(&mix.mix, &mut |heard| heard.mix = Some(mix));
    }
    for output in &known.view.outputs {
        of(&output.from, &mut |heard| heard.outputs.push(output));
    }
    for promise in &known.view.promised {
        of(&promise.mix, &mut |heard| heard.promise = Some(promise));
    }
    all
}

fn sheet(known: &Known, desk: &Device, heard: &OfDesk) -> Option<Sheet> {
    let mut monitors = table(&[("talkback from", Look::Plain), ("heard", Look::Tick)], "monitors");
    let mut others = table(&[("notes", Look::Room)], "other mixes");
    let inputs = Inputs::of(known, desk);
    let mut sides: BTreeSet<(usize, u32)> = BTreeSet::new();
    for (&(index, n), left) in heard {
        let Some(bank) = known.banks(&desk.name).get(index).filter(|_| !sides.contains(&(index, n))) else { continue };
        let next = (index, n.saturating_add(1));
        let right = heard.get(&next).filter(|right| is_pair(left, right));
        sides.extend(right.map(|_| next));
        let one = One { desk, bank, n, left, right };
        if one.is_monitor() { &mut monitors } else { &mut others }.push(one.row(&inputs));
    }
    let (title, check) = match monitors.rows.is_empty() {
        true => ("Mixes", None),
        false => ("Monitor mixes", Some(reminders::to_tick("Each mix", &[reminders::SPEAK_INTO_MIXES]))),
    };
    let parts: Vec<Part> = check.into_iter().chain(parts([monitors, others])).collect();
    (!parts.is_empty()).then(|| Sheet {
        slug: format!("mixes-{}", desk.name),
        title: format!("{title}: {}", headed(desk)),
        reader: MONITORS,
        cautions: vec![cautions::HEARING, cautions::PHANTOM_EARS],
        parts,
        ..Sheet::default()
    })
}

fn table(more: &[(&'static str, Look)], title: &str) -> Table {
    let columns = [
        ("mix", Look::Key),
        ("name", Look::Key),
        ("for", Look::Plain),
        ("who", Look::Plain),
        ("place", Look::Plain),
        ("carries", Look::Plain),
    ];
    Table::new(columns.into_iter().chain(more.iter().copied())).titled(title)
}

/// Two sides of one stereo mix that carry the same.
fn is_pair(left: &Heard, right: &Heard) -> bool {
    let stereo =
        |heard: &Heard| heard.mix.is_some_and(|mix| mix.stereo) || heard.outputs.iter().any(|output| output.stereo);
    let of = |heard: &Heard| heard.mix.map(|mix| mix.of.clone());
    let without = |heard: &Heard| heard.promise.map(|promise| promise.without.clone());
    stereo(left) && stereo(right) && of(left) == of(right) && without(left) == without(right)
}

/// A mix, or both sides of one.
struct One<'h, 'p> {
    desk: &'p Device,
    bank: &'p Bank,
    n: u32,
    left: &'h Heard<'p>,
    right: Option<&'h Heard<'p>>,
}

impl One<'_, '_> {
    fn outputs(&self) -> impl Iterator<Item = &Output> {
        let right = self.right.into_iter().flat_map(|right| &right.outputs);
        self.left.outputs.iter().chain(right).copied()
    }

    fn is_monitor(&self) -> bool {
        self.outputs().any(|output| is_monitor(output.used_as.as_deref()))
    }

    /// What its outputs say, each thing once.
    fn said(&self, of: impl Fn(&Output) -> Option<String>) -> Vec<String> {
        let mut said: Vec<String> = Vec::new();
        for text in self.outputs().filter_map(of) {
            if !text.is_empty() && !said.contains(&text) {
                said.push(text);
            }
        }
        said
    }

    fn row(&self, inputs: &Inputs) -> Row {
        let last = if self.right.is_some() { self.n.saturating_add(1) } else { self.n };
        let points: Vec<String> = (self.n..=last).map(|n| point(&self.desk.name, &self.bank.bank, n)).collect();
        let Heard { mix, promise, .. } = self.left;
        let mut used_as = self.said(|output| Some(at_the_end(output.used_as.as_deref())));
        used_as.extend(self.right.map(|_| "stereo".to_string()));
        let mut carries = vec![mix.map_or_else(|| "not said: ask".to_string(), |mix| inputs.contents(mix))];
        carries.extend(promise.map(|promise| format!("do not send {}", inputs.names(&promise.without))));
        let talk = mix.filter(|_| self.is_monitor()).map(|mix| inputs.talkback(mix)).unwrap_or_default();
        let cells = [
            format!("{} {}", self.bank.bank, range(self.n, last)),
            one_name(self.said(|output| output.label.clone())).join(", "),
            used_as.join(", "),
            self.said(|output| output.remarks.who.clone()).join(", "),
            self.said(|output| output.remarks.place.clone()).join(", "),
            carries.join("; "),
            talk,
        ];
        let source = points.first().cloned();
        Row::of(cells.map(Cell::from)).about(source.as_deref()).at(points)
    }
}

/// The inputs of one desk, to name what mixes carry.
struct Inputs<'k, 'p> {
    known: &'k Known<'p>,
    places: Places<'p>,
}

impl<'k, 'p> Inputs<'k, 'p> {
    fn of(known: &'k Known<'p>, desk: &'p Device) -> Self {
        let mut places = Places::new();
        let bank = channels(known, desk);
        for (bank, n) in bank.into_iter().flat_map(|bank| (1..=bank.size).map(move |n| (bank, n))) {
            if let Some((signal, _)) = known.asked(&point(&desk.name, &bank.bank, n)) {
                places.entry(&signal.source).or_insert((0, n));
            }
        }
        Inputs { known, places }
    }

    fn contents(&self, mix: &Mix) -> String {
        match Contents::of(mix, &self.places) {
            Contents::Nothing => "nothing".to_string(),
            Contents::These(of) => self.names(of),
            Contents::AllBut(none) if none.is_empty() => "every input".to_string(),
            Contents::AllBut(missing) => format!("every input but {}", self.names(missing)),
        }
    }

    /// Labels in the order of channels; of two sides the name that both have.
    fn names<'n, N: AsRef<str> + 'n>(&self, of: impl IntoIterator<Item = N>) -> String {
        let mut of: Vec<N> = of.into_iter().collect();
        let place = |name: &N| self.places.get(name.as_ref()).copied().unwrap_or((usize::MAX, 0));
        of.sort_by(|a, b| (place(a), a.as_ref()).cmp(&(place(b), b.as_ref())));
        one_name(of.iter().map(|name| self.known.label(name.as_ref())).collect()).join(", ")
    }

    /// Who can speak into a mix, and from which socket.
    fn talkback(&self, mix: &Mix) -> String {
        let speaks = |name: &&String| self.known.kind(name).is_some_and(|kind| kind.talkback);
        let from = |name: &String| {
            let at = self.known.plugs_of(name).first().map(|plug| format!(" ({})", spoken(self.known, &plug.at)));
            format!("{}{}", self.known.label(name), at.unwrap_or_default())
        };
        mix.of.iter().filter(speaks).map(from).collect::<Vec<_>>().join(", ")
    }
}

/// `Keys L`, `Keys R` beside each other are `Keys`.
fn one_name(labels: Vec<String>) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    let mut left: Option<String> = None;
    for label in labels {
        if let (Some(stem), Some(last)) = (left.take(), said.last_mut())
            && label.strip_suffix(" R") == Some(stem.as_str())
        {
            *last = stem;
            continue;
        }
        left = label.strip_suffix(" L").map(String::from);
        said.push(label);
    }
    said
}

#[cfg(test)]
mod tests {
    use super::one_name;

    #[test]
    fn two_sides_are_one_name() {
        let of = |labels: &[&str]| one_name(labels.iter().map(|label| label.to_string()).collect()).join(", ");
        assert_eq!(of(&["Kick", "Keys L", "Keys R", "Synth L", "Bass"]), "Kick, Keys, Synth L, Bass");
        assert_eq!(of(&["Keys L", "Synth R", "Keys R"]), "Keys L, Synth R, Keys R");
    }
}
