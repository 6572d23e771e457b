//! The drawings, read back as XML: what the plan says stands on them, in texts that do not overlap, inside the
//! picture.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::plan::Plan;
use fantail::project::{Disk, Files, InMemory};
use fantail::sheets::{Pack, Part, Picture, Sheet, pack, pattern};
use fantail_tests::sized;
use roxmltree::{Document, Node};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::Path;
use std::sync::LazyLock;
use unicode_width::UnicodeWidthStr;

struct Show {
    name: String,
    plan: Plan,
    pack: Pack,
}

fn made(name: &str, root: &Path, files: &dyn Files) -> Show {
    let compiled = fantail::compile(root, files);
    let errors: Vec<_> = compiled.diagnostics.iter().filter(|one| one.is_error()).collect();
    assert!(errors.is_empty(), "{name}: {errors:#?}");
    Show { name: name.to_string(), pack: pack(&compiled.plan), plan: compiled.plan }
}

fn written(name: &str, text: &str) -> Show {
    made(name, Path::new("show.fantail"), &InMemory::default().with("show.fantail", text))
}

const EXAMPLES: &[&str] = &[
    "tour/venues/quayside-hall.fantail",
    "tour/venues/lantern-shed.fantail",
    "festival/day.fantail",
    "small-desk/tin-boat.fantail",
    "theatre/salt-road.fantail",
];

const PLACES: [&str; 9] = ["USR", "USC", "USL", "SR", "C", "SL", "DSR", "DSC", "DSL"];

/// So many inputs on three boxes, spread over the stage by `place`.
fn large(inputs: usize, place: fn(usize) -> String) -> String {
    let mut text = String::from(
        "fantail 1\nshow \"Long Evening\" at \"Yard\" on 2026-07-04\ndesk foh is desk-96\n\
         box left is box-32x16 on foh.portA offset 1 cable 60 m screened locking place SL\n\
         box right is box-32x16 on foh.portB offset 1 cable 15 m screened locking place -2 m, 1 m\n\
         box back is box-32x16 on foh.portC offset 1 cable 15 m screened locking\n\
         mic vocal-hand \"Hand-held vocal\" { kind dynamic }\ninputs foh {\n",
    );
    let kinds = ["condenser", "dynamic", "di-active", "vocal-hand", "ribbon", "radio"];
    for n in 0..inputs {
        let (side, kind) = (["left", "right", "back"][n / 32], kinds[n % kinds.len()]);
        let phantom = if matches!(kind, "condenser" | "di-active") { "phantom" } else { "" };
        let label = ["Kick in", "Second acoustic guitar", "Hat", "MMMMMMMMMMMMWWW"][n % 4];
        let socket = n % 32 + 1;
        let place = place(n);
        writeln!(text, "  {} source-{n} {kind} from {side} {socket} {phantom} \"{label} {n}\" {place}", n + 1).unwrap();
    }
    text.push_str("}\noutputs foh {\n  mix 9-10 to right 7-8 in-ears \"Lead ears\" stereo at DSC of source-1\n");
    for (n, place) in PLACES.iter().enumerate().take(9).skip(1) {
        writeln!(text, "  mix {n} to left {n} wedge \"Wedge {n}\" at {place} of source-1").unwrap();
    }
    text + "}\n"
}

/// More sub-snakes on one desk than are drawn with lines.
fn snakes() -> String {
    let mut text = String::from("desk foh is desk-96\n");
    for (port, name) in [("portA", "left"), ("portB", "right"), ("portC", "back")] {
        writeln!(text, "box {name} is box-32x16 on foh.{port} offset 1 cable 60 m screened locking place SL").unwrap();
        for n in 0..4 {
            let (first, last) = (n * 8 + 1, n * 8 + 8);
            writeln!(text, "snake {name}-{n} is snake-8 to {name} {first}-{last} cable 5 m").unwrap();
        }
    }
    text.push_str("inputs foh {\n");
    for n in 0..96 {
        let (side, snake) = (["left", "right", "back"][n / 32], n % 32 / 8);
        writeln!(text, "  {} source-{n} dynamic from {side}-{snake} {}", n + 1, n % 8 + 1).unwrap();
    }
    text + "}\n"
}

