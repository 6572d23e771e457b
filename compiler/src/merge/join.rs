//! Three versions of a text's things to one, thing by thing and part by part. Where both sides said something
//! else, nothing is chosen: the piece keeps all three.

use super::names::{MEMBERS, NAME};
use super::units::{Block, COMMENT, Form, LINE_END, Part, Unit, Words};
use super::weave::{Sign, Strand, weave};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// A stretch of the result, and what stands for it in each version: nothing where it is not there.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Piece {
    /// `None` where the sides are at odds.
    pub merged: Option<String>,
    pub base: String,
    pub ours: String,
    pub theirs: String,
    /// Where it was put together from parts, what these say.
    pub(super) says: Vec<String>,
}

impl Piece {
    /// Whether a side changed it.
    pub fn is_changed(&self) -> bool {
        self.ours != self.base || self.theirs != self.base
    }
}

/// What a three-way choice is, where there is one.
pub(super) fn pick<T: PartialEq>(base: T, ours: T, theirs: T) -> Option<T> {
    if ours == theirs || theirs == base {
        Some(ours)
    } else if ours == base {
        Some(theirs)
    } else {
        None
    }
}

/// The units of one level in each version.
pub(super) fn level(base: &[Unit<'_>], ours: &[Unit<'_>], theirs: &[Unit<'_>], out: &mut Vec<Piece>) {
    let [of_base, of_ours, of_theirs] = signs([base, ours, theirs]);
    let strands = weave(&of_base, &of_ours, &of_theirs);
    let rivals = rivals(&strands, base, ours, theirs);
    for (strand, rival) in strands.into_iter().zip(rivals) {
        let at = |units: &'_ [Unit<'_>], at: Option<usize>| at.filter(|at| *at < units.len());
        let of = Three {
            base: at(base, strand.base).and_then(|at| base.get(at)),
            ours: at(ours, strand.ours).and_then(|at| ours.get(at)),
            theirs: at(theirs, strand.theirs).and_then(|at| theirs.get(at)),
        };
        if rival { out.push(of.piece(None)) } else { of.join(out) }
    }
}

