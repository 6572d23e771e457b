//! The wire: bad frames, unknown methods, and the ways to end.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod client;

use client::{Client, Folder};
use serde_json::{Value, json};

#[test]
fn bad_frames_are_survived() {
    let mut client = Client::ready(&[]);
    for bad in
        ["{", "{}", "[]", "null", "\u{fffd}", r#"[{"jsonrpc":"2.0","method":"x"}]"#, r#"{"jsonrpc":"2.0","id":{}}"#]
    {
        client.raw(format!("Content-Length: {}\r\n\r\n{bad}", bad.len()).as_bytes());
    }
    client.raw(b"Content-Length: 3\r\n\r\n\xff\xfe\xfd");
    client.raw(b"X-Nothing: here\r\n\r\n");
    client.raw(b"content-length: 52\r\nContent-Type: odd\r\nX-Third: 1\r\n\r\n");
    client.raw(br#"{"jsonrpc":"2.0","method":"initialized","params":{}}"#);
    assert!(client.request("fantail/unknown", json!({}))["error"].is_object());
}

#[test]
fn an_unknown_method_gets_an_error_and_an_unknown_notification_nothing() {
    let mut client = Client::ready(&[]);
    client.notify("fantail/unknown", json!({}));
    client.notify("$/unknown", json!({}));
    let answer = client.request("fantail/unknown", json!({}));
    // JSON-RPC 2.0, section 5.1: method not found.
    assert_eq!(answer["error"]["code"], -32601);
    assert!(client.seen.iter().all(|message| message.get("id").is_some()), "{:#?}", client.seen);
}

#[test]
fn a_request_before_initialize_is_turned_down() {
    let mut client = Client::start();
    // Language Server Protocol 3.17: server not initialised.
    assert_eq!(client.request("shutdown", Value::Null)["error"]["code"], -32002);
}

#[test]
fn shutdown_takes_params_of_null_and_exit_ends_with_0() {
    let mut client = Client::ready(&[]);
    let answer = client.request("shutdown", Value::Null);
    assert!(answer.get("error").is_none(), "{answer}");
    assert_eq!(answer["result"], Value::Null);
    client.notify("exit", Value::Null);
    client.notify("exit", Value::Null);
    assert_eq!(client.status(), Some(0));
}

#[test]
fn an_answer_leaves_before_an_exit_that_did_not_wait() {
    let mut client = Client::ready(&[]);
    client.send(&json!({"jsonrpc": "2.0", "id": "last", "method": "shutdown"}));
    client.send(&json!({"jsonrpc": "2.0", "method": "exit"}));
    client.wait(|message| message["id"] == "last");
    assert_eq!(client.status(), Some(0));
}

#[test]
fn exit_without_shutdown_ends_with_1() {
    let mut client = Client::ready(&[]);
    client.notify("exit", Value::Null);
    assert_eq!(client.status(), Some(1));
}

#[test]
fn the_end_of_input_is_the_end() {
    let folder = Folder::new("eof");
    let mut client = Client::ready(&[]);
    client.open(&folder.uri("a.fantail"), 1, "show \"Night Ferry\"\n");
    client.close_input();
    assert_eq!(client.status(), Some(1), "nobody said shutdown");
    let mut client = Client::ready(&[]);
    client.request("shutdown", Value::Null);
    client.close_input();
    assert_eq!(client.status(), Some(0));
}
