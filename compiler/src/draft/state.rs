//! Everything that holds in one scene: plugs, settings, mixes, signals.

use super::promised::promises;
use super::settings::{self, Order};
use crate::plan::{self, End, Mix, Plug, PreampWish, Promise, Setting, Signal};
use crate::rig::{Point, Rig, metres, preamps_of, ways_to_preamps};
use crate::route::{Graph, Origin, Solution, arrivals, plugged};
use crate::wants::{Scene, Source, Spot, Target};
use std::collections::{BTreeMap, BTreeSet};

/// The lists of one scene, each entry with its place in the plan's order.
#[derive(Clone, Debug, Default)]
pub struct State {
    pub outputs: Vec<((Point, Point), plan::Output)>,
    pub personal: Vec<(Point, plan::PersonalFeed)>,
    pub spare_cables: Vec<(usize, plan::SpareCable)>,
    pub sources: Vec<(usize, plan::Source)>,
    pub plugs: Vec<(Point, Plug)>,
    pub given: Vec<(Point, Plug)>,
    pub settings: Vec<(Order, Setting)>,
    pub mixes: Vec<(Point, Mix)>,
    pub promised: Vec<(Point, Promise)>,
    pub signals: Vec<(Point, Signal)>,
}

/// Writes a scene out.
pub fn state(scene: &Scene, number: usize, solution: &mut Solution) -> State {
    let plugs = plugged(scene, number, &solution.switches, &solution.values);
    let given = scene.given();
    let written = |at: &BTreeMap<Point, usize>| {
        at.iter().filter_map(|(point, source)| Some((*point, plug(scene, *point, *source)?))).collect()
    };
    State {
        settings: settings::settings(scene, number, solution, &plugs, &given),
        sources: scene.sources.iter().map(|source| declared(scene, source)).enumerate().collect(),
        outputs: outputs(scene),
        personal: personal(scene),
        spare_cables: spare_cables(&scene.rig).into_iter().enumerate().collect(),
        mixes: mixes(scene),
        promised: promises(scene),
        signals: signals(scene, number, &plugs, solution),
        plugs: written(&plugs),
        given: written(&given),
    }
}

fn declared(scene: &Scene, source: &Source) -> plan::Source {
    let name = |index: &usize| scene.source(*index).map(|source| source.name.clone());
    let again = |(desk, remarks): &(u32, plan::Remarks)| plan::Again {
        desk: scene.rig.device_name(*desk).to_string(),
        remarks: remarks.clone(),
    };
    let via = |(device, lane): (u32, u32)| {
        Some(format!("{}.{}", scene.rig.device_name(device), scene.rig.lane(device, lane)?.name))
    };
    plan::Source {
        source: source.name.clone(),
        label: source.label.clone(),
        kind: source.mic.as_ref().map(|mic| mic.kind.name.clone()),
        pickup: source.pickup.as_ref().map(|pickup| pickup.value.word().to_string()),
        mic: source.mic.as_ref().and_then(|mic| mic.name.clone()),
        level_db_spl: source.level_db_spl,
        lifted: source.lifted.is_some(),
        stereo: source.stereo,
        spare: source.spare,
        spare_for: source.spare_for.iter().flat_map(|of| of.value.iter().filter_map(name)).collect(),
        ears_only: source.ears_only,
        data: source.data,
        again: source.again.iter().map(again).collect(),
        via: source.via.and_then(via),
        remarks: source.remarks.clone(),
    }
}

fn outputs(scene: &Scene) -> Vec<((Point, Point), plan::Output)> {
    let output = |row: &crate::wants::Output| plan::Output {
        from: scene.rig.point_text(row.from),
        to: scene.rig.point_text(row.to),
        used_as: row.used_as.map(|used_as| used_as.word().to_string()),
        label: row.label.clone(),
        stereo: row.stereo,
        remarks: row.remarks.clone(),
    };
    let mut list: Vec<_> = scene.outputs.iter().map(|row| ((row.from, row.to), output(row))).collect();
    list.sort_by_key(|(place, _)| *place);
    list
}

fn personal(scene: &Scene) -> Vec<(Point, plan::PersonalFeed)> {
    let feed = |row: &crate::wants::Personal| {
        let (feed, remarks) = (scene.rig.point_text(row.feed), row.remarks.clone());
        Some((row.feed, plan::PersonalFeed { feed, of: wanted_text(scene, row.of)?, stereo: row.stereo, remarks }))
    };
    let mut list: Vec<_> = scene.personal.iter().filter_map(feed).collect();
    list.sort_by_key(|(place, _)| *place);
    list
}

fn spare_cables(rig: &Rig) -> Vec<plan::SpareCable> {
    let cable = |(cable, remarks): &(crate::syntax::ast::Cable, plan::Remarks)| plan::SpareCable {
        length_m: metres(cable),
        screened: cable.screened,
        locking: cable.locking,
        remarks: remarks.clone(),
    };
    let mut list: Vec<plan::SpareCable> = rig.spare_cables.iter().map(cable).collect();
    // By length, then by what else is said, so that the order of rows does not matter.
    list.sort_by_cached_key(|cable| (cable.length_m.map(|m| (m * 1000.0) as u64), format!("{cable:?}")));
    list
}