/// Names that mean something to XML, turn the writing around or are as long as a row.
fn hostile() -> String {
    let long = "x".repeat(200);
    let names = ["<script>", "a|b", "]]> &amp; '", "שלום 太鼓", "{{x}}", "WWWWWWWWWWWWWWWWWWW", &long];
    let mut text = String::from(
        "fantail 1\nshow \"<b>&\" at \"'\" on 2026-07-04\ndesk foh is desk-48\n\
         box stage \"<i>&'\" is box-16x8 on foh.portA offset 1 cable 60 m screened locking place \"<x> & y\"\ninputs foh {\n",
    );
    for (number, name) in (1..).zip(names) {
        let (socket, place) = (number, PLACES[number]);
        writeln!(text, "  {number} source-{number} dynamic from stage {socket} \"{name}\" at {place} who \"{name}\"")
            .unwrap();
    }
    text + "}\noutputs foh {\n  mix 1 to stage 1 wedge \"<i>=2+2|\" at USC of all inputs\n}\n"
}

static SHOWS: LazyLock<Vec<Show>> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples");
    let mut shows: Vec<Show> = EXAMPLES.iter().map(|name| made(name, &folder.join(name), &Disk)).collect();
    shows.push(written("hostile", &hostile()));
    // What no file can say, a plan from elsewhere may.
    let mut plan = written("", &hostile()).plan;
    for source in &mut plan.sources {
        source.label.push_str("\u{0}\u{202e}\u{ffff}\u{7}");
    }
    shows.push(Show { name: "letters that break".into(), pack: pack(&plan), plan });
    shows.push(written("48 inputs", &large(48, |n| format!("at {}", PLACES[n % 9]))));
    shows.push(written("all at the drums", &large(96, |_| "at USC".into())));
    shows.push(written("in metres", &large(48, |n| format!("at {} m, {} m", n % 7, n / 11))));
    shows.push(written("in words", &large(96, |n| format!("at \"riser {}\"", n % 5))));
    shows.push(written("of many snakes", &snakes()));
    shows.push(written(
        "one desk",
        "desk foh is desk-48\nbox stage on foh.portA\ninputs foh { 1 a dynamic from stage 1 }\n",
    ));
    shows.push(written("of many desks", &sized::show(500)));
    shows
});

fn pictures(pack: &Pack) -> impl Iterator<Item = (&Sheet, &Picture)> {
    pack.sheets.iter().flat_map(|sheet| {
        sheet.parts.iter().filter_map(move |part| match part {
            Part::Picture(picture) => Some((sheet, picture)),
            _ => None,
        })
    })
}

/// The points that the pictures of some sheets show.
fn shown(pack: &Pack, of: impl Fn(&Sheet) -> bool) -> BTreeSet<&str> {
    let drawn = pictures(pack).filter(|(sheet, _)| of(sheet));
    let at = drawn.flat_map(|(_, picture)| picture.svg.split("data-at=\"").skip(1));
    at.filter_map(|rest| rest.split('"').next()).flat_map(|names| names.split('|')).collect()
}

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name).unwrap_or("0").parse().unwrap()
}

/// Left, top, right, bottom.
type Area = (f64, f64, f64, f64);

/// Roughly, in a common sans-serif font: no library measures it here as the drawing does.
fn area(text: &Node) -> Area {
    let (size, words) = (number(text, "font-size"), text.text().unwrap_or_default());
    let wide = words.width() as f64 * size * 0.5;
    let (x, y) = (number(text, "x"), number(text, "y"));
    let left = match text.attribute("text-anchor") {
        Some("middle") => x - wide / 2.0,
        Some("end") => x - wide,
        _ => x,
    };
    (left, y - size * 0.74, left + wide, y + size * 0.1)
}

#[test]
fn every_picture_is_whole_xml_that_says_what_it_is() {
    for show in SHOWS.iter() {
        let mut many = 0;
        for (sheet, picture) in pictures(&show.pack) {
            let document = Document::parse(&picture.svg).unwrap_or_else(|error| panic!("{}: {error}", sheet.slug));
            let root = document.root_element();
            assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"));
            let child = |name: &str| root.children().find(|node| node.has_tag_name(name)).and_then(|node| node.text());
            assert_eq!(child("title"), Some(picture.title.as_str()));
            assert_eq!(child("desc"), Some(picture.said.as_str()));
            assert!(!picture.said.is_empty() && !picture.title.is_empty());
            many += 1;
        }
        assert!(many > 1, "{}", show.name);
    }
}

/// A dark screen shows white what is black on paper: a legend that says "black" says the contrary there.
#[test]
fn no_sign_is_told_by_its_colour() {
    for show in SHOWS.iter() {
        for (sheet, picture) in pictures(&show.pack) {
            let document = Document::parse(&picture.svg).unwrap();
            let texts = document.descendants().filter(|node| node.has_tag_name("text")).filter_map(|node| node.text());
            for text in texts {
                let coloured = ["black", "white"].iter().any(|colour| text.to_lowercase().contains(colour));
                assert!(!coloured, "{}, {}: {text}", show.name, sheet.slug);
            }
        }
    }
}

