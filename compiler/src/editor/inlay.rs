//! What the compiler chose, shown behind the words of a row: the link slot and the channel that a socket
//! becomes, the slots that an output goes by, the socket behind `any`. Nothing without a proven plan.

use super::ground::{act_of_file, scene, unproven, views};
use crate::Compiled;
use crate::plan::{End, Points, Signal, View, ranges};
use crate::project::attrs;
use crate::rig::{Asked, Point, Rig};
use crate::source::{FileId, Span};
use crate::syntax::ast::*;
use std::ops::Range;

/// A hint behind a byte of a file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hint {
    pub at: u32,
    /// `→ portA 17 → channel 12`
    pub label: String,
}

/// The hints of a file that stand within these bytes, in order.
pub fn inlays(compiled: &Compiled, file: FileId, bytes: Range<u32>) -> Vec<Hint> {
    let Some(parsed) = compiled.parsed.get(&file).filter(|_| unproven(compiled).is_none()) else { return Vec::new() };
    let mut hints = Hints { compiled, views: views(&compiled.plan), bytes, hints: Vec::new() };
    hints.statements(&parsed.statements, act_of_file(compiled, file));
    hints.hints.sort_by_key(|hint| hint.at);
    hints.hints
}

struct Hints<'c> {
    compiled: &'c Compiled,
    /// The house, or every act.
    views: Vec<(Option<&'c str>, View<'c>)>,
    bytes: Range<u32>,
    hints: Vec<Hint>,
}

/// The points that one source or mix passes, that are worth showing.
type Chain = Vec<Stop>;

#[derive(Clone)]
struct Stop {
    device: String,
    bank: String,
    number: u32,
}

impl Stop {
    fn read(point: &str) -> Option<Stop> {
        let at = Points::read(point)?;
        Some(Stop { device: at.device.to_string(), bank: at.bank.to_string(), number: at.first })
    }
}

/// A list that comes by more ways than these shows the first.
const WAYS: usize = 3;

impl<'c> Hints<'c> {
    fn statements(&mut self, statements: &'c [Statement], act: Option<&str>) {
        let bytes = self.bytes.clone();
        for statement in statements.iter().filter(|statement| overlaps(&bytes, statement.span)) {
            match &statement.kind {
                StatementKind::Act(own) => self.statements(&own.statements, Some(&own.name.value)),
                StatementKind::Inputs { desk, rows } => {
                    let rows = rows.iter().filter(|row| overlaps(&bytes, row.span));
                    rows.for_each(|row| self.input(&row.name.value, &row.attrs, desk.as_ref(), act));
                }
                StatementKind::InputsSame { desk, .. } => self.same(statement.span, desk, act),
                StatementKind::Outputs { desk, rows } => {
                    let rows = rows.iter().filter(|row| overlaps(&bytes, row.span));
                    rows.for_each(|row| self.output(&row.attrs, desk.as_ref(), act));
                }
                StatementKind::Change { what: What::Input(name), attrs } => {
                    let desk = name.parts.first().filter(|_| name.parts.len() > 1);
                    if let Some(name) = name.parts.last() {
                        self.input(&name.value, attrs, desk, act);
                    }
                }
                StatementKind::Change { what: What::Output(term), attrs } => {
                    let desk = term.name.as_ref().filter(|name| name.parts.len() > 1);
                    self.output(attrs, desk.and_then(|name| name.parts.first()), act);
                }
                _ => {}
            }
        }
    }

    fn desk(&self, rig: &Rig, desk: Option<&Name>) -> Option<u32> {
        desk.and_then(|desk| rig.device_named(&desk.value)).or_else(|| rig.only_desk())
    }

