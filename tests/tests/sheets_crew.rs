//! The paper of the crew against the plan that it was made of: what stands in the plan stands on paper once, and what
//! stands on paper is in the plan.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::plan::{Act, Device, Plan, Plug};
use fantail::project::{Disk, InMemory};
use fantail::sheets::{Form, Pack, Part, Row, Sheet, pack, pack_since, write};
use fantail_tests::situations::{Answer, all};
use fantail_tests::{correct, golden, texts};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

const EXAMPLES: &[&str] = &["tour/venues/lantern-shed", "festival/day", "small-desk/tin-boat", "theatre/salt-road"];

fn compiled(text: &str) -> Plan {
    let compiled = fantail::compile(Path::new("show.fantail"), &InMemory::default().with("show.fantail", text));
    let errors: Vec<_> = compiled.diagnostics.iter().filter(|one| one.is_error()).collect();
    assert!(errors.is_empty(), "{errors:#?}\n{text}");
    compiled.plan
}

/// Examples, golden cases that compile, and shows that are right by construction.
fn shows() -> &'static [(String, Plan, Pack)] {
    static SHOWS: LazyLock<Vec<(String, Plan, Pack)>> = LazyLock::new(|| {
        let example = |name: &&str| {
            let root = texts::top().join("examples").join(format!("{name}.fantail"));
            (name.to_string(), fantail::compile(&root, &Disk).plan)
        };
        let mut plans: Vec<(String, Plan)> = EXAMPLES.iter().map(example).collect();
        for page in golden::pages(&texts::top().join("tests/golden")) {
            for case in &page.cases {
                let Some((root, _)) = case.sources.first() else { continue };
                let compiled = golden::compile(&case.sources, root);
                if !compiled.has_errors() {
                    plans.push((case.name.clone(), compiled.plan));
                }
            }
        }
        plans.extend((0..20).map(|seed| (format!("seed {seed}"), compiled(&correct::show(seed)))));
        plans.extend([("hostile".to_string(), compiled(&hostile())), ("sharing".to_string(), compiled(SHARED_SWITCH))]);
        plans.into_iter().map(|(name, plan)| (name, plan.clone(), pack(&plan))).collect()
    });
    &SHOWS
}

/// A group of sockets on one switch, and two acts of which the first has it on.
const SHARED_SWITCH: &str = "fantail 1\nrate 48 kHz\nclock foh\ndesk foh\n\
    box left is box-16x8 on foh.portA offset 1 cable 40 m\n\
    inputs foh { 9 choir condenser from left 9 phantom who \"Choir\" }\n\
    act duo \"Duo\" from 23:00 to 23:40 { inputs foh { 1 harp condenser from left 1 phantom; 2 bells condenser from left 2 phantom } }\n\
    act band \"Band\" from 23:55 to 00:30 { inputs foh { 1 amp dynamic from left 1; 2 flute condenser from left 2 phantom } }\n";

fn hostile() -> String {
    let names = ["<script>x</script>", "=1+1", "a 'quoted' „b“", "שלום עולם", "| a ` b", &"x".repeat(200)];
    let mut text = String::from(
        "fantail 1\nshow \"=cmd|' /C'\" at \"<b>\"\nrate 48 kHz\nclock foh\ndesk foh \"<foh>\"\n\
         box left \"=left\" is box-16x8 on foh.portA offset 1 cable 40 m\ninputs foh {\n",
    );
    for (number, name) in (1..).zip(names) {
        let who = name.replace('x', "w");
        text.push_str(&format!(
            "  {number} s-{number} condenser from left {number} phantom \"{name}\" who \"{who}\"\n"
        ));
    }
    text.push_str("}\noutputs foh {\n  mix 1 to left 1 wedge \"=2+2\" of all inputs\n}\n");
    text
}

fn sheets<'p>(pack: &'p Pack, start: &'p str) -> impl Iterator<Item = &'p Sheet> {
    pack.sheets.iter().filter(move |sheet| sheet.slug.starts_with(start))
}

fn rows<'p>(sheet: &'p Sheet, title: &'p str) -> impl Iterator<Item = &'p Row> {
    let tables = sheet.parts.iter().filter_map(|part| match part {
        Part::Table(table) => Some(table),
        _ => None,
    });
    tables.filter(move |table| table.title.as_deref().unwrap_or_default() == title).flat_map(|table| &table.rows)
}

fn cell(row: &Row, at: usize) -> &str {
    row.cells.get(at).map_or("", |cell| cell.text.as_str())
}

