//! Labels to cut out: strips for desks and for boxes, and both ends of each cable. Each says a number, a name, and
//! which day it is for. Sizes are common practice, from memory: a tape below eight faders is about 200 mm long, so a
//! cell is 25 mm; measure the desk before cutting.

use super::super::known::Known;
use super::super::sheet::{Label, Labels, Part, Sheet};
use super::by_act::of_act;
use super::whole::{Whole, act_title};
use super::{cables, reader, reminders};
use crate::plan::{Bank, Device, Role, point, range};
use std::collections::BTreeMap;

/// A cell of a strip.
const CELL_MM: (f64, f64) = (25.0, 14.0);
/// A flag that is folded around a cable's end.
const FLAG_MM: (f64, f64) = (60.0, 18.0);
/// Cells side by side: a strip fits on a page with the cell that says what it is.
const ACROSS: u32 = 8;

/// Desk strips for each act, then what stays all day: boxes and cables.
pub(super) fn sheets(whole: &Whole) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = whole.scenes().iter().filter_map(|known| desks(whole, known)).collect();
    sheets.extend(whole.scenes().iter().filter_map(|known| boxes(whole, known)));
    sheets.extend(cable_ends(whole));
    sheets
}

fn sheet(known: Option<&Known>, slug: &str, title: &str, labels: Vec<Labels>, lines: &[&str]) -> Option<Sheet> {
    let parts = std::iter::once(reminders::to_tick("Labels", lines)).chain(labels.into_iter().map(Part::Labels));
    let sheet = Sheet {
        slug: slug.into(),
        title: title.into(),
        reader: reader::STAGE,
        parts: parts.collect(),
        ..Sheet::default()
    };
    (sheet.parts.len() > 1).then(|| of_act(sheet, known.and_then(|known| known.act)))
}

/// Each desk's channels up to the last one in use.
fn desks(whole: &Whole, known: &Known) -> Option<Sheet> {
    let mut labels = Vec::new();
    for device in known.devices.iter().filter(|device| device.role == "desk") {
        let inner = known.banks(&device.name).iter().find(|bank| bank.role == Role::Inner && bank.end);
        let Some(bank) = inner else { continue };
        let strip = known.plan.models.get(&device.model).and_then(|model| model.strip);
        let names = |n: u32| {
            let at = point(&device.name, &bank.bank, n);
            let (signal, end) = known.passing(&at).iter().find(|(_, end)| end.end == at && end.asked)?;
            let socket = end.path.first().map(|at| whole.spot(at)).unwrap_or_default();
            Some((cut(&signal.label, strip), socket))
        };
        labels.extend(strips(whole, known, device, bank, names));
    }
    sheet(Some(known), "labels-desks", "Labels for desks", labels, &[reminders::OLD_LABELS])
}

/// The sockets of what stands on stage; free ones keep their number.
fn boxes(whole: &Whole, known: &Known) -> Option<Sheet> {
    let mut labels = Vec::new();
    for device in known.devices.iter().filter(|one| matches!(one.role.as_str(), "box" | "snake" | "split")) {
        for bank in known.banks(&device.name) {
            let names = |n: u32| {
                let at = point(&device.name, &bank.bank, n);
                let name = match bank.role {
                    Role::In => known.label(known.arriving(&at)?),
                    _ => {
                        let (signal, _) = known.passing(&at).iter().find(|(_, end)| end.end == at && end.asked)?;
                        signal.label.clone()
                    }
                };
                let phantom = known.plug(&at).is_some_and(|plug| plug.phantom);
                let mic = known.plug(&at).and_then(|plug| plug.mic.clone()).unwrap_or_default();
                let under = if phantom { format!("48 V {mic}") } else { mic };
                Some((name, under))
            };
            if matches!(bank.role, Role::In | Role::Out) {
                labels.extend(strips(whole, known, device, bank, names));
            }
        }
    }
    sheet(Some(known), "labels-boxes", "Labels for boxes", labels, &[reminders::OLD_LABELS])
}

/// As many letters as the desk's own strip shows, so that tape and display say the same.
fn cut(label: &str, strip: Option<u32>) -> String {
    let letters = strip.map_or(usize::MAX, |letters| letters as usize);
    label.chars().take(letters).collect()
}

/// Of a bank, strips of eight up to the last number that has a name; each begins with what it is and for when.
fn strips(
    whole: &Whole,
    known: &Known,
    device: &Device,
    bank: &Bank,
    named: impl Fn(u32) -> Option<(String, String)>,
) -> Option<Labels> {
    let names: BTreeMap<u32, (String, String)> = (1..=bank.size).filter_map(|n| Some((n, named(n)?))).collect();
    let last = *names.keys().next_back()?;
    let called = whole.called(&device.name);
    let act = known.act.map(act_title).unwrap_or_default();
    let mut strips = Vec::new();
    for first in (1..=last).step_by(ACROSS as usize) {
        let end = (first + ACROSS - 1).min(bank.size);
        let text = format!("{called} {} {}", bank.bank, range(first, end));
        let mut strip = vec![Label { over: whole.dated().to_string(), text, under: act.clone() }];
        strip.extend((first..=end).map(|n| {
            let (text, under) = names.get(&n).cloned().unwrap_or_default();
            Label { over: n.to_string(), text, under }
        }));
        strips.push(strip);
    }
    let (width_mm, height_mm) = CELL_MM;
    Some(Labels { title: format!("{called} {}", bank.bank), width_mm, height_mm, strips })
}

/// Two for each cable; spares have theirs too, of which one end is like the other.
fn cable_ends(whole: &Whole) -> Option<Sheet> {
    let dated = whole.dated();
    let laid = cables::numbered(whole);
    let laid: Vec<Vec<Label>> = laid.iter().map(|one| cables::ends(whole, one, dated).to_vec()).collect();
    let spare = whole.lists().flat_map(|lists| lists.spare_cables).zip(1..).map(|(cable, number)| {
        let text = format!("SPARE S{number}");
        let under = cable.length_m.map(|metres| format!("{metres} m")).unwrap_or_default();
        vec![Label { over: dated.to_string(), text, under }; 2]
    });
    let strips: Vec<Vec<Label>> = laid.into_iter().chain(spare).collect();
    let (width_mm, height_mm) = FLAG_MM;
    let labels = Labels { title: "Both ends of each cable".into(), width_mm, height_mm, strips };
    let labels = if labels.strips.is_empty() { Vec::new() } else { vec![labels] };
    sheet(None, "labels-cables", "Labels for cables", labels, &[reminders::TWO_LABELS, reminders::OLD_LABELS])
}
