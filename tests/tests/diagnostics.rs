//! The machine-readable forms of diagnostics, held against what is published about them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use fantail::diagnostics::{Diagnostic, Edit, Severity, json, sarif};
use fantail::rules;
use fantail::source::{FileId, Sources, Span};
use serde_json::Value;

fn sample() -> (Sources, Vec<Diagnostic>) {
    let mut sources = Sources::default();
    let show = sources.add(
        "venues/quayside hall.fantail".into(),
        None,
        "include \"../rig.fantail\"\r\n# ギター\nkick\n".into(),
    );
    let rig = sources.add("rig.fantail".into(), None, "desk foh\n".into());
    let mut in_act = Diagnostic::warning("phantom-missing", Span::new(show, 36, 40), "no 48 V").about("kick");
    in_act.act = Some("kestrel".into());
    let diagnostics = vec![
        Diagnostic::error("unknown-name", Span::new(show, 38, 42), "`kick` is nowhere")
            .label(Span::new(rig, 5, 8), "a desk\nhere")
            .help("did you mean `kick-in`?")
            .fix("write `kick-in`", vec![Edit { span: Span::new(show, 38, 42), text: "kick-in".into() }], true),
        in_act,
        Diagnostic::note("not-yet-in-the-catalogue", Span::new(FileId(99), 3, 1), "no file at all"),
    ];
    (sources, diagnostics)
}

fn written(write: impl Fn(&mut dyn std::io::Write) -> std::io::Result<()>) -> Value {
    let mut out = Vec::new();
    write(&mut out).unwrap();
    assert!(out.ends_with(b"}\n"));
    serde_json::from_slice(&out).unwrap()
}

#[test]
fn json_is_as_the_schema_says() {
    let schema: Value = serde_json::from_str(include_str!("../../grammar/diagnostics.schema.json")).unwrap();
    let schema = jsonschema::validator_for(&schema).unwrap();
    let (sources, diagnostics) = sample();
    let object = written(|out| json::write(out, &sources, &diagnostics, rules::ALL));
    let wrong: Vec<_> = schema.iter_errors(&object).map(|error| format!("{}: {error}", error.instance_path)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");

    let first = &object["diagnostics"][0];
    assert_eq!(
        (first["rule"].as_str(), first["code"].as_str()),
        (Some("unknown-name"), rules::find("unknown-name").map(|rule| rule.code))
    );
    assert_eq!(first["span"]["start"], serde_json::json!({"offset": 38, "line": 3, "column": 1}));
    assert_eq!(first["labels"][0]["message"], "a desk here");
    assert_eq!(object["diagnostics"][2]["file"], Value::Null);
    assert_eq!(object["summary"], serde_json::json!({"errors": 1, "warnings": 1, "notes": 1}));
    assert_eq!(json::values(&sources, &diagnostics, rules::ALL), *object["diagnostics"].as_array().unwrap());
    assert_eq!(json::values(&sources, &[], rules::ALL), Vec::<Value>::new());

    let broken = serde_json::json!({"fantail": 1, "summary": {}, "diagnostics": [{"rule": "x"}]});
    assert!(!schema.is_valid(&broken), "a schema that takes anything proves nothing");
}

/// What SARIF 2.1.0 (OASIS, 27 March 2020) requires of the objects that we write, by its sections.
#[test]
fn sarif_has_what_its_standard_requires() {
    let (sources, diagnostics) = sample();
    let log = written(|out| sarif::write(out, &sources, &diagnostics, rules::ALL));
    // 3.13.2, 3.13.4
    assert_eq!(log["version"], "2.1.0");
    let [run] = log["runs"].as_array().unwrap().as_slice() else { panic!("one run") };
    // 3.14.6, 3.18.2, 3.19.8: a run has a tool, it a driver, it a name
    let driver = &run["tool"]["driver"];
    assert!(driver["name"].is_string());
    // 3.14.17: one of two values
    assert!(["utf16CodeUnits", "unicodeCodePoints"].contains(&run["columnKind"].as_str().unwrap()));
    let listed = driver["rules"].as_array().unwrap();
    assert!(listed.iter().all(|rule| rule["id"].is_string()), "3.49.3: a rule has an id");
    let results = run["results"].as_array().unwrap();
    assert_eq!(results.len(), diagnostics.len());
    for (result, diagnostic) in results.iter().zip(&diagnostics) {
        // 3.27.11, 3.11.8
        assert!(result["message"]["text"].as_str().is_some_and(|text| !text.is_empty()));
        // 3.27.10
        assert!(["none", "note", "warning", "error"].contains(&result["level"].as_str().unwrap()));
        // 3.27.5, 3.27.6: the index leads to the rule of that id
        let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(listed[index]["id"], result["ruleId"]);
        assert_eq!(listed[index]["name"], diagnostic.rule);
        let locations =
            [&result["locations"], &result["relatedLocations"]].into_iter().filter_map(Value::as_array).flatten();
        locations.for_each(|location| assert_location(&location["physicalLocation"]));
        // 3.27.28, 3.28.2: related locations say why they are there
        assert!(
            result["relatedLocations"]
                .as_array()
                .is_none_or(|all| all.iter().all(|one| one["message"]["text"].is_string()))
        );
        // 3.55.3, 3.56, 3.57
        for change in
            result["fixes"].as_array().into_iter().flatten().flat_map(|fix| fix["artifactChanges"].as_array().unwrap())
        {
            assert!(change["artifactLocation"]["uri"].is_string());
            assert!(!change["replacements"].as_array().unwrap().is_empty());
            assert!(
                change["replacements"].as_array().unwrap().iter().all(|one| one["deletedRegion"]["startLine"].is_u64())
            );
        }
    }
    assert!(results[2].get("locations").is_none(), "a result without a file has no location");
    assert_eq!(
        results[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"],
        "venues/quayside%20hall.fantail"
    );
    assert_eq!(Severity::Note.word(), results[2]["level"].as_str().unwrap());
}

/// 3.30: lines and columns from 1, an end not before its start; 3.10.1: a reference without blanks.
fn assert_location(physical: &Value) {
    let uri = physical["artifactLocation"]["uri"].as_str().unwrap();
    assert!(uri.is_ascii() && !uri.contains([' ', '<', '>', '\\']), "{uri}");
    let number = |key: &str| physical["region"][key].as_u64().unwrap_or_else(|| panic!("{key} is missing"));
    assert!(number("startLine") >= 1 && number("startColumn") >= 1);
    assert!((number("endLine"), number("endColumn")) >= (number("startLine"), number("startColumn")));
}
