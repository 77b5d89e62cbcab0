//! Tests of the certificate: what it is for, when it is made anew, who can read its keys.

use super::*;
use rcgen::KeyPair;
use std::fs;

fn directory(name: &str) -> PathBuf {
    let dir = std::env::temp_dir().join(format!("windrow-tls-{name}-{}", uuid::Uuid::now_v7()));
    fs::create_dir_all(&dir).unwrap();
    dir
}

fn address(text: &str) -> IpAddr {
    text.parse().unwrap()
}

fn names(host: &str) -> LocalNames {
    LocalNames::new(Some(host), Some("windrow"))
}

fn open(data_dir: &Path, host: &str) -> Kept {
    Kept::open(data_dir, &names(host), true, SystemTime::now()).unwrap().0
}

#[test]
fn a_certificate_names_this_computer_and_its_private_addresses_only() {
    let dir = directory("names");
    let addresses = [address("192.168.1.5"), address("fd00::5"), address("203.0.113.7")];
    let served = open(&dir, "stand").serve(&names("stand"), &addresses, SystemTime::now()).unwrap();
    let found: Vec<&str> = served.names.iter().map(String::as_str).collect();
    assert_eq!(
        found,
        ["127.0.0.1", "192.168.1.5", "::1", "fd00::5", "localhost", "stand.local", "windrow.local"]
    );
    fs::remove_dir_all(dir).unwrap();
}

#[test]
fn a_certificate_is_kept_until_the_names_change_or_it_ends_soon() {
    let dir = directory("kept");
    let now = SystemTime::now();
    let (home, school) = ([address("192.168.1.5")], [address("10.1.2.3")]);
    let kept = open(&dir, "stand");
    let is_new = |addresses: &[IpAddr], now| kept.serve(&names("stand"), addresses, now).unwrap().is_new;
    assert!(is_new(&home, now));
    assert!(!is_new(&home, now + DAY * 300));
    assert!(is_new(&school, now));
    // 397 days from a day ago, anew when fewer than 30 are left.
    assert!(!is_new(&school, now + DAY * 365));
    assert!(is_new(&school, now + DAY * 367));
    assert_eq!(open(&dir, "stand").authority, kept.authority, "the authority stays");
    fs::remove_dir_all(dir).unwrap();
}

#[test]
fn an_address_that_comes_back_needs_no_other_certificate() {
    let dir = directory("back");
    let kept = open(&dir, "stand");
    let now = SystemTime::now();
    let serve = |ip: &str| kept.serve(&names("stand"), &[address(ip)], now).unwrap();
    assert!(serve("192.168.1.5").is_new);
    let school = serve("10.1.2.3");
    assert!(school.is_new && !school.names.contains("192.168.1.5"));
    let home = serve("192.168.1.5");
    assert!(!home.is_new);
    assert_eq!(shake_hands(&dir, home.config, "10.1.2.3"), Ok(()), "whoever is still there");
    // The latest are kept, and no more than some weeks' worth.
    for last in 1..=40 {
        serve(&format!("10.9.9.{last}"));
    }
    assert!(!serve("10.9.9.30").is_new);
    assert!(serve("192.168.1.5").is_new, "long gone");
    fs::remove_dir_all(dir).unwrap();
}

#[test]
fn a_broken_certificate_is_made_anew_and_a_broken_authority_is_told() {
    let dir = directory("broken");
    let now = SystemTime::now();
    let kept = open(&dir, "stand");
    let other = directory("other");
    open(&other, "stand").serve(&names("stand"), &[], now).unwrap();
    for file in ["server.pem", "server-key.pem"] {
        kept.serve(&names("stand"), &[], now).unwrap();
        fs::write(dir.join("certificate").join(file), "nothing").unwrap();
        assert!(kept.serve(&names("stand"), &[], now).unwrap().is_new, "{file}");
        fs::remove_file(dir.join("certificate").join(file)).unwrap();
        assert!(kept.serve(&names("stand"), &[], now).unwrap().is_new, "no {file}");
        // The file of another computer fits neither the key nor the authority.
        fs::copy(other.join("certificate").join(file), dir.join("certificate").join(file)).unwrap();
        assert!(kept.serve(&names("stand"), &[], now).unwrap().is_new, "another {file}");
    }
    fs::write(dir.join("certificate/authority.pem"), "nothing").unwrap();
    let told = Kept::open(&dir, &names("stand"), true, now).unwrap_err().to_string();
    assert!(told.contains("authority.pem") && told.contains("Remove the directory"), "{told}");
    fs::remove_file(dir.join("certificate/authority-key.pem")).unwrap();
    let told = Kept::open(&dir, &names("stand"), true, now).unwrap_err().to_string();
    assert!(told.contains("authority-key.pem is missing"), "{told}");
    for dir in [dir, other] {
        fs::remove_dir_all(dir).unwrap();
    }
}

