//! Tests of the certificate: what it is for, when it is made anew, who can read its keys.

use super::*;

fn directory(name: &str) -> PathBuf {
    let dir = std::env::temp_dir().join(format!("windrow-tls-{name}-{}", uuid::Uuid::now_v7()));
    fs::create_dir_all(&dir).unwrap();
    dir
}

fn address(text: &str) -> IpAddr {
    text.parse().unwrap()
}

#[test]
fn a_certificate_names_this_computer_and_its_private_addresses_only() {
    let names = names(Some("stand"), &[address("192.168.1.5"), address("fd00::5"), address("203.0.113.7")]);
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    assert_eq!(names, ["127.0.0.1", "192.168.1.5", "::1", "fd00::5", "localhost", "stand.local"]);
}

#[test]
fn a_certificate_is_kept_until_the_names_change_or_it_ends_soon() {
    let dir = directory("kept");
    let now = SystemTime::now();
    let home = names(Some("stand"), &[address("192.168.1.5")]);
    let school = names(Some("stand"), &[address("10.1.2.3")]);
    let server = |dir: &Path| fs::read_to_string(dir.join("server.pem")).unwrap();
    ensure(&dir, &home, now).unwrap();
    let (first, authority) = (server(&dir), fs::read_to_string(dir.join("authority.pem")).unwrap());
    ensure(&dir, &home, now + DAY * 300).unwrap();
    assert_eq!(server(&dir), first);
    ensure(&dir, &school, now).unwrap();
    let second = server(&dir);
    assert_ne!(second, first);
    ensure(&dir, &school, now + DAY * 380).unwrap();
    assert_ne!(server(&dir), second);
    assert_eq!(fs::read_to_string(dir.join("authority.pem")).unwrap(), authority);
    fs::remove_dir_all(dir).unwrap();
}

#[cfg(unix)]
#[test]
fn keys_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let dir = directory("secret");
    ensure(&dir, &names(None, &[]), SystemTime::now()).unwrap();
    for file in ["authority-key.pem", "server-key.pem"] {
        let mode = fs::metadata(dir.join(file)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{file}");
    }
    fs::remove_dir_all(dir).unwrap();
}

/// Shakes hands in memory: a device that trusts the authority, and the server; `Err` is the device's reason to go.
fn shake_hands(dir: &Path, server: rustls::ServerConfig, name: &str) -> Result<(), rustls::Error> {
    let mut roots = rustls::RootCertStore::empty();
    let authority = fs::read(dir.join("certificate/authority.pem")).unwrap();
    roots.add(CertificateDer::from_pem_slice(&authority).unwrap()).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let device = rustls::ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let name = name.to_owned().try_into().unwrap();
    let mut device = rustls::ClientConnection::new(Arc::new(device), name).unwrap();
    let mut server = rustls::ServerConnection::new(Arc::new(server)).unwrap();
    while device.is_handshaking() {
        let mut wire = Vec::new();
        while device.wants_write() {
            device.write_tls(&mut wire).unwrap();
        }
        let mut sent = wire.as_slice();
        while !sent.is_empty() {
            server.read_tls(&mut sent).unwrap();
            server.process_new_packets()?;
        }
        let mut wire = Vec::new();
        while server.wants_write() {
            server.write_tls(&mut wire).unwrap();
        }
        let mut sent = wire.as_slice();
        while !sent.is_empty() {
            device.read_tls(&mut sent).unwrap();
            device.process_new_packets()?;
        }
    }
    Ok(())
}

#[test]
fn a_device_that_trusts_the_authority_reaches_this_computer_by_each_of_its_names() {
    let dir = directory("serve");
    let addresses = [address("192.168.1.5"), address("fd00::5")];
    for name in ["localhost", "stand.local", "127.0.0.1", "::1", "192.168.1.5", "fd00::5"] {
        let config = server_config(&dir, Some("stand"), &addresses).unwrap();
        assert_eq!(shake_hands(&dir, config, name), Ok(()), "{name}");
    }
    let config = server_config(&dir, Some("stand"), &addresses).unwrap();
    assert!(shake_hands(&dir, config, "192.168.1.6").is_err(), "another computer");
    fs::remove_dir_all(dir).unwrap();
}

#[test]
fn the_authority_cannot_vouch_for_the_world_outside() {
    let dir = directory("outside");
    server_config(&dir, Some("stand"), &[]).unwrap();
    let certificate = dir.join("certificate");
    // What whoever steals the key would do: sign for a site elsewhere.
    let key = KeyPair::from_pem(&read_text(&certificate.join("authority-key.pem")).unwrap()).unwrap();
    let issuer =
        Issuer::from_ca_cert_pem(&read_text(&certificate.join("authority.pem")).unwrap(), key).unwrap();
    let names = BTreeSet::from(["school.example".to_owned()]);
    let key = KeyPair::generate().unwrap();
    let forged = server(&names, SystemTime::now()).unwrap().signed_by(&key, &issuer).unwrap();
    fs::write(certificate.join("server.pem"), forged.pem()).unwrap();
    fs::write(certificate.join("server-key.pem"), key.serialize_pem()).unwrap();
    let config = server_config(&dir, Some("stand"), &[]).unwrap();
    let refused = shake_hands(&dir, config, "school.example").unwrap_err();
    assert!(format!("{refused:?}").contains("NameConstraint"), "{refused:?}");
    fs::remove_dir_all(dir).unwrap();
}
