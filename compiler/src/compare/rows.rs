//! What changed, as people read it: a line for what is one thing to them. A stereo pair is told once, and so is a source
//! that comes into many mixes. The data stays by thing; every form writes these rows, and none makes its own.

use super::called::word;
use super::data::{Change, Comparison, Risk, Verb};
use super::facts::OFF;
use crate::plan::{Origin, Points, range};
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;
use std::hash::Hash;

/// One line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Row {
    /// What became of it: `moved`, or which of its words: `note`.
    pub verb: String,
    pub what: String,
    pub was: String,
    /// Between the two: an arrow, or nothing.
    pub sign: &'static str,
    pub now: String,
    /// As people call them.
    pub acts: Vec<String>,
    pub who: Vec<String>,
    pub origins: Vec<Origin>,
    /// Whose path lights.
    pub source: Option<String>,
}

impl Comparison {
    /// `, in Kestrel Trio, Heron`
    pub(crate) fn in_acts(&self, acts: &[String]) -> String {
        if acts.is_empty() { String::new() } else { format!(", in {}", self.acts(acts).join(", ")) }
    }

    fn acts(&self, acts: &[String]) -> Vec<String> {
        acts.iter().map(|act| word(&self.called.acts, act).to_string()).collect()
    }

    /// What became of things, in the order of the changes; what is sent stands where the first of it does.
    pub(crate) fn rows(&self) -> Vec<Row> {
        let mut rows = Joined::default();
        let sends: Vec<&Change> = self.changes.iter().filter(|change| change.verb == Verb::Sent).collect();
        for change in &self.changes {
            match sends.first() {
                Some(first) if std::ptr::eq(*first, change) => {
                    self.sent(&sends).into_iter().for_each(|row| rows.add(row))
                }
                _ if change.verb == Verb::Sent => {}
                _ => rows.add(self.row(change)),
            }
        }
        rows.rows
    }

    /// What can go wrong: which kind, with what, in words.
    pub(crate) fn risk_rows(&self) -> Vec<Row> {
        let row = |risk: &Risk| Row {
            verb: risk.risk.word().into(),
            what: risk.called.clone(),
            now: risk.says.clone(),
            acts: self.acts(&risk.acts),
            ..Row::default()
        };
        let mut rows = Joined::default();
        self.risks.iter().for_each(|risk| rows.add(row(risk)));
        rows.rows
    }

    fn row(&self, change: &Change) -> Row {
        let (was, now) = self.sides(change);
        let sign = match change.verb {
            Verb::Swapped => "<->",
            Verb::Added | Verb::Gone => "",
            _ if was.is_empty() => "",
            _ => "->",
        };
        Row {
            verb: verb(change.verb, &change.of).to_string(),
            what: self.what(change),
            was,
            sign,
            now,
            acts: self.acts(&change.acts),
            who: change.who.clone(),
            origins: change.origins.clone(),
            source: change.thing.strip_prefix("source ").filter(|_| change.verb != Verb::Gone).map(String::from),
        }
    }

    /// Which thing, as people call it, and what of it.
    fn what(&self, change: &Change) -> String {
        let (kind, name) = change.thing.split_once(' ').unwrap_or((&change.thing, ""));
        match kind {
            "device" if change.verb.is_dialled() || change.verb == Verb::Owner => format!("{name}.{}", change.of),
            _ if change.verb == Verb::Preamps => format!("{}: {}", change.called, change.of),
            "model" => of_kind("model", word(&self.called.models, name)),
            "mic" => of_kind("microphone", word(&self.called.mics, name)),
            _ => of_kind(kind, if kind == "cable" || kind == "spare" { name } else { &change.called }),
        }
    }

    /// As it was, and as it is; where all that can be said is that they differ, that.
    fn sides(&self, change: &Change) -> (String, String) {
        let said = |is: &Option<String>| is.as_deref().map(|is| self.value(change, is));
        let (was, now) = (said(&change.was), said(&change.now));
        if matches!(change.verb, Verb::Added | Verb::Gone) {
            return (was.unwrap_or_default(), now.unwrap_or_default());
        }
        if was.is_none() && now.is_none() {
            return (String::new(), "is otherwise".into());
        }
        let absent = absent(change, was.as_deref().or(now.as_deref()));
        (was.unwrap_or_else(|| absent.into()), now.unwrap_or_else(|| absent.into()))
    }

    /// A value in people's words, where it is a name in the files.
    fn value(&self, change: &Change, is: &str) -> String {
        let words = match change.verb {
            Verb::Exchanged => &self.called.models,
            Verb::Mic => &self.called.mics,
            Verb::Repatched | Verb::Added | Verb::Gone if change.thing.starts_with("feed ") => &self.called.sources,
            Verb::Said if change.thing.starts_with("mix ") => &self.called.sources,
            Verb::Polarity => return if is == OFF { "normal" } else { "inverted" }.into(),
            _ => return is.to_string(),
        };
        together(is.split(", ").map(|name| word(words, name).to_string()))
    }

