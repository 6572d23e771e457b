//! What a check of the finished plan may look at. Checks read; they never route and never change.

use crate::diagnostics::{Diagnostic, merge_acts};
use crate::plan::Plan;
use crate::project::Show;
use crate::rig::{Point, Rig};
use crate::route::{Arrival, Origin, Solution, plugged};
use crate::wants::{Scene, Source};
use std::collections::BTreeMap;

/// One compilation, as far as it came. With errors the plan's lists may be empty.
pub struct Facts<'a> {
    pub show: &'a Show,
    /// The house, or each act.
    pub scenes: &'a [Scene],
    pub solution: &'a Solution,
    pub plan: &'a Plan,
    /// Everything is routed and nothing was found wrong so far: what arrives where is known.
    pub settled: bool,
    plugs: Vec<BTreeMap<Point, usize>>,
    given: Vec<BTreeMap<Point, usize>>,
}

/// One scene, with what arrives where in it.
pub struct Seen<'a> {
    /// Its index among the scenes.
    pub number: usize,
    pub scene: &'a Scene,
    pub rig: &'a Rig,
    /// In order of end points; empty unless the show is settled.
    pub arrivals: &'a [Arrival],
    /// Sources (by index) in the sockets that they plug into.
    pub plugs: &'a BTreeMap<Point, usize>,
    /// Sources that a device gives of its own, by the point that they come out of.
    pub given: &'a BTreeMap<Point, usize>,
}

impl<'a> Facts<'a> {
    /// `said` is what the phases before had to say.
    pub fn new(
        show: &'a Show,
        scenes: &'a [Scene],
        solution: &'a Solution,
        plan: &'a Plan,
        said: &[Diagnostic],
    ) -> Self {
        let plugs = scenes.iter().enumerate();
        let plugs = plugs.map(|(number, scene)| plugged(scene, number, &solution.switches, &solution.values)).collect();
        let given = scenes.iter().map(Scene::given).collect();
        let settled = solution.is_whole() && !said.iter().any(Diagnostic::is_error);
        Facts { show, scenes, solution, plan, settled, plugs, given }
    }

    /// As it would be if something were wrong elsewhere.
    pub fn unsettled(self) -> Self {
        Facts { settled: false, ..self }
    }

    /// Runs a check in the house, or in every act, and tells once what holds in all of them.
    pub fn each_scene(&self, check: impl Fn(&Seen) -> Vec<Diagnostic>) -> Vec<Diagnostic> {
        let said = self.all_seen().into_iter().map(|seen| (seen.scene.act.as_deref(), check(&seen)));
        merge_acts(said.collect())
    }

    /// Runs a check on one source of every row, so that what holds of a row is told once.
    pub fn each_row(&self, check: fn(&Seen, &Source) -> Option<Diagnostic>) -> Vec<Diagnostic> {
        self.each_scene(|seen| {
            let rows: BTreeMap<usize, &Source> = seen.scene.sources.iter().map(|source| (source.row, source)).collect();
            rows.into_values().filter_map(|source| check(seen, source)).collect()
        })
    }

    /// The house, or every act, in order.
    pub fn all_seen(&self) -> Vec<Seen<'_>> {
        let known = self.plugs.iter().zip(&self.given);
        let seen = |((number, scene), (plugs, given)): ((usize, &'a Scene), (_, _))| {
            let arrivals = self.solution.arrivals.get(number).filter(|_| self.settled);
            let arrivals = arrivals.map_or(&[][..], Vec::as_slice);
            Seen { number, scene, rig: &scene.rig, arrivals, plugs, given }
        };
        self.scenes.iter().enumerate().zip(known).map(seen).collect()
    }
}

impl Seen<'_> {
    /// What arrives at an end point.
    pub fn arrival(&self, end: Point) -> Option<&Arrival> {
        let place = self.arrivals.binary_search_by_key(&end, |arrival| arrival.end).ok()?;
        self.arrivals.get(place)
    }

    /// What arrives at a device's end points.
    pub fn arrivals_at(&self, device: u32) -> &[Arrival] {
        let first = self.arrivals.partition_point(|arrival| arrival.end.device < device);
        let last = self.arrivals.partition_point(|arrival| arrival.end.device <= device);
        self.arrivals.get(first..last).unwrap_or_default()
    }

    /// What arrives, as a row's source: an index into the scene's sources.
    pub fn source_of(&self, origin: Origin) -> Option<usize> {
        match origin {
            Origin::Source(source) => Some(source),
            Origin::Point(point) => self.given.get(&point).copied(),
        }
    }

    /// Is this end a channel of a desk?
    pub fn is_channel(&self, end: Point) -> bool {
        self.rig.lane_at(end).is_some_and(|lane| lane.end && lane.name == "channel")
    }
}