fn joined(row: &Row) -> String {
    row.cells.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | ")
}

fn lists(plan: &Plan) -> Vec<(Option<&Act>, &[Plug])> {
    let acts = plan.acts.iter().map(|act| (Some(act), act.plugs.as_slice()));
    std::iter::once((None, plan.plugs.as_slice())).chain(acts).collect()
}

/// `left in 3`
fn spot(plan: &Plan, point: &str) -> String {
    let (device, rest) = point.rsplit_once('.').unwrap();
    let devices = plan.devices.iter().chain(plan.acts.iter().flat_map(|act| &act.devices));
    let label = devices.filter(|one| one.name == device).find_map(|one| one.label.clone());
    format!("{} {rest}", label.unwrap_or_else(|| device.to_string()))
}

#[test]
fn every_line_with_48_volts_stands_once_on_its_list() {
    let mut lines = 0;
    for (name, plan, pack) in shows() {
        for (act, plugs) in lists(plan) {
            let act = act.map(|act| act.act.as_str());
            let of_act = sheets(pack, "48-volts").filter(|sheet| sheet.act.as_deref() == act);
            let mut printed: Vec<(String, String)> = of_act
                .flat_map(|sheet| rows(sheet, "Gets 48 V"))
                .filter_map(|row| Some((row.source.clone()?, cell(row, 0).to_string())))
                .collect();
            let on = plugs.iter().filter(|plug| plug.phantom);
            let mut wanted: Vec<(String, String)> =
                on.map(|plug| (plug.source.clone(), spot(plan, plug.phantom_path.last().unwrap()))).collect();
            lines += wanted.len();
            printed.sort();
            wanted.sort();
            assert_eq!(printed, wanted, "{name}, act {act:?}");
        }
    }
    assert!(lines > 300, "{lines}");
}

#[test]
fn every_switch_of_48_volts_is_on_the_list_of_its_act() {
    for (name, plan, pack) in shows() {
        let acts = plan.acts.iter().map(|act| (Some(act.act.as_str()), &act.settings));
        for (act, settings) in std::iter::once((None, &plan.settings)).chain(acts) {
            let listed: BTreeSet<&str> = sheets(pack, "48-volts")
                .filter(|sheet| sheet.act.as_deref() == act)
                .flat_map(|sheet| rows(sheet, "Gets 48 V"))
                .flat_map(|row| row.points.iter().map(String::as_str))
                .collect();
            let on = |one: &&fantail::plan::Setting| one.set == "phantom" && one.value == Some(true.into());
            for one in settings.iter().filter(on) {
                let first = one.first.unwrap();
                let found = (first..=one.last.unwrap_or(first))
                    .any(|n| listed.contains(format!("{}.{} {n}", one.device, one.bank).as_str()));
                assert!(found, "{name}: {one:?} is not on the list of {act:?}");
            }
        }
    }
}

#[test]
fn what_48_volts_can_hurt_is_on_the_list_of_never() {
    let mut lines = 0;
    for (name, plan, pack) in shows() {
        for (act, plugs) in lists(plan) {
            let sources = plan.sources.iter().chain(act.into_iter().flat_map(|act| &act.sources));
            let never: BTreeSet<&str> = sources
                .filter(|one| {
                    one.kind
                        .as_ref()
                        .is_some_and(|kind| plan.kinds.get(kind).is_some_and(|kind| kind.phantom == "never"))
                })
                .map(|one| one.source.as_str())
                .collect();
            let wanted: BTreeSet<&str> =
                plugs.iter().map(|plug| plug.source.as_str()).filter(|one| never.contains(one)).collect();
            let act = act.map(|act| act.act.as_str());
            let printed: BTreeSet<&str> = sheets(pack, "48-volts")
                .filter(|sheet| sheet.act.as_deref() == act)
                .flat_map(|sheet| rows(sheet, "Must never get 48 V"))
                .filter_map(|row| row.source.as_deref())
                .collect();
            lines += wanted.len();
            assert_eq!(printed, wanted, "{name}, act {act:?}");
        }
    }
    assert!(lines > 30, "{lines}");
}

