//! The lists of a pack, read back from what is printed and compared with the plan: every plug on one row of one stage
//! patch, every setting on one row of one sheet to dial in, every channel, mix, output, feed, track and line where it
//! belongs. Examples, golden cases, random shows and names that mean something to somebody. `FANTAIL_SHEETS` says
//! how many random shows, `FANTAIL_SEED` the first.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::plan::{Act, Device, Plan, Plug, Role, Setting, Signal, Source};
use fantail::project::{Disk, InMemory};
use fantail::sheets::{Pack, Row, Sheet, Sign, Table, Weight, pack};
use fantail_tests::{correct, golden, large, sized, texts};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

fn of_text(text: &str) -> Plan {
    let compiled = fantail::compile(Path::new("show.fantail"), &InMemory::default().with("show.fantail", text));
    assert!(!compiled.has_errors(), "{:#?}", compiled.diagnostics);
    compiled.plan
}

/// The plan of sources without errors. Advice is left out: it compiles hundreds of times.
fn analysed(sources: &[(String, String)], root: &str) -> Option<Plan> {
    let files = sources.iter().fold(InMemory::default(), |files, (name, text)| files.with(name, text.clone()));
    let analysis = fantail::analyse(Path::new(root), &files);
    analysis.found.iter().all(|one| !one.is_error()).then_some(analysis.plan)
}

#[test]
fn of_the_examples() {
    for (name, _) in
        texts::files("examples").iter().filter(|(_, text)| text.contains("\nshow ") || text.starts_with("show "))
    {
        let compiled = fantail::compile(&texts::top().join(name), &Disk);
        assert!(!compiled.has_errors(), "{name}");
        laws(name, &compiled.plan);
    }
}

#[test]
fn of_the_golden_cases() {
    let mut good = 0;
    for page in golden::pages(&texts::top().join("tests/golden")) {
        for case in &page.cases {
            if let Some(plan) = analysed(&case.sources, &case.root) {
                laws(&case.name, &plan);
                good += 1;
            }
        }
    }
    assert!(good > 100, "only {good} golden cases have a plan");
}

#[test]
fn of_random_shows() {
    let (first, shows) = (number("FANTAIL_SEED", 1), number("FANTAIL_SHEETS", 300));
    let mut good = 0;
    for seed in first..first + shows {
        let text = if seed % 3 == 0 {
            vec![("show.fantail".to_string(), correct::show(seed))]
        } else {
            large::draw(seed).0.sources()
        };
        if let Some(plan) = analysed(&text, &text[0].0) {
            laws(&format!("seed {seed}"), &plan);
            good += 1;
        }
    }
    assert!(good * 3 > shows, "only {good} of {shows} random shows have a plan");
}

#[test]
fn of_names_that_mean_something_to_somebody() {
    let long = "wide ".repeat(40);
    let names =
        ["=1+1", "<script>", "it's a \\\\ |", "&amp;", "שלום עולם", "in 1, in 2", "48 V", "a; b (c)", long.trim()];
    let mut text = String::from(
        "fantail 1\nshow \"<b>\" at \"=A1\" on 2026-07-04\nrate 48 kHz\nclock foh\ndesk foh is desk-40-eights\n\
         box left is box-16x8 on foh.portA offset 1 cable 60 m screened locking\nsnake riser is snake-8 to left 1-8 cable 10 m\n",
    );
    let rows = |from: usize, take: usize, on: &str| {
        let row = |(n, name): (usize, &&str)| {
            let socket = n - from + 1;
            format!("  {} source-{n} condenser from {on} {socket} phantom \"{name}\" note \"{name}\"\n", n + 1)
        };
        names.iter().enumerate().skip(from).take(take).map(row).collect::<String>()
    };
    text.push_str(&format!("inputs foh {{\n{}}}\n", rows(0, 8, "riser")));
    text.push_str("outputs foh {\n  mix 1 to left 1 wedge \"<i>=2|\" who \"=3\" of all inputs\n}\n");
    for (act, title) in [("one", "<td>"), ("two", "=cmd|"), ("three", "שלום")] {
        text.push_str(&format!(
            "act {act} \"{title}\" {{\n  inputs foh {{\n    12 more-{act} dynamic from left 12 \"{title}\"\n  }}\n}}\n"
        ));
    }
    laws("hostile", &of_text(&text));
}

