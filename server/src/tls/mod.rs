//! What makes this server's connections secret. A browser only opens a microphone over https, so the first start makes a
//! small authority for this computer and a certificate for its names and addresses ([`Kept`]); a school with a certificate
//! of its own names its files instead ([`School`]). It must know nothing of rooms, pages or networks.

mod authority;
mod files;
mod leaf;
mod school;

pub(crate) use authority::Authority;
pub(crate) use school::{School, covers};

use crate::warning::Warning;
use authority::ensure_authority;
use files::{private_dir, read};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use std::collections::BTreeSet;
use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use windrow_protocol::phrase::Phrase;
use x509_parser::extensions::GeneralName;
use x509_parser::prelude::{FromDer, X509Certificate};

const DAY: Duration = Duration::from_secs(86_400);

/// Why there is no certificate.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file could not be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A certificate could not be made.
    #[error("making a certificate: {0}")]
    Making(#[from] rcgen::Error),
    /// The authority's files do not fit together.
    #[error(
        "{}: {reason}. Remove the directory to have a new certificate made; each device must trust it anew then",
        dir.display()
    )]
    Unusable {
        /// Directory they are in.
        dir: PathBuf,
        /// What was wrong.
        reason: String,
    },
    /// A file names nobody to trust.
    #[error("{}: {source}. Name the file authority.pem of the server's certificate", path.display())]
    NoAuthority {
        /// The file.
        path: PathBuf,
        /// What was wrong.
        source: rustls::Error,
    },
    /// The school's own certificate cannot be served with.
    #[error("the certificate {}: {reason}", path.display())]
    School {
        /// The file.
        path: PathBuf,
        /// What was wrong and what to do.
        reason: String,
    },
}

/// A certificate to serve with, and what a person should hear of it.
#[derive(Debug, Clone)]
pub(crate) struct Served {
    /// Ready for a listener.
    pub(crate) config: Arc<rustls::ServerConfig>,
    /// Names and addresses of now that it is for.
    pub(crate) names: BTreeSet<String>,
    /// Whether it is another one than before.
    pub(crate) is_new: bool,
    /// What is odd about it.
    pub(crate) warnings: Vec<Warning>,
}

/// Chooses the cryptography of the whole process, once. Any other choice made before stands.
pub(crate) fn choose_cryptography() {
    let _ = rustls::crypto::ring::default_provider().install_default();
}

/// Trust in whatever the authority of a PEM file vouches for, for a device of this program.
pub(crate) fn trusting(authority: &Path) -> Result<Arc<rustls::ClientConfig>, TlsError> {
    let unusable = |source| TlsError::NoAuthority { path: authority.to_owned(), source };
    let no_pem = |e| unusable(rustls::Error::General(format!("not a PEM file: {e}")));
    let mut roots = rustls::RootCertStore::empty();
    roots.add(CertificateDer::from_pem_slice(&read(authority)?).map_err(no_pem)?).map_err(unusable)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = rustls::ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(unusable)?
        .with_root_certificates(roots)
        .with_no_client_auth();
    Ok(Arc::new(config))
}

/// The authority and the server's certificate in a directory, made and renewed as need be.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    dir: PathBuf,
    /// The authority that stands behind it.
    pub(crate) authority: Authority,
}

impl Kept {
    /// Opens the directory, which is made where it is missing, and with it an authority for these names.
    ///
    /// The second value is what a person should hear of it.
    pub(crate) fn open(
        data_dir: &Path,
        names: &LocalNames,
        constrained: bool,
        now: SystemTime,
    ) -> Result<(Self, Vec<Warning>), TlsError> {
        let dir = data_dir.join("certificate");
        let mut warnings = private_dir(&dir)?;
        let authority = ensure_authority(&dir, names, constrained, now)?;
        let anew = || Phrase::of("certificate-anew-do").with("path", dir.display().to_string());
        if constrained && authority.permitted.is_none() {
            warnings.push(Warning::new(Phrase::of("certificate-unlimited"), anew()));
        } else if !constrained && authority.permitted.is_some() {
            warnings.push(Warning::new(Phrase::of("certificate-limited"), anew()));
        }
        if authority.not_after < now + authority::ENDS_SOON {
            let ends = Phrase::of("certificate-authority-ends").with("date", &*authority.ends_on);
            warnings.push(Warning::new(ends, anew()));
        }
        Ok((Self { dir, authority }, warnings))
    }