#[test]
fn every_cable_stands_once_on_the_cable_list_with_two_labels() {
    let mut cables = 0;
    for (name, plan, pack) in shows() {
        let laid = plan.cables.iter().chain(plan.acts.iter().flat_map(|act| &act.cables));
        let mut wanted: Vec<[String; 2]> = laid.map(|cable| [cable.from.clone(), cable.to.clone()]).collect();
        let spare = plan.spare_cables.len() + plan.acts.iter().map(|act| act.spare_cables.len()).sum::<usize>();
        let list: Vec<&Row> = sheets(pack, "cables").flat_map(|sheet| rows(sheet, "Laid")).collect();
        let mut printed: Vec<[String; 2]> = list.iter().filter_map(|row| row.points.clone().try_into().ok()).collect();
        let numbers: BTreeSet<&str> =
            list.iter().filter(|row| !row.points.is_empty()).map(|row| cell(row, 0)).collect();
        assert_eq!(numbers.len(), wanted.len(), "{name}: a number twice");
        let spares = sheets(pack, "cables").flat_map(|sheet| rows(sheet, "Spare, laid and unplugged")).count();
        assert_eq!(spares, spare, "{name}");
        let labels: Vec<_> = sheets(pack, "labels-cables").flat_map(|sheet| &sheet.parts).collect();
        let strips = labels.iter().filter_map(|part| match part {
            Part::Labels(labels) => Some(&labels.strips),
            _ => None,
        });
        let strips: Vec<_> = strips.flatten().collect();
        assert_eq!(strips.len(), wanted.len() + spare, "{name}");
        for (strip, row) in strips.iter().zip(list.iter().filter(|row| !row.points.is_empty())) {
            let [one, other] = strip.as_slice() else { panic!("{name}: not a pair") };
            // Each end says which it is and where the other goes, and both have the cable's number.
            assert_eq!((&one.under, &other.under), (&format!("to {}", other.text), &format!("to {}", one.text)));
            assert!(one.over == other.over && one.over.starts_with(&format!("{} ", cell(row, 0))), "{name}: {one:?}");
        }
        assert!(strips.iter().all(|strip| strip.len() == 2), "{name}");
        cables += wanted.len();
        printed.sort();
        wanted.sort();
        assert_eq!(printed, wanted, "{name}");
    }
    assert!(cables > 300, "{cables}");
}

/// Column `count`; where acts differ, what holds all day and the most of one act.
#[test]
fn counts_of_gear_are_counts_of_the_plan() {
    for (name, plan, pack) in shows() {
        let microphones = |plugs: &[Plug]| {
            let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
            for plug in plugs {
                let mic = plug.mic.clone().unwrap_or_else(|| "not said".into());
                found.entry(mic).or_default().insert(plug.source.clone());
            }
            found.into_iter().map(|(mic, sources)| (mic, sources.len())).collect::<BTreeMap<_, _>>()
        };
        let house = microphones(&plan.plugs);
        let acts: Vec<_> = plan.acts.iter().map(|act| microphones(&act.plugs)).collect();
        let names: BTreeSet<&String> = house.keys().chain(acts.iter().flat_map(BTreeMap::keys)).collect();
        let list: Vec<_> = sheets(pack, "gear").collect();
        let printed = list.iter().flat_map(|sheet| rows(sheet, "Microphones, DIs and what else is plugged in"));
        let printed: Vec<&Row> = printed.collect();
        for mic in names {
            let all_day = house.get(mic).copied().unwrap_or(0);
            let most = acts.iter().filter_map(|act| act.get(mic)).copied().max().unwrap_or(0);
            let of: Vec<&&Row> = printed.iter().filter(|row| cell(row, 0) == mic).collect();
            // A microphone by one name and of several kinds has a row for each.
            let said = |row: &&&Row| row.cells.iter().skip(1).find_map(|cell| cell.text.parse::<usize>().ok());
            let sum: usize = of.iter().filter_map(said).sum();
            assert!(sum == all_day + most || of.len() > 1 && sum > all_day, "{name}: {mic} {sum} {all_day} {most}");
        }
        let count = |devices: &[Device]| devices.len();
        let boxes: usize = list
            .iter()
            .flat_map(|sheet| rows(sheet, "Boxes, desks, snakes"))
            .filter_map(|row| cell(row, 2).parse::<usize>().ok())
            .sum();
        assert_eq!(boxes, count(&plan.devices), "{name}");
    }
}