#[test]
fn of_two_acts_that_bring_gear_of_one_name() {
    let text = "fantail 1\n\
         show \"X\" at \"Y\" on 2026-07-04\n\
         rate 48 kHz\n\
         clock foh\n\
         desk foh is desk-48\n\
         box left is box-16x8 on foh.portA offset 1 cable 60 m screened locking\n\
         inputs foh {\n\
         1 kick dynamic from left 1\n\
         }\n\
         act one \"One\" from 17:00 to 18:00 {\n\
         snake riser is snake-8 to left 9-16 cable 10 m\n\
         inputs foh {\n\
         2 a dynamic from riser 1\n\
         }\n\
         }\n\
         act two \"Two\" from 18:00 to 19:00 {\n\
         snake riser is snake-12 to left 5-16 cable 20 m\n\
         inputs foh {\n\
         2 b dynamic from riser 12\n\
         }\n\
         }\n";
    let plan = of_text(text);
    laws("two risers", &plan);
    let slugs: Vec<String> = pack(&plan).sheets.into_iter().map(|sheet| sheet.slug).collect();
    assert!(["one", "two"].iter().all(|act| slugs.contains(&format!("stage-patch-riser-{act}"))), "{slugs:?}");
}

#[test]
fn of_a_show_of_many_desks() {
    laws("sized", &of_text(&sized::show(200)));
}

/// Prints what 1,000 and 5,000 rows take: a measurement, to run with `--release -- --ignored --nocapture`.
#[test]
#[ignore = "a measurement"]
fn five_thousand_rows() {
    for rows in [500, 1_000, 5_000] {
        let show = [("show.fantail".to_string(), sized::show(rows))];
        let plan = analysed(&show, "show.fantail").unwrap();
        let start = std::time::Instant::now();
        let pack = pack(&plan);
        println!("{rows} rows: {:?}, {} sheets", start.elapsed(), pack.sheets.len());
    }
}

fn laws(name: &str, plan: &Plan) {
    let read = Read { name, plan, pack: pack(plan) };
    read.plugs();
    read.settings();
    read.channels();
    read.outputs_and_feeds();
    read.mixes();
    read.tracks();
    read.lines();
    for (sheet, table) in read.pack.tables() {
        for row in &table.rows {
            assert_eq!(row.cells.len(), table.columns.len(), "{name}: {}", sheet.slug);
        }
        if let Some(act) = &sheet.act {
            assert!(sheet.slug.contains(act.as_str()), "{name}: {} of {act}", sheet.slug);
        }
    }
}

struct Read<'p> {
    name: &'p str,
    plan: &'p Plan,
    pack: Pack,
}

/// What holds together: the house alone, or with one act.
struct Scene<'p> {
    act: Option<&'p Act>,
    plugs: Vec<&'p Plug>,
    sources: Vec<&'p Source>,
    signals: Vec<&'p Signal>,
}

