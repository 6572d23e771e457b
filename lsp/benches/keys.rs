//! What a writer waits for: a keystroke until its diagnostics, hover and completion, and what the server
//! holds in memory; each beside one check of the same show in the same run, since only the ratio holds on
//! another machine. `cargo bench -p fantail-lsp --bench keys`, with more sizes behind `--`: `-- 100000`.
//! Nothing here fails a build.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../tests/client/mod.rs"]
mod client;

use client::Client;
use fantail::project::InMemory;
use fantail_tests::sized;
use serde_json::{Value, json};
use std::path::Path;
use std::time::Instant;

const URI: &str = "file:///nowhere/show.fantail";

fn main() {
    let more = std::env::args().filter_map(|size| size.parse().ok());
    let sizes: Vec<usize> = [32, 1_000, 10_000].into_iter().chain(more).collect();
    println!("milliseconds at p50 and p95, each with its ratio to one check");
    for rows in sizes {
        let check = check(rows);
        println!("{rows} rows: one check {check:.2} ms");
        let mut told = Typing::new(rows, false);
        row("key to diagnostics sent", check, &mut told.times(|typing| typing.key_until_sent()));
        let mut asked = Typing::new(rows, true);
        row("key to diagnostics asked for", check, &mut asked.times(|typing| typing.key_and("diagnostic")));
        for (capability, request) in [("hoverProvider", "hover"), ("completionProvider", "completion")] {
            if asked.capabilities.get(capability).is_none() {
                println!("  {request} is not announced");
                continue;
            }
            row(&format!("{request}, nothing changed"), check, &mut asked.times(|typing| typing.timed(request)));
            row(&format!("{request} after a key"), check, &mut asked.times(|typing| typing.key_and(request)));
        }
        memory(rows, &asked.client);
    }
}

/// The least of some tries, in milliseconds.
fn check(rows: usize) -> f64 {
    let files = InMemory::default().with("show.fantail", sized::show(rows));
    let tries = (0..rounds(rows)).map(|_| {
        let start = Instant::now();
        drop(fantail::compile(Path::new("show.fantail"), &files));
        start.elapsed().as_secs_f64() * 1000.0
    });
    tries.fold(f64::MAX, f64::min)
}

fn rounds(rows: usize) -> usize {
    (200_000 / rows).clamp(10, 100)
}

fn row(what: &str, check: f64, times: &mut [f64]) {
    times.sort_by(f64::total_cmp);
    let at = |part: f64| times[((times.len() - 1) as f64 * part).round() as usize];
    let (half, most) = (at(0.5), at(0.95));
    println!("  {what:<30} {half:>9.2} {:>6.2} x {most:>9.2} {:>6.2} x", half / check, most / check);
}

/// Somebody who changes one digit of a row in the middle of the show, again and again.
struct Typing {
    client: Client,
    capabilities: Value,
    rows: usize,
    version: i32,
    line: u32,
    character: u32,
}

impl Typing {
    fn new(rows: usize, pulls: bool) -> Typing {
        let mut client = Client::start();
        let text = if pulls { json!({"diagnostic": {}}) } else { json!({}) };
        let answer = client.request("initialize", json!({"capabilities": {"textDocument": text}}));
        client.notify("initialized", json!({}));
        let show = sized::show(rows);
        client.open(URI, 0, &show);
        let gains: Vec<_> =
            show.lines().enumerate().filter_map(|(line, text)| Some((line, text.find("gain 24")?))).collect();
        let (line, column) = gains[gains.len() / 2];
        let capabilities = answer["result"]["capabilities"].clone();
        let mut typing =
            Typing { client, capabilities, rows, version: 0, line: line as u32, character: column as u32 + 6 };
        typing.timed("diagnostic");
        typing
    }

    fn times(&mut self, one: impl Fn(&mut Typing) -> f64) -> Vec<f64> {
        (0..rounds(self.rows)).map(|_| one(self)).collect()
    }

    fn key(&mut self) {
        self.version += 1;
        let digit = if self.version % 2 == 0 { "4" } else { "5" };
        self.client.change(URI, self.version, (self.line, self.character), (self.line, self.character + 1), digit);
    }

    fn key_until_sent(&mut self) -> f64 {
        let start = Instant::now();
        self.key();
        let found = self.client.diagnostics(URI, json!(self.version));
        assert!(found.iter().all(|one| one["severity"] != 1), "{found:#?}");
        start.elapsed().as_secs_f64() * 1000.0
    }

    fn key_and(&mut self, request: &str) -> f64 {
        let start = Instant::now();
        self.key();
        self.timed(request);
        start.elapsed().as_secs_f64() * 1000.0
    }

    fn timed(&mut self, request: &str) -> f64 {
        let start = Instant::now();
        // The row's source: something can be said of it, and something else could stand there.
        let position = json!({"line": self.line, "character": 8});
        let params = json!({"textDocument": {"uri": URI}, "position": position});
        let answer = self.client.request(&format!("textDocument/{request}"), params);
        assert!(answer.get("error").is_none(), "{answer}");
        start.elapsed().as_secs_f64() * 1000.0
    }
}

/// Where the system says it: what the server holds now and held at most, less what an idle one does.
fn memory(rows: usize, client: &Client) {
    let mut idle = Client::start();
    idle.request("initialize", json!({"capabilities": {}}));
    for (what, key) in [("in memory now", "VmRSS:"), ("in memory at most", "VmHWM:")] {
        match (kilobytes(client, key), kilobytes(&idle, key)) {
            (Some(used), Some(idle)) => {
                let bytes = used.saturating_sub(idle) * 1024 / rows as u64;
                println!("  {what:<30} {bytes:>9} bytes a row over the {idle} kB of an idle server");
            }
            _ => println!("  {what}: this system does not say"),
        }
    }
}

fn kilobytes(client: &Client, key: &str) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", client.id())).ok()?;
    status.lines().find_map(|line| line.strip_prefix(key))?.split_whitespace().next()?.parse().ok()
}