#[test]
fn no_letter_is_small_and_nothing_stands_outside() {
    for show in SHOWS.iter() {
        for (sheet, picture) in pictures(&show.pack) {
            let document = Document::parse(&picture.svg).unwrap();
            let root = document.root_element();
            let view: Vec<f64> =
                root.attribute("viewBox").unwrap().split(' ').map(|number| number.parse().unwrap()).collect();
            let &[_, _, width, height] = &view[..] else { panic!("{view:?}") };
            // Upright on A4 and Letter, between margins of half an inch.
            assert!(width <= 523.0 && height <= 700.0, "{} {}: {width} x {height}", show.name, sheet.slug);
            let inside = |(left, top, right, bottom): Area| {
                left >= -0.1 && top >= -0.1 && right <= width + 0.1 && bottom <= height + 0.1
            };
            for node in root.descendants().filter(Node::is_element) {
                let (x, y) = (number(&node, "x"), number(&node, "y"));
                let area = match node.tag_name().name() {
                    "text" => {
                        assert!(number(&node, "font-size") >= 9.0, "{}", picture.svg);
                        area(&node)
                    }
                    "rect" => (x, y, x + number(&node, "width"), y + number(&node, "height")),
                    "circle" => {
                        let (x, y, r) = (number(&node, "cx"), number(&node, "cy"), number(&node, "r"));
                        (x - r, y - r, x + r, y + r)
                    }
                    "polyline" => corners(node.attribute("points").unwrap()),
                    _ => continue,
                };
                assert!(inside(area), "{} {}: {node:?} {:?} is outside", show.name, sheet.slug, node.text());
            }
        }
    }
}

fn corners(points: &str) -> Area {
    let points: Vec<(f64, f64)> = points
        .split(' ')
        .map(|point| point.split_once(',').unwrap())
        .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
        .collect();
    let fold =
        |start: f64, pick: fn(f64, f64) -> f64, of: fn(&(f64, f64)) -> f64| points.iter().map(of).fold(start, pick);
    (
        fold(f64::MAX, f64::min, |p| p.0),
        fold(f64::MAX, f64::min, |p| p.1),
        fold(f64::MIN, f64::max, |p| p.0),
        fold(f64::MIN, f64::max, |p| p.1),
    )
}

#[test]
fn no_text_stands_on_another() {
    for show in SHOWS.iter() {
        for (sheet, picture) in pictures(&show.pack) {
            let document = Document::parse(&picture.svg).unwrap();
            let texts: Vec<(Area, &str)> = document
                .descendants()
                .filter(|node| node.has_tag_name("text"))
                .map(|node| (area(&node), node.text().unwrap_or_default()))
                .collect();
            for (at, (a, one)) in texts.iter().enumerate() {
                for (b, other) in &texts[at + 1..] {
                    let apart = a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1;
                    assert!(apart, "{} {}: `{one}` and `{other}` at {a:?} {b:?}", show.name, sheet.slug);
                }
            }
        }
    }
}

#[test]
fn every_plug_has_its_socket_on_a_front() {
    for show in SHOWS.iter() {
        let fronts = shown(&show.pack, |sheet| !sheet.slug.starts_with("stage-plot") && sheet.slug != "signal-flow");
        for plug in show.plan.plugs.iter().chain(show.plan.acts.iter().flat_map(|act| &act.plugs)) {
            assert!(fronts.contains(plug.at.as_str()), "{}: {} is on no front", show.name, plug.at);
        }
    }
}