    fn input(&mut self, name: &str, attrs: &'c [Attr], desk: Option<&Name>, act: Option<&str>) {
        let Some(rig) = scene(self.compiled, act).map(|scene| &scene.rig) else { return };
        let desk = self.desk(rig, desk);
        if let Some((terms, _)) = attrs::from(attrs) {
            let points = rig.points(terms, Asked::Plug, desk, &mut Vec::new()).unwrap_or_default();
            let texts: Vec<String> = points.iter().map(|point| rig.point_text(*point)).collect();
            self.put(terms.span, act, |view| {
                let chains = texts.iter().filter_map(|at| from_socket(view, name, at, rig, desk));
                shown(&chains.collect::<Vec<_>>(), rig, desk)
            });
        }
        let any = attrs.iter().find(|attr| matches!(attr.kind, AttrKind::FromAny(_)));
        if let Some(any) = any {
            self.put(any.span, act, |view| {
                let plugs = view.plugs.iter().filter(|plug| is_of(&plug.source, name));
                let chains = plugs.filter_map(|plug| {
                    let socket = Stop::read(&plug.at)?;
                    let rest = from_socket(view, name, &plug.at, rig, desk).unwrap_or_default();
                    Some(std::iter::once(socket).chain(rest).collect())
                });
                shown(&chains.collect::<Vec<_>>(), rig, desk)
            });
        }
    }

    /// A list that repeats another's: how its sources arrive at this desk.
    fn same(&mut self, row: Span, desk: &Name, act: Option<&str>) {
        let Some(scene) = scene(self.compiled, act) else { return };
        let (rig, desk) = (&scene.rig, self.desk(&scene.rig, Some(desk)));
        let wanted = scene.wants.iter().filter(|want| scene.rows.get(want.row).is_some_and(|of| of.span == row));
        let texts: Vec<String> = wanted.map(|want| rig.point_text(want.end)).collect();
        self.put(row, act, |view| {
            let ends =
                |text: &&String| view.signals.iter().flat_map(|signal| &signal.ends).find(|end| end.end == **text);
            let chains: Vec<Chain> =
                texts.iter().filter_map(|text| ends(&text)).filter_map(|end| arriving(view, end)).collect();
            let ways: Vec<String> =
                chains.chunk_by(|a, b| banks(a) == banks(b)).filter_map(|way| shown(way, rig, desk)).collect();
            let more = ways.len().checked_sub(WAYS).filter(|more| *more > 0).map(|more| format!("and {more} more"));
            Some(ways.into_iter().take(WAYS).chain(more).collect::<Vec<_>>().join(", ")).filter(|said| !said.is_empty())
        });
    }

    fn output(&mut self, attrs: &'c [Attr], desk: Option<&Name>, act: Option<&str>) {
        let Some(rig) = scene(self.compiled, act).map(|scene| &scene.rig) else { return };
        let desk = self.desk(rig, desk);
        for list in attrs::to(attrs).into_iter().flat_map(|(lists, _)| lists) {
            let points: Vec<Point> = rig.points(list, Asked::Output, desk, &mut Vec::new()).unwrap_or_default();
            let texts: Vec<String> = points.iter().map(|point| rig.point_text(*point)).collect();
            self.put(list.span, act, |view| {
                let chains = texts.iter().filter_map(|at| to_socket(view, at));
                shown(&chains.collect::<Vec<_>>(), rig, desk)
            });
        }
    }