#[test]
fn every_act_has_its_pages_and_every_plug_its_step() {
    let mut steps = 0;
    for (name, plan, pack) in shows() {
        let pages: Vec<&Sheet> = sheets(pack, "changeover-").collect();
        assert_eq!(pages.len(), plan.acts.len(), "{name}");
        for (page, act) in pages.iter().zip(&plan.acts) {
            assert_eq!(page.act.as_deref(), Some(act.act.as_str()), "{name}");
            let printed = ["Then: plug", "Stays as it is"].into_iter().flat_map(|title| rows(page, title));
            let printed = printed.filter_map(|row| row.source.as_deref());
            let mut printed: Vec<&str> = printed.collect();
            let mut wanted: Vec<&str> = act.plugs.iter().map(|plug| plug.source.as_str()).collect();
            steps += wanted.len();
            printed.sort_unstable();
            wanted.sort_unstable();
            assert_eq!(printed, wanted, "{name}: {}", act.act);
        }
        let order: Vec<&Row> = sheets(pack, "running-order").flat_map(|sheet| rows(sheet, "")).collect();
        assert_eq!(order.len(), plan.acts.len(), "{name}");
    }
    assert!(steps > 50, "{steps}");
}

#[test]
fn a_changeover_is_told_in_the_order_that_is_safe() {
    let (_, _, pack) = shows().iter().find(|(name, ..)| name == "sharing").unwrap();
    let band = sheets(pack, "changeover-band").next().unwrap();
    let said = |title| rows(band, title).map(joined).collect::<Vec<_>>();
    // The flute stands where the bells stood: 48 V goes off there too, while the plugs change.
    assert_eq!(
        said("First: mutes on, 48 V off, wait"),
        ["left in 1 | off | Duo | ", "left in 2 | off while plugs change | Duo | "]
    );
    let plug =
        ["left |  |  |  |  | ", "in 1 | Amp | dynamic |  | Harp | ", "in 2 | Flute | condenser | 48 V | Bells | "];
    assert_eq!(said("Then: plug"), plug);
    assert_eq!(said("Last: 48 V on, wait about 10 s, open up"), ["left in 2 | 48 V on | Flute |  | "]);
    let titles: Vec<&str> = band.tables().filter_map(|table| table.title.as_deref()).collect();
    assert_eq!(
        titles,
        ["First: mutes on, 48 V off, wait", "Then: plug", "Last: 48 V on, wait about 10 s, open up", "Last"]
    );
    let Some(Part::Words(words)) = band.parts.first() else { panic!("no words") };
    assert_eq!(words, "23:55 to 00:30. After Duo. 15 minutes.");
}

/// The second band takes the harp's socket for what stood beside it, and leaves its singer where he stands.
const MOVING: &str = "fantail 1\nrate 48 kHz\nclock foh\ndesk foh\n\
    box left is box-16x8 on foh.portA offset 1 cable 40 m place USL\n\
    inputs foh { 3 voice dynamic from left 3; 9 choir condenser from left 9 phantom }\n\
    act duo from 18:00 to 18:40 { inputs foh { 1 harp condenser from left 1 phantom; 2 bells condenser from left 2 phantom} }\n\
    act band from 19:00 to 20:00 { inputs foh { 1 amp dynamic from left 1} }\n\
    act late from 21:00 to 22:00 { without input voice }\n";

#[test]
fn only_what_moves_stands_first_box_by_box() {
    let plan = compiled(MOVING);
    let pack = pack(&plan);
    let band = sheets(&pack, "changeover-band").next().unwrap();
    let said = |title| rows(band, title).map(joined).collect::<Vec<_>>();
    assert_eq!(said("First: mutes on, 48 V off, wait"), ["left in 1-2 | off | duo | "]);
    assert_eq!(said("Then: unplug"), ["left, USL |  |  | ", "in 2 | Bells | condenser | "]);
    assert_eq!(said("Then: plug"), ["left, USL |  |  |  | ", "in 1 | Amp | dynamic | Harp | "]);
    let last = band.tables().last().unwrap();
    assert_eq!(last.title.as_deref(), Some("Stays as it is"));
    assert_eq!(last.rows.iter().map(joined).collect::<Vec<_>>(), ["left, USL |  | ", "in 3 | Voice | dynamic"]);
}

#[test]
fn what_no_plan_can_know_stands_on_a_sheet() {
    let (_, _, pack) = shows().iter().find(|(name, ..)| name == "festival/day").unwrap();
    let printed: BTreeMap<String, &str> = pack
        .tables()
        .flat_map(|(sheet, table)| table.rows.iter().map(move |row| (cell(row, 0).to_lowercase(), sheet.slug.as_str())))
        .collect();
    let on_paper = all().into_iter().filter_map(|row| match row.answer {
        Answer::Paper(line) => Some((row.number, line)),
        _ => None,
    });
    let missing: Vec<_> = on_paper.filter(|(_, line)| !printed.contains_key(&line.to_lowercase())).collect();
    assert!(missing.iter().all(|(number, _)| *number == 46), "{missing:?}");
    // That of the recorders stands where something records.
    let (_, _, theatre) = shows().iter().find(|(name, ..)| name == "theatre/salt-road").unwrap();
    let recorded = theatre.tables().any(|(sheet, table)| {
        sheet.slug == "line-check" && table.rows.iter().any(|row| cell(row, 0).starts_with("A minute recorded"))
    });
    assert!(recorded);
}