#[test]
fn a_name_the_authority_does_not_know_is_left_out_and_told() {
    let dir = directory("renamed");
    open(&dir, "stand");
    let kept = open(&dir, "lectern");
    let served = kept.serve(&names("lectern"), &[address("192.168.1.5")], SystemTime::now()).unwrap();
    assert!(!served.names.contains("lectern.local") && served.names.contains("windrow.local"), "{served:?}");
    assert_eq!(served.warnings.len(), 1);
    assert!(served.warnings[0].to_string().contains("lectern.local"), "{:?}", served.warnings);
    // A second computer of that name in the network takes the next.
    let second = LocalNames::new(Some("stand"), Some("windrow-2"));
    assert!(kept.serve(&second, &[], SystemTime::now()).unwrap().names.contains("windrow-2.local"));
    fs::remove_dir_all(dir).unwrap();
}

#[test]
fn an_authority_that_is_not_constrained_is_told_where_constraints_are_wanted() {
    let dir = directory("free");
    let now = SystemTime::now();
    let (kept, said) = Kept::open(&dir, &names("stand"), false, now).unwrap();
    assert_eq!((kept.authority.permitted, said.len()), (None, 0));
    let (_, said) = Kept::open(&dir, &names("stand"), true, now).unwrap();
    assert!(said[0].to_string().contains("without name constraints"), "{said:?}");
    let (_, said) = Kept::open(&dir, &names("stand"), false, now + DAY * 3500).unwrap();
    assert!(said[0].to_string().contains("ends on 20"), "{said:?}");
    fs::remove_dir_all(dir).unwrap();
}

#[cfg(unix)]
#[test]
fn keys_are_for_their_owner_alone_and_become_so_again() {
    use std::os::unix::fs::PermissionsExt;
    let dir = directory("secret");
    let kept = open(&dir, "stand");
    kept.serve(&names("stand"), &[], SystemTime::now()).unwrap();
    let inside = dir.join("certificate");
    let rights = [("", 0o700), ("authority-key.pem", 0o600), ("server-key.pem", 0o600)];
    let check = || {
        for (file, expected) in rights {
            let mode = fs::metadata(inside.join(file)).unwrap().permissions().mode();
            assert_eq!(mode & 0o777, expected, "{file}");
        }
    };
    check();
    for (file, _) in rights {
        fs::set_permissions(inside.join(file), fs::Permissions::from_mode(0o755)).unwrap();
    }
    let (_, said) = Kept::open(&dir, &names("stand"), true, SystemTime::now()).unwrap();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said[0].to_string().contains("was open to other users"), "{said:?}");
    check();
    fs::remove_dir_all(dir).unwrap();
}

/// Shakes hands in memory: a device that trusts the authority, and the server; `Err` is the device's reason to go.
fn shake_hands(dir: &Path, server: Arc<rustls::ServerConfig>, name: &str) -> Result<(), rustls::Error> {
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
    let mut server = rustls::ServerConnection::new(server).unwrap();
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
    let served = open(&dir, "stand").serve(&names("stand"), &addresses, SystemTime::now()).unwrap();
    for name in ["localhost", "stand.local", "windrow.local", "127.0.0.1", "::1", "192.168.1.5", "fd00::5"] {
        assert_eq!(shake_hands(&dir, served.config.clone(), name), Ok(()), "{name}");
    }
    assert!(shake_hands(&dir, served.config, "192.168.1.6").is_err(), "another computer");
    fs::remove_dir_all(dir).unwrap();
}

