//! The evaluator against plans worked out by hand, against every way to dial them in wrongly, and
//! against a script in another language that shares nothing with it but the plan's JSON.

#[path = "verify/by_hand.rs"]
mod by_hand;
#[path = "verify/gear.rs"]
mod gear;
#[path = "verify/random.rs"]
mod random;
#[path = "verify/sketch.rs"]
mod sketch;

use fantail::plan::{Plan, Wanted};
use fantail::verify::{evaluate, verify};
use fantail_tests::{moved, outside};
use serde_json::Value;

fn plans() -> impl Iterator<Item = (&'static str, Plan, Vec<Wanted>)> {
    by_hand::ALL.iter().map(|(name, text)| {
        let (plan, wants) = sketch::plan(text);
        (*name, plan, wants)
    })
}

fn by_name(name: &str) -> (Plan, Vec<Wanted>) {
    plans().find(|plan| plan.0 == name).map(|(_, plan, wants)| (plan, wants)).unwrap()
}

fn told(plan: &Plan, wants: &[Wanted]) -> String {
    verify(plan, wants).iter().map(|difference| format!("{difference}\n")).collect()
}

#[test]
fn plans_worked_out_by_hand_are_proven() {
    for (name, plan, wants) in plans() {
        assert_eq!(told(&plan, &wants), "", "{name}");
    }
}

#[test]
fn the_outside_script_agrees() {
    let folder = outside::Folder::new("by-hand");
    for (number, (_, plan, _)) in plans().enumerate() {
        folder.put(&number.to_string(), &plan);
    }
    let (right, text) = folder.recompute();
    assert!(right, "{text}");
}

#[test]
fn the_outside_script_notices_every_moved_setting_that_changes_a_signal() {
    let folder = outside::Folder::new("moved");
    let mut expected = Vec::new();
    for (name, plan, _) in plans() {
        for (number, (what, moved)) in moved::settings(&plan).into_iter().enumerate() {
            let acts: Vec<_> = moved::acts(&plan);
            let same =
                acts.iter().all(|act| match (evaluate(&plan, act.as_deref()), evaluate(&moved, act.as_deref())) {
                    (Ok(before), Ok(after)) => before == after,
                    _ => true, // what is not well formed is not the script's to judge
                });
            let file = format!("{}-{number}", name.replace(' ', "-"));
            folder.put(&file, &moved);
            if !same {
                expected.push((file, what));
            }
        }
    }
    assert!(expected.len() > 50, "{}", expected.len());
    let (_, text) = folder.recompute();
    for (file, what) in expected {
        assert!(text.contains(&format!("{file}.json")), "{file}: {what}");
    }
}

#[test]
fn every_single_setting_moved_by_one_step_is_noticed() {
    let mut tried = 0;
    for (name, plan, wants) in plans() {
        for (what, moved) in moved::settings(&plan) {
            assert_ne!(told(&moved, &wants), "", "{name}: {what}");
            tried += 1;
        }
    }
    assert!(tried > 200, "{tried}");
}

#[test]
fn every_cable_and_plug_moved_is_noticed() {
    for (name, plan, wants) in plans() {
        for (what, moved) in moved::cables(&plan).into_iter().chain(moved::plugs(&plan)) {
            assert_ne!(told(&moved, &wants), "", "{name}: {what}");
        }
    }
}

#[test]
fn what_gear_gives_is_held_against_its_preamps() {
    let text = "desk foh\noutside player out 1-4\nloom player.out 1-2 to foh.local 1-2\n\
        inputs foh { 1-2 tracks playback from player.out 1-2 pad gain 10 dB }\n";
    let files = fantail::project::InMemory::default().with("show", text);
    let plan = fantail::analyse(std::path::Path::new("show"), &files).plan;
    let as_drafted = told(&plan, &[]);
    let changes: [fn(&mut Plan); 6] = [
        |plan| plan.given[0].preamps[0].gain_db = Some(11.0),
        |plan| plan.given[0].preamps[0].pad = false,
        |plan| plan.given[0].preamps[0].at = "foh.local 2".into(),
        |plan| plan.given[0].at = "player.out 3".into(),
        |plan| plan.given[0].at = "foh.local 3".into(),
        |plan| drop(plan.given.remove(1)),
    ];
    for (number, change) in changes.into_iter().enumerate() {
        let mut changed = plan.clone();
        change(&mut changed);
        assert_ne!(told(&changed, &[]), as_drafted, "{number}");
    }
}

