//! The server's own certificate, signed by this computer's authority: made anew when a name or an address comes that it does
//! not hold, when it ends soon, or when a file is broken. Addresses that are gone stay in it, since whoever went past a
//! browser's warning did so for this one certificate, and next week the laptop may well be at the old address again.

use super::authority::set_validity;
use super::files::{read, read_text, write, write_secret};
use super::{Authority, TlsError, end_of, is_private, listener_config, names_of, parsed};
use rcgen::{CertificateParams, DnType, ExtendedKeyUsagePurpose, Issuer, KeyPair, KeyUsagePurpose, SanType};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use std::collections::BTreeSet;
use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, SystemTime};
use x509_parser::extensions::ParsedExtension;
use x509_parser::prelude::X509Certificate;

/// Apple's devices take at most 825 days, also under an authority that was installed by hand (support article HT210176);
/// the 398 days of the CA/Browser Forum's Baseline Requirements are for authorities that come with a system, and those
/// are to shrink (both from memory). 397 are within each of them.
pub(super) const SERVER_DAYS: u32 = 397;
/// A certificate with fewer days left is made anew.
const RENEW_WITHIN: Duration = Duration::from_secs(30 * 86_400);

/// Addresses a certificate carries on, beside those that there are: some weeks of Wi-Fis (a guess).
const EARLIER_ADDRESSES: usize = 24;

/// A certificate for all of these names, and whether it was made just now.
pub(super) fn serve(
    dir: &Path,
    authority: &Authority,
    names: &BTreeSet<String>,
    now: SystemTime,
) -> Result<(Arc<rustls::ServerConfig>, bool), TlsError> {
    if let Ok(config) = stands(dir, authority, names, now) {
        return Ok((config, false));
    }
    make(dir, names, now)?;
    let unusable = |reason| TlsError::Unusable { dir: dir.to_owned(), reason };
    stands(dir, authority, names, now).map(|config| (config, true)).map_err(unusable)
}

/// The certificate that is there, if it will do; else why not.
fn stands(
    dir: &Path,
    authority: &Authority,
    names: &BTreeSet<String>,
    now: SystemTime,
) -> Result<Arc<rustls::ServerConfig>, String> {
    let text = |e: TlsError| e.to_string();
    let no_pem = |e| format!("not a PEM file: {e}");
    let leaf =
        CertificateDer::from_pem_slice(&read(&dir.join("server.pem")).map_err(text)?).map_err(no_pem)?;
    let key =
        PrivateKeyDer::from_pem_slice(&read(&dir.join("server-key.pem")).map_err(text)?).map_err(no_pem)?;
    let certificate = parsed(&leaf)?;
    if !names.is_subset(&names_of(&certificate).into_iter().collect()) {
        return Err("it is for other names".to_owned());
    }
    if end_of(&certificate).0 < now + RENEW_WITHIN {
        return Err("it ends soon".to_owned());
    }
    if certificate.validity().not_before.timestamp() > seconds(now) {
        return Err("it begins in the future".to_owned());
    }
    let root = parsed(&authority.der)?;
    if issuer_key(&certificate).is_none() || issuer_key(&certificate) != own_key(&root) {
        return Err("another authority has signed it".to_owned());
    }
    let chain = vec![leaf.clone(), CertificateDer::from(authority.der.clone())];
    listener_config(chain, key).map_err(|e| e.to_string())
}

fn seconds(time: SystemTime) -> i64 {
    let since_1970 = time.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since_1970.as_secs()).unwrap_or(i64::MAX)
}

/// The key that signed a certificate, as its authority key identifier tells (RFC 5280, section 4.2.1.1).
fn issuer_key<'a>(certificate: &'a X509Certificate<'_>) -> Option<&'a [u8]> {
    certificate.extensions().iter().find_map(|extension| match extension.parsed_extension() {
        ParsedExtension::AuthorityKeyIdentifier(identifier) => {
            identifier.key_identifier.as_ref().map(|id| id.0)
        }
        _ => None,
    })
}

/// A certificate's own key, by its subject key identifier (section 4.2.1.2).
fn own_key<'a>(certificate: &'a X509Certificate<'_>) -> Option<&'a [u8]> {
    certificate.extensions().iter().find_map(|extension| match extension.parsed_extension() {
        ParsedExtension::SubjectKeyIdentifier(identifier) => Some(identifier.0),
        _ => None,
    })
}

fn make(dir: &Path, names: &BTreeSet<String>, now: SystemTime) -> Result<(), TlsError> {
    let unusable = |what: &str, e: rcgen::Error| TlsError::Unusable {
        dir: dir.to_owned(),
        reason: format!("{what} cannot be used: {e}"),
    };
    let key = KeyPair::from_pem(&read_text(&dir.join("authority-key.pem"))?)
        .map_err(|e| unusable("authority-key.pem", e))?;
    let issuer = Issuer::from_ca_cert_pem(&read_text(&dir.join("authority.pem"))?, key)
        .map_err(|e| unusable("authority.pem", e))?;
    let key = KeyPair::generate()?;
    let earlier = earlier_addresses(dir).into_iter().filter(|ip| !names.contains(ip)).take(EARLIER_ADDRESSES);
    let names: Vec<String> = names.iter().cloned().chain(earlier).collect();
    let certificate = params(&names, now)?.signed_by(&key, &issuer)?;
    // A start that is cut short between these two leaves a pair that does not fit, which is made anew.
    write_secret(&dir.join("server-key.pem"), &key.serialize_pem())?;
    write(&dir.join("server.pem"), &certificate.pem())
}

/// Private addresses of the certificate that is there, the latest first; names are left out, since another authority may
/// have permitted them.
fn earlier_addresses(dir: &Path) -> Vec<String> {
    let Ok(bytes) = read(&dir.join("server.pem")) else { return Vec::new() };
    let Ok(der) = CertificateDer::from_pem_slice(&bytes) else { return Vec::new() };
    let Ok(certificate) = parsed(&der) else { return Vec::new() };
    let is_address = |name: &String| name.parse::<IpAddr>().is_ok_and(is_private);
    names_of(&certificate).into_iter().filter(is_address).collect()
}

pub(super) fn params(names: &[String], now: SystemTime) -> Result<CertificateParams, rcgen::Error> {
    let mut params = CertificateParams::new(Vec::new())?;
    params.distinguished_name = rcgen::DistinguishedName::new();
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
