//! Three orders of things to one. What a side kept in the base's order keeps its place there; what it put in
//! or moved stands behind what it stood behind on that side. The sides are alike: neither comes first.

use similar::{Algorithm, DiffOp, capture_diff_slices};
use std::cmp::Ordering;
use std::collections::HashMap;

/// What is known of a thing where only order is asked.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Sign {
    pub name: String,
    /// Nothing else in its text has this name: it is the same thing wherever it stands.
    pub unique: bool,
    /// Where new ones of both sides meet, the lower comes first.
    pub rank: Option<u32>,
}

/// One thing of the result, by its place in each text that has it.
#[derive(Clone, Copy, Default, PartialEq, Eq, Debug)]
pub(super) struct Strand {
    pub base: Option<usize>,
    pub ours: Option<usize>,
    pub theirs: Option<usize>,
}

pub(super) fn weave(base: &[Sign], ours: &[Sign], theirs: &[Sign]) -> Vec<Strand> {
    let (of_ours, of_theirs) = (against(base, ours), against(base, theirs));
    let mut strands = Vec::with_capacity(base.len() + ours.len() + theirs.len());
    for slot in 0..=base.len() {
        let run = |of: &Against| of.runs.get(slot).cloned().unwrap_or_default();
        runs(ours, &run(&of_ours), theirs, &run(&of_theirs), &mut strands);
        if slot < base.len() {
            let kept = |of: &Against| of.kept.get(slot).copied().flatten();
            strands.push(Strand { base: Some(slot), ours: kept(&of_ours), theirs: kept(&of_theirs) });
        }
    }
    each_once(base, ours, theirs, strands)
}

/// A side held against the base.
struct Against {
    /// For each of the base where the side has it, if it was not moved.
    kept: Vec<Option<usize>>,
    /// What else the side has before each of the base, and after the last.
    runs: Vec<Vec<usize>>,
}

fn against(base: &[Sign], side: &[Sign]) -> Against {
    let mut kept = vec![None; base.len()];
    let mut of_base = vec![None; side.len()];
    for (old, new) in common(&names(base), &names(side)) {
        if let (Some(kept), Some(of_base)) = (kept.get_mut(old), of_base.get_mut(new)) {
            (*kept, *of_base) = (Some(new), Some(old));
        }
    }
    let mut runs = vec![Vec::new(); base.len() + 1];
    let mut slot = 0;
    for (at, old) in of_base.into_iter().enumerate() {
        match old {
            Some(old) => slot = old + 1,
            None => runs.get_mut(slot).into_iter().for_each(|run: &mut Vec<usize>| run.push(at)),
        }
    }
    Against { kept, runs }
}

fn names(signs: &[Sign]) -> Vec<&str> {
    signs.iter().map(|sign| sign.name.as_str()).collect()
}

/// The places of what both have in one order.
fn common(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    let equal = capture_diff_slices(Algorithm::Patience, old, new).into_iter().filter_map(|op| match op {
        DiffOp::Equal { old_index, new_index, len } => Some((old_index, new_index, len)),
        _ => None,
    });
    equal.flat_map(|(old, new, len)| (0..len).map(move |at| (old + at, new + at))).collect()
}

/// What both sides have put in at one place.
fn runs(ours: &[Sign], our_run: &[usize], theirs: &[Sign], their_run: &[usize], out: &mut Vec<Strand>) {
    let of =
        |signs: &[Sign], run: &[usize]| -> Vec<Sign> { run.iter().filter_map(|at| signs.get(*at)).cloned().collect() };
    let (one, other) = (of(ours, our_run), of(theirs, their_run));
    // The sides may be named either way round: what is said of them must be the same.
    let turned = before(&one, &other) == Ordering::Greater;
    let (one, other) = if turned { (other, one) } else { (one, other) };
    let place = |one: Option<usize>, other: Option<usize>| {
        let (ours, theirs) = if turned { (other, one) } else { (one, other) };
        let at = |run: &[usize], index: Option<usize>| index.and_then(|index| run.get(index)).copied();
        Strand { base: None, ours: at(our_run, ours), theirs: at(their_run, theirs) }
    };
    let (mut from, mut other_from) = (0, 0);
    let ends = common(&names(&one), &names(&other)).into_iter().map(Some).chain([None]);
    for meet in ends {
        let (to, other_to) = meet.unwrap_or((one.len(), other.len()));
        for (is_other, at) in zipped(&one, from..to, &other, other_from..other_to) {
            out.push(if is_other { place(None, Some(at)) } else { place(Some(at), None) });
        }
        if meet.is_some() {
            out.push(place(Some(to), Some(other_to)));
        }
        (from, other_from) = (to + 1, other_to + 1);
    }
}