#[test]
fn gear_that_is_on_later_than_need_be_is_noticed() {
    let text = "desk foh\nbox stage is box-16x8 on foh.portA\nbox idle is box-16x8 on foh.portB\n\
        inputs foh { 1 voice dynamic from stage 1 }\noutputs foh { main 1 to foh.out 1 pa }\n";
    let files = fantail::project::InMemory::default().with("show", text);
    let plan = fantail::analyse(std::path::Path::new("show"), &files).plan;
    let as_drafted = told(&plan, &[]);
    let late: [fn(&mut Plan); 3] = [
        |plan| plan.power.insert(0, Default::default()),
        |plan| plan.power.insert(2, Default::default()),
        |plan| {
            let idle = plan.power[1].devices.remove(1);
            plan.power.insert(2, fantail::plan::PowerStep { devices: vec![idle], ..Default::default() });
        },
    ];
    for (number, late) in late.into_iter().enumerate() {
        let mut changed = plan.clone();
        late(&mut changed);
        assert_ne!(told(&changed, &[]), as_drafted, "{number}");
    }
}

#[test]
fn gear_that_is_on_too_early_or_twice_is_noticed() {
    let text = "desk foh\nbox stage is box-16x8 on foh.portA\nbox far is box-16x8 on stage.thru\n\
        inputs foh { 1 voice dynamic from far 1 }\noutputs foh { main 1 to foh.out 1 pa; mix 1 to stage 1 wedge }\n";
    let files = fantail::project::InMemory::default().with("show", text);
    let plan = fantail::analyse(std::path::Path::new("show"), &files).plan;
    assert_eq!(plan.power.len(), 3, "{:?}", plan.power);
    let as_drafted = told(&plan, &[]);
    let early: [fn(&mut Plan); 6] = [
        |plan| plan.power.swap(0, 1),
        |plan| plan.power.swap(1, 2),
        |plan| {
            let first = plan.power.remove(0);
            plan.power[0].devices.extend(first.devices);
        },
        |plan| {
            let apart = plan.power[1].devices.remove(0);
            plan.power.insert(2, fantail::plan::PowerStep { devices: vec![apart], ..Default::default() });
        },
        |plan| {
            let again = plan.power[0].devices[0].clone();
            plan.power[1].devices.push(again);
        },
        |plan| drop(plan.power[1].devices.remove(0)),
    ];
    for (number, early) in early.into_iter().enumerate() {
        let mut changed = plan.clone();
        early(&mut changed);
        assert_ne!(told(&changed, &[]), as_drafted, "{number}");
    }
}

#[test]
fn every_false_claim_is_noticed() {
    for (name, plan, wants) in plans() {
        for (what, moved) in moved::claims(&plan) {
            assert_ne!(told(&moved, &wants), "", "{name}: {what}");
        }
    }
}

#[test]
fn wants_are_held_against_what_arrives() {
    let (plan, wants) = by_name("a split");
    let want = |what: &str, at: &str, via: Option<&str>, arrives| {
        let mut wants = wants.clone();
        wants.retain(|want| want.at != at);
        let via = via.map(str::to_owned);
        wants.push(Wanted { act: None, what: what.into(), at: at.into(), via, arrives });
        told(&plan, &wants)
    };
    assert_eq!(want("overhead", "monitors.channel 2", Some("split.iso-a"), true), "");
    assert_eq!(want("split.iso-a 2", "monitors.channel 2", None, true), "");
    assert_eq!(want("stage-left.up 10", "foh.channel 2", None, true), "", "a slot by its cable's other end");
    assert_ne!(want("overhead", "monitors.channel 2", Some("split.iso-b"), true), "");
    assert_ne!(want("split.iso-b 2", "monitors.channel 2", None, true), "");
    assert_eq!(want("vocal", "foh.channel 1", None, false), "");
    let leak = want("vocal", "foh.channel 8", None, false);
    assert!(leak.contains("foh.channel 8: expected never `vocal`, found `vocal`"), "{leak}");
    assert!(want("vocal", "foh.chanel 8", None, true).contains("a point that is there"));
}

