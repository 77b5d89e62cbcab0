//! A school's own certificate: two PEM files that somebody else makes and renews. It is read again when they change; a new
//! one that is no good is told, and the one before goes on.

use super::files::read;
use super::{DAY, Served, TlsError, end_of, listener_config, names_of, parsed};
use crate::warning::Warning;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::SystemTime;
use windrow_protocol::phrase::Phrase;

/// A certificate with fewer days left is spoken of: whoever renews it may have forgotten.
const ENDS_SOON_DAYS: u32 = 14;

/// The two files.
#[derive(Debug, Clone)]
pub(crate) struct School {
    /// The certificate with those that vouch for it, as PEM.
    pub(crate) certificate: PathBuf,
    /// Its key, as PEM.
    pub(crate) key: PathBuf,
    /// What was served last, by the hash of both files.
    last: Option<[u8; 32]>,
}

impl School {
    pub(crate) fn new(certificate: PathBuf, key: PathBuf) -> Self {
        Self { certificate, key, last: None }
    }

    /// Reads both files and checks that they can be served with.
    pub(crate) fn serve(&mut self, now: SystemTime) -> Result<Served, TlsError> {
        let (certificate, key) = (read(&self.certificate)?, read(&self.key)?);
        let hash: [u8; 32] = Sha256::new().chain_update(&certificate).chain_update(&key).finalize().into();
        let unfit = |reason: String| TlsError::School { path: self.certificate.clone(), reason };
        let chain: Vec<CertificateDer<'static>> = CertificateDer::pem_slice_iter(&certificate)
            .collect::<Result<_, _>>()
            .map_err(|e| unfit(format!("not a PEM file: {e}")))?;
        let leaf = chain.first().ok_or_else(|| unfit("there is no certificate in it".to_owned()))?;
        let leaf = parsed(leaf).map_err(|e| unfit(format!("it is {e}")))?;
        let names: BTreeSet<String> = names_of(&leaf).into_iter().collect();
        let (end, date) = end_of(&leaf);
        if end < now {
            return Err(unfit(format!("it ended on {date}. Ask whoever made it for a new one")));
        }
        if names.is_empty() {
            return Err(unfit("it is for no name at all. Browsers refuse such a certificate".to_owned()));
        }
        let ends_soon = (end < now + DAY * ENDS_SOON_DAYS).then(|| {
            Warning::new(
                Phrase::of("certificate-school-ends")
                    .with("path", self.certificate.display().to_string())
                    .with("date", &*date),
                Phrase::of("certificate-school-ends-do"),
            )
        });
        let key_path = self.key.display();
        let key = PrivateKeyDer::from_pem_slice(&key)
            .map_err(|e| unfit(format!("its key {key_path} is not a PEM file with a private key: {e}")))?;
        let config = listener_config(chain.clone(), key).map_err(|e| match e {
            rustls::Error::InconsistentKeys(_) => {
                unfit(format!("the key {key_path} belongs to another certificate"))
            }
            e => unfit(format!("it cannot be served with: {e}")),
        })?;
        let is_new = self.last != Some(hash);
        self.last = Some(hash);
        Ok(Served { config, names, is_new, warnings: ends_soon.into_iter().collect() })
    }

    /// The name to write in links: the first that stands for one computer only.
    pub(crate) fn link_name(served: &Served) -> Option<&str> {
        let is_name = |n: &&String| !n.starts_with("*.") && n.parse::<std::net::IpAddr>().is_err();
        served.names.iter().find(is_name).map(String::as_str)
    }
}

/// Whether a certificate's names cover one (RFC 6125, section 6.4: a star stands for one label at the left).
pub(crate) fn covers(served: &Served, host: &str) -> bool {
    let host = host.to_ascii_lowercase();
    let below_star = host.split_once('.').map(|(_, rest)| format!("*.{rest}"));
    served.names.contains(&host) || below_star.is_some_and(|star| served.names.contains(&star))
}