#[test]
fn every_placed_source_and_mix_is_on_the_plot() {
    for show in SHOWS.iter() {
        let mut of_act: BTreeMap<Option<&str>, BTreeSet<&str>> = BTreeMap::new();
        for sheet in show.pack.sheets.iter().filter(|sheet| sheet.slug.starts_with("stage-plot")) {
            of_act.insert(sheet.act.as_deref(), shown(&show.pack, |other| other.slug == sheet.slug));
        }
        assert!(!of_act.is_empty(), "{} has no plot", show.name);
        let acts: Vec<&str> = show.plan.acts.iter().map(|act| act.act.as_str()).collect();
        let acts = if acts.is_empty() { vec![""] } else { acts };
        for act in acts {
            let plot = of_act.get(&None).or(of_act.get(&Some(act)));
            let plot = plot.unwrap_or_else(|| panic!("{}: no plot for {act}", show.name));
            let here = show.plan.acts.iter().filter(|one| one.act == act);
            let plugs = show.plan.plugs.iter().chain(here.clone().flat_map(|act| &act.plugs));
            let rows = show.plan.sources.iter().chain(here.clone().flat_map(|act| &act.sources));
            let placed: BTreeSet<&str> =
                rows.filter(|row| row.remarks.place.is_some()).map(|row| row.source.as_str()).collect();
            for plug in plugs.filter(|plug| placed.contains(plug.source.as_str())) {
                assert!(plot.contains(plug.at.as_str()), "{} {act}: {} is not on the plot", show.name, plug.source);
            }
            let outputs = show.plan.outputs.iter().chain(here.flat_map(|act| &act.outputs));
            for output in outputs.filter(|output| output.used_as.as_deref() == Some("wedge")) {
                assert!(plot.contains(output.to.as_str()), "{} {act}: {} is not on the plot", show.name, output.to);
            }
        }
    }
}

#[test]
fn every_cable_is_in_the_flow_from_both_ends() {
    for show in SHOWS.iter() {
        let drawn: Vec<Document> = pictures(&show.pack)
            .filter(|(sheet, _)| sheet.slug == "signal-flow")
            .map(|(_, picture)| Document::parse(&picture.svg).unwrap())
            .collect();
        let texts = drawn.iter().flat_map(|document| document.descendants().filter(|node| node.has_tag_name("title")));
        let said: Vec<String> = texts.filter_map(|node| node.text()).map(without_blanks).collect();
        let cables = show.plan.cables.iter().chain(show.plan.acts.iter().flat_map(|act| &act.cables));
        let names: Vec<&str> = cables.clone().flat_map(|cable| [cable.from.as_str(), cable.to.as_str()]).collect();
        for name in &names {
            let name = without_blanks(name);
            assert!(said.iter().any(|row| row.contains(&name)), "{}: nothing leads to {name}", show.name);
        }
        let rows = said.iter().filter(|row| names.iter().any(|name| row.contains(&without_blanks(name))));
        assert_eq!(rows.count(), 2 * cables.count(), "{}: two ends a cable", show.name);
    }
}

fn without_blanks(text: &str) -> String {
    text.split([' ', ',']).collect()
}

#[test]
fn lines_run_through_no_box() {
    for show in SHOWS.iter() {
        for (sheet, picture) in pictures(&show.pack).filter(|(sheet, _)| sheet.slug == "signal-flow") {
            let document = Document::parse(&picture.svg).unwrap();
            let boxes: Vec<Area> = document
                .descendants()
                .filter(|node| node.has_tag_name("rect") && node.attribute("stroke-width") == Some("1.4"))
                .map(|node| {
                    let (x, y) = (number(&node, "x"), number(&node, "y"));
                    (x, y, x + number(&node, "width"), y + number(&node, "height"))
                })
                .collect();
            assert!(!boxes.is_empty(), "{}", show.name);
            let lines = document.descendants().filter(|node| {
                node.has_tag_name("polyline") && node.attribute("stroke-width").is_some_and(|width| width != "0.4")
            });
            for points in lines.map(|line| line.attribute("points").unwrap().to_string()) {
                for piece in points.split(' ').collect::<Vec<_>>().windows(2) {
                    let (left, top, right, bottom) = corners(&piece.join(" "));
                    let through =
                        |area: &&Area| left < area.2 - 1.0 && right > area.0 + 1.0 && top < area.3 && bottom > area.1;
                    let hit = boxes.iter().find(through);
                    assert!(hit.is_none(), "{} {}: {piece:?} runs through {hit:?}", show.name, sheet.slug);
                }
            }
        }
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for show in SHOWS.iter() {
        let again = pack(&show.plan);
        let bytes = |pack: &Pack| pictures(pack).map(|(_, picture)| picture.svg.clone()).collect::<Vec<_>>();
        assert!(bytes(&show.pack) == bytes(&again), "{}", show.name);
    }
}

#[test]
fn marks_are_told_apart_by_their_patterns() {
    let patterns: BTreeSet<String> = SHOWS
        .iter()
        .map(|show| {
            let svg = pattern(&show.pack.mark);
            let document = Document::parse(&svg).unwrap();
            document.descendants().find_map(|node| node.attribute("d")).unwrap().to_string()
        })
        .collect();
    assert_eq!(patterns.len(), SHOWS.len());
}
