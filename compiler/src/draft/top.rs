//! The whole plan: what holds in every act above, what differs in each act below.

use super::among::{Among, Entry};
use super::power::power;
use super::state::{State, state, wanted_text};
use crate::diagnostics::Diagnostic;
use crate::plan::{self, Plan, ShowHead, Wanted};
use crate::project::Show;
use crate::quantity::recorded_bytes;
use crate::rig::clocks::Clocks;
use crate::rig::{Cable, Device, LaneKind, Model, Point, Rig, Run, UsedAs, metres, wiring};
use crate::route::Solution;
use crate::source::{Sources, Span};
use crate::syntax::ast::{OwnClock, PhantomPolicy, Time};
use crate::syntax::tidy::phrase;
use crate::wants::{Recording, Scene, Target, recordings};
use rustc_hash::FxHashSet;
use std::collections::{BTreeMap, BTreeSet};

/// The plan of a show whose wants were all satisfied. Without a whole solution only what is there is
/// listed: devices, cables, models.
pub fn draft(show: &Show, scenes: &[Scene], solution: &mut Solution) -> Plan {
    let mut plan = head(show, scenes);
    if !solution.is_whole() {
        return plan;
    }
    solution.arrivals.clear();
    let mut states: Vec<State> =
        scenes.iter().enumerate().map(|(number, scene)| state(scene, number, solution)).collect();
    let acts = !show.acts.is_empty();
    plan.sources = shared(&mut states, |state| &mut state.sources);
    plan.outputs = shared(&mut states, |state| &mut state.outputs);
    plan.personal = shared(&mut states, |state| &mut state.personal);
    plan.spare_cables = shared(&mut states, |state| &mut state.spare_cables);
    plan.plugs = shared(&mut states, |state| &mut state.plugs);
    plan.given = shared(&mut states, |state| &mut state.given);
    plan.settings = shared(&mut states, |state| &mut state.settings);
    plan.mixes = shared(&mut states, |state| &mut state.mixes);
    plan.promised = shared(&mut states, |state| &mut state.promised);
    plan.signals = shared(&mut states, |state| &mut state.signals);
    if acts {
        for ((scene, state), act) in scenes.iter().zip(&states).zip(&show.acts) {
            plan.acts.push(act_of(scene, state, act, &plan));
        }
    }
    plan.recordings = recorded(scenes);
    plan.power = power(scenes, solution, &plan);
    plan
}

/// Entries that stand in every state, in order, taken out where there is one state only. A key that repeats is an
/// entry of its own.
fn shared<K, T: Clone + Entry>(states: &mut [State], list: impl Fn(&mut State) -> &mut Vec<(K, T)>) -> Vec<T> {
    let Some((first, others)) = states.split_first_mut() else { return Vec::new() };
    if others.is_empty() {
        return std::mem::take(list(first)).into_iter().map(|(_, entry)| entry).collect();
    }
    let others: Vec<Among<T>> =
        others.iter_mut().map(|state| Among::new(list(state).iter().map(|(_, entry)| entry))).collect();
    let everywhere = |entry: &T| others.iter().all(|other| other.contains(entry));
    list(first).iter().filter(|(_, entry)| everywhere(entry)).map(|(_, entry)| entry.clone()).collect()
}

fn own<K, T: Clone + Entry>(list: &[(K, T)], above: &[T]) -> Vec<T> {
    let above = Among::new(above);
    list.iter().filter(|(_, entry)| !above.contains(entry)).map(|(_, entry)| entry.clone()).collect()
}

fn act_of(scene: &Scene, state: &State, act: &crate::project::Act, plan: &Plan) -> plan::Act {
    let (above, mut devices) = (Among::new(&plan.devices), device_list(&scene.rig));
    devices.retain(|device| !above.contains(device));
    let (above, mut cables) = (Among::new(&plan.cables), cable_list(&scene.rig));
    cables.retain(|cable| !above.contains(cable));
    plan::Act {
        act: act.name.value.clone(),
        title: act.title.as_ref().map(|title| title.value.clone()),
        from: act.from.as_ref().map(|time| time_text(time.value)),
        to: act.to.as_ref().map(|time| time_text(time.value)),
        devices,
        cables,
        sources: own(&state.sources, &plan.sources),
        outputs: own(&state.outputs, &plan.outputs),
        personal: own(&state.personal, &plan.personal),
        spare_cables: own(&state.spare_cables, &plan.spare_cables),
        plugs: own(&state.plugs, &plan.plugs),
        given: own(&state.given, &plan.given),
        settings: own(&state.settings, &plan.settings),
        mixes: own(&state.mixes, &plan.mixes),
        promised: own(&state.promised, &plan.promised),
        signals: own(&state.signals, &plan.signals),
        replaced: replaced(scene),
    }
}

