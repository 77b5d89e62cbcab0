//! Why the server could not start. Each text is for the person at the keyboard: it names the thing, the value and what
//! to do.

use std::net::SocketAddr;
use std::path::PathBuf;

/// Why the server could not start.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// An address is taken or not ours.
    #[error(
        "cannot listen on {addr}: {source}. Is Windrow running already? Choose another address with --{option}"
    )]
    Listen {
        /// Address asked for.
        addr: SocketAddr,
        /// Option that changes it.
        option: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
    /// The data directory cannot be used.
    #[error("cannot use the data directory {}: {source}. Choose another with --data", path.display())]
    DataDir {
        /// The directory.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}
