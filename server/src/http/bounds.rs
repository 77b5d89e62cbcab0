//! What a request may cost before any page sees it: on a connection that is one too many it is only told so, and what it brings has to come at a pace.
//! It must know no route.

use super::language::words;
use super::pages;
use crate::serving::Connections;
use axum::body::{Body, BodyDataStream, Bytes, HttpBody};
use axum::extract::{ConnectInfo, Extension, Request};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;
use futures_util::stream::{Stream, StreamExt, unfold};
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use tokio::time::timeout;

/// A body may take this long, and as much longer as it has bytes at the slowest pace: a quarter of what a phone has on a 2G network
/// (30 kbit/s). Our own choice.
const AT_LEAST: Duration = Duration::from_secs(20);
const SLOWEST_BYTES_PER_S: f64 = 1000.0;

/// Stands before every route.
pub(super) async fn keep(
    Extension(connections): Extension<Connections>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    request: Request,
    next: Next,
) -> Response {
    if connections.is_one_too_many(from) {
        let words = words();
        let text = words.say("message-too-many-connections");
        let title = words.say("message-too-many-connections-title");
        return last(pages::message(StatusCode::SERVICE_UNAVAILABLE, &title, text));
    }
    // What asks for a socket has none, and would lose the way to it.
    if request.body().is_end_stream() {
        return next.run(request).await;
    }
    let is_too_slow = Arc::new(AtomicBool::new(false));
    let request = request.map(|body| Body::from_stream(paced(body.into_data_stream(), is_too_slow.clone())));
    let response = next.run(request).await;
    if is_too_slow.load(Ordering::Relaxed) {
        let text = words().say("message-too-slow");
        return last(pages::message(StatusCode::REQUEST_TIMEOUT, &words().say("message-failed-title"), text));
    }
    response
}

/// An answer after which the connection is closed.
fn last(mut response: Response) -> Response {
    response.headers_mut().insert(header::CONNECTION, HeaderValue::from_static("close"));
    response
}

/// What comes, until it comes too slowly; time in which nobody asked for it does not count.
fn paced(
    body: BodyDataStream,
    is_too_slow: Arc<AtomicBool>,
) -> impl Stream<Item = Result<Bytes, axum::Error>> {
    struct Coming {
        body: BodyDataStream,
        left: Duration,
        is_too_slow: Arc<AtomicBool>,
    }
    unfold(Coming { body, left: AT_LEAST, is_too_slow }, async |mut coming: Coming| {
        if coming.left.is_zero() {
            return None;
        }
        let asked = Instant::now();
        let item = match timeout(coming.left, coming.body.next()).await {
            Ok(item) => item?,
            Err(late) => {
                coming.left = Duration::ZERO;
                coming.is_too_slow.store(true, Ordering::Relaxed);
                return Some((Err(axum::Error::new(late)), coming));
            }
        };
        let n_bytes = item.as_ref().map_or(0, Bytes::len);
        let earned = Duration::from_secs_f64(n_bytes as f64 / SLOWEST_BYTES_PER_S);
        coming.left = (coming.left + earned).saturating_sub(asked.elapsed());
        Some((item, coming))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use futures_util::stream;

    /// A body of chunks of this size, this often; how many bytes of it come, and whether it was too slow.
    async fn check(n_chunks: usize, bytes: usize, every: Duration) -> (usize, bool) {
        let chunks = stream::iter(0..n_chunks).then(move |_| async move {
            tokio::time::sleep(every).await;
            Ok::<_, axum::Error>(Bytes::from(vec![b'x'; bytes]))
        });
        let is_too_slow = Arc::new(AtomicBool::new(false));
        let body = Body::from_stream(chunks).into_data_stream();
        let items: Vec<_> = paced(body, is_too_slow.clone()).collect().await;
        let n_bytes = items.iter().flatten().map(Bytes::len).sum();
        (n_bytes, is_too_slow.load(Ordering::Relaxed))
    }

    #[tokio::test(start_paused = true)]
    async fn a_body_has_to_come_at_a_pace() {
        assert_eq!(check(100, 1, Duration::from_millis(100)).await, (100, false), "small");
        assert_eq!(check(200, 4000, Duration::from_secs(1)).await, (800_000, false), "2G");
        let (n_bytes, is_too_slow) = check(1000, 1, Duration::from_secs(1)).await;
        assert!(is_too_slow && (19..25).contains(&n_bytes), "{n_bytes}");
    }
}