    /// One label where all acts that have one agree; else each with its acts.
    fn put(&mut self, at: Span, act: Option<&str>, label: impl Fn(&View<'_>) -> Option<String>) {
        if !self.bytes.contains(&at.end) && at.end != self.bytes.end {
            return;
        }
        let mut labels: Vec<(String, Vec<&str>)> = Vec::new();
        // A row of the house holds in every act.
        for (of, view) in self.views.iter().filter(|(of, _)| act.is_none() || *of == act) {
            let Some(label) = label(view) else { continue };
            match labels.iter_mut().find(|(known, _)| *known == label) {
                Some((_, acts)) => acts.extend(of),
                None => labels.push((label, of.iter().copied().collect())),
            }
        }
        let label = match labels.as_slice() {
            [] => return,
            [(only, _)] => only.clone(),
            several => {
                let each = several.iter().map(|(label, acts)| format!("{label} ({})", acts.join(", ")));
                each.collect::<Vec<_>>().join("; ")
            }
        };
        self.hints.push(Hint { at: at.end, label });
    }
}

fn overlaps(bytes: &Range<u32>, span: Span) -> bool {
    span.start <= bytes.end && bytes.start <= span.end
}

/// Whether a source of the plan is a part of the row of that name: `heron.keys.left` is one of `keys`.
fn is_of(source: &str, row: &str) -> bool {
    let mut parts = source.split('.');
    parts.any(|part| part == row) && parts.all(|side| matches!(side, "left" | "right") || side.parse::<u32>().is_ok())
}

/// The last link slot before the desk and the channel there.
fn from_socket(view: &View<'_>, name: &str, at: &str, rig: &Rig, desk: Option<u32>) -> Option<Chain> {
    let plug = view.plugs.iter().find(|plug| plug.at == at);
    if plug.is_some_and(|plug| !is_of(&plug.source, name)) {
        return None;
    }
    let source = plug.map_or(at, |plug| plug.source.as_str());
    let signal: &Signal = view.signals.iter().find(|signal| signal.source == source)?;
    let desk = desk.map(|desk| rig.device_name(desk));
    let ends = signal.ends.iter().filter(|end| end.asked && end.path.first().is_some_and(|first| first == at));
    let here = ends.filter_map(|end| Some((Points::read(&end.end)?, end))).filter(|(at, _)| Some(at.device) == desk);
    let (_, way) = here.min_by_key(|(at, _)| (view.bank_index(at.device, at.bank), at.first))?;
    arriving(view, way)
}

/// The slot by which a signal comes to the device where it ends, as that one calls it, and the end.
fn arriving(view: &View<'_>, way: &End) -> Option<Chain> {
    let end = Stop::read(&way.end)?;
    let names = |point: &String| [Some(point.clone()), view.far_end(point).map(|(far, _)| far)];
    let stops = way.path.iter().rev().flat_map(names).flatten().filter_map(|point| Stop::read(&point));
    let mut slots = stops.filter(|at| at.device == end.device && view.is_port(&at.device, &at.bank));
    Some(slots.next().into_iter().chain([end]).collect())
}

/// What an output passes between the mix and its socket.
fn to_socket(view: &View<'_>, at: &str) -> Option<Chain> {
    let mut ends = view.signals.iter().flat_map(|signal| &signal.ends);
    let end: &End = ends.find(|end| end.asked && end.end == at)?;
    let between = end.path.get(1..end.path.len().checked_sub(1)?)?;
    Some(between.iter().filter_map(|point| Stop::read(point)).collect())
}

fn banks(chain: &Chain) -> Vec<String> {
    chain.iter().map(|at| format!("{}.{}", at.device, at.bank)).collect()
}

/// `→ portA 1-8 → channel 1-8`: chains over the same banks as one; of unlike ones nothing.
fn shown(chains: &[Chain], rig: &Rig, desk: Option<u32>) -> Option<String> {
    let first = chains.first().filter(|first| !first.is_empty())?;
    if chains.iter().any(|chain| banks(chain) != banks(first)) {
        return None;
    }
    let desk = desk.map(|desk| rig.device_name(desk));
    let column = |(at, stop): (usize, &Stop)| {
        let numbers = chains.iter().filter_map(|chain| chain.get(at)).map(|at| at.number).collect();
        let device = if Some(stop.device.as_str()) == desk { String::new() } else { format!("{}.", stop.device) };
        format!("→ {device}{} {}", stop.bank, ranges(&numbers))
    };
    Some(first.iter().enumerate().map(column).collect::<Vec<_>>().join(" "))
}
