//! Messages in, messages out, and nothing else through: what is no message of the protocol is dropped
//! here, since the server behind would end on it. Answers nothing and keeps nothing.

use tokio::io::{AsyncBufRead, AsyncBufReadExt, AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt, BufReader};
use tower_lsp::jsonrpc::{Request, Response};

/// The longest header line that is looked at, in bytes.
const LINE: u64 = 64 * 1024;
/// The largest message that is passed on, in bytes.
const LARGEST: u64 = 256 * 1024 * 1024;

/// Passes messages on until the input ends or nobody reads them any more.
pub async fn pump(input: impl AsyncRead + Unpin, mut to: impl AsyncWrite + Unpin) {
    let mut input = BufReader::new(input);
    while let Some(length) = head(&mut input).await {
        let Some(length) = length else { continue };
        let mut body = Vec::new();
        let read = (&mut input).take(length.min(LARGEST)).read_to_end(&mut body).await;
        if read.is_err() || (body.len() as u64) < length.min(LARGEST) {
            return;
        }
        if length > LARGEST {
            let rest = tokio::io::copy(&mut (&mut input).take(length - LARGEST), &mut tokio::io::sink()).await;
            if rest.is_err() {
                return;
            }
            continue;
        }
        if !is_message(&body) {
            continue;
        }
        let header = format!("Content-Length: {}\r\n\r\n", body.len());
        if to.write_all(header.as_bytes()).await.is_err() || to.write_all(&body).await.is_err() {
            return;
        }
    }
}

/// The length that a header states, `None` inside where it states none; `None` at the end of input.
async fn head(input: &mut (impl AsyncBufRead + Unpin)) -> Option<Option<u64>> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        let read = (&mut *input).take(LINE).read_until(b'\n', &mut line).await.ok()?;
        if read == 0 {
            return None;
        }
        let line = String::from_utf8_lossy(&line).to_ascii_lowercase();
        match line.trim_end_matches(['\r', '\n']) {
            "" if line.ends_with('\n') => return Some(length),
            // Wherever it stands in the line: a body whose length nobody said runs into the next header.
            line => length = line.rsplit_once("content-length:").map_or(length, |(_, n)| n.trim().parse().ok()),
        }
    }
}

/// One request, notification or answer; no batch.
fn is_message(body: &[u8]) -> bool {
    let request = serde_json::from_slice::<Request>(body);
    request.is_ok_and(|request| !request.method().is_empty()) || serde_json::from_slice::<Response>(body).is_ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    const GOOD: &str = r#"{"jsonrpc":"2.0","method":"initialized","params":{}}"#;

    async fn pumped(input: &str) -> String {
        let mut out = Vec::new();
        pump(input.as_bytes(), &mut out).await;
        String::from_utf8(out).unwrap()
    }

    fn framed(body: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    }

    #[tokio::test]
    async fn good_messages_pass_whatever_their_header() {
        let lower = format!("content-length: {}\r\nX-Other: 1\r\nContent-Type: text\r\n\r\n{GOOD}", GOOD.len());
        assert_eq!(pumped(&lower).await, framed(GOOD));
        let answer = r#"{"jsonrpc":"2.0","id":1,"result":null}"#;
        assert_eq!(pumped(&framed(answer)).await, framed(answer));
    }

    #[tokio::test]
    async fn bad_ones_are_dropped_and_the_next_is_read() {
        let batch = format!("[{GOOD}]");
        let odd = r#"{"jsonrpc":"2.0","id":1.5,"method":"x"}"#;
        for bad in ["{", "{}", "[]", &batch, "null", "", odd, r#"{"jsonrpc":"2.0","id":1}"#, r#"{"method":"x"}"#] {
            assert_eq!(pumped(&(framed(bad) + &framed(GOOD))).await, framed(GOOD), "{bad}");
        }
        let no_length = format!("Content-Length: many\r\n\r\n{GOOD}{}", framed(GOOD));
        assert_eq!(pumped(&no_length).await, framed(GOOD));
    }

    #[tokio::test]
    async fn a_message_cut_short_is_the_end() {
        assert_eq!(pumped("Content-Length: 99\r\n\r\n{}").await, "");
    }
}
