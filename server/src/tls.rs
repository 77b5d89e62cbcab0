//! The room's own certificate. A browser only opens a microphone over https, so the first start makes a small authority
//! for this computer and a certificate for its names and addresses. It must know nothing of rooms.
//!
//! The authority can only vouch for this computer's kind of names (`localhost`, `*.local`, private addresses): a device
//! that trusts it trusts nothing else by it. Both keys stay in the data directory, readable by their owner alone; on
//! Windows that is left to the rights of the user's profile, in which the directory lies.

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose, GeneralSubtree, IsCa,
    Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Apple's devices take at most 825 days (support article HT210176); 397 are within every known rule.
const SERVER_DAYS: u64 = 397;
/// A certificate with fewer days left is made anew at the next start.
const RENEW_DAYS: u64 = 30;
const AUTHORITY_DAYS: u64 = 3650;
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
    /// The files do not fit together.
    #[error("{}: {source}. Remove the directory to have a new certificate made", dir.display())]
    Unusable {
        /// Directory they are in.
        dir: PathBuf,
        /// What was wrong.
        source: rustls::Error,
    },
    /// A file names nobody to trust.
    #[error("{}: {source}. Name the file authority.pem of the server's certificate", path.display())]
    NoAuthority {
        /// The file.
        path: PathBuf,
        /// What was wrong.
        source: rustls::Error,
    },
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

/// The certificate in `data_dir` for a host name (without its ending) and addresses, made or renewed if need be, ready to
/// serve with.
pub(crate) fn server_config(
    data_dir: &Path,
    host: Option<&str>,
    addresses: &[IpAddr],
) -> Result<rustls::ServerConfig, TlsError> {
    let dir = data_dir.join("certificate");
    fs::create_dir_all(&dir).map_err(|source| TlsError::File { path: dir.clone(), source })?;
    let names = names(host, addresses);
    ensure(&dir, &names, SystemTime::now())?;
    let unusable = |source| TlsError::Unusable { dir: dir.clone(), source };
    let no_pem = |e| unusable(rustls::Error::General(format!("not a PEM file: {e}")));
    let mut chain = Vec::new();
    for file in ["server.pem", "authority.pem"] {
        chain.push(CertificateDer::from_pem_slice(&read(&dir.join(file))?).map_err(no_pem)?);
    }
    let key = PrivateKeyDer::from_pem_slice(&read(&dir.join("server-key.pem"))?).map_err(no_pem)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .and_then(|builder| builder.with_no_client_auth().with_single_cert(chain, key))
        .map_err(unusable)?;
    // Sockets are opened over HTTP/1.1; offering HTTP/2 would only make browsers open a second connection.
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(config)
}

/// Addresses of this computer that a device in the same room can reach.
pub(crate) fn private_addresses() -> Vec<IpAddr> {
    let interfaces = if_addrs::get_if_addrs().unwrap_or_default();
    let mut named: Vec<(bool, String, IpAddr)> = interfaces
        .into_iter()
        .filter(|i| is_private(i.ip()))
        .map(|i| (is_inside_only(&i.name), i.name.clone(), i.ip()))
        .collect();
    // Real networks before those of virtual machines and containers; version 4 before 6, which is hard to type.
    named.sort_by_key(|(inside, name, ip)| (*inside, ip.is_ipv6(), name.clone()));
    named.into_iter().map(|(_, _, ip)| ip).collect()
}

fn is_private(ip: IpAddr) -> bool {
    match ip {
        IpAddr::V4(v4) => v4.is_private(),
        // Unique local addresses, RFC 4193. Link-local ones need a zone, which no browser's address takes.
        IpAddr::V6(v6) => v6.octets()[0] & 0xfe == 0xfc,
    }
}