fn replaced(scene: &Scene) -> Vec<plan::Replaced> {
    let rows = scene.rows_replaced.iter().filter(|row| row.source);
    let mut list: Vec<plan::Replaced> =
        rows.map(|row| plan::Replaced { source: row.name.clone(), by: row.by.clone() }).collect();
    list.sort();
    list
}

/// `23:20`
pub fn time_text(time: Time) -> String {
    format!("{:02}:{:02}", time.0 / 60, time.0 % 60)
}

fn head(show: &Show, scenes: &[Scene]) -> Plan {
    let mut plan = Plan { fantail: 1, show: show_head(show), ..Plan::default() };
    let Some((first, others)) = scenes.split_first() else { return plan };
    plan.rate_hz = first.rig.rate_hz;
    plan.clock = first.rig.clock.map(|clock| first.rig.device_name(clock).to_string());
    plan.devices = device_list(&first.rig);
    plan.cables = cable_list(&first.rig);
    for scene in others {
        let (devices, cables) = (device_list(&scene.rig), cable_list(&scene.rig));
        let (devices, cables) = (Among::new(&devices), Among::new(&cables));
        plan.devices.retain(|device| devices.contains(device));
        plan.cables.retain(|cable| cables.contains(cable));
    }
    for scene in scenes {
        plan.kinds.extend(kinds(scene));
        plan.mics.extend(mics(scene));
        for (device, _) in (0u32..).zip(&scene.rig.devices) {
            if let Some(model) = scene.rig.model(device) {
                plan.carriers.extend(carriers(&scene.rig, model));
                plan.models.entry(model.name.clone()).or_insert_with(|| model_of(model));
            }
        }
    }
    plan
}

fn model_of(model: &Model) -> plan::Model {
    plan::Model {
        mains: model.on_mains(),
        label: model.label.clone(),
        latency_ms: model.latency_ms,
        phantom_limit_ma: model.phantom_limit_ma,
        draws_w: model.draws_w,
        strip: model.strip,
        converts: model.converts,
        wiring: wiring(model),
    }
}

fn mics(scene: &Scene) -> impl Iterator<Item = (String, plan::Mic)> {
    let mics = scene.sources.iter().filter_map(|source| source.mic.as_ref());
    mics.filter_map(|mic| {
        let fact = plan::Mic {
            label: mic.label.clone(),
            kind: mic.kind.name.clone(),
            sensitivity_mv_pa: mic.sensitivity_mv_pa,
            needs_ma: mic.current_ma,
            max_db_spl: mic.max_db_spl,
            note: mic.note.clone(),
        };
        Some((mic.name.clone()?, fact))
    })
}

fn carriers<'r>(rig: &'r Rig, model: &'r Model) -> impl Iterator<Item = (String, plan::Carrier)> {
    let spoken = model.ports.iter().filter_map(|port| rig.library.carrier(&port.carrier));
    spoken.map(|carrier| {
        let fact = plan::Carrier {
            length_m: carrier.length_m,
            screened: carrier.screened,
            locking: carrier.locking,
            latency_ms: carrier.latency_ms,
        };
        (carrier.name.clone(), fact)
    })
}

fn kinds(scene: &Scene) -> impl Iterator<Item = (String, plan::Kind)> {
    let policy = |policy| match policy {
        PhantomPolicy::Needs => "needs",
        PhantomPolicy::Tolerates => "tolerates",
        PhantomPolicy::Never => "never",
    };
    let mics = scene.sources.iter().filter_map(|source| source.mic.as_ref());
    mics.map(move |mic| {
        let kind = plan::Kind {
            signal: mic.kind.signal.clone(),
            phantom: policy(mic.kind.phantom).to_string(),
            suits: mic.kind.suits.iter().map(|pickup| pickup.word().to_string()).collect(),
            data: mic.kind.data,
            talkback: mic.kind.talkback,
            mains: mic.kind.mains,
        };
        (mic.kind.name.clone(), kind)
    })
}

fn show_head(show: &Show) -> ShowHead {
    match &show.head {
        None => ShowHead::default(),
        Some(head) => ShowHead {
            title: head.title.value.clone(),
            venue: head.venue.as_ref().map(|venue| venue.value.clone()),
            date: head
                .date
                .as_ref()
                .map(|date| format!("{:04}-{:02}-{:02}", date.value.year, date.value.month, date.value.day)),
        },
    }
}