impl<'p> Read<'p> {
    fn scenes(&self) -> Vec<Scene<'p>> {
        let plan = self.plan;
        let scene = |act: Option<&'p Act>| Scene {
            act,
            plugs: plan.plugs.iter().chain(act.iter().flat_map(|act| &act.plugs)).collect(),
            sources: plan.sources.iter().chain(act.iter().flat_map(|act| &act.sources)).collect(),
            signals: plan.signals.iter().chain(act.iter().flat_map(|act| &act.signals)).collect(),
        };
        if plan.acts.is_empty() { vec![scene(None)] } else { plan.acts.iter().map(|act| scene(Some(act))).collect() }
    }

    fn devices(&self) -> impl Iterator<Item = &'p Device> {
        self.plan.devices.iter().chain(self.plan.acts.iter().flat_map(|act| &act.devices))
    }

    fn called(&self, device: &str) -> String {
        let device = self.devices().find(|one| one.name == device).unwrap();
        device.label.clone().unwrap_or_else(|| device.name.clone())
    }

    /// The tables of sheets whose slugs begin so and that hold in an act: its own and those of all.
    fn tables(&self, slug: &str, act: Option<&Act>) -> Vec<(&Sheet, &Table)> {
        let mine = |sheet: &Sheet| sheet.act.as_ref().is_none_or(|of| act.is_some_and(|act| act.act == *of));
        self.pack.tables().filter(|(sheet, _)| sheet.slug.starts_with(slug) && mine(sheet)).collect()
    }

    /// Each plug in each act: one row, of the sheet of its own device, with its label, microphone and 48 V.
    fn plugs(&self) {
        for scene in self.scenes() {
            for plug in &scene.plugs {
                let (device, ..) = point(&plug.at).unwrap();
                let source = scene.sources.iter().find(|one| one.source == plug.source);
                let label = source.map_or(plug.source.as_str(), |source| source.label.as_str());
                let mut found = Vec::new();
                for (sheet, table) in self.tables("stage-patch-", scene.act) {
                    for row in table.rows.iter().filter(|row| row.points.contains(&plug.at)) {
                        let cells = shown(table, row, scene.act);
                        if cells.iter().any(|(text, _)| text.starts_with(label)) {
                            found.push((sheet.slug.clone(), cells));
                        }
                    }
                }
                let [(slug, cells)] = found.as_slice() else { panic!("{}: {plug:?} stands on {found:?}", self.name) };
                assert!(slug.starts_with(&format!("stage-patch-{device}")), "{}: {plug:?} on {slug}", self.name);
                let said = |what: &str| cells.iter().any(|(text, _)| text.contains(what));
                assert!(plug.mic.as_ref().is_none_or(|mic| said(mic)), "{}: {plug:?} {cells:?}", self.name);
                let signs: BTreeSet<String> =
                    cells.iter().filter_map(|(_, sign)| *sign).map(|s| format!("{s:?}")).collect();
                let on = plug.phantom_path.last() == Some(&plug.at);
                assert!(!on || signs.contains(&format!("{:?}", Sign::Phantom)), "{}: {plug:?} {cells:?}", self.name);
                let kind = source.and_then(|source| self.plan.kinds.get(source.kind.as_ref()?));
                let never = kind.is_some_and(|kind| kind.phantom == "never");
                assert!(!never || said("48 V"), "{}: {plug:?} {cells:?}", self.name);
            }
        }
    }

    /// All settings, of the house and of every act, each on one row.
    fn settings(&self) {
        let mut expected: Vec<(Option<String>, String, String)> = Vec::new();
        let acts =
            self.plan.acts.iter().flat_map(|act| act.settings.iter().map(move |one| (Some(act.act.clone()), one)));
        for (act, setting) in self.plan.settings.iter().map(|one| (None, one)).chain(acts) {
            expected.extend(self.expanded(setting).into_iter().map(|(key, value)| (act.clone(), key, value)));
        }
        let mut found = Vec::new();
        for (sheet, table) in self.pack.tables().filter(|(sheet, _)| sheet.slug.starts_with("dial-in-")) {
            let device = match &sheet.act {
                None => sheet.slug.trim_start_matches("dial-in-").to_string(),
                Some(_) => self.device_before(table.title.as_deref().unwrap()),
            };
            for row in table.rows.iter().filter(|row| row.weight != Weight::Group) {
                found.extend(
                    dialled(&device, table, row).into_iter().map(|(key, value)| (sheet.act.clone(), key, value)),
                );
            }
        }
        expected.sort();
        found.sort();
        let lacking: Vec<_> = expected.iter().filter(|one| !found.contains(one)).collect();
        let more: Vec<_> = found.iter().filter(|one| !expected.contains(one)).collect();
        assert!(expected == found, "{}: not on paper {lacking:#?}\nonly on paper {more:#?}", self.name);
    }

    /// `foh, then: what feeds what`: the device before the comma.
    fn device_before(&self, title: &str) -> String {
        let headed = |device: &Device| match &device.label {
            Some(label) if *label != device.name => format!("{label} ({})", device.name),
            _ => device.name.clone(),
        };
        let starts =
            |device: &&Device| [", ", ": "].iter().any(|end| title.starts_with(&format!("{}{end}", headed(device))));
        self.devices().filter(starts).max_by_key(|device| headed(device).len()).unwrap().name.clone()
    }

    /// A key for each point, and what it is set to, in the words of the paper.
    fn expanded(&self, setting: &Setting) -> Vec<(String, String)> {
        let Setting { device, set, bank, .. } = setting;
        let value = match &setting.value {
            Some(serde_json::Value::String(word)) => word.clone(),
            Some(value) => value.as_f64().map_or_else(|| value.to_string(), |number| number.to_string()),
            None => String::new(),
        };
        let Some(first) = setting.first else { return vec![(format!("{device} {bank} {set}"), value)] };
        let last = setting.last.unwrap_or(first);
        let owner = setting.owner.as_ref().map(|owner| self.called(owner)).unwrap_or_default();
        let value = match set.as_str() {
            "route" => {
                let from = setting.from.as_ref().unwrap();
                let from = from.strip_prefix(&format!("{device}.")).unwrap_or(from);
                return points(first, last, from)
                    .map(|(n, from)| (format!("{device} {bank} {n} route"), from))
                    .collect();
            }
            "gain" => format!("{value} dB"),
            "phantom" => if value == "true" { "48 V" } else { "off" }.to_string(),
            _ => if value == "true" { "on" } else { "off" }.to_string(),
        };
        (first..=last).map(|n| (format!("{device} {bank} {n} {set}"), format!("{value} {owner}"))).collect()
    }

    /// Every channel that a row asks for stands on one row of its desk's list, in the order of numbers.
    fn channels(&self) {
        for scene in self.scenes() {
            for desk in self.devices().filter(|device| device.role == "desk") {
                let banks = &self.plan.models[&desk.model].wiring.banks;
                let Some(bank) = banks.iter().find(|bank| bank.role == Role::Inner && bank.end) else { continue };
                let asked = ends(&scene, |at| point(at).is_some_and(|(of, b, _)| of == desk.name && b == bank.bank));
                let tables = self.tables(&format!("input-list-{}", desk.name), scene.act);
                let rows: Vec<&Row> = tables.iter().flat_map(|(_, table)| &table.rows).collect();
                for (at, signal) in &asked {
                    let on: Vec<_> = rows.iter().filter(|row| row.points.contains(at)).collect();
                    assert_eq!(on.len(), 1, "{}: {at} stands on {on:?}", self.name);
                    assert_eq!(on[0].cells[1].text, signal.label, "{}: {at}", self.name);
                }
                let mut own =
                    rows.iter().filter_map(|row| point(row.points.first()?)).filter(|(of, ..)| *of == desk.name);
                let numbers: Vec<u32> = own.by_ref().map(|(.., n)| n).collect();
                let last = asked.iter().filter_map(|(at, _)| point(at)).map(|(.., n)| n).max().unwrap_or(0);
                assert_eq!(numbers, (1..=last).collect::<Vec<_>>(), "{}: {}", self.name, desk.name);
            }
        }
    }

    fn outputs_and_feeds(&self) {
        let outputs = self.plan.outputs.iter().chain(self.plan.acts.iter().flat_map(|act| &act.outputs));
        // Behind them stands what to check.
        let of_outputs = |table: &&Table| table.columns.first().is_some_and(|column| column.name == "leaves");
        let rows: Vec<&Row> =
            self.tables_of_all("output-list").filter(of_outputs).flat_map(|table| &table.rows).collect();
        let count = outputs.clone().count();
        assert_eq!(rows.len(), count, "{}", self.name);
        for output in outputs {
            let named =
                |row: &&&Row| output.label.as_ref().is_none_or(|label| row.cells.iter().any(|c| c.text == *label));
            let on = rows.iter().filter(|row| row.points.contains(&output.to) && row.points.contains(&output.from));
            assert!(on.filter(named).count() > 0, "{}: {output:?}", self.name);
        }
        let feeds = self.plan.personal.iter().chain(self.plan.acts.iter().flat_map(|act| &act.personal));
        let rows: Vec<&Row> = self.tables_of_all("personal-feeds").flat_map(|table| &table.rows).collect();
        assert_eq!(rows.len(), feeds.clone().count(), "{}", self.name);
        for feed in feeds {
            assert!(rows.iter().any(|row| row.points.contains(&feed.feed)), "{}: {feed:?}", self.name);
        }
    }

    fn tables_of_all(&self, slug: &str) -> impl Iterator<Item = &Table> {
        self.pack.tables().filter(move |(sheet, _)| sheet.slug == slug).map(|(_, table)| table)
    }

    /// Each mix that a row speaks of, once for each act.
    fn mixes(&self) {
        for scene in self.scenes() {
            let act = scene.act;
            let mut mixes: BTreeSet<&str> = self.plan.mixes.iter().map(|mix| mix.mix.as_str()).collect();
            mixes.extend(self.plan.promised.iter().map(|one| one.mix.as_str()));
            mixes.extend(act.iter().flat_map(|act| &act.mixes).map(|mix| mix.mix.as_str()));
            mixes.extend(act.iter().flat_map(|act| &act.promised).map(|one| one.mix.as_str()));
            for mix in mixes {
                let (desk, ..) = point(mix).unwrap();
                let desk = self.devices().find(|device| device.name == desk).unwrap();
                if desk.role != "desk" {
                    continue;
                }
                let tables = self.tables(&format!("mixes-{}", desk.name), act);
                let rows = tables.iter().flat_map(|(_, table)| &table.rows);
                let on = rows.filter(|row| row.points.iter().any(|at| at == mix)).count();
                assert_eq!(on, 1, "{}: {mix} in {:?}", self.name, act.map(|act| &act.act));
            }
        }
    }

    fn tracks(&self) {
        for scene in self.scenes() {
            for (at, signal) in ends(&scene, |at| point(at).is_some_and(|(_, bank, _)| bank == "track")) {
                let (device, ..) = point(&at).unwrap();
                let tables = self.tables(&format!("tracks-{device}"), scene.act);
                let on: Vec<_> =
                    tables.iter().flat_map(|(_, table)| &table.rows).filter(|row| row.points.contains(&at)).collect();
                assert_eq!(on.len(), 1, "{}: {at}", self.name);
                assert_eq!(on[0].cells[1].text, signal.label, "{}: {at}", self.name);
            }
        }
    }

    /// Every analogue line stands on one row, with both its ends.
    fn lines(&self) {
        let cables = self.plan.cables.iter().chain(self.plan.acts.iter().flat_map(|act| &act.cables));
        let mut rows: BTreeMap<Vec<String>, usize> = BTreeMap::new();
        for row in self.tables_of_all("sub-snakes-and-looms").flat_map(|table| &table.rows) {
            *rows.entry(row.points.clone()).or_default() += 1;
        }
        for cable in cables {
            let (Some((from, first, last)), Some((to, start, _))) = (range(&cable.from), range(&cable.to)) else {
                continue;
            };
            for n in first..=last {
                let ends = vec![format!("{from} {n}"), format!("{to} {}", start + n - first)];
                assert_eq!(rows.remove(&ends), Some(1), "{}: {ends:?}", self.name);
            }
        }
        assert!(rows.is_empty(), "{}: {rows:?}", self.name);
    }
}

