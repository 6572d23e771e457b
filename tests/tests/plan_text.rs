//! The routing plan as text and JSON, and traces, of one plan written out by hand. No gear here is a
//! real product; the plan follows from its own plugs, settings and cables, as every plan must.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::plan::{Plan, TraceError, json, text, trace};

/// One desk, two boxes in a chain, a sub-snake, one act that plugs one thing more.
fn plan() -> Plan {
    let text = include_str!("plan_text.json");
    serde_json::from_str(text).expect("the plan is in the format")
}

fn part<'t>(text: &'t str, from: &str) -> &'t str {
    let start = text.find(from).unwrap_or_else(|| panic!("no `{from}` in:\n{text}"));
    let rest = &text[start..];
    rest.find("\n\n").map_or(rest, |end| &rest[..end + 1])
}

#[test]
fn devices_stand_desk_first_then_down_the_chain() {
    let text = text(&plan(), None, None).unwrap();
    let at = |name: &str| text.find(&format!("\n{name}: ")).unwrap_or_else(|| panic!("no {name} in:\n{text}"));
    assert!(
        at("foh") < at("stage-left") && at("stage-left") < at("a-far-box") && at("a-far-box") < at("riser"),
        "{text}"
    );
}

#[test]
fn the_head_and_the_cautions() {
    let text = text(&plan(), None, None).unwrap();
    assert!(
        text.starts_with("show   Night Ferry\nvenue  Quayside Hall\ndate   2026-07-04\nrate   48 kHz\nclock  foh\n")
    );
    // The order for 48 V is common practice: mute, plug, switch, wait.
    assert!(text.contains("48 V: mute the outputs"));
    let mut quiet = plan();
    quiet.settings.retain(|setting| setting.set != "phantom");
    assert!(!fantail::plan::text(&quiet, None, None).unwrap().contains("48 V: mute"));
}

#[test]
fn the_desk_is_dialled_in_order() {
    let text = text(&plan(), Some("foh"), None).unwrap();
    assert_eq!(
        part(&text, "foh: desk"),
        "\
foh: desk, little-desk
  plugged
    portA  to stage-left.up  60 m  aes50
    portB  no cable
  sockets
    local 1  talkback   Talkback  Goose-neck  clip  gain 32 dB
    local 3  spare-mic                                          feeds nothing
  dial
    channel 1-8     from  portA 1-8
    channel 9-16    from  portA 9-16
    channel 17      from  local 1
    track 1-8       from  portA 1-8
    out 1-3         from  mix 1-3
    into portA 1-8  from  out 1-8
  channel list
    channel 1   Kick In   riser.in 1  boundary    preamp stage-left.in 1  48 V  gain 24.5 dB  polarity inverted
    channel 2   Taiko     riser.in 2              preamp stage-left.in 2        gain 24.5 dB
    channel 17  Talkback  local 1     Goose-neck                                gain 32 dB
  mixes
    mix 1  Lead vocal  kick-in
  carries
    out 1  foh.mix 1  Lead vocal  on the way to stage-left.out 1
    out 2  foh.mix 2  Drums
  leaves by other gear
    mix 1  Lead vocal  wedge  by stage-left.out 1
  comes along, though nobody asked
    track 1-2  kick-in, 太鼓
    out 3      foh.mix 3
  slots in use
    portA:  in 1-2, 9 of 48  out 1-3 of 48
  not in use
    local 2, 4:          feed no channel
    channel 3-8, 10-16:  unused
    track 3-8:           unused
    out 4-8:             silent
"
    );
}

#[test]
fn one_device_only_and_names_that_nobody_has() {
    let only = text(&plan(), Some("stage-left"), None).unwrap();
    assert!(only.contains("\nstage-left: box") && !only.contains("\nfoh: "), "{only}");
    let slip = text(&plan(), Some("stage-lfet"), None).unwrap_err();
    assert_eq!(slip, "there is no device `stage-lfet`; did you mean `stage-left`?");
    assert_eq!(text(&plan(), None, Some("kestrl")).unwrap_err(), "there is no act `kestrl`; did you mean `kestrel`?");
}

#[test]
fn an_act_says_what_differs_and_alone_stands_whole() {
    let all = text(&plan(), None, None).unwrap();
    let act = part(&all, "\nact kestrel");
    assert!(act.starts_with("\nact kestrel, \"Kestrel Field\", 23:20 to 00:30\n"), "{act}");
    assert!(all.contains("    in 1  kestrel.kick"), "{all}");
    let alone = text(&plan(), None, Some("kestrel")).unwrap();
    assert!(alone.contains("kestrel.kick") && alone.contains("talkback"), "{alone}");
}

#[test]
fn the_same_plan_gives_the_same_text() {
    assert_eq!(text(&plan(), None, None), text(&plan(), None, None));
}

#[test]
fn json_keeps_the_plan_and_gives_a_setting_a_line() {
    let plan = plan();
    let out = json(&plan, &[serde_json::json!({"rule": "silent-track"})]);
    let back: Plan = serde_json::from_str(&out).unwrap();
    assert_eq!(Plan { diagnostics: Vec::new(), ..back.clone() }, plan);
    assert_eq!(back.diagnostics.len(), 1);
    assert!(out.starts_with("{\n  \"fantail\": 1,\n  \"show\": {\"title\": \"Night Ferry\""), "{out}");
    let line =
        r#"    {"device": "foh", "set": "route", "bank": "channel", "first": 1, "last": 8, "from": "foh.portA 1-8"},"#;
    assert!(out.lines().any(|l| l == line), "{out}");
}