#[test]
fn phantom_is_on_where_it_is_asked_for_and_nowhere_else() {
    let change = |name: &str, line: &str, to: &str| {
        let text = by_hand::ALL.iter().find(|plan| plan.0 == name).unwrap().1;
        assert!(text.contains(line), "{line}");
        let (plan, wants) = sketch::plan(&text.replace(line, to));
        told(&plan, &wants)
    };
    let on = "set stage-left phantom in 10 = on";
    assert!(change("a split", on, "").contains("stage-left.in 10: expected phantom on for `overhead`, found off"));
    // Through a transformer nothing arrives, so the monitor desk's preamp is not to be on.
    let both = change("a split", on, &format!("{on}\n set monitors phantom local 2 = on"));
    assert_eq!(both, "monitors.local 2: expected phantom off, found on\n");
    // With a second straight leg one supply is enough, and two are too many.
    let straight = |settings: &str| {
        let text = by_hand::ALL.iter().find(|plan| plan.0 == "a split").unwrap().1;
        let (mut plan, wants) = sketch::plan(&text.replace(on, settings));
        for bank in &mut plan.models.get_mut("split").unwrap().wiring.banks {
            bank.isolated = false;
        }
        told(&plan, &wants)
    };
    assert_eq!(straight(on), "");
    assert_eq!(
        straight("set monitors phantom local 2 = on"),
        "riser.in 2: expected 48 V by riser.in 2 > riser.tail 2 > split.in 2 > split.iso-a 2 > monitors.local 2, \
         found 48 V by riser.in 2 > riser.tail 2 > split.in 2 > split.direct 2 > stage-left.in 10\n"
    );
    assert!(straight(&format!("{on}\n set monitors phantom local 2 = on")).contains("supplied elsewhere too"));
    let fours = "set stage-left phantom in 9-12 = on";
    assert!(
        change("phantom in fours, a dead line", fours, "set stage-left phantom in 10 = on").contains("whole phantom")
    );
    assert!(
        change("phantom in fours, a dead line", fours, "set stage-left phantom in 9-16 = on")
            .contains("13: expected phantom off")
    );
}

/// One preamp and one way give a source its 48 V, whoever looks.
#[test]
fn another_way_for_48_volts_is_refused_here_and_outside() {
    let folder = outside::Folder::new("phantom-paths");
    let mut tried = Vec::new();
    for (name, plan, wants) in plans() {
        for (number, (what, moved)) in moved::phantom_paths(&plan).into_iter().enumerate() {
            assert_ne!(told(&moved, &wants), "", "{name}: {what}");
            let file = format!("{}-{number}", name.replace(' ', "-"));
            folder.put(&file, &moved);
            tried.push((file, what));
        }
    }
    assert!(tried.len() > 40, "{}", tried.len());
    let (_, text) = folder.recompute();
    for (file, what) in tried {
        assert!(text.contains(&format!("{file}.json")), "{file}: {what}");
    }
}

