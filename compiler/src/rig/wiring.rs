//! A model's wiring as the plan publishes it: enough for anybody to recompute every signal.

use super::model::{Feed, How, LaneKind, Model, Ride};
use crate::plan;
use crate::syntax::ast::Faces;

pub fn wiring(model: &Model) -> plan::Wiring {
    plan::Wiring {
        banks: banks(model),
        ports: ports(model),
        carries: model.carries.iter().map(|carry| carries(model, carry)).collect(),
        passes: model
            .passes
            .iter()
            .map(|(from, to)| plan::Passes { from: port(model, *from), to: port(model, *to) })
            .collect(),
        takes: model.takes.iter().map(|take| takes(model, take)).collect(),
        copies: model
            .copies
            .iter()
            .map(|copy| plan::Copies {
                bank: lane(model, copy.bank),
                of: lane(model, copy.of),
                first: copy.first,
                mode: copy.mode.clone(),
            })
            .collect(),
        routes: model.routes.iter().map(|route| routes(model, route)).collect(),
        blocks: model
            .blocks
            .iter()
            .map(|block| plan::Block {
                block: block.name.clone(),
                points: block.points.iter().map(|(bank, number)| format!("{} {number}", lane(model, *bank))).collect(),
            })
            .collect(),
        reserved: model
            .reserved
            .iter()
            .map(|reserved| plan::Reserved {
                port: port(model, reserved.port),
                first: reserved.first,
                last: reserved.last,
                for_what: reserved.for_what.clone(),
                rate_hz: reserved.rate_hz,
            })
            .collect(),
    }
}

fn lane(model: &Model, index: usize) -> String {
    model.lane(index).map_or_else(String::new, |lane| lane.name.clone())
}

fn port(model: &Model, index: usize) -> String {
    model.ports.get(index).map_or_else(String::new, |port| port.name.clone())
}

fn banks(model: &Model) -> Vec<plan::Bank> {
    let bank = |lane: &super::model::Lane| match lane.kind {
        LaneKind::Bank(role) => Some(plan::Bank {
            bank: lane.name.clone(),
            size: lane.size,
            role,
            end: lane.end,
            signal: lane.signal.clone(),
            phantom: lane.phantom,
            isolated: lane.isolated,
            gain_db: lane.gain,
            pad: lane.pad,
            clip_dbu: lane.clip_dbu,
            pairs: lane.pairs,
        }),
        _ => None,
    };
    model.lanes.iter().filter_map(bank).collect()
}

fn ports(model: &Model) -> Vec<plan::Port> {
    let faces = |faces| match faces {
        Faces::Desk => "desk",
        Faces::Next => "next",
        Faces::Any => "any",
    };
    let slots = |slots: &[(u32, u32)]| {
        slots
            .iter()
            .map(|(rate_hz, count)| plan::Slots { rate_hz: *rate_hz, inward: *count, outward: *count })
            .collect()
    };
    model
        .ports
        .iter()
        .map(|port| plan::Port {
            port: port.name.clone(),
            carrier: port.carrier.clone(),
            faces: faces(port.faces).to_string(),
            powers: port.powers,
            needs_power: port.needs_power,
            slots: slots(&port.slots),
        })
        .collect()
}

fn place(at: &Ride) -> (plan::Place, Vec<u32>) {
    match at {
        Ride::Stacked => (plan::Place::Word("stacked".to_string()), Vec::new()),
        Ride::Setting(choices) => (plan::Place::Word("setting".to_string()), choices.clone()),
        Ride::Fixed(slot) => (plan::Place::Slot(*slot), Vec::new()),
    }
}

fn carries(model: &Model, carry: &super::model::Carry) -> plan::Carries {
    let (at, choices) = place(&carry.at);
    plan::Carries { port: port(model, carry.port), bank: lane(model, carry.bank), at, choices }
}

fn takes(model: &Model, take: &super::model::Take) -> plan::Takes {
    let (at, choices) = place(&take.at);
    plan::Takes {
        bank: lane(model, take.bank),
        port: port(model, take.port),
        at,
        choices,
        mode: take.mode.clone(),
        driven_by: take.first_desk_only.then(|| "first".to_string()),
    }
}

fn routes(model: &Model, route: &super::model::RouteFact) -> plan::Route {
    let from = |feed: &Feed| match feed {
        Feed::Lane(index) => lane(model, *index),
        Feed::Block(index) => model.blocks.get(*index).map_or_else(String::new, |block| block.name.clone()),
    };
    plan::Route {
        bank: lane(model, route.lane),
        first: route.part.map(|(first, _)| first),
        last: route.part.map(|(_, last)| last),
        from: route.from.iter().map(from).collect(),
        block: match route.how {
            How::Blocks(size) => Some(size),
            How::Straight => None,
        },
        fixed: route.how == How::Straight,
        at_most: route.at_most,
        rate_hz: route.rate_hz,
    }
}
