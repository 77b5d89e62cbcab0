//! A request beside the socket: what is handed in whole, and its answer. It must not know what is handed in.

use super::connection::{Address, ConnectionError, WITHIN, open_stream};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::time::timeout;
use tokio_tungstenite::tungstenite;

/// Longest answer read: a sentence or two.
const MAX_ANSWER_BYTES: u64 = 64 * 1024;

/// Posts a text in the name of a device, and gives status and text of the answer.
///
/// # Errors
/// [`ConnectionError::Unreachable`], or [`ConnectionError::Gone`] where no whole answer comes in time.
pub(crate) async fn post(
    address: &Address,
    path: &str,
    token: &str,
    body: &str,
) -> Result<(u16, String), ConnectionError> {
    let unreachable = |source| ConnectionError::Unreachable {
        url: address.url(path),
        source: Box::new(tungstenite::Error::Io(source)),
    };
    let opened = timeout(WITHIN, open_stream(address)).await.map_err(|_| ConnectionError::Gone)?;
    let mut stream = opened.map_err(unreachable)?;
    // Of version 1.0, so that the answer comes as it is, in one piece (RFC 9112, section 6.1), and ends with the connection.
    let head = format!(
        "POST {path} HTTP/1.0\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nx-windrow-device: {token}\r\n\r\n",
        address.host_and_port(),
        body.len()
    );
    let answer = async {
        stream.write_all(head.as_bytes()).await?;
        stream.write_all(body.as_bytes()).await?;
        stream.flush().await?;
        let mut answer = Vec::new();
        (&mut stream).take(MAX_ANSWER_BYTES).read_to_end(&mut answer).await?;
        Ok::<_, std::io::Error>(answer)
    };
    // Writing it down may last, and over a slow Wi-Fi the way there does.
    let answer = timeout(6 * WITHIN, answer).await.map_err(|_| ConnectionError::Gone)?;
    read(&answer.map_err(|_| ConnectionError::Gone)?).ok_or(ConnectionError::Gone)
}

/// Status and text of an answer.
fn read(answer: &[u8]) -> Option<(u16, String)> {
    let end = answer.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = std::str::from_utf8(&answer[..end]).ok()?;
    let status = head.lines().next()?.split(' ').nth(1)?.parse().ok()?;
    Some((status, String::from_utf8_lossy(&answer[end + 4..]).into_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_is_read_by_its_first_line_and_what_follows_the_head() {
        let answer = b"HTTP/1.0 422 Unprocessable Entity\r\ncontent-length: 4\r\n\r\nno\r\n";
        assert_eq!(read(answer), Some((422, "no\r\n".to_owned())));
        assert_eq!(read(b"HTTP/1.0 200 OK\r\ncontent-len"), None, "it broke off");
        assert_eq!(read(b""), None);
    }
}