fn plug(scene: &Scene, point: Point, source: usize) -> Option<Plug> {
    let source = scene.source(source)?;
    let preamps = preamps_of(&scene.rig, point);
    let wishes = settings::wishes(scene, source, &preamps);
    let supplier = source.phantom.and_then(|_| settings::supplier(scene, source, &preamps));
    let ways = ways_to_preamps(&scene.rig, point);
    let supplying = ways.iter().find(|way| supplier.is_some() && way.last().copied() == supplier);
    let preamps = wishes.into_iter().map(|wish| PreampWish {
        at: scene.rig.point_text(wish.socket),
        gain_db: wish.gain_db,
        pad: wish.pad,
    });
    Some(Plug {
        source: source.name.clone(),
        at: scene.rig.point_text(point),
        mic: source.mic.as_ref().map(|mic| mic.label.clone()),
        stand: source.stand.map(|stand| stand.word().to_string()),
        phantom: source.phantom.is_some(),
        phantom_path: supplying.into_iter().flatten().map(|at| scene.rig.point_text(*at)).collect(),
        polarity_inverted: source.polarity_inverted,
        preamps: preamps.collect(),
    })
}

fn mixes(scene: &Scene) -> Vec<(Point, Mix)> {
    let name = |source: &usize| scene.source(*source).map(|source| source.name.clone());
    let mix = |(point, mix): (&Point, &crate::wants::Mix)| {
        let mut of: Vec<String> = mix.of.as_ref()?.iter().filter_map(name).collect();
        of.sort();
        Some((*point, Mix { mix: scene.rig.point_text(*point), of, stereo: mix.stereo }))
    };
    scene.mixes.iter().filter_map(mix).collect()
}

fn signals(
    scene: &Scene,
    number: usize,
    plugs: &BTreeMap<Point, usize>,
    solution: &mut Solution,
) -> Vec<(Point, Signal)> {
    let mut graph = Graph::new(scene, number);
    let wanted: BTreeSet<Point> = scene.wants.iter().map(|want| want.end).collect();
    let mut by_origin: BTreeMap<Origin, Vec<(Point, End)>> = BTreeMap::new();
    let found = arrivals(&mut graph, &mut solution.switches, &solution.values);
    let uses: BTreeMap<Point, &str> =
        scene.outputs.iter().filter_map(|output| Some((output.to, output.used_as?.word()))).collect();
    for arrival in &found {
        let end = End {
            end: scene.rig.point_text(arrival.end),
            asked: wanted.contains(&arrival.end),
            used_as: uses.get(&arrival.end).map(|word| word.to_string()),
            path: arrival.path.iter().map(|point| scene.rig.point_text(*point)).collect(),
        };
        by_origin.entry(arrival.origin).or_default().push((arrival.end, end));
    }
    solution.arrivals.push(found);
    let names = Names::new(scene, plugs);
    let mut signals: Vec<(Point, Signal)> = Vec::new();
    for (origin, ends) in by_origin {
        let Some((first, source, label, kind)) = names.of(scene, origin) else { continue };
        let ends = ends.into_iter().map(|(_, end)| end).collect();
        signals.push((first, Signal { source, label, kind, ends }));
    }
    signals.sort_by_key(|(first, _)| *first);
    signals
}

/// Where signals begin, and how the plan calls them.
struct Names {
    /// The first socket of each source that is plugged in.
    sockets: BTreeMap<usize, Point>,
    /// Sources that a device gives of its own, by the point that they come out of.
    given: BTreeMap<Point, usize>,
}

impl Names {
    fn new(scene: &Scene, plugs: &BTreeMap<Point, usize>) -> Names {
        let mut sockets = BTreeMap::new();
        for (point, source) in plugs {
            sockets.entry(*source).or_insert(*point);
        }
        Names { sockets, given: scene.given() }
    }

    fn of(&self, scene: &Scene, origin: Origin) -> Option<(Point, String, String, String)> {
        match origin {
            Origin::Source(index) => {
                let source = scene.source(index)?;
                let first = self.sockets.get(&index).copied()?;
                let kind = source.mic.as_ref().map_or_else(|| "unsaid".to_string(), |mic| mic.kind.name.clone());
                Some((first, source.name.clone(), source.label.clone(), kind))
            }
            Origin::Point(point) => {
                let text = scene.rig.point_text(point);
                let lane = scene.rig.lane_at(point)?;
                let given = self.given.get(&point).and_then(|index| scene.source(*index));
                let of_mix = scene.mixes.get(&point).and_then(|mix| mix.label.clone());
                let label = given.map(|source| source.label.clone()).or(of_mix).unwrap_or_else(|| text.clone());
                Some((point, text, label, lane.name.clone()))
            }
        }
    }
}

/// A want as the evaluator is told it.
pub fn wanted_text(scene: &Scene, what: Target) -> Option<String> {
    match what {
        Target::Point(point) => Some(scene.rig.point_text(point)),
        Target::Source(source) => {
            let source = scene.source(source)?;
            match source.spot {
                Spot::Origin(point) => Some(scene.rig.point_text(point)),
                _ => Some(source.name.clone()),
            }
        }
    }
}