/// `stage-left.in 3`
fn point(at: &str) -> Option<(&str, &str, u32)> {
    let (name, n) = at.rsplit_once(' ')?;
    let (device, bank) = name.rsplit_once('.')?;
    Some((device, bank, n.parse().ok()?))
}

fn range(at: &str) -> Option<(&str, u32, u32)> {
    let (name, numbers) = at.rsplit_once(' ')?;
    let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
    Some((name, first.parse().ok()?, last.parse().ok()?))
}

/// What stands at each end that somebody asked for.
fn ends<'p>(scene: &Scene<'p>, wanted: impl Fn(&str) -> bool) -> Vec<(String, &'p Signal)> {
    let all = scene.signals.iter().flat_map(|signal| signal.ends.iter().map(move |end| (*signal, end)));
    all.filter(|(_, end)| end.asked && wanted(&end.end)).map(|(signal, end)| (end.end.clone(), signal)).collect()
}

/// The cells of a row that hold in an act: all of them, or those of all day and of that act.
fn shown(table: &Table, row: &Row, act: Option<&Act>) -> Vec<(String, Option<Sign>)> {
    let by_act = !table.columns.iter().any(|column| column.name == "done");
    let own = act.map(|act| {
        let title = act.title.clone().unwrap_or_else(|| act.act.clone());
        act.from.as_ref().map_or(title.clone(), |from| format!("{title} {from}"))
    });
    let mine = |name: &str| !by_act || name == "all day" || own.as_deref() == Some(name);
    let cells = table.columns.iter().zip(&row.cells).filter(|(column, _)| mine(&column.name));
    cells.map(|(_, cell)| (cell.text.clone(), cell.sign)).collect()
}

