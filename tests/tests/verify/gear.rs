//! Invented gear for hand-written plans, as the plan's JSON writes it.

use fantail::plan::Model;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn bank(name: &str, size: u32, role: &str, end: bool) -> Value {
    json!({"bank": name, "size": size, "role": role, "end": end, "signal": "line", "phantom": 0})
}

fn preamps(name: &str, size: u32, phantom: u32) -> Value {
    json!({"bank": name, "size": size, "role": "in", "end": false, "signal": "mic", "phantom": phantom})
}

/// 48 slots each way at 48 kHz, half of them at 96 kHz.
fn port(name: &str, faces: &str) -> Value {
    let slots = json!([{"rate_hz": 48000, "in": 48, "out": 48}, {"rate_hz": 96000, "in": 24, "out": 24}]);
    json!({"port": name, "carrier": "aes50", "faces": faces, "slots": slots})
}

fn wiring(parts: Value) -> Value {
    let mut wiring = json!({"banks": [], "ports": [], "carries": [], "passes": [], "takes": [], "copies": [],
        "routes": [], "blocks": [], "reserved": []});
    if let (Some(wiring), Some(parts)) = (wiring.as_object_mut(), parts.as_object()) {
        wiring.extend(parts.clone());
    }
    json!({"wiring": wiring})
}

fn stage_box(ins: u32, outs: u32, ride: Value, phantom: u32) -> Value {
    let mut ride = ride;
    ride["port"] = "up".into();
    ride["bank"] = "in".into();
    wiring(json!({
        "banks": [preamps("in", ins, phantom), bank("out", outs, "out", true)],
        "ports": [port("up", "desk"), port("thru", "next")],
        "carries": [ride],
        "passes": [{"from": "thru", "to": "up"}, {"from": "up", "to": "thru"}],
        "takes": [{"bank": "out", "port": "up", "at": "setting", "choices": [1, 9, 17, 25, 33, 41]}],
    }))
}

fn optical_box() -> Value {
    wiring(json!({
        "banks": [preamps("in", 16, 1), bank("out", 8, "out", true), bank("optical", 8, "out", true)],
        "ports": [port("up", "desk"), port("thru", "next"), port("personal", "next")],
        "carries": [{"port": "up", "bank": "in", "at": "stacked"}],
        "passes": [{"from": "thru", "to": "up"}, {"from": "up", "to": "thru"}, {"from": "up", "to": "personal"}],
        "takes": [{"bank": "out", "port": "up", "at": "setting", "choices": [1, 9, 17, 25, 33, 41]},
                  {"bank": "optical", "port": "up", "at": "setting", "choices": [1, 9, 17, 25, 33, 41], "mode": "outputs"}],
        "copies": [{"bank": "optical", "of": "in", "first": 1, "mode": "copy"}],
    }))
}

/// Two ways up, of which the first desk drives the outputs.
fn shared_box() -> Value {
    wiring(json!({
        "banks": [preamps("in", 8, 1), bank("out", 8, "out", true)],
        "ports": [port("a", "desk"), port("b", "desk")],
        "carries": [{"port": "a", "bank": "in", "at": 1}, {"port": "b", "bank": "in", "at": 1}],
        "takes": [{"bank": "out", "port": "b", "at": 1, "driven_by": "first"},
                  {"bank": "out", "port": "a", "at": 1, "driven_by": "first"}],
    }))
}

fn desk_in_eights() -> Value {
    let outs = json!(["mix", "main", "channel"]);
    let sends = json!(["out", "local", "portA", "portB", "extras"]);
    wiring(json!({
        "banks": [preamps("local", 24, 1), bank("pick", 24, "inner", false), bank("channel", 40, "inner", true),
            bank("track", 40, "inner", true), bank("mix", 16, "origin", false), bank("main", 2, "origin", false),
            bank("playback", 40, "origin", false), bank("out", 16, "out", true), bank("aux-out", 4, "out", true),
            bank("cue", 2, "out", true), bank("phones", 2, "out", true), bank("personal", 8, "inner", true)],
        "ports": [port("portA", "any"), port("portB", "any")],
        "routes": [
            {"bank": "pick", "from": ["local", "portA", "portB"], "block": 1},
            {"bank": "channel", "from": ["local", "portA", "portB", "pick", "playback"], "block": 8},
            {"bank": "track", "from": ["local", "portA", "portB", "pick"], "block": 8},
            {"bank": "out", "from": outs}, {"bank": "aux-out", "from": outs}, {"bank": "cue", "from": outs},
            {"bank": "phones", "from": outs}, {"bank": "personal", "from": outs, "at_most": 6},
            {"bank": "portA", "first": 1, "last": 40, "from": sends, "block": 8},
            {"bank": "portB", "first": 1, "last": 40, "from": sends, "block": 8},
            {"bank": "portA", "first": 41, "last": 48, "from": ["personal"], "fixed": true, "rate_hz": 48000},
            {"bank": "portB", "first": 41, "last": 48, "from": ["personal"], "fixed": true, "rate_hz": 48000}],
        "blocks": [{"block": "extras", "points": ["aux-out 1-4", "cue 1-2", "phones 1-2"]}],
        "reserved": [{"port": "portA", "first": 41, "last": 48, "for": "personal", "rate_hz": 48000},
                     {"port": "portB", "first": 41, "last": 48, "for": "personal", "rate_hz": 48000}],
    }))
}

/// A splitter: one leg straight, two through transformers.
fn split() -> Value {
    let mut iso = [bank("iso-a", 8, "out", false), bank("iso-b", 8, "out", true)];
    iso.iter_mut().for_each(|leg| leg["isolated"] = true.into());
    let [iso_a, iso_b] = iso;
    let copy = |leg: &str| json!({"bank": leg, "of": "in", "first": 1});
    wiring(json!({
        "banks": [bank("in", 8, "in", false), bank("direct", 8, "out", false), iso_a, iso_b],
        "copies": [copy("direct"), copy("iso-a"), copy("iso-b")],
    }))
}

fn snake() -> Value {
    wiring(json!({
        "banks": [bank("in", 8, "in", false), bank("tail", 8, "out", false)],
        "copies": [{"bank": "tail", "of": "in", "first": 1}],
    }))
}

fn hub() -> Value {
    wiring(json!({
        "banks": [bank("feed", 8, "out", true)],
        "ports": [port("up", "desk")],
        "takes": [{"bank": "feed", "port": "up", "at": 41}],
    }))
}

/// Every model, by the name that the plans use.
pub fn models() -> BTreeMap<String, Model> {
    let stacked = || json!({"at": "stacked"});
    let all = [
        ("box-8x8", stage_box(8, 8, stacked(), 1)),
        ("box-16x8", stage_box(16, 8, stacked(), 1)),
        ("box-16x8-fours", stage_box(16, 8, stacked(), 4)),
        ("box-16x8-set", stage_box(16, 8, json!({"at": "setting", "choices": [1, 17, 33]}), 1)),
        ("box-optical", optical_box()),
        ("box-shared", shared_box()),
        ("desk", desk_in_eights()),
        ("split", split()),
        ("snake", snake()),
        ("hub", hub()),
    ];
    all.into_iter().map(|(name, model)| (name.to_owned(), serde_json::from_value(model).unwrap())).collect()
}