    /// The certificate for these names and addresses, made anew where the one there is does not fit or ends soon.
    pub(crate) fn serve(
        &self,
        names: &LocalNames,
        addresses: &[IpAddr],
        now: SystemTime,
    ) -> Result<Served, TlsError> {
        let (permitted, left_out): (Vec<&String>, Vec<&String>) =
            names.names.iter().partition(|name| self.authority.permits(name));
        let warnings = left_out
            .iter()
            .map(|name| {
                Warning::new(
                    Phrase::of("certificate-other-name").with("name", &***name),
                    Phrase::of("certificate-other-name-do").with("path", self.dir.display().to_string()),
                )
            })
            .collect();
        let own = [IpAddr::V4(Ipv4Addr::LOCALHOST), IpAddr::V6(Ipv6Addr::LOCALHOST)];
        let addresses = addresses.iter().copied().filter(|&ip| is_private(ip)).chain(own);
        let wanted: BTreeSet<String> =
            addresses.map(|ip| ip.to_string()).chain(permitted.into_iter().cloned()).collect();
        let (config, is_new) = leaf::serve(&self.dir, &self.authority, &wanted, now)?;
        Ok(Served { config, names: wanted, is_new, warnings })
    }
}

/// Names this computer answers to on its own network.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LocalNames {
    names: BTreeSet<String>,
    /// The one it announces, without its ending.
    announced: Option<String>,
}

impl LocalNames {
    /// `localhost`, the computer's own name and the one it announces, both without their ending.
    pub(crate) fn new(host: Option<&str>, announced: Option<&str>) -> Self {
        let local = host.into_iter().chain(announced).filter(|&h| h != "localhost");
        let names = local.map(|h| format!("{h}.local")).chain(["localhost".to_owned()]).collect();
        Self { names, announced: announced.map(str::to_owned) }
    }

    /// The names, in order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &str> {
        self.names.iter().map(String::as_str)
    }
}

/// Whether an address is one of those that only a local network has (RFC 1918; RFC 4193). Link-local ones need a zone,
/// which no browser's address takes.
pub(crate) fn is_private(ip: IpAddr) -> bool {
    match ip {
        IpAddr::V4(v4) => v4.is_private(),
        IpAddr::V6(v6) => v6.octets()[0] & 0xfe == 0xfc,
    }
}

/// This computer's name on the local network, without the ending.
pub(crate) fn host_name() -> Option<String> {
    let told = std::env::var("COMPUTERNAME").ok();
    let read = || std::fs::read_to_string("/proc/sys/kernel/hostname").ok();
    let asked = || {
        let output = std::process::Command::new("hostname").output().ok()?;
        String::from_utf8(output.stdout).ok()
    };
    let name = told.or_else(read).or_else(asked)?;
    let label = name.trim().split('.').next().unwrap_or_default().to_ascii_lowercase();
    is_label(&label).then_some(label)
}

/// Whether a text can stand between two dots of a host's name (RFC 1123, section 2.1).
pub(crate) fn is_label(text: &str) -> bool {
    (1..=63).contains(&text.len())
        && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        && !text.starts_with('-')
        && !text.ends_with('-')
}

/// What a listener serves with.
fn listener_config(
    chain: Vec<CertificateDer<'static>>,
    key: PrivateKeyDer<'static>,
) -> Result<Arc<rustls::ServerConfig>, rustls::Error> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .and_then(|builder| builder.with_no_client_auth().with_single_cert(chain, key))?;
    // A page is some seventy small files: over HTTP/2 they come at once, over HTTP/1.1 six at a time, each with a way there and
    // back. Sockets are opened over HTTP/1.1, on a connection of their own.
    config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    Ok(Arc::new(config))
}

/// A certificate taken apart.
fn parsed(der: &[u8]) -> Result<X509Certificate<'_>, String> {
    X509Certificate::from_der(der)
        .map(|(_, certificate)| certificate)
        .map_err(|e| format!("no certificate: {e}"))
}

/// Names and addresses a certificate is for, in its own order.
fn names_of(certificate: &X509Certificate<'_>) -> Vec<String> {
    let extension = certificate.subject_alternative_name().ok().flatten();
    let names = extension.iter().flat_map(|extension| &extension.value.general_names);
    names
        .filter_map(|name| match name {
            GeneralName::DNSName(name) => Some(name.to_ascii_lowercase()),
            GeneralName::IPAddress(bytes) => {
                match (<[u8; 4]>::try_from(*bytes), <[u8; 16]>::try_from(*bytes)) {
                    (Ok(v4), _) => Some(IpAddr::from(v4).to_string()),
                    (_, Ok(v6)) => Some(IpAddr::from(v6).to_string()),
                    _ => None,
                }
            }
            _ => None,
        })
        .collect()
}

/// When a certificate ends, and the same as a date for people.
fn end_of(certificate: &X509Certificate<'_>) -> (SystemTime, String) {
    let end = certificate.validity().not_after;
    let seconds = u64::try_from(end.timestamp()).unwrap_or_default();
    (UNIX_EPOCH + Duration::from_secs(seconds), end.to_datetime().date().to_string())
}

#[cfg(test)]
mod tests;