/// Names that virtual machines and containers give their networks inside a computer.
fn is_inside_only(interface: &str) -> bool {
    ["docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "vEthernet"]
        .iter()
        .any(|p| interface.starts_with(p))
}

/// This computer's name on the local network, without the ending.
pub(crate) fn host_name() -> Option<String> {
    let told = std::env::var("COMPUTERNAME").ok();
    let read = || fs::read_to_string("/proc/sys/kernel/hostname").ok();
    let asked = || {
        let output = std::process::Command::new("hostname").output().ok()?;
        String::from_utf8(output.stdout).ok()
    };
    let name = told.or_else(read).or_else(asked)?;
    let label = name.trim().split('.').next().unwrap_or_default().to_ascii_lowercase();
    let is_label = !label.is_empty()
        && label.len() <= 63
        && label.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
    is_label.then_some(label)
}

/// All names and addresses a certificate is for.
fn names(host: Option<&str>, addresses: &[IpAddr]) -> BTreeSet<String> {
    let own = [IpAddr::V4(Ipv4Addr::LOCALHOST), IpAddr::V6(Ipv6Addr::LOCALHOST)];
    let mut names: BTreeSet<String> =
        addresses.iter().copied().filter(|&ip| is_private(ip)).chain(own).map(|ip| ip.to_string()).collect();
    names.insert("localhost".to_owned());
    names.extend(host.filter(|&h| h != "localhost").map(|h| format!("{h}.local")));
    names
}

/// Makes what is missing. A certificate for other names, or one that ends soon, is made anew; the authority stays, so
/// that devices which trust it need not be asked again.
fn ensure(dir: &Path, names: &BTreeSet<String>, now: SystemTime) -> Result<(), TlsError> {
    let (authority_pem, authority_key) = (dir.join("authority.pem"), dir.join("authority-key.pem"));
    let is_new = !(authority_pem.exists() && authority_key.exists());
    if is_new {
        let key = KeyPair::generate()?;
        let certificate = authority(now)?.self_signed(&key)?;
        write_secret(&authority_key, &key.serialize_pem())?;
        write(&authority_pem, &certificate.pem())?;
    }
    let made = dir.join("server.names");
    let wanted: String = names.iter().map(|n| format!("{n}\n")).collect();
    let stands = !is_new
        && fs::read_to_string(&made).is_ok_and(|text| text == wanted)
        && dir.join("server.pem").exists()
        && dir.join("server-key.pem").exists()
        && age(&made, now) < DAY * u32::try_from(SERVER_DAYS - RENEW_DAYS).expect("a few hundred days");
    if stands {
        return Ok(());
    }
    let key = KeyPair::from_pem(&read_text(&authority_key)?)?;
    let issuer = Issuer::from_ca_cert_pem(&read_text(&authority_pem)?, key)?;
    let key = KeyPair::generate()?;
    let certificate = server(names, now)?.signed_by(&key, &issuer)?;
    write_secret(&dir.join("server-key.pem"), &key.serialize_pem())?;
    write(&dir.join("server.pem"), &certificate.pem())?;
    // Last: a start that was cut short makes the certificate anew.
    write(&made, &wanted)
}

fn authority(now: SystemTime) -> Result<CertificateParams, rcgen::Error> {
    let mut params = CertificateParams::new(Vec::new())?;
    // Without a common name iOS does not list it among the certificates that can be trusted.
    params.distinguished_name.push(DnType::CommonName, "Windrow on this computer");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let v4 = |a, b, prefix| GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix([a, b, 0, 0], prefix));
    let v6 =
        |ip: Ipv6Addr, prefix| GeneralSubtree::IpAddress(CidrSubnet::from_v6_prefix(ip.octets(), prefix));
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: vec![
            GeneralSubtree::DnsName("localhost".to_owned()),
            GeneralSubtree::DnsName("local".to_owned()),
            v4(10, 0, 8),
            v4(172, 16, 12),
            v4(192, 168, 16),
            v4(127, 0, 8),
            v6(Ipv6Addr::LOCALHOST, 128),
            v6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0), 7),
        ],
        excluded_subtrees: Vec::new(),
    });
    set_validity(&mut params, now, AUTHORITY_DAYS);
    Ok(params)
}

fn server(names: &BTreeSet<String>, now: SystemTime) -> Result<CertificateParams, rcgen::Error> {
    let mut params = CertificateParams::new(Vec::new())?;
    params.distinguished_name.push(DnType::CommonName, "Windrow");
    for name in names {
        params.subject_alt_names.push(match name.parse::<IpAddr>() {
            Ok(ip) => SanType::IpAddress(ip),
            Err(_) => SanType::DnsName(name.as_str().try_into()?),
        });
    }
    params.use_authority_key_identifier_extension = true;
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    set_validity(&mut params, now, SERVER_DAYS);
    Ok(params)
}

/// From a day ago, since devices' clocks differ.
fn set_validity(params: &mut CertificateParams, now: SystemTime, days: u64) {
    let since_1970 = now.duration_since(UNIX_EPOCH).unwrap_or_default();
    let today = rcgen::date_time_ymd(1970, 1, 1) + since_1970;
    params.not_before = today - DAY;
    params.not_after = today - DAY + DAY * u32::try_from(days).expect("a few thousand days");
}

/// Time since a file was written; for ever where it cannot be told.
fn age(path: &Path, now: SystemTime) -> Duration {
    let written = fs::metadata(path).and_then(|m| m.modified());
    // A file from the future (a clock set back) has no age yet.
    written.map_or(Duration::MAX, |written| now.duration_since(written).unwrap_or_default())
}

fn read(path: &Path) -> Result<Vec<u8>, TlsError> {
    fs::read(path).map_err(|source| TlsError::File { path: path.to_owned(), source })
}

fn read_text(path: &Path) -> Result<String, TlsError> {
    fs::read_to_string(path).map_err(|source| TlsError::File { path: path.to_owned(), source })
}

fn write(path: &Path, text: &str) -> Result<(), TlsError> {
    fs::write(path, text).map_err(|source| TlsError::File { path: path.to_owned(), source })
}

/// Writes a file that only its owner may read, from its first byte on.
fn write_secret(path: &Path, text: &str) -> Result<(), TlsError> {
    let written = || {
        match fs::remove_file(path) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let mut options = fs::OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        options.open(path)?.write_all(text.as_bytes())
    };
    written().map_err(|source| TlsError::File { path: path.to_owned(), source })
}

#[cfg(test)]
#[path = "tls_tests.rs"]
mod tests;
