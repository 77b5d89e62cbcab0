//! The authority as a configuration profile, which is how iPhones and iPads take one: a property list with one payload of
//! the type `com.apple.security.root` (Apple, Configuration Profile Reference). Not signed: the phone says so, and the
//! fingerprint on the poster is what to compare.

use crate::tls::Authority;
use sha2::{Digest, Sha256};

/// A profile for an authority, with a sentence on what it is for that has no signs of XML. The identifiers come from the certificate, so that a second download takes the first's
/// place instead of standing beside it.
pub(crate) fn profile(authority: &Authority, what_for: &str) -> String {
    let name = &authority.common_name;
    let [whole, payload] = [b"profile".as_slice(), b"payload"].map(|what| identifier(&authority.der, what));
    let data = base64(&authority.der);
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
<key>PayloadType</key><string>Configuration</string>
<key>PayloadVersion</key><integer>1</integer>
<key>PayloadIdentifier</key><string>windrow.{whole}</string>
<key>PayloadUUID</key><string>{whole}</string>
<key>PayloadDisplayName</key><string>{name}</string>
<key>PayloadDescription</key><string>{what_for}</string>
<key>PayloadContent</key>
<array>
<dict>
<key>PayloadType</key><string>com.apple.security.root</string>
<key>PayloadVersion</key><integer>1</integer>
<key>PayloadIdentifier</key><string>windrow.{whole}.{payload}</string>
<key>PayloadUUID</key><string>{payload}</string>
<key>PayloadDisplayName</key><string>{name}</string>
<key>PayloadCertificateFileName</key><string>windrow.cer</string>
<key>PayloadContent</key>
<data>{data}</data>
</dict>
</array>
</dict>
</plist>
"#
    )
}

/// A UUID of version 8 (RFC 9562, section 5.8: of one's own making) from a certificate and a purpose.
fn identifier(der: &[u8], purpose: &[u8]) -> uuid::Uuid {
    let hash = Sha256::new().chain_update(purpose).chain_update(der).finalize();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&hash[..16]);
    bytes[6] = (bytes[6] & 0x0f) | 0x80;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    uuid::Uuid::from_bytes(bytes)
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let three = [chunk[0], chunk.get(1).copied().unwrap_or(0), chunk.get(2).copied().unwrap_or(0)];
        let bits = u32::from_be_bytes([0, three[0], three[1], three[2]]);
        for i in 0..4 {
            let sign = SIGNS[(bits >> (18 - 6 * i)) as usize & 63];
            text.push(if i <= chunk.len() { sign as char } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (bytes, expected) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), expected, "{bytes}");
        }
    }

    #[test]
    fn identifiers_are_the_certificates_own() {
        let first = identifier(b"one", b"profile");
        assert_eq!(first, identifier(b"one", b"profile"));
        assert_ne!(first, identifier(b"one", b"payload"));
        assert_ne!(first, identifier(b"two", b"profile"));
        assert_eq!(first.get_version_num(), 8);
    }
}
