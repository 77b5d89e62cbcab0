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
    let request =
        request.map(|body| Body::from_stream(paced(body.into_data_stream(), AT_LEAST, is_too_slow.clone())));
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
    at_least: Duration,
    is_too_slow: Arc<AtomicBool>,
) -> impl Stream<Item = Result<Bytes, axum::Error>> {
    struct Coming {
        body: BodyDataStream,
        left: Duration,
        is_too_slow: Arc<AtomicBool>,
        /// Nothing may follow: what came is no whole.
        is_over: bool,
    }
    unfold(Coming { body, left: at_least, is_too_slow, is_over: false }, async |mut coming: Coming| {
        if coming.is_over {
            return None;
        }
        let asked = Instant::now();
        let item = match timeout(coming.left, coming.body.next()).await {
            Ok(item) => item?,
            Err(late) => {
                coming.is_over = true;
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

    /// How many chunks of a body come that is one of this size, this often, where so long may pass at first; and whether it was too
    /// slow.
    async fn check(bytes: usize, every: Duration, at_least: Duration) -> (usize, bool) {
        let chunks = stream::iter(0..50).then(move |_| async move {
            tokio::time::sleep(every).await;
            Ok::<_, axum::Error>(Bytes::from(vec![b'x'; bytes]))
        });
        let is_too_slow = Arc::new(AtomicBool::new(false));
        let body = Body::from_stream(chunks).into_data_stream();
        let items: Vec<_> = paced(body, at_least, is_too_slow.clone()).collect().await;
        (items.iter().flatten().count(), is_too_slow.load(Ordering::Relaxed))
    }

    #[tokio::test]
    async fn a_body_has_to_come_at_a_pace() {
        // Each chunk allows for another minute and more, or for a hundredth of the time until the next.
        let often = Duration::from_millis(10);
        assert_eq!(check(100_000, often, Duration::from_secs(60)).await, (50, false));
        let seldom = Duration::from_millis(100);
        let (n_chunks, is_too_slow) = check(1, seldom, seldom * 3).await;
        assert!(is_too_slow && n_chunks < 4, "{n_chunks}");
    }
}
