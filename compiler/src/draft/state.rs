//! Everything that holds in one scene: plugs, settings, mixes, signals.

use super::settings::{self, Order};
use crate::plan::{self, End, Mix, Plug, PreampWish, Setting, Signal};
use crate::rig::{Point, preamps_of, ways_to_preamps};
use crate::route::{Graph, Origin, Solution, arrivals, plugged};
use crate::wants::{Scene, Source, Spot, Target};
use std::collections::{BTreeMap, BTreeSet};

/// The lists of one scene, each entry with its place in the plan's order.
#[derive(Clone, Debug, Default)]
pub struct State {
    pub sources: Vec<(usize, plan::Source)>,
    pub plugs: Vec<(Point, Plug)>,
    pub settings: Vec<(Order, Setting)>,
    pub mixes: Vec<(Point, Mix)>,
    pub signals: Vec<(Point, Signal)>,
}

/// Writes a scene out.
pub fn state(scene: &Scene, number: usize, solution: &mut Solution) -> State {
    let plugs = plugged(scene, number, &solution.switches, &solution.values);
    State {
        settings: settings::settings(scene, number, solution, &plugs),
        sources: scene.sources.iter().map(source).enumerate().collect(),
        mixes: mixes(scene),
        signals: signals(scene, number, &plugs, solution),
        plugs: plugs.iter().filter_map(|(point, source)| Some((*point, plug(scene, *point, *source)?))).collect(),
    }
}

fn source(source: &Source) -> plan::Source {
    plan::Source {
        source: source.name.clone(),
        label: source.label.clone(),
        kind: source.mic.as_ref().map(|mic| mic.kind.name.clone()),
        pickup: source.pickup.as_ref().map(|pickup| pickup.value.word().to_string()),
    }
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
    let values = solution.values.clone();
    let found = arrivals(&mut graph, &mut solution.switches, &values);
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
        let (mut sockets, mut given) = (BTreeMap::new(), BTreeMap::new());
        for (point, source) in plugs {
            sockets.entry(*source).or_insert(*point);
        }
        for (index, source) in scene.sources.iter().enumerate() {
            if let Spot::Origin(point) = source.spot {
                given.entry(point).or_insert(index);
            }
        }
        Names { sockets, given }
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