    /// What mixes carry besides and no longer, source by source.
    fn sent(&self, changes: &[&Change]) -> Vec<Row> {
        // Where something comes or goes, with the changes that say so; then in one line what is alike.
        let of_mix = gathered(changes.iter().flat_map(|change| {
            let (out, add) = sent(change.was.as_deref(), change.now.as_deref());
            let of = |now| move |source| ((now, source, &change.called, &change.thing, &change.who), *change);
            out.into_iter().map(of(false)).chain(add.into_iter().map(of(true)))
        }));
        let of_source = gathered(of_mix.into_iter().map(|((now, source, called, thing, who), said)| {
            let acts: Vec<&[String]> = said.iter().map(|change| change.acts.as_slice()).collect();
            ((now, source, who, self.in_any(&acts)), (called, thing, said))
        }));
        let alike = gathered(of_source.into_iter().map(|((now, source, who, acts), mixes)| {
            let names = together(mixes.iter().map(|(called, ..)| (*called).clone()));
            let things: Vec<&String> = mixes.iter().map(|(_, thing, _)| *thing).collect();
            let said: Vec<&Change> = mixes.into_iter().flat_map(|(.., said)| said).collect();
            ((now, who, acts, names, things), (source, said))
        }));
        let row = |((now, who, acts, names, _), of): ((bool, _, _, _, _), Vec<(&str, Vec<&Change>)>)| {
            let sources = of.iter().map(|(source, _)| word(&self.called.sources, source).to_string());
            let said = of.iter().flat_map(|(_, said)| said);
            let origins: BTreeSet<&Origin> = said.flat_map(|change| &change.origins).collect();
            Row {
                verb: Verb::Sent.word().into(),
                what: together(sources),
                now: format!("{} {names}", if now { "now also in" } else { "no longer in" }),
                acts,
                who: Vec::clone(who),
                origins: origins.into_iter().cloned().collect(),
                ..Row::default()
            }
        };
        alike.into_iter().map(row).collect()
    }

    /// In the order of the day; none where it is in every act.
    fn in_any(&self, lists: &[&[String]]) -> Vec<String> {
        let everywhere = lists.iter().any(|acts| acts.is_empty());
        let of = |act: &&String| lists.iter().any(|acts| acts.contains(act));
        let acts: Vec<String> = self.called.order.iter().filter(of).cloned().collect();
        if everywhere || acts.len() == self.called.order.len() { Vec::new() } else { self.acts(&acts) }
    }
}

/// What belongs to each key, in the order in which they come.
fn gathered<K: Clone + Eq + Hash, V>(all: impl Iterator<Item = (K, V)>) -> Vec<(K, Vec<V>)> {
    let mut found: Vec<(K, Vec<V>)> = Vec::new();
    let mut places: FxHashMap<K, usize> = FxHashMap::default();
    for (key, value) in all {
        let at = *places.entry(key.clone()).or_insert(found.len());
        match found.get_mut(at) {
            Some((_, values)) => values.push(value),
            None => found.push((key, vec![value])),
        }
    }
    found
}

/// In what something differs, in a word.
pub(super) fn verb(verb: Verb, of: &str) -> &str {
    match verb {
        Verb::Said | Verb::Cable if !of.is_empty() => of,
        Verb::Mic if of == "kind" => of,
        _ => verb.word(),
    }
}

/// A thing by its kind, as it is said: `cable at stage-left.up`, `Kick In`.
pub(super) fn of_kind(kind: &str, called: &str) -> String {
    match kind {
        "source" | "device" | "mix" | "show" | "chain" => called.to_string(),
        "cable" => match called.rsplit_once(", ") {
            Some((at, used_as)) => format!("{used_as} cable at {at}"),
            None => format!("cable at {called}"),
        },
        "recording" => format!("recording on {called}"),
        // `spare cable 1` is a kind of two words.
        _ => format!("{kind} {called}"),
    }
}

/// How it is said that there is none.
fn absent(change: &Change, other: Option<&str>) -> &'static str {
    match change.verb {
        Verb::Moved if change.thing.starts_with("source ") => "not plugged",
        Verb::Repatched => "no channel",
        Verb::Said if other == Some("yes") => "no",
        Verb::Said | Verb::Labelled => "none",
        _ => "not said",
    }
}

/// What a mix no longer carries, and what it carries besides.
pub(super) fn sent<'s>(was: Option<&'s str>, now: Option<&'s str>) -> (Vec<&'s str>, Vec<&'s str>) {
    fn names(side: Option<&str>) -> BTreeSet<&str> {
        side.into_iter().flat_map(|of| of.split(", ")).filter(|name| !name.is_empty()).collect()
    }
    let (was, now) = (names(was), names(now));
    (was.difference(&now).copied().collect(), now.difference(&was).copied().collect())
}