/// Each unit's name where one name alone means it in every version; else its words.
fn signs(levels: [&[Unit<'_>]; 3]) -> [Vec<Sign>; 3] {
    let shared: HashSet<&str> = levels.iter().flat_map(|units| said_twice(units)).collect();
    let mut signs = levels.map(|units| units.iter().map(|unit| sign(unit, &shared)).collect::<Vec<_>>());
    let [base, ours, theirs] = levels;
    let [of_base, of_ours, of_theirs] = &mut signs;
    renamed(base, of_base, ours, of_ours);
    renamed(base, of_base, theirs, of_theirs);
    signs
}

fn said_twice<'u>(units: &'u [Unit<'_>]) -> HashSet<&'u str> {
    let mut seen = HashSet::new();
    let names = units.iter().flat_map(|unit| unit.names.iter().map(String::as_str));
    names.filter(|name| !seen.insert(*name)).collect()
}

fn sign(unit: &Unit<'_>, shared: &HashSet<&str>) -> Sign {
    let own = unit.names.iter().find(|name| !shared.contains(name.as_str()));
    // No name of a thing begins so.
    let words = || format!("\0{}", unit.says().join("\0"));
    Sign { name: own.cloned().unwrap_or_else(words), unique: own.is_some(), rank: unit.rank }
}

/// A row that says all that one of the base said, but for its name, is that one.
fn renamed(base: &[Unit<'_>], of_base: &[Sign], side: &[Unit<'_>], of_side: &mut [Sign]) {
    let names = |signs: &[Sign]| signs.iter().map(|sign| sign.name.clone()).collect::<HashSet<_>>();
    let (before, after) = (names(of_base), names(of_side));
    let mut gone: HashMap<Vec<(&str, Cow<'_, str>)>, Option<&str>> = HashMap::new();
    for (unit, sign) in base.iter().zip(of_base) {
        if let Some(but) = but_its_name(unit).filter(|_| sign.unique && !after.contains(&sign.name)) {
            let twice = gone.contains_key(&but);
            gone.insert(but, (!twice).then_some(sign.name.as_str()));
        }
    }
    for (unit, sign) in side.iter().zip(of_side) {
        let new = sign.unique && !before.contains(&sign.name);
        if let Some(name) = but_its_name(unit).filter(|_| new).and_then(|but| gone.get_mut(&but)?.take()) {
            sign.name = name.to_string();
        }
    }
}

/// All that a row says but its name, and of a block who stands in it: `None` where that is too little to know
/// it by.
fn but_its_name<'u>(unit: &'u Unit<'_>) -> Option<Vec<(&'u str, Cow<'u, str>)>> {
    let rest: Vec<_> = match &unit.form {
        Form::Row(words) if words.parts.iter().any(|part| part.key == NAME) => {
            let rest = words.parts.iter().filter(|part| ![NAME, COMMENT, LINE_END].contains(&part.key.as_str()));
            rest.map(|part| (part.key.as_str(), part.says())).collect()
        }
        Form::Block(Block { head, inner, .. }) => {
            let word = head.text.split_whitespace().next().unwrap_or_default();
            let names = inner.iter().filter_map(|unit| unit.names.first());
            [("", Cow::from(word))].into_iter().chain(names.map(|name| (NAME, Cow::from(name)))).collect()
        }
        _ => return None,
    };
    (rest.len() > 1).then_some(rest)
}

/// Where both sides put in something at one place, and some of it does not read or is called the same, nobody
/// knows whether it is the same thing; nor where one took out what the other has under a name that is not unique.
fn rivals(strands: &[Strand], base: &[Unit<'_>], ours: &[Unit<'_>], theirs: &[Unit<'_>]) -> Vec<bool> {
    let mut rivals = Vec::with_capacity(strands.len());
    let of_one = |strand: &Strand| strand.base.is_none() && strand.ours.is_some() != strand.theirs.is_some();
    let gone = strands.iter().filter(|strand| strand.ours.is_none() && strand.theirs.is_none());
    let gone: HashSet<&String> =
        gone.filter_map(|strand| base.get(strand.base?)).flat_map(|unit| &unit.names).collect();
    let named_as_gone = |strand: &Strand| {
        let unit = strand.ours.and_then(|at| ours.get(at)).or(strand.theirs.and_then(|at| theirs.get(at)));
        of_one(strand) && unit.is_some_and(|unit| unit.names.iter().any(|name| gone.contains(name)))
    };
    for run in strands.chunk_by(|one, other| of_one(one) && of_one(other)) {
        let run_ours: Vec<&Unit<'_>> = run.iter().filter_map(|strand| ours.get(strand.ours?)).collect();
        let run_theirs: Vec<&Unit<'_>> = run.iter().filter_map(|strand| theirs.get(strand.theirs?)).collect();
        let both = run.iter().all(of_one) && !run_ours.is_empty() && !run_theirs.is_empty();
        let unread =
            |units: &[&Unit<'_>]| units.iter().any(|unit| matches!(unit.form, Form::Line { unread: true, .. }));
        let names: HashSet<&String> = run_ours.iter().flat_map(|unit| &unit.names).collect();
        let called_alike = || run_theirs.iter().flat_map(|unit| &unit.names).any(|name| names.contains(name));
        let rival = both && (unread(&run_ours) || unread(&run_theirs) || called_alike());
        rivals.extend(run.iter().map(|strand| rival || named_as_gone(strand)));
    }
    rivals
}

/// One thing, in the versions that have it.
#[derive(Clone, Copy)]
struct Three<'u, 't> {
    base: Option<&'u Unit<'t>>,
    ours: Option<&'u Unit<'t>>,
    theirs: Option<&'u Unit<'t>>,
}

impl<'u, 't> Three<'u, 't> {
    fn piece(&self, merged: Option<String>) -> Piece {
        let text = |unit: Option<&Unit<'_>>| unit.map_or("", |unit| unit.text).to_string();
        Piece { merged, base: text(self.base), ours: text(self.ours), theirs: text(self.theirs), says: Vec::new() }
    }

    fn join(&self, out: &mut Vec<Piece>) {
        if let Some((base, ours, theirs)) = self.all(Unit::block) {
            out.push(words(base.map(|base| &base.head), &ours.head, &theirs.head));
            level(base.map_or(&[], |base| &base.inner), &ours.inner, &theirs.inner, out);
            out.push(words(base.map(|base| &base.foot), &ours.foot, &theirs.foot));
        } else if let Some((base, ours, theirs)) = self.all(Unit::words) {
            out.push(words(base, ours, theirs));
        } else {
            out.push(self.piece(self.whole()));
        }
    }

    /// The same of each version, where both sides have it, and the base where it is there.
    fn all<T>(&self, of: impl Fn(&'u Unit<'t>) -> Option<&'u T>) -> Option<(Option<&'u T>, &'u T, &'u T)> {
        let base = match self.base {
            Some(base) => Some(of(base)?),
            None => None,
        };
        Some((base, of(self.ours?)?, of(self.theirs?)?))
    }

    /// What is there or not, or was made another kind of thing.
    fn whole(&self) -> Option<String> {
        let text = |unit: Option<&Unit<'_>>| unit.map(|unit| unit.text.to_string());
        let same = |unit: Option<&Unit<'_>>| unit.zip(self.base).is_some_and(|(one, base)| one.says() == base.says());
        let gone = self.base.is_some() && (self.ours.is_none() || self.theirs.is_none());
        if gone && [self.ours, self.theirs].into_iter().all(|unit| unit.is_none() || same(unit)) {
            return Some(String::new());
        }
        pick(text(self.base), text(self.ours), text(self.theirs)).map(Option::unwrap_or_default)
    }
}

fn words(base: Option<&Words<'_>>, ours: &Words<'_>, theirs: &Words<'_>) -> Piece {
    let before = base.map_or("", |base| base.text);
    let mut says = Vec::new();
    let merged = match pick(before, ours.text, theirs.text) {
        Some(text) => Some(text.to_string()),
        // Both put it in: they must say the same.
        None if base.is_none() && ours.says() != theirs.says() => None,
        None => by_parts(base.map_or(&[], |base| &base.parts), &ours.parts, &theirs.parts, &mut says),
    };
    Piece { merged, base: before.to_string(), ours: ours.text.to_string(), theirs: theirs.text.to_string(), says }
}

/// `None` where one part says two new things. `says` is told what each part of the result says.
fn by_parts(base: &[Part<'_>], ours: &[Part<'_>], theirs: &[Part<'_>], says: &mut Vec<String>) -> Option<String> {
    let signs = |parts: &[Part<'_>]| -> Vec<Sign> {
        let sign = |part: &Part<'_>| Sign { name: part.key.clone(), unique: true, rank: Some(part.rank) };
        parts.iter().map(sign).collect()
    };
    let mut out = String::new();
    for strand in weave(&signs(base), &signs(ours), &signs(theirs)) {
        let base = strand.base.and_then(|at| base.get(at));
        let ours = strand.ours.and_then(|at| ours.get(at));
        let theirs = strand.theirs.and_then(|at| theirs.get(at));
        let body = match body(base, ours, theirs) {
            Some(body) => body.map(Cow::Borrowed),
            None => Some(Cow::Owned(members(base, ours, theirs)?)),
        };
        if let Some(body) = body {
            out.push_str(gap(base, ours, theirs)?);
            out.push_str(&body);
            says.push(body.into_owned());
        }
    }
    Some(out)
}

/// The blanks inside decide only where nothing else does.
fn body<'t>(base: Option<&Part<'t>>, ours: Option<&Part<'t>>, theirs: Option<&Part<'t>>) -> Option<Option<&'t str>> {
    let (text, says) = (|part: &Part<'t>| part.body, |part| Part::says(part));
    if let Some(picked) = pick(base.map(text), ours.map(text), theirs.map(text)) {
        return Some(picked);
    }
    let (before, one, other) = (base.map(says), ours.map(says), theirs.map(says));
    match pick(&before, &one, &other)? {
        None => Some(None),
        _ if one == other => Some(ours.map(text).max(theirs.map(text))),
        _ if one == before => Some(theirs.map(text)),
        _ => Some(ours.map(text)),
    }
}

/// Lists of members are merged name by name, but where both sides put another name in the place of one: it may have
/// been renamed. Other lists pair with what else the row says, and are not merged.
fn members(base: Option<&Part<'_>>, ours: Option<&Part<'_>>, theirs: Option<&Part<'_>>) -> Option<String> {
    let listed = |part: Option<&Part<'_>>| -> Option<Vec<Sign>> {
        let part = part.filter(|part| part.key == MEMBERS && !part.body.contains(['\n', '"']))?;
        let names = part.body.split(',').map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "));
        Some(names.map(|name| Sign { name, unique: true, rank: None }).collect())
    };
    let (base, ours, theirs) = (listed(base)?, listed(ours)?, listed(theirs)?);
    let strands = weave(&base, &ours, &theirs);
    let any = |has: [bool; 3]| strands.iter().any(|one| [one.base, one.ours, one.theirs].map(|at| at.is_some()) == has);
    if any([true, false, false]) && any([false, true, false]) && any([false, false, true]) {
        return None;
    }
    let kept = strands.iter().filter_map(|strand| match *strand {
        Strand { base: Some(at), ours: Some(_), theirs: Some(_) } => base.get(at),
        Strand { base: Some(_), .. } => None,
        Strand { ours: Some(at), .. } => ours.get(at),
        Strand { theirs: at, .. } => theirs.get(at?),
    });
    Some(kept.map(|sign| sign.name.as_str()).collect::<Vec<_>>().join(", "))
}

/// Of blanks alone the wider ones; what else stands in a gap may not be at odds.
fn gap<'t>(base: Option<&Part<'t>>, ours: Option<&Part<'t>>, theirs: Option<&Part<'t>>) -> Option<&'t str> {
    let (Some(ours), Some(theirs)) = (ours, theirs) else {
        return ours.or(theirs).map(|part| part.gap);
    };
    let before = base.map_or(ours.gap, |base| base.gap);
    let blank = |gap: &str| gap.chars().all(|c| c == ' ' || c == '\t');
    match pick(before, ours.gap, theirs.gap) {
        Some(gap) if base.is_some() => Some(gap),
        _ if ours.gap == theirs.gap => Some(ours.gap),
        _ if blank(ours.gap) && blank(theirs.gap) => Some(ours.gap.max(theirs.gap)),
        _ => None,
    }
}