/// What whoever steals the key would do: sign for another name.
fn forged(dir: &Path, name: &str) -> (CertificateDer<'static>, KeyPair) {
    let inside = dir.join("certificate");
    let text = |file: &str| fs::read_to_string(inside.join(file)).unwrap();
    let key = KeyPair::from_pem(&text("authority-key.pem")).unwrap();
    let issuer = rcgen::Issuer::from_ca_cert_pem(&text("authority.pem"), key).unwrap();
    let key = KeyPair::generate().unwrap();
    let params = leaf::params(&[name.to_owned()], SystemTime::now()).unwrap();
    (params.signed_by(&key, &issuer).unwrap().der().clone(), key)
}

#[test]
fn the_authority_cannot_vouch_for_the_world_outside() {
    let dir = directory("outside");
    let kept = open(&dir, "stand");
    for name in ["school.example", "8.8.8.8", "printer.local"] {
        let (certificate, key) = forged(&dir, name);
        let chain = vec![certificate, CertificateDer::from(kept.authority.der.clone())];
        let key = PrivateKeyDer::try_from(key.serialize_der()).unwrap();
        let refused = shake_hands(&dir, listener_config(chain, key).unwrap(), name).unwrap_err();
        assert!(format!("{refused:?}").contains("NameConstraint"), "{name}: {refused:?}");
    }
    fs::remove_dir_all(dir).unwrap();
}

/// A school's own pair: self-signed here, which the server neither knows nor minds.
fn school(dir: &Path, names: &[&str], days: u32, now: SystemTime) -> KeyPair {
    let key = KeyPair::generate().unwrap();
    let wanted: Vec<String> = names.iter().map(|&name| name.to_owned()).collect();
    let mut params = leaf::params(&wanted, now).unwrap();
    authority::set_validity(&mut params, now, days);
    fs::write(dir.join("school.pem"), params.self_signed(&key).unwrap().pem()).unwrap();
    fs::write(dir.join("school-key.pem"), key.serialize_pem()).unwrap();
    key
}

#[test]
fn a_schools_own_certificate_is_checked_and_read_again() {
    let dir = directory("school");
    let now = SystemTime::now();
    let mut files = School::new(dir.join("school.pem"), dir.join("school-key.pem"));
    school(&dir, &["*.school.example", "winds.school.example"], 90, now);
    let served = files.serve(now).unwrap();
    assert!(served.is_new && served.warnings.is_empty(), "{served:?}");
    assert_eq!(School::link_name(&served), Some("winds.school.example"));
    for (host, expected) in [
        ("winds.school.example", true),
        ("brass.school.example", true),
        ("a.b.school.example", false),
        ("school.example", false),
        ("winds.example", false),
    ] {
        assert_eq!(covers(&served, host), expected, "{host}");
    }
    assert!(!files.serve(now).unwrap().is_new);
    assert!(files.serve(now + DAY * 80).unwrap().warnings[0].to_string().contains("ends on 20"));
    let told = files.serve(now + DAY * 91).unwrap_err().to_string();
    assert!(told.contains("it ended on 20"), "{told}");

    school(&dir, &["winds.school.example"], 90, now);
    assert!(files.serve(now).unwrap().is_new, "the files have changed");
    fs::write(dir.join("school-key.pem"), KeyPair::generate().unwrap().serialize_pem()).unwrap();
    let told = files.serve(now).unwrap_err().to_string();
    assert!(told.contains("belongs to another certificate"), "{told}");
    for (file, told) in
        [("school-key.pem", "not a PEM file with a private key"), ("school.pem", "no certificate in it")]
    {
        fs::write(dir.join(file), "nothing").unwrap();
        let error = files.serve(now).unwrap_err().to_string();
        assert!(error.contains(told), "{error}");
    }
    fs::remove_dir_all(dir).unwrap();
}