/// Row by row where all have ranks that rise, one run after the other else.
fn zipped(
    one: &[Sign],
    at: std::ops::Range<usize>,
    other: &[Sign],
    other_at: std::ops::Range<usize>,
) -> Vec<(bool, usize)> {
    let rank = |signs: &[Sign], at: usize| signs.get(at).and_then(|sign| sign.rank);
    let rises = |signs: &[Sign], run: &std::ops::Range<usize>| {
        let ranks: Option<Vec<u32>> = run.clone().map(|at| rank(signs, at)).collect();
        ranks.is_some_and(|ranks| ranks.is_sorted())
    };
    let by_rank = rises(one, &at) && rises(other, &other_at);
    let part = |signs: &[Sign], run: &std::ops::Range<usize>| signs.get(run.clone()).unwrap_or(&[]).to_vec();
    let turned = before(&part(one, &at), &part(other, &other_at)) == Ordering::Greater;
    let mut all: Vec<(bool, usize)> = at.map(|at| (false, at)).chain(other_at.map(|at| (true, at))).collect();
    all.sort_by_key(|(is_other, at)| {
        let rank = if *is_other { rank(other, *at) } else { rank(one, *at) };
        (if by_rank { rank } else { None }, *is_other != turned)
    });
    all
}

fn before(one: &[Sign], other: &[Sign]) -> Ordering {
    let keys = |signs: &[Sign]| -> Vec<(Option<u32>, String)> {
        signs.iter().map(|sign| (sign.rank, sign.name.clone())).collect()
    };
    keys(one).cmp(&keys(other))
}

/// What was moved stands where it was moved to: at the first such place where the sides do not agree.
fn each_once(base: &[Sign], ours: &[Sign], theirs: &[Sign], strands: Vec<Strand>) -> Vec<Strand> {
    let name = |strand: &Strand| {
        let in_base = strand.base.and_then(|at| base.get(at));
        let in_ours = strand.ours.and_then(|at| ours.get(at));
        let sign = in_base.or(in_ours).or(strand.theirs.and_then(|at| theirs.get(at)))?;
        sign.unique.then_some(sign.name.as_str())
    };
    let mut known: HashMap<&str, Known> = HashMap::new();
    for (at, strand) in strands.iter().enumerate() {
        let Some(known) = name(strand).map(|name| known.entry(name).or_default()) else { continue };
        let Strand { base, ours, theirs } = known.strand;
        known.strand =
            Strand { base: base.or(strand.base), ours: ours.or(strand.ours), theirs: theirs.or(strand.theirs) };
        let place = if strand.base.is_some() { &mut known.stood } else { &mut known.moved };
        place.get_or_insert(at);
    }
    let placed = strands.iter().enumerate().filter_map(|(at, strand)| match name(strand) {
        Some(name) => known.get(name).filter(|known| known.moved.or(known.stood) == Some(at)).map(|known| known.strand),
        None => Some(*strand),
    });
    placed.collect()
}

/// All that is known of one thing, and where it stood and was put.
#[derive(Default)]
struct Known {
    strand: Strand,
    stood: Option<usize>,
    moved: Option<usize>,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing)]
    use super::*;

    /// Names from a few letters; capitals are unique, others may stand there several times.
    fn signs(text: &str) -> Vec<Sign> {
        let sign = |c: char| Sign { name: c.to_string(), unique: c.is_uppercase(), rank: c.to_digit(10) };
        text.chars().map(sign).collect()
    }

    fn random(state: &mut u64) -> String {
        let mut next = |below: u64| {
            *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (*state >> 33) % below
        };
        let mut out = String::new();
        for _ in 0..next(8) {
            let c = b"abcABCDE123"[next(11) as usize] as char;
            if !c.is_uppercase() || !out.contains(c) {
                out.push(c);
            }
        }
        out
    }

    fn woven(base: &str, ours: &str, theirs: &str) -> String {
        let [base, ours, theirs] = [base, ours, theirs].map(signs);
        let strands = weave(&base, &ours, &theirs).into_iter();
        let kept = strands.filter(|strand| match strand.base {
            Some(_) => strand.ours.is_some() && strand.theirs.is_some(),
            None => true,
        });
        let name = |strand: Strand| {
            let sign = strand.ours.map(|at| &ours[at]).or(strand.theirs.map(|at| &theirs[at]));
            sign.unwrap().name.clone()
        };
        kept.map(name).collect()
    }

    #[test]
    fn one_side_alone_gives_its_order_and_sides_may_change_places() {
        let mut state = 1;
        for _ in 0..20_000 {
            let [base, one, other] = [(); 3].map(|()| random(&mut state));
            for (ours, theirs) in [(&one, &base), (&base, &one), (&one, &one)] {
                assert_eq!(woven(&base, ours, theirs), one, "{base} {ours} {theirs}");
            }
            assert_eq!(woven(&base, &one, &other), woven(&base, &other, &one), "{base} {one} {other}");
        }
    }
}