/// Rows so far; one that says of the other half of a pair what an earlier one says is joined to it.
#[derive(Default)]
struct Joined {
    rows: Vec<Row>,
    /// Where the last row of a kind stands.
    last: FxHashMap<(String, Vec<String>, Vec<String>), usize>,
}

impl Joined {
    fn add(&mut self, row: Row) {
        let kind = (row.verb.clone(), row.who.clone(), row.acts.clone());
        let last = self.last.get(&kind).and_then(|at| self.rows.get_mut(*at));
        if last.is_none_or(|last| !last.takes(&row)) {
            self.last.insert(kind, self.rows.len());
            self.rows.push(row);
        }
    }
}

impl Row {
    fn takes(&mut self, other: &Row) -> bool {
        if self.sign != other.sign || self.what == other.what {
            return false;
        }
        let cells = |row: &Row| [&row.what, &row.was, &row.now].map(String::clone);
        let Some(both) = pairs(&cells(self), &cells(other)) else { return false };
        for (cell, both) in [&mut self.what, &mut self.was, &mut self.now].into_iter().zip(both) {
            *cell = both;
        }
        let new: Vec<Origin> = other.origins.iter().filter(|origin| !self.origins.contains(origin)).cloned().collect();
        self.origins.extend(new);
        true
    }
}

/// Names in a list, in which pairs are told as one.
pub(super) fn together(names: impl Iterator<Item = String>) -> String {
    let mut out: Vec<String> = Vec::new();
    for name in names {
        let last = out.last_mut();
        match last.and_then(|last| Some((pair(last, &name).or_else(|| pair(&name, last))?, last))) {
            Some((both, last)) => *last = both,
            None => out.push(name),
        }
    }
    out.join(", ")
}

/// What two halves of a pair say as what both say, whichever of them is told first.
pub(super) fn pairs<S: AsRef<str>>(ones: &[S], others: &[S]) -> Option<Vec<String>> {
    let all = |first: &[S], second: &[S]| -> Option<Vec<String>> {
        first.iter().zip(second).map(|(one, other)| pair(one.as_ref(), other.as_ref())).collect()
    };
    all(ones, others).or_else(|| all(others, ones))
}

/// Two of a pair in one: what is the same, neighbours of one bank, left and right, or a list of those.
fn pair(one: &str, other: &str) -> Option<String> {
    if one == other {
        return Some(one.to_string());
    }
    if one.contains(", ") {
        let (ones, others): (Vec<&str>, Vec<&str>) = (one.split(", ").collect(), other.split(", ").collect());
        let pairs: Option<Vec<String>> = ones.iter().zip(&others).map(|(one, other)| pair(one, other)).collect();
        return pairs.filter(|_| ones.len() == others.len()).map(|pairs| pairs.join(", "));
    }
    if let (Some(first), Some(second)) = (Points::read(one), Points::read(other)) {
        let next = (first.device, first.bank) == (second.device, second.bank)
            && first.last.checked_add(1) == Some(second.first);
        return next.then(|| format!("{}.{} {}", first.device, first.bank, range(first.first, second.last)));
    }
    [(" L", " R"), (" left", " right")].into_iter().find_map(|(left, right)| {
        let stem = one.strip_suffix(left)?;
        (other.strip_suffix(right)? == stem).then(|| format!("{stem}{left} and{right}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_is_one_whichever_half_comes_first() {
        let told = |names: &[&str]| together(names.iter().map(|name| (*name).to_string()));
        assert_eq!(told(&["Ears R", "Ears L", "Wedge"]), "Ears L and R, Wedge");
        assert_eq!(told(&["foh.mix 10", "foh.mix 9", "foh.mix 3"]), "foh.mix 9-10, foh.mix 3");
        let both = pairs(&["Ears R", "a.out 2"], &["Ears L", "a.out 1"]);
        assert_eq!(both, Some(["Ears L and R", "a.out 1-2"].map(String::from).to_vec()));
        assert_eq!(pairs(&["Ears R", "a.out 1"], &["Ears L", "a.out 2"]), None);
    }

    #[test]
    fn a_pair_is_told_as_one() {
        assert_eq!(pair("Keys L", "Keys R").as_deref(), Some("Keys L and R"));
        assert_eq!(pair("foh.mix 1", "foh.mix 2").as_deref(), Some("foh.mix 1-2"));
        assert_eq!(pair("foh.mix 1-2", "foh.mix 3").as_deref(), Some("foh.mix 1-3"));
        assert_eq!(pair("a.in 1, b.in 5", "a.in 2, b.in 6").as_deref(), Some("a.in 1-2, b.in 5-6"));
        for (one, other) in
            [("Keys R", "Keys L"), ("foh.mix 1", "foh.mix 3"), ("a.in 1", "b.in 2"), ("a, b", "a"), ("-> L", "- R")]
        {
            assert_eq!(pair(one, other), None, "{one}, {other}");
        }
    }
}