#[test]
fn a_guests_file_is_held_against_the_outputs_of_every_house() {
    for (name, plan, pack) in shows() {
        let told =
            pack.tables().filter(|(_, table)| table.rows.iter().any(|row| cell(row, 0).starts_with("Ask first")));
        let told: Vec<&str> = told.map(|(sheet, _)| sheet.slug.as_str()).collect();
        let outputs = plan.outputs.len() + plan.acts.iter().map(|act| act.outputs.len()).sum::<usize>();
        assert_eq!(told, if outputs > 0 { vec!["output-list"] } else { vec![] }, "{name}");
    }
}

#[test]
fn every_plugged_source_is_called_at_the_line_check() {
    for (name, plan, pack) in shows() {
        let scenes: Vec<Option<&Act>> =
            if plan.acts.is_empty() { vec![None] } else { plan.acts.iter().map(Some).collect() };
        for act in scenes {
            let plugs = plan.plugs.iter().chain(act.into_iter().flat_map(|act| &act.plugs));
            let wanted: BTreeSet<&str> = plugs.map(|plug| plug.source.as_str()).collect();
            let act = act.map(|act| act.act.as_str());
            let of_act = pack.sheets.iter().filter(|sheet| sheet.act.as_deref() == act);
            let lines = of_act
                .filter(|sheet| sheet.slug.starts_with("line-check") && !sheet.slug.starts_with("line-check-outputs"));
            let tables = lines.flat_map(|sheet| &sheet.parts).filter_map(|part| match part {
                Part::Table(table) => Some(&table.rows),
                _ => None,
            });
            let called: Vec<&str> = tables.flatten().filter_map(|row| row.source.as_deref()).collect();
            let once: BTreeSet<&str> = called.iter().copied().collect();
            assert_eq!(once.len(), called.len(), "{name}, {act:?}: a line twice");
            assert!(wanted.is_subset(&once), "{name}, {act:?}: {:?}", wanted.difference(&once).collect::<Vec<_>>());
        }
    }
}

#[test]
fn the_book_tells_what_changed_since() {
    let earlier = SHARED_SWITCH.replace("9 choir condenser from left 9", "9 choir condenser from left 10");
    let (earlier, now) = (compiled(&earlier), compiled(SHARED_SWITCH));
    let told = |sheet: &Sheet, title: &str| {
        let said = |row: &Row| row.cells.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | ");
        rows(sheet, title).map(said).collect::<Vec<_>>()
    };
    let since = pack_since(&now, Some(&earlier));
    let [front, changed, ..] = since.sheets.as_slice() else { panic!() };
    assert_eq!((front.slug.as_str(), changed.slug.as_str()), ("front", "changed"));
    let moved = "moved | Choir | left.in 9 | left.in 10 | stage crew".to_string();
    for sheet in [front, changed] {
        let all = told(sheet, "Changed since the earlier plan");
        assert!(all.contains(&moved), "{}: {all:?}", sheet.slug);
    }
    assert_eq!(told(changed, "To do: stage crew"), ["3-4 | move Choir from left.in 10 to left.in 9 | "]);
    let paper = told(changed, "Paper that no longer holds");
    assert!(paper.contains(&"Stage patch: left | stage crew | print again | ".to_string()), "{paper:?}");
    let same = pack_since(&now, Some(&now));
    assert!(same.sheets.iter().all(|sheet| sheet.slug != "changed"));
    assert!(told(&same.sheets[0], "Changed since the earlier plan").is_empty());
}

#[test]
fn names_of_any_kind_pass_through_every_form() {
    let (_, plan, pack) = shows().iter().find(|(name, ..)| name == "hostile").unwrap();
    let files: usize = Form::ALL.iter().map(|form| write(pack, *form).len()).sum();
    assert!(files > 20, "{files}");
    for source in &plan.sources {
        let named = pack.tables().filter(|(_, table)| {
            table.rows.iter().any(|row| row.cells.iter().any(|cell| cell.text.contains(&source.label)))
        });
        assert!(named.count() > 3, "{}", source.label);
    }
}