#[test]
fn a_source_is_traced_hop_by_hop() {
    let text = trace(&plan(), "kick-in").unwrap().text();
    assert_eq!(
        text,
        "\
kick-in, \"Kick In\"
  riser.in 1
  riser.tail 1     = stage-left.in 1, 10 m analogue
  foh.portA 1      = stage-left.up 1, 60 m aes50
    foh.channel 1                                    channel 1-8 from portA 1-8  asked for
    foh.track 1                                      track 1-8 from portA 1-8    comes along
  goes into foh.mix 1
"
    );
}

#[test]
fn an_origin_shows_what_it_carries_and_where_it_goes() {
    let text = trace(&plan(), "mix 1").unwrap().text();
    assert!(text.contains("carries kick-in (foh.channel 1)"), "{text}");
    assert!(text.contains("stage-left.out 1") && text.contains("offset 1"), "{text}");
}

#[test]
fn a_point_is_traced_both_ways_and_by_either_name() {
    let by_far_end = trace(&plan(), "stage-left.up 1").unwrap();
    let sources: Vec<_> = by_far_end.traced[0].ways.iter().map(|way| way.source.clone().unwrap()).collect();
    assert_eq!(sources, ["foh.mix 1", "kick-in"]);
    assert!(by_far_end.text().contains("> foh.portA 1"));
    // Of a signal that parts, only the way by the point, and what hangs on it.
    let one_end = trace(&plan(), "foh.channel 1").unwrap().text();
    assert!(one_end.contains("  riser.in 1\n") && !one_end.contains("track"), "{one_end}");
    assert!(one_end.contains("goes into foh.mix 1"), "{one_end}");
    let track = trace(&plan(), "foh.track 1").unwrap().text();
    assert!(track.contains("> foh.track 1") && !track.contains("goes into"), "no mix hangs on a track: {track}");
    // Both banks of a box have a 1, and both are in use.
    let TraceError::Ambiguous { choices, .. } = trace(&plan(), "stage-left 1").unwrap_err() else {
        panic!("one meaning")
    };
    assert_eq!(choices, ["stage-left.in 1", "stage-left.out 1"]);
    assert_eq!(trace(&plan(), "stage-left 12").unwrap().traced[0].ways[0].of, "stage-left.in 12");
}

#[test]
fn people_ask_in_their_own_words() {
    let of = |what: &str| trace(&plan(), what).unwrap().traced[0].ways.iter().map(|w| w.of.clone()).collect::<Vec<_>>();
    assert_eq!(of("stage-left out 1"), ["stage-left.out 1"]);
    assert_eq!(of("\"Lead vocal\""), ["foh.mix 1"]);
    assert_eq!(of("lead VOCAL"), ["foh.mix 1"]);
    assert_eq!(of("wedge"), ["stage-left.out 1"]);
    assert!(trace(&plan(), "stage-left nought 1").is_err() && trace(&plan(), "\"Lead guitar\"").is_err());
    // A box may be called like a side of some source.
    let mut sided = plan();
    sided.plugs.push(fantail::plan::Plug {
        source: "keys.riser".into(),
        at: "foh.local 4".into(),
        ..Default::default()
    });
    assert!(matches!(trace(&sided, "riser"), Err(TraceError::NoPoint { .. })));
    assert_eq!(trace(&sided, "riser 1").unwrap().traced[0].ways[0].of, "riser.in 1");
    assert_eq!(trace(&sided, "keys riser").unwrap().traced[0].ways[0].of, "keys.riser");
}

#[test]
fn acts_that_differ_stand_apart() {
    let both = trace(&plan(), "a-far-box.in 1").unwrap();
    assert_eq!(both.traced.iter().map(|t| t.acts.join(",")).collect::<Vec<_>>(), ["kestrel", "ferry"]);
    assert_eq!(both.traced[0].ways[0].source.as_deref(), Some("kestrel.kick"));
    // The act that has it comes first; the other is a line.
    let kick = trace(&plan(), "kick").unwrap();
    assert_eq!((&kick.traced[0].acts, &kick.traced[0].ways[0].of), (&vec!["kestrel".into()], &"kestrel.kick".into()));
    assert!(kick.text().ends_with("\nact ferry: not plugged in here\n"), "{}", kick.text());
    assert_eq!(trace(&plan(), "kick-in").unwrap().traced[0].acts, Vec::<String>::new());
}

#[test]
fn dead_ends_and_slips_are_said() {
    let dead = trace(&plan(), "spare-mic").unwrap().text();
    assert!(dead.contains("dead end: plugged into foh.local 3, and from there nothing takes it"), "{dead}");
    let silent = trace(&plan(), "foh.channel 5").unwrap().text();
    assert!(silent.contains("dead end: it takes foh.portA 5, where nothing arrives"), "{silent}");
    assert_eq!(
        trace(&plan(), "kik-in").unwrap_err().to_string(),
        "nothing here is called `kik-in`; did you mean `kick-in`?"
    );
    assert_eq!(
        trace(&plan(), "foh.chanel 1").unwrap_err().to_string(),
        "nothing here is called `foh.chanel 1`; did you mean `foh.channel`?"
    );
    assert!(matches!(trace(&plan(), "foh.channel 18"), Err(TraceError::PastTheEnd { size: 17, .. })));
    assert!(matches!(trace(&plan(), "foh"), Err(TraceError::NoPoint { .. })));
    assert!(trace(&plan(), "foh.channel 1-99999999").is_err());
}

#[test]
fn a_trace_is_json_too() {
    let value: serde_json::Value = serde_json::from_str(&trace(&plan(), "kick-in").unwrap().json()).unwrap();
    assert_eq!(value["traced"][0]["ways"][0]["hops"][0]["point"], "riser.in 1");
}