#[test]
fn what_cannot_be_set_or_plugged_is_said() {
    let with = |name: &str, line: &str| {
        let text = by_hand::ALL.iter().find(|plan| plan.0 == name).unwrap().1;
        let (plan, wants) = sketch::plan(&format!("{line}\n{text}"));
        told(&plan, &wants)
    };
    let cases = [
        ("two boxes in a chain", "set foh route channel 25-28 = foh.local 1-4", "a whole block of 8"),
        ("two boxes in a chain", "set foh route channel 26-33 = foh.local 1-8", "a whole block of 8"),
        ("two boxes in a chain", "set foh route channel 25-32 = foh.local 2-9", "a whole block of 8"),
        ("two boxes in a chain", "set foh route channel 25-32 = foh.mix 1-8", "from local"),
        ("two boxes in a chain", "set foh route channel 41-48 = foh.local 1-8", "points that are there"),
        ("two boxes in a chain", "set foh route channel 25-32 = stage-left.in 1-8", "of the device"),
        ("two boxes in a chain", "set foh route mix 1 = foh.local 1", "a switch of the model"),
        ("two boxes in a chain", "set foh route channel 1-8 = foh.local 1-8", "two"),
        ("two boxes in a chain", "set stage-left offset in = 9", "a switch of the model"),
        ("two boxes in a chain", "set stage-left offset out = 9", "two"),
        ("two boxes in a chain", "set bar offset out = 9", "a device of the plan"),
        ("two boxes in a chain", "set foh tint out = 9", "a kind of setting"),
        ("two boxes in a chain", "set foh phantom out 1 = on", "preamps that are there"),
        ("two boxes in a chain", "plug dup at stage-left.in 1", "one plug"),
        ("two boxes in a chain", "plug dup at stage-left.out 1", "an input"),
        ("two boxes in a chain", "plug dup at stage-left.in 17", "a socket"),
        ("two boxes in a chain", "cable foh.portA to foh.portB", "two cables"),
        ("two boxes in a chain", "device foh desk desk", "one device"),
        ("two boxes in a chain", "device bar mystery desk", "a model of the plan"),
        ("phantom in fours, a dead line", "plug dup at riser.in 3", "out of use"),
        ("phantom in fours, a dead line", "plug dup at stage-left.in 9", "a line or a plug"),
        ("phantom in fours, a dead line", "run riser.tail 1 to stage-left.in 9", "two lines"),
        ("phantom in fours, a dead line", "run riser.in 1 to stage-left.in 1", "from an output to an input"),
        ("phantom in fours, a dead line", "run riser.tail 1-4 to stage-left.in 1-3", "unequal"),
        ("personal feeds", "set foh route portA 41-48 = foh.out 1-8", "free"),
        ("optical as a copy", "set stage-left offset optical = 1", "a switch of the model"),
        ("optical as a copy", "set stage-left mode optical = loop", "one of its modes"),
        ("optical as outputs", "set stage-left offset optical = 2", "one of its choices"),
    ];
    for (name, line, expected) in cases {
        let text = with(name, line);
        assert!(text.contains(expected), "{line}: {text}");
    }
    let most: String = (2..=6).map(|n| format!("set foh route personal {n} = foh.mix {n}\n")).collect();
    assert!(with("personal feeds", &most).contains("at most 6 points"));
}

#[test]
fn slots_are_kept_for_the_bank_that_they_are_for() {
    let (mut plan, wants) = by_name("two boxes in a chain");
    let wiring = &mut plan.models.get_mut("box-16x8").unwrap().wiring;
    let reserved = |port: &str, name: &str| {
        serde_json::from_value(serde_json::json!({"port": port, "first": 9, "last": 16, "for": name}))
    };
    wiring.reserved.push(reserved("up", "personal").unwrap());
    assert!(told(&plan, &wants).contains("stage-right offset out: expected slots 9-16 of up for personal"));
    let (mut plan, wants) = by_name("two boxes in a chain");
    plan.models.get_mut("desk").unwrap().wiring.reserved.push(reserved("portA", "personal").unwrap());
    assert!(told(&plan, &wants).contains("foh route portA 9-16: expected slots reserved for personal, found `out`"));
}

#[test]
fn loops_and_meetings_are_said_and_silent() {
    let (plan, wants) = sketch::plan(
        "device foh desk desk
         device monitors desk desk
         cable foh.portA to monitors.portA
         set foh route portA 1-8 = foh.portA 1-8
         set foh route channel 1-8 = foh.portA 1-8
         set monitors route portA 1-8 = monitors.portA 1-8",
    );
    let text = told(&plan, &wants);
    assert_eq!(text.matches("one source or silence, found a loop").count(), 8, "{text}");
    assert!(evaluate(&plan, None).is_err());
    let (mut plan, wants) = by_name("a box that two desks share");
    for takes in &mut plan.models.get_mut("box-shared").unwrap().wiring.takes {
        takes.driven_by = None;
    }
    assert_eq!(told(&plan, &wants), "", "one desk alone sends to it");
    for line in ["monitors route out 1 = monitors.mix 1", "monitors route portB 1-8 = monitors.out 1-8"] {
        let (more, _) = sketch::plan(&format!("set {line}"));
        plan.settings.extend(more.settings);
    }
    let text = told(&plan, &wants);
    assert!(
        text.contains("rack.out 1: expected one source or silence, found `monitors.mix 1` and `foh.mix 1`"),
        "{text}"
    );
}