/// Each device's recordings that say how long they run, in the order of files.
fn recorded(scenes: &[Scene]) -> Vec<plan::Recording> {
    let of = |(device, (scene, list)): (&str, (&Scene, Vec<Recording>))| {
        let rate = list.first().map_or(scene.rig.rate_hz, |one| scene.rig.own_rate(one.device));
        let one = |one: Recording| plan::Recording {
            device: device.to_string(),
            tracks: one.tracks,
            seconds: one.seconds,
            bytes: recorded_bytes(rate, one.tracks, one.seconds),
        };
        list.into_iter().map(one).collect::<Vec<_>>()
    };
    recordings(scenes).into_iter().flat_map(of).collect()
}

fn device_list(rig: &Rig) -> Vec<plan::Device> {
    let clocks = Clocks::of(rig);
    (0u32..)
        .zip(&rig.devices)
        .map(|(index, device)| plan::Device {
            name: device.name.clone(),
            model: rig.model(index).map_or_else(String::new, |model| model.name.clone()),
            role: device.word.word().to_string(),
            label: device.label.clone(),
            remarks: device.remarks.clone(),
            supply: device.supply.as_ref().map(|supply| supply.value.clone()),
            out_of_use: device.out_of_use.keys().copied().collect(),
            kept_for: kept_for(device),
            clock: device.clock.as_ref().map(|clock| clock_text(&clock.value)),
            runs_on: clocks.text(rig, index),
            rate_hz: device.rate_hz.as_ref().map(|rate| rate.value),
            converts: device.converts,
            backup_of: device.backup_of.map(|(of, _)| rig.device_name(of).to_string()),
            lifted: device.lifted.iter().filter_map(|leg| Some(rig.lane(index, leg.value)?.name.clone())).collect(),
            gain_by: device.gain_by.map(|(desk, _)| rig.device_name(desk).to_string()),
            space_bytes: device.space_bytes.as_ref().map(|space| space.value),
        })
        .collect()
}

fn kept_for(device: &Device) -> Vec<plan::KeptFor> {
    let kept = device.out_of_use.iter().filter(|(_, (why, _))| why != "dead");
    kept.map(|(line, (why, _))| plan::KeptFor { line: *line, for_what: why.clone() }).collect()
}

fn clock_text(clock: &OwnClock) -> String {
    match clock {
        OwnClock::Internal => "internal".to_string(),
        OwnClock::External(name) => format!("external {}", name.value),
    }
}

fn cable_list(rig: &Rig) -> Vec<plan::Cable> {
    let mut list: Vec<plan::Cable> = rig.cables.iter().map(|cable| link(rig, cable)).collect();
    list.extend(rig.runs.iter().map(|run| lines(rig, run)));
    list.sort_by(|a, b| (&a.from, &a.to).cmp(&(&b.from, &b.to)));
    list
}

fn link(rig: &Rig, cable: &Cable) -> plan::Cable {
    plan::Cable {
        from: rig.port_text(cable.from),
        to: rig.port_text(cable.to),
        carrier: cable.carrier.clone(),
        length_m: cable.said.as_ref().and_then(metres),
        screened: cable.said.as_ref().is_some_and(|said| said.screened),
        locking: cable.said.as_ref().is_some_and(|said| said.locking),
        remarks: rig.said_of.get(&cable.span).cloned().unwrap_or_default(),
        used_as: match cable.used_as {
            UsedAs::Main => "main",
            UsedAs::Redundant => "redundant",
        }
        .to_string(),
    }
}

fn lines(rig: &Rig, run: &Run) -> plan::Cable {
    let text = |point: Point| {
        let last = point.number + run.count - 1;
        let first = rig.point_text(point);
        if run.count == 1 { first } else { format!("{first}-{last}") }
    };
    plan::Cable {
        from: text(run.from),
        to: text(run.to),
        carrier: "analogue".to_string(),
        length_m: run.said.as_ref().and_then(metres),
        screened: run.said.as_ref().is_some_and(|said| said.screened),
        locking: run.said.as_ref().is_some_and(|said| said.locking),
        remarks: rig.said_of.get(&run.span).cloned().unwrap_or_default(),
        used_as: run.used_as.to_string(),
    }
}

