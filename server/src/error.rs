//! Why the server could not start. Each text is for the person at the keyboard: it names the thing, the value and what
//! to do. A cause stands in the text, so it is not given as the error's source as well: whoever prints the whole chain
//! would say it twice.

use crate::store::StoreError;
use crate::tls::TlsError;
use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Why the server could not start.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// An address is taken or not ours.
    #[error(
        "cannot listen on {addr}: {cause}. Is Windrow running already? Choose another address with --{option}"
    )]
    Listen {
        /// Address asked for.
        addr: SocketAddr,
        /// Option that changes it.
        option: &'static str,
        /// What the system said.
        cause: io::Error,
    },
    /// The data directory cannot be used.
    #[error("cannot use the data directory {}: {cause}. Choose another with --data", path.display())]
    DataDir {
        /// The directory.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// Another server uses the records.
    #[error("Windrow is running already with the records in {}. Go on there, or choose another directory with --data", path.display())]
    InUse {
        /// The data directory.
        path: PathBuf,
    },
    /// No place for data is known.
    #[error("this system names no place for data: choose a directory with --data")]
    NoDataDir,
    /// The records cannot be used.
    #[error("cannot use the records in {}: {cause}. {}", path.display(), what_to_do(cause))]
    Store {
        /// The data directory.
        path: PathBuf,
        /// What the database said.
        cause: StoreError,
    },
    /// There is no certificate for https.
    #[error("cannot set up https: {0}. With --no-https only this computer can use its microphone")]
    Tls(TlsError),
    /// A certificate says no name that a link could carry.
    #[error("the certificate {} is for {names}: say with --site which name devices use", path.display())]
    NoSiteName {
        /// The certificate.
        path: PathBuf,
        /// What it is for.
        names: String,
    },
    /// A certificate is not for the site it is to serve.
    #[error("the certificate {} is for {names}, not for {site}. Change --site, or use another certificate", path.display())]
    OtherSite {
        /// The certificate.
        path: PathBuf,
        /// What it is for.
        names: String,
        /// The site asked for.
        site: String,
    },
}

fn what_to_do(cause: &StoreError) -> &'static str {
    match cause {
        StoreError::Unfit(unfit) => unfit.what_to_do(),
        _ => "Is the disk full? Else move the file away, or choose another directory with --data.",
    }
}
