//! The authority of this computer: made once, kept for years, since every device has to trust it by hand.
//!
//! It can only vouch for the names this computer had when it was made and for addresses inside private networks: a phone
//! that trusts it trusts nothing else by it, even if its key were stolen. Not the whole of `.local`, since that is where a
//! school's printers and disks are; a computer that is renamed later is reached by its address, and told so.

use super::files::{read, read_text, write, write_secret};
use super::{DAY, LocalNames, TlsError, end_of, parsed};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, GeneralSubtree, IsCa, KeyPair, KeyUsagePurpose,
    NameConstraints,
};
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::net::Ipv6Addr;
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use x509_parser::extensions::GeneralName;

/// Ten years: longer than a laptop lasts. Limits of lifetime are for servers' certificates, not for roots.
const AUTHORITY_DAYS: u32 = 3650;
/// A year ahead its end is told, since every device must trust another one then.
pub(super) const ENDS_SOON: Duration = Duration::from_secs(365 * 86_400);
/// What the announced name becomes where it is taken already: `windrow-2` and so on, as other servers of a school are
/// called; further ones would be left out of certificates.
const SECOND_NAMES: [u8; 3] = [2, 3, 4];

/// What devices are to trust.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Authority {
    /// The certificate, in the form phones take.
    pub(crate) der: Vec<u8>,
    /// The same as text.
    pub(crate) pem: String,
    /// Its SHA-256, as pairs of hexadecimal digits with colons, the way systems show it.
    pub(crate) fingerprint: String,
    /// Its name in a device's list of certificates.
    pub(crate) common_name: String,
    /// Names it may vouch for; none where it is not constrained.
    pub(crate) permitted: Option<Vec<String>>,
    pub(super) not_after: SystemTime,
    pub(super) ends_on: String,
}

impl Authority {
    /// Whether it may vouch for a name (RFC 5280, section 4.2.1.10: names below a permitted one are permitted as well).
    pub(super) fn permits(&self, name: &str) -> bool {
        let below = |permitted: &String| {
            name.strip_suffix(permitted.as_str()).is_some_and(|rest| rest.ends_with('.'))
        };
        self.permitted.as_ref().is_none_or(|names| names.iter().any(|n| n == name || below(n)))
    }

    fn read(dir: &Path) -> Result<Self, TlsError> {
        let unusable = |reason: String| TlsError::Unusable { dir: dir.to_owned(), reason };
        let path = dir.join("authority.pem");
        let der = CertificateDer::from_pem_slice(&read(&path)?)
            .map_err(|e| unusable(format!("authority.pem is not a PEM file: {e}")))?;
        let certificate = parsed(&der).map_err(|e| unusable(format!("authority.pem is {e}")))?;
        let constraints = certificate.name_constraints().ok().flatten();
        let permitted = constraints.map(|extension| {
            let subtrees = extension.value.permitted_subtrees.iter().flatten();
            let names = subtrees.filter_map(|subtree| match subtree.base {
                GeneralName::DNSName(name) => Some(name.to_owned()),
                _ => None,
            });
            names.collect()
        });
        let common_name = certificate.subject().iter_common_name().next().and_then(|name| name.as_str().ok());
        let (not_after, ends_on) = end_of(&certificate);
        Ok(Self {
            fingerprint: fingerprint(&der),
            common_name: common_name.unwrap_or("Windrow").to_owned(),
            permitted,
            not_after,
            ends_on,
            pem: read_text(&path)?,
            der: der.to_vec(),
        })
    }
}

/// The SHA-256 of a certificate, written as systems show it.
fn fingerprint(der: &[u8]) -> String {
    let mut text = String::with_capacity(95);
    for (i, byte) in Sha256::digest(der).iter().enumerate() {
        let colon = if i == 0 { "" } else { ":" };
        write!(text, "{colon}{byte:02X}").expect("writing to a string cannot fail");
    }
    text
}

/// The authority in a directory, made where there is none.
pub(super) fn ensure_authority(
    dir: &Path,
    names: &LocalNames,
    constrained: bool,
    now: SystemTime,
) -> Result<Authority, TlsError> {
    let (certificate, key) = (dir.join("authority.pem"), dir.join("authority-key.pem"));
    match (certificate.exists(), key.exists()) {
        (true, true) => {}
        (true, false) => {
            let reason = "authority-key.pem is missing beside authority.pem".to_owned();
            return Err(TlsError::Unusable { dir: dir.to_owned(), reason });
        }
        // A key alone is what a start that was cut short leaves.
        (false, _) => {
            let pair = KeyPair::generate()?;
            let made = params(&pair, names, constrained, now)?.self_signed(&pair)?;
            write_secret(&key, &pair.serialize_pem())?;
            write(&certificate, &made.pem())?;
        }
    }
    Authority::read(dir)
}

fn params(
    key: &KeyPair,
    names: &LocalNames,
    constrained: bool,
    now: SystemTime,
) -> Result<CertificateParams, TlsError> {
    let mut params = CertificateParams::new(Vec::new())?;
    // Without a common name iOS does not list it among the certificates that can be trusted. Four signs of the key tell
    // two computers of a school apart, without the name of either, which is often a person's.
    let hash = Sha256::digest(key.public_key_raw());
    let common_name = format!("Windrow {:02X}{:02X}", hash[0], hash[1]);
    params.distinguished_name = rcgen::DistinguishedName::new();
    params.distinguished_name.push(DnType::CommonName, common_name);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.name_constraints = constrained
        .then(|| NameConstraints { permitted_subtrees: permitted(names), excluded_subtrees: Vec::new() });
    set_validity(&mut params, now, AUTHORITY_DAYS);
    Ok(params)
}

/// What it may vouch for. rcgen marks the extension as critical: a device that does not know it trusts nothing.
fn permitted(names: &LocalNames) -> Vec<GeneralSubtree> {
    let v4 = |a, b, prefix| GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix([a, b, 0, 0], prefix));
    let v6 =
        |ip: Ipv6Addr, prefix| GeneralSubtree::IpAddress(CidrSubnet::from_v6_prefix(ip.octets(), prefix));
    let announced = names.announced.iter();
    let seconds = announced.flat_map(|name| SECOND_NAMES.map(|n| format!("{name}-{n}.local")));
    let names = names.iter().map(str::to_owned).chain(seconds);
    let addresses = [
        v4(10, 0, 8),
        v4(172, 16, 12),
        v4(192, 168, 16),
        v4(127, 0, 8),
        v6(Ipv6Addr::LOCALHOST, 128),
        v6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0), 7),
    ];
    names.map(GeneralSubtree::DnsName).chain(addresses).collect()
}

/// From a day ago, since devices' clocks differ.
pub(super) fn set_validity(params: &mut CertificateParams, now: SystemTime, days: u32) {
    let since_1970 = now.duration_since(UNIX_EPOCH).unwrap_or_default();
    let today = rcgen::date_time_ymd(1970, 1, 1) + since_1970;
    params.not_before = today - DAY;
    params.not_after = today - DAY + DAY * days;
}
