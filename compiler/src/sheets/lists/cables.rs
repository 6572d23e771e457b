//! The cable list: every cable with its number, its ends as they are labelled, and what it must be; then the spares, and
//! how much of each type there is. Lengths are those of the rows; nothing is guessed.

use super::super::sheet::{Label, Look, Part, Row, Sheet, Table};
use super::whole::{Whole, act_title};
use super::{cautions, reader, reminders};
use crate::plan::{Act, Cable, Points, SpareCable, port_or_bank};
use std::collections::BTreeMap;

/// A cable with the number by which the paper and its labels call it.
pub(super) struct Numbered<'p> {
    pub number: usize,
    pub cable: &'p Cable,
    pub act: Option<&'p Act>,
}

/// All that are laid, the house's first; those of an act behind. Spares have numbers too.
pub(super) fn numbered<'p>(whole: &Whole<'_, 'p>) -> Vec<Numbered<'p>> {
    let cables = whole.lists().flat_map(|lists| lists.cables.iter().map(move |cable| (cable, lists.act)));
    (1..).zip(cables).map(|(number, (cable, act))| Numbered { number, cable, act }).collect()
}

/// `brown red` of 12: the colours of its digits in the order that resistors have, 0 black to 9 white. Our own use of
/// it; the number always stands beside.
pub(super) fn colours(number: usize) -> String {
    const WORDS: [&str; 10] = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"];
    let digits = number.to_string();
    let words = digits.chars().filter_map(|digit| WORDS.get(digit.to_digit(10)? as usize).copied());
    words.collect::<Vec<_>>().join(" ")
}

/// The labels of both ends: each says which end it is, and where the other one goes.
pub(super) fn ends(whole: &Whole, one: &Numbered, mark: &str) -> [Label; 2] {
    let (from, to) = (end(whole, &one.cable.from), end(whole, &one.cable.to));
    let over = format!("{} {} · {mark}", one.number, colours(one.number));
    let label = |here: &str, there: &str| Label { over: over.clone(), text: here.into(), under: format!("to {there}") };
    [label(&from, &to), label(&to, &from)]
}

/// `foh portA`, `kit-a tail 1-12`
fn end(whole: &Whole, end: &str) -> String {
    match (Points::read(end), port_or_bank(end)) {
        (Some(_), _) => whole.spot(end),
        (None, Some((device, port))) => format!("{} {port}", whole.called(device)),
        (None, None) => end.to_string(),
    }
}

pub(super) fn sheet(whole: &Whole) -> Option<Sheet> {
    let cables = numbered(whole);
    let spare: Vec<&SpareCable> = whole.lists().flat_map(|lists| lists.spare_cables).collect();
    if cables.is_empty() && spare.is_empty() {
        return None;
    }
    let checks = [reminders::LINK_CABLE, reminders::TWO_LABELS];
    let tables = [laid(whole, &cables), spares(&spare), totals(whole)];
    let filled = tables.into_iter().filter(|table| !table.rows.is_empty()).map(Part::Table);
    Some(Sheet {
        slug: "cables".into(),
        title: "Cables".into(),
        reader: reader::STAGE,
        cautions: vec![cautions::MAINS, cautions::EARTH, cautions::OVERHEAD],
        parts: filled.chain([reminders::to_tick("When they are laid", &checks)]).collect(),
        ..Sheet::default()
    })
}