/// Point by point where both sides count, else each with the whole.
fn points(first: u32, last: u32, from: &str) -> impl Iterator<Item = (u32, String)> {
    let from = from.split(" (").next().unwrap_or(from).to_string();
    let even = range(&from).filter(|(_, start, end)| end - start == last - first).map(|(name, ..)| name.to_string());
    let start = range(&from).map_or(0, |(_, start, _)| start);
    (first..=last).map(move |n| match &even {
        Some(name) => (n, format!("{name} {}", start + n - first)),
        None => (n, from.clone()),
    })
}

/// The settings that a row of a sheet to dial in stands for.
fn dialled(device: &str, table: &Table, row: &Row) -> Vec<(String, String)> {
    let cell = |name: &str| {
        let at = table.columns.iter().position(|column| column.name == name);
        at.map(|at| row.cells[at].text.as_str()).unwrap_or_default()
    };
    let bank = cell("bank").trim_start_matches("into ");
    if !cell("set").is_empty() {
        return vec![(format!("{device} {bank} {}", cell("set")), cell("to").to_string())];
    }
    let numbers = format!("{bank} {}", cell("numbers"));
    let (_, first, last) = range(&numbers).unwrap();
    if !cell("from").is_empty() {
        return points(first, last, cell("from"))
            .map(|(n, from)| (format!("{device} {bank} {n} route"), from))
            .collect();
    }
    let owner = cell("set from");
    let switches = [("phantom", cell("48 V")), ("gain", cell("gain")), ("pad", cell("pad"))];
    let set = switches.into_iter().filter(|(_, value)| !value.is_empty());
    set.flat_map(|(set, value)| {
        (first..=last).map(move |n| (format!("{device} {bank} {n} {set}"), format!("{value} {owner}")))
    })
    .collect()
}
