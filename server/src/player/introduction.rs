//! A device that only says who it is, so that the server knows it from then on. It must know no sound.

use super::connection::{Address, Connection, ConnectionError};
use std::time::Duration;
use tokio::time::timeout;
use windrow_protocol::messages::{Hello, PlayerHears, PlayerSays, Welcome};

/// Longest wait for the welcome.
const WITHIN: Duration = Duration::from_secs(15);

/// Joins, runs `done` with the welcome, and leaves.
///
/// # Errors
/// [`ConnectionError`] where the room does not let it in.
pub(crate) async fn introduced<T>(
    address: &Address,
    hello: Hello,
    done: impl AsyncFnOnce(&Welcome) -> T,
) -> Result<T, ConnectionError> {
    let mut connection = Connection::open(address).await?;
    connection.say(&PlayerSays::Hello(hello)).await?;
    let welcome = async {
        loop {
            if let PlayerHears::Welcome(welcome) = connection.hear().await? {
                return Ok::<_, ConnectionError>(welcome);
            }
        }
    };
    let welcome = timeout(WITHIN, welcome).await.map_err(|_| ConnectionError::Gone)??;
    let done = done(&welcome).await;
    connection.close().await;
    Ok(done)
}