/// Every change with what it took the place of, and the files that say so.
pub fn changes(show: &Show, sources: &Sources) -> Vec<plan::Change> {
    let file = |span: Span| {
        let name = sources.get(span.file).map_or("", |file| file.name.as_str());
        name.rsplit(['/', '\\']).next().unwrap_or(name).to_string()
    };
    let text = |span: Span| phrase(sources.text_at(span));
    let mut changes: Vec<plan::Change> = show
        .changes
        .iter()
        .map(|changed| plan::Change {
            act: changed.act.clone(),
            thing: changed.thing.clone(),
            attribute: changed.attribute.clone(),
            was: changed.before.map(text),
            was_in: changed.before.map(file),
            now: text(changed.now),
            now_in: file(changed.now),
        })
        .collect();
    let house = show.taken_out.iter().map(|gone| (None, gone));
    let acts = show.acts.iter().flat_map(|act| act.taken_out.iter().map(|gone| (Some(act.name.value.clone()), gone)));
    changes.extend(house.chain(acts).map(|(act, gone)| plan::Change {
        act,
        thing: gone.value.clone(),
        attribute: "without".to_string(),
        was: None,
        was_in: None,
        now: text(gone.span),
        now_in: file(gone.span),
    }));
    changes.sort();
    changes.dedup();
    changes
}

/// Output rows that send on points which carry nothing: `channel 6 to foh.out 3`, and nothing in channel 6.
pub fn silences(scenes: &[Scene], solution: &Solution) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (scene, arrivals) in scenes.iter().zip(&solution.arrivals) {
        let heard: FxHashSet<Point> = arrivals.iter().map(|arrival| arrival.end).collect();
        let mut rows: BTreeMap<usize, Vec<(Point, Point)>> = BTreeMap::new();
        for want in &scene.wants {
            let Target::Point(point) = want.what else { continue };
            let origin = scene.rig.lane_at(point).is_some_and(|lane| lane.kind == LaneKind::Bank(plan::Role::Origin));
            if !origin && !heard.contains(&want.end) {
                rows.entry(want.row).or_default().push((point, want.end));
            }
        }
        found.extend(rows.into_iter().filter_map(|(row, silent)| silence(scene, row, silent)));
    }
    found
}

/// What one row sends of nothing, told once.
fn silence(scene: &Scene, row: usize, mut silent: Vec<(Point, Point)>) -> Option<Diagnostic> {
    silent.sort();
    let (point, end) = *silent.first()?;
    let row = scene.rows.get(row)?;
    let (mut from, to): (Vec<Point>, Vec<Point>) = silent.into_iter().unzip();
    from.dedup();
    let (from, to) = (scene.rig.points_text(&from), scene.rig.points_text(&to));
    let message = format!("{to} would be silent: nothing feeds {from}");
    let mut problem = Diagnostic::error("silent-output", row.place.unwrap_or(row.span), message)
        .help(match never_fed(scene, point) {
            Some(bank) => format!("where a desk mixes inside, its model says `{bank} … origin`, not `inner`"),
            None => format!("give {from} a source, or send something else"),
        })
        .about(scene.rig.point_text(end));
    problem.act = scene.act.clone();
    Some(problem)
}

/// The name of an inner bank that no route of its model feeds.
fn never_fed(scene: &Scene, point: Point) -> Option<&str> {
    let (model, lane) = (scene.rig.model(point.device)?, scene.rig.lane_at(point)?);
    let inner = lane.kind == LaneKind::Bank(plan::Role::Inner);
    let fed = model.route_of(point.lane as usize, point.number).is_some();
    (inner && !fed).then_some(lane.name.as_str())
}

/// What the rows ask, for the evaluator.
pub fn wanted(show: &Show, scenes: &[Scene], solution: &Solution) -> Vec<Wanted> {
    let acts = !show.acts.is_empty();
    let mut list = BTreeSet::new();
    for (number, scene) in scenes.iter().enumerate() {
        let act = if acts { scene.act.clone() } else { None };
        let bank = |(device, lane): (u32, u32)| {
            let name = scene.rig.lane(device, lane).map_or("?", |lane| lane.name.as_str());
            format!("{}.{name}", scene.rig.device_name(device))
        };
        let missing = |want: &crate::wants::Want| {
            solution
                .unreachable
                .iter()
                .chain(&solution.not_recorded)
                .any(|lost| lost.scene == number && lost.want.end == want.end)
        };
        for want in scene.wants.iter().filter(|want| !missing(want)) {
            let Some(what) = wanted_text(scene, want.what) else { continue };
            let at = scene.rig.point_text(want.end);
            list.insert(Wanted { act: act.clone(), what, at, via: want.via.map(bank), arrives: true });
        }
        for never in &scene.nevers {
            let Some(what) = wanted_text(scene, crate::wants::Target::Source(never.source)) else { continue };
            let at = scene.rig.point_text(never.end);
            list.insert(Wanted { act: act.clone(), what, at, via: None, arrives: false });
        }
    }
    list.into_iter().collect()
}
