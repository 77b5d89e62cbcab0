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

#[test]
fn the_files_serve() {
    let dir = directory("serve");
    let config = server_config(&dir, &[address("192.168.1.5")]).unwrap();
    assert_eq!(config.alpn_protocols, [b"http/1.1".to_vec()]);
    fs::remove_dir_all(dir).unwrap();
}
