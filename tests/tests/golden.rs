//! Runs every case of every page in `golden/`. `BLESS=1` rewrites what the pages expect; `CASE=words`
//! runs the cases whose name has them. What a page expects is checked by hand before it is blessed.

use fantail_tests::golden::{Outcome, Page, diff, pages, rewrite, run};
use fantail_tests::outside::Folder;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

fn schema() -> jsonschema::Validator {
    let schema = serde_json::from_str(include_str!("../../grammar/plan.schema.json")).unwrap();
    jsonschema::draft202012::new(&schema).unwrap()
}

/// All chosen cases of all pages, on two threads.
fn outcomes(pages: &[Page], only: &str) -> Vec<Vec<Option<Outcome>>> {
    let jobs: Vec<(usize, usize)> = pages
        .iter()
        .enumerate()
        .flat_map(|(page, of)| (0..of.cases.len()).map(move |case| (page, case)))
        .filter(|(page, case)| pages[*page].cases[*case].name.contains(only))
        .collect();
    let done: Mutex<Vec<Vec<Option<Outcome>>>> =
        Mutex::new(pages.iter().map(|page| page.cases.iter().map(|_| None).collect()).collect());
    let next = AtomicUsize::new(0);
    let schema = schema();
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some((page, case)) = jobs.get(next.fetch_add(1, Ordering::SeqCst)) {
                    let started = std::time::Instant::now();
                    let outcome = run(&pages[*page].cases[*case], &schema);
                    if started.elapsed().as_secs() > 4 {
                        println!("{:?} for {}", started.elapsed(), pages[*page].cases[*case].name);
                    }
                    done.lock().unwrap()[*page][*case] = Some(outcome);
                }
            });
        }
    });
    done.into_inner().unwrap()
}

#[test]
fn every_case_gives_what_its_page_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("golden");
    let bless = std::env::var_os("BLESS").is_some();
    let only = std::env::var("CASE").unwrap_or_default();
    let pages = pages(&folder);
    let plans = Folder::new("golden");
    let (mut cases, mut clean, mut moved, mut fixes, mut without_fix) = (0, 0, 0, 0, 0);
    let mut wrong = String::new();
    for (number, (page, outcomes)) in pages.iter().zip(outcomes(&pages, &only)).enumerate() {
        let file = page.path.file_name().unwrap().to_string_lossy();
        let mut bodies = Vec::new();
        for (place, (case, outcome)) in page.cases.iter().zip(outcomes).enumerate() {
            bodies.push(Vec::new());
            let Some(outcome) = outcome else { continue };
            cases += 1;
            moved += outcome.moved;
            fixes += outcome.fixes;
            without_fix += outcome.without_fix;
            let mut faults = outcome.faults;
            for (info, body) in &outcome.found {
                let expected = case.expected.iter().find(|fence| fence.info == *info).map(|fence| fence.text.as_str());
                if !bless && expected != Some(body) {
                    faults.push(format!("{info}:\n{}", diff(expected.unwrap_or_default(), body)));
                }
            }
            if let Some(plan) = outcome.plan {
                clean += 1;
                plans.put(&format!("{number}-{place}"), &plan);
            }
            faults.iter().for_each(|fault| wrong.push_str(&format!("\n{file}, {}: {fault}\n", case.name)));
            *bodies.last_mut().unwrap() = outcome.found;
        }
        let text = rewrite(page, &bodies);
        if bless && text != page.text {
            std::fs::write(&page.path, text).unwrap();
        }
    }
    println!(
        "{cases} cases, {clean} clean plans, {moved} moved settings, {fixes} proposed changes tried, {without_fix} conflicts without one"
    );
    if clean > 0 {
        let (right, text) = plans.recompute();
        if !right {
            wrong.push_str(&format!("\nthe outside script: {text}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(cases > 0, "no case has `{only}` in its name");
}