#[test]
fn half_the_slots_at_twice_the_rate() {
    let (mut plan, _) = by_name("boxes of 8, 16 and 8");
    plan.rate_hz = 96_000;
    let arrivals = evaluate(&plan, None).unwrap_err();
    assert!(arrivals.iter().any(|d| d.place == "foh route channel 25-32"), "{arrivals:?}");
    plan.settings.pop();
    let sources: Vec<_> = evaluate(&plan, None).unwrap().into_iter().map(|arrival| arrival.source).collect();
    assert_eq!(sources, ["a", "b", "c"], "the last box is past the 24th slot");
    plan.rate_hz = 192_000;
    assert!(evaluate(&plan, None).is_err(), "no such rate, no slots to route");
}

#[test]
fn the_schema_takes_these_plans_and_no_broken_ones() {
    let schema: Value = serde_json::from_str(include_str!("../../grammar/plan.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for (name, plan, _) in plans() {
        let good = serde_json::to_value(&plan).unwrap();
        let errors: Vec<_> =
            validator.iter_errors(&good).map(|error| format!("{}: {error}", error.instance_path)).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
        for pointer in moved::objects(&good) {
            let mut extra = good.clone();
            extra.pointer_mut(&pointer).unwrap()["wrong-key"] = 1.into();
            assert!(!validator.is_valid(&extra), "{name}: a stray key in {pointer}");
        }
    }
    let (plan, _) = by_name("two boxes in a chain");
    let good = serde_json::to_value(&plan).unwrap();
    let broken: [(&str, Value); 12] = [
        ("/fantail", 2.into()),
        ("/rate_hz", "48k".into()),
        ("/plugs/0/at", "stage-left.in".into()),
        ("/plugs/0/at", "stage-left.in 0".into()),
        ("/cables/0/use", "red".into()),
        ("/settings/0/set", "tint".into()),
        ("/settings/0/from", Value::Null),
        ("/settings/0/set", "offset".into()),
        ("/signals/0/ends/0/path", Value::Array(vec![])),
        ("/devices/0/role", "console".into()),
        ("/models/desk/wiring/banks/0/role", "sideways".into()),
        ("/models/desk/wiring/routes/0/block", 0.into()),
    ];
    for (pointer, value) in broken {
        let mut plan = good.clone();
        *plan.pointer_mut(pointer).unwrap() = value.clone();
        assert!(!validator.is_valid(&plan), "{pointer} = {value}");
    }
}

#[test]
fn no_broken_plan_brings_the_evaluator_down() {
    // Each model is broken once, in the first plan that has it.
    let mut models = std::collections::BTreeSet::new();
    for (_, plan, wants) in plans() {
        let good = serde_json::to_value(&plan).unwrap();
        let acts = moved::acts(&plan);
        let old = models.clone();
        models.extend(plan.models.keys().map(|name| format!("/models/{name}/")));
        for pointer in moved::leaves(&good) {
            if old.iter().any(|model| pointer.starts_with(model.as_str())) {
                continue;
            }
            for value in moved::nonsense(good.pointer(&pointer).unwrap()) {
                let mut broken = good.clone();
                *broken.pointer_mut(&pointer).unwrap() = value;
                let Ok(broken) = serde_json::from_value::<Plan>(broken) else { continue };
                let _ = verify(&broken, &wants);
                acts.iter().for_each(|act| drop(evaluate(&broken, act.as_deref())));
            }
        }
    }
}

#[test]
fn random_rigs_are_heard_alike_from_outside() {
    let folder = outside::Folder::new("random");
    let mut seen = random::Coverage::default();
    for seed in 0..600 {
        let mut plan = random::plan(seed);
        let Ok(arrivals) = evaluate(&plan, None) else {
            seen.refused += 1;
            continue;
        };
        let wants = random::claim(&mut plan, &arrivals, seed);
        seen.count(&plan, &arrivals);
        assert_eq!(told(&plan, &wants), "", "seed {seed}");
        folder.put(&format!("{seed}"), &plan);
    }
    println!("{seen:?}");
    assert!(seen.refused < 200 && seen.rigs > 300 && seen.longest > 8, "{seen:?}");
    let (right, text) = folder.recompute();
    assert!(right, "{text}");
}