fn laid(whole: &Whole, cables: &[Numbered]) -> Table {
    let columns = [
        ("cable", Look::Key),
        ("colour", Look::Plain),
        ("from", Look::Key),
        ("to", Look::Key),
        ("type", Look::Plain),
        ("metres", Look::Number),
        ("built", Look::Plain),
        ("use", Look::Plain),
        ("note", Look::Plain),
        ("laid", Look::Tick),
        ("tested", Look::Tick),
    ];
    let mut table = Table::new(columns).titled("Laid");
    let mut act = None;
    for one in cables {
        let here = one.act.map(|act| act.act.as_str());
        if here != act {
            table.push(Row::group(one.act.map(|act| format!("Only for {}", act_title(act))).unwrap_or_default()));
            act = here;
        }
        let Cable { from, to, carrier, length_m, used_as, remarks, .. } = one.cable;
        let cells = [
            one.number.to_string().into(),
            colours(one.number).into(),
            end(whole, from).into(),
            end(whole, to).into(),
            carrier.clone().into(),
            metres(*length_m).into(),
            built(one.cable.screened, one.cable.locking).into(),
            used_as.clone().into(),
            [&remarks.place, &remarks.who, &remarks.note]
                .into_iter()
                .flatten()
                .cloned()
                .collect::<Vec<_>>()
                .join(", ")
                .into(),
        ];
        table.push(Row::of(cells).at([from.clone(), to.clone()]));
    }
    table.without_empty_columns()
}

/// Unplugged, both ends at hand.
fn spares(spare: &[&SpareCable]) -> Table {
    let columns = [("spare", Look::Key), ("metres", Look::Number), ("built", Look::Plain), ("where", Look::Plain)];
    let columns = columns.into_iter().chain([("tested", Look::Tick)]);
    let mut table = Table::new(columns).titled("Spare, laid and unplugged");
    for (number, cable) in (1..).zip(spare) {
        let remarks = &cable.remarks;
        let said: Vec<String> = [&remarks.place, &remarks.who, &remarks.note].into_iter().flatten().cloned().collect();
        let built = built(cable.screened, cable.locking);
        let cells = [format!("S{number}").into(), metres(cable.length_m).into(), built.into(), said.join(", ").into()];
        table.push(Row::of(cells));
    }
    table.without_empty_columns()
}

fn metres(length: Option<f64>) -> String {
    length.map(|metres| metres.to_string()).unwrap_or_default()
}

fn built(screened: bool, locking: bool) -> String {
    let words = [(screened, "screened"), (locking, "locking")];
    words.iter().filter(|(is, _)| *is).map(|(_, word)| *word).collect::<Vec<_>>().join(", ")
}

/// How many of each type and length, all acts together.
pub(super) fn totals(whole: &Whole) -> Table {
    // Lengths in millimetres order like numbers and add up without a remainder.
    let mut kinds: BTreeMap<(String, String, Option<u64>), usize> = BTreeMap::new();
    let mut count = |what: String, built: String, length: Option<f64>| {
        let length = length.map(|metres| (metres * 1000.0).round() as u64);
        *kinds.entry((what, built, length)).or_default() += 1;
    };
    for lists in whole.lists() {
        for cable in lists.cables {
            let lines = Points::read(&cable.from).map(|at| at.last - at.first + 1).filter(|lines| *lines > 1);
            let what = lines.map_or_else(|| cable.carrier.clone(), |lines| format!("{}, {lines} lines", cable.carrier));
            count(what, built(cable.screened, cable.locking), cable.length_m);
        }
        for cable in lists.spare_cables {
            count("spare".into(), built(cable.screened, cable.locking), cable.length_m);
        }
    }
    let columns = [
        ("type", Look::Key),
        ("built", Look::Plain),
        ("metres each", Look::Number),
        ("count", Look::Number),
        ("metres", Look::Number),
    ];
    let mut table = Table::new(columns).titled("Cables by type and length");
    for ((what, built, length), count) in kinds {
        let length = length.map(|length| length as f64 / 1000.0);
        let each = length.map_or_else(|| "not said".to_string(), |length| length.to_string());
        let all = metres(length.map(|length| length * count as f64));
        table.push(Row::of([what.into(), built.into(), each.into(), count.to_string().into(), all.into()]));
    }
    table.without_empty_columns()
}

#[cfg(test)]
mod tests {
    use super::colours;

    #[test]
    fn a_number_has_the_colours_of_its_digits() {
        assert_eq!(colours(3), "orange");
        assert_eq!(colours(10), "brown black");
    }
}
