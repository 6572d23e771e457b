//! Tells the client that work goes on, where it takes long.

use std::future::Future;
use std::time::Duration;
use tokio::time::timeout;
use tower_lsp::Client;
use tower_lsp::lsp_types::notification::Progress;
use tower_lsp::lsp_types::request::WorkDoneProgressCreate;
use tower_lsp::lsp_types::*;

/// Shorter work is not shown.
const LONG: Duration = Duration::from_millis(400);

/// What `work` comes to; without a client nothing is shown.
pub async fn shown<T>(client: Option<Client>, work: impl Future<Output = T>) -> T {
    tokio::pin!(work);
    let Some(client) = client else { return work.await };
    if let Ok(done) = timeout(LONG, &mut work).await {
        return done;
    }
    // Sent in order beside the work; a client that does not answer holds up only this.
    let (finished, wait) = tokio::sync::oneshot::channel::<()>();
    tokio::spawn(async move {
        let token = NumberOrString::String("fantail/check".to_string());
        let create = WorkDoneProgressCreateParams { token: token.clone() };
        if client.send_request::<WorkDoneProgressCreate>(create).await.is_err() {
            return;
        }
        let tell = |value| ProgressParams { token: token.clone(), value: ProgressParamsValue::WorkDone(value) };
        let begin = WorkDoneProgressBegin { title: "Checking the patch".to_string(), ..Default::default() };
        client.send_notification::<Progress>(tell(WorkDoneProgress::Begin(begin))).await;
        let _ = wait.await;
        client.send_notification::<Progress>(tell(WorkDoneProgress::End(WorkDoneProgressEnd { message: None }))).await;
    });
    let done = work.await;
    let _ = finished.send(());
    done
}
