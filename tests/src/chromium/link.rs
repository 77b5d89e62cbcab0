//! One socket to a browser: commands with their answers, and events sorted by the page they belong to. Must know no command.

use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use std::collections::HashMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::{mpsc, oneshot};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::protocol::WebSocketConfig;

/// The socket to a browser.
#[derive(Debug)]
pub(super) struct Link {
    out: mpsc::UnboundedSender<Message>,
    next: AtomicU64,
    waiting: Waiting,
    sessions: Sessions,
}

type Waiting = Arc<Mutex<HashMap<u64, oneshot::Sender<Value>>>>;
type Sessions = Arc<Mutex<HashMap<String, mpsc::UnboundedSender<Value>>>>;

impl Link {
    pub(super) async fn open(address: &str) -> Arc<Self> {
        // A trace or a picture is one message.
        let config = WebSocketConfig::default().max_message_size(None).max_frame_size(None);
        let opened = tokio_tungstenite::connect_async_with_config(address, Some(config), true).await;
        let (socket, _) = opened.expect("the browser lets its socket be opened");
        let (mut to_browser, mut from_browser) = socket.split();
        let (out, mut outgoing) = mpsc::unbounded_channel::<Message>();
        let (waiting, sessions) = (Waiting::default(), Sessions::default());
        tokio::spawn(async move {
            while let Some(message) = outgoing.recv().await {
                if to_browser.send(message).await.is_err() {
                    return;
                }
            }
        });
        let (answers, events) = (Arc::clone(&waiting), Arc::clone(&sessions));
        tokio::spawn(async move {
            while let Some(Ok(message)) = from_browser.next().await {
                let Ok(text) = message.into_text() else { continue };
                let Ok(value) = serde_json::from_str::<Value>(&text) else { continue };
                if let Some(id) = value["id"].as_u64() {
                    let asker = answers.lock().unwrap_or_else(PoisonError::into_inner).remove(&id);
                    // Whoever asked may have gone.
                    let _ = asker.map(|asker| asker.send(value));
                } else if let Some(session) = value["sessionId"].as_str() {
                    let events = events.lock().unwrap_or_else(PoisonError::into_inner);
                    let _ = events.get(session).map(|to| to.send(value.clone()));
                }
            }
        });
        Arc::new(Self { out, next: AtomicU64::new(1), waiting, sessions })
    }

    /// What happens in a session from now on.
    pub(super) fn events(&self, session: &str) -> mpsc::UnboundedReceiver<Value> {
        let (to, events) = mpsc::unbounded_channel();
        self.sessions.lock().unwrap_or_else(PoisonError::into_inner).insert(session.to_owned(), to);
        events
    }

    /// Result of a command, of the browser itself or of a session.
    ///
    /// # Panics
    /// When the browser refuses it or is gone.
    pub(super) async fn command(&self, session: Option<&str>, method: &str, parameters: Value) -> Value {
        let id = self.next.fetch_add(1, Ordering::Relaxed);
        let (asker, answer) = oneshot::channel();
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner).insert(id, asker);
        let mut message = json!({"id": id, "method": method, "params": parameters});
        if let Some(session) = session {
            message["sessionId"] = json!(session);
        }
        self.out.send(Message::text(message.to_string())).expect("the browser's socket is open");
        let mut answer = answer.await.expect("the browser answers");
        assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
        answer["result"].take()
    }
}
