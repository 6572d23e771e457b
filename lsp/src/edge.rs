//! What stands between the wire and the server: it sees every message in wire order, ends the process as
//! the protocol says, and answers for a handler that broke. It looks into no message's content.

use futures::FutureExt;
use futures::future::BoxFuture;
use std::panic::AssertUnwindSafe;
use std::process;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::task::{Context, Poll};
use std::time::Duration;
use tower::Service;
use tower_lsp::jsonrpc::{Error, Request, Response};

/// How long answers may take to leave after `exit` or the end of input.
const GRACE: Duration = Duration::from_millis(500);
const STEP: Duration = Duration::from_millis(10);

/// How the process is to end.
#[derive(Default)]
pub struct Ending {
    shut_down: AtomicBool,
    in_work: AtomicUsize,
}

impl Ending {
    /// 0 after `shutdown`, 1 without.
    pub fn status(&self) -> i32 {
        i32::from(!self.shut_down.load(Ordering::SeqCst))
    }

    /// Ends the process when no request is in work any more, or after `GRACE`. The status is that of
    /// this moment.
    pub fn soon(self: &Arc<Self>) {
        let (ending, status) = (self.clone(), self.status());
        tokio::spawn(async move {
            let mut waited = Duration::ZERO;
            while waited < GRACE && ending.in_work.load(Ordering::SeqCst) > 0 {
                tokio::time::sleep(STEP).await;
                waited += STEP;
            }
            // The last answer may still be on its way out.
            tokio::time::sleep(STEP * 3).await;
            process::exit(status);
        });
    }
}

/// Counts a request as in work for as long as it lives, cancelled or not.
struct InWork(Arc<Ending>);

impl InWork {
    fn new(ending: &Arc<Ending>) -> Self {
        ending.in_work.fetch_add(1, Ordering::SeqCst);
        InWork(ending.clone())
    }
}

impl Drop for InWork {
    fn drop(&mut self) {
        self.0.in_work.fetch_sub(1, Ordering::SeqCst);
    }
}

pub struct Edge<S> {
    inner: S,
    ending: Arc<Ending>,
}

impl<S> Edge<S> {
    pub fn new(inner: S, ending: Arc<Ending>) -> Self {
        Edge { inner, ending }
    }
}

impl<S> Service<Request> for Edge<S>
where
    S: Service<Request, Response = Option<Response>>,
    S::Future: Send + 'static,
    S::Error: Send + 'static,
{
    type Response = Option<Response>;
    type Error = S::Error;
    type Future = BoxFuture<'static, Result<Self::Response, Self::Error>>;

    fn poll_ready(&mut self, context: &mut Context<'_>) -> Poll<Result<(), Self::Error>> {
        self.inner.poll_ready(context)
    }

    fn call(&mut self, request: Request) -> Self::Future {
        match request.method() {
            "shutdown" => self.ending.shut_down.store(true, Ordering::SeqCst),
            "exit" => {
                self.ending.soon();
                return Box::pin(async { Ok(None) });
            }
            _ => {}
        }
        let request = without_null_params(request);
        let id = request.id().cloned();
        let in_work = InWork::new(&self.ending);
        let answer = AssertUnwindSafe(self.inner.call(request)).catch_unwind();
        Box::pin(async move {
            let answer = answer.await;
            drop(in_work);
            answer.unwrap_or_else(|_| Ok(id.map(|id| Response::from_error(id, Error::internal_error()))))
        })
    }
}

/// Some editors send `"params": null` where there are none, which the server would turn down.
fn without_null_params(request: Request) -> Request {
    if !request.params().is_some_and(serde_json::Value::is_null) {
        return request;
    }
    let (method, id, _) = request.into_parts();
    let bare = Request::build(method);
    match id {
        Some(id) => bare.id(id).finish(),
        None => bare.finish(),
    }
}
