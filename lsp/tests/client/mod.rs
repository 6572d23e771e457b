//! A client of a few lines: it starts the real server, speaks the protocol over its standard input and
//! output, and waits for what must come. No library of the server's side stands between.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// Long past anything that is not stuck, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

pub struct Client {
    child: Child,
    input: Option<ChildStdin>,
    messages: Receiver<Value>,
    /// What came while something else was waited for.
    pub seen: Vec<Value>,
    next_id: i64,
}

impl Client {
    pub fn start() -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_fantail-lsp"))
            .env("XDG_CACHE_HOME", std::env::temp_dir().join("fantail-lsp-cache"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let input = child.stdin.take();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        let (sender, messages) = channel();
        std::thread::spawn(move || {
            while let Some(message) = read(&mut output) {
                if sender.send(message).is_err() {
                    return;
                }
            }
        });
        Client { child, input, messages, seen: Vec::new(), next_id: 0 }
    }

    /// Started, initialised with these position encodings.
    pub fn ready(encodings: &[&str]) -> Self {
        let mut client = Client::start();
        let params = json!({"capabilities": {"general": {"positionEncodings": encodings}}});
        let answer = client.request("initialize", params);
        let expected = if encodings.contains(&"utf-8") { "utf-8" } else { "utf-16" };
        assert_eq!(answer["result"]["capabilities"]["positionEncoding"], expected);
        client.notify("initialized", json!({}));
        client
    }

    pub fn raw(&mut self, bytes: &[u8]) {
        let input = self.input.as_mut().unwrap();
        input.write_all(bytes).unwrap();
        input.flush().unwrap();
    }

    pub fn send(&mut self, message: &Value) {
        let body = message.to_string();
        self.raw(format!("Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes());
    }

    pub fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Sends a request and waits for its answer.
    pub fn request(&mut self, method: &str, params: Value) -> Value {
        let id = self.ask(method, params);
        self.wait(|message| message["id"] == id && message.get("method").is_none())
    }

    /// Sends a request; the number that its answer will bear.
    pub fn ask(&mut self, method: &str, params: Value) -> i64 {
        self.next_id += 1;
        let id = self.next_id;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
        id
    }

    /// How many answers have come to each request so far, in the order in which they were sent.
    pub fn answers(&mut self) -> Vec<usize> {
        self.seen.extend(self.messages.try_iter());
        let mut counts = vec![0; self.next_id as usize];
        for message in self.seen.iter().filter(|message| message.get("method").is_none()) {
            let id = message["id"].as_i64().unwrap_or_else(|| panic!("an answer to nobody: {message}"));
            counts[id as usize - 1] += 1;
        }
        counts
    }

    /// The first message that fits, of those to come.
    pub fn wait(&mut self, fits: impl Fn(&Value) -> bool) -> Value {
        let until = Instant::now() + PATIENCE;
        loop {
            let left = until.saturating_duration_since(Instant::now());
            let message = match self.messages.recv_timeout(left) {
                Ok(message) => message,
                Err(error) => panic!("{error} while waiting; seen {:#?}", self.seen),
            };
            self.seen.push(message.clone());
            if fits(&message) {
                return message;
            }
        }
    }

    /// The diagnostics of a file at a version (`null` where it is not open).
    pub fn diagnostics(&mut self, uri: &str, version: Value) -> Vec<Value> {
        let message = self.wait(|message| {
            message["method"] == "textDocument/publishDiagnostics"
                && message["params"]["uri"] == uri
                && message["params"].get("version").cloned().unwrap_or(Value::Null) == version
        });
        message["params"]["diagnostics"].as_array().unwrap().clone()
    }

    pub fn open(&mut self, uri: &str, version: i32, text: &str) {
        let document = json!({"uri": uri, "languageId": "fantail", "version": version, "text": text});
        self.notify("textDocument/didOpen", json!({"textDocument": document}));
    }

    /// Replaces what stands from one position to another.
    pub fn change(&mut self, uri: &str, version: i32, from: (u32, u32), to: (u32, u32), text: &str) {
        let position = |(line, character)| json!({"line": line, "character": character});
        let change = json!({"range": {"start": position(from), "end": position(to)}, "text": text});
        let document = json!({"uri": uri, "version": version});
        self.notify("textDocument/didChange", json!({"textDocument": document, "contentChanges": [change]}));
    }

    pub fn close(&mut self, uri: &str) {
        self.notify("textDocument/didClose", json!({"textDocument": {"uri": uri}}));
    }

    /// The process.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    pub fn close_input(&mut self) {
        self.input = None;
    }

    /// The exit status, once the process has ended by itself.
    pub fn status(&mut self) -> Option<i32> {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        panic!("the server did not end");
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn read(output: &mut impl BufRead) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if output.read_line(&mut line).ok()? == 0 {
            return None;
        }
        match line.trim_end() {
            "" => break,
            line => {
                if let Some(n) = line.strip_prefix("Content-Length: ") {
                    length = n.parse().ok()?;
                }
            }
        }
    }
    let mut body = vec![0; length];
    output.read_exact(&mut body).ok()?;
    serde_json::from_slice(&body).ok()
}

/// A folder of its own, gone when the test is.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("fantail-lsp-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        Folder(folder.canonicalize().unwrap())
    }

    pub fn uri(&self, file: &str) -> String {
        format!("file://{}", self.0.join(file).display())
    }

    pub fn write(&self, file: &str, text: &str) {
        std::fs::write(self.0.join(file), text).unwrap();
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
