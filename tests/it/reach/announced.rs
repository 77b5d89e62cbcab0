//! The name on the network, looked up by a second program on the same machine.

use super::{anywhere, ask, own_address};
use crate::browser::say;
use mdns_sd::{HostnameResolutionEvent, ServiceDaemon, ServiceEvent, ServiceInfo};
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use windrow::{Network, NetworkSource};
use windrow_tests::TestServer;

/// Asking whether a name is taken and telling it lasts about two seconds (RFC 6762, sections 8.1 and 8.3).
const LOOK_UP: Duration = Duration::from_secs(8);

/// A name that nobody else has.
fn unheard_of(what: &str) -> String {
    format!("windrow-{what}-{}x", std::process::id())
}

/// Addresses of a name under .local, asked for as any device does; none where nobody answers.
fn resolve(label: &str) -> Vec<IpAddr> {
    let daemon = ServiceDaemon::new().unwrap();
    let asked =
        daemon.resolve_hostname(&format!("{label}.local."), Some(LOOK_UP.as_millis() as u64)).unwrap();
    let deadline = Instant::now() + LOOK_UP;
    let mut found = Vec::new();
    while let Ok(event) = asked.recv_deadline(deadline) {
        match event {
            HostnameResolutionEvent::AddressesFound(_, addresses) => {
                found = addresses.iter().map(|scoped| scoped.to_ip_addr()).collect();
                break;
            }
            HostnameResolutionEvent::SearchTimeout(_) => break,
            _ => {}
        }
    }
    // An error means that it has ended already.
    let _ = daemon.shutdown();
    found
}

/// Takes a name as another computer would.
fn take(label: &str, ip: IpAddr) -> ServiceDaemon {
    let daemon = ServiceDaemon::new().unwrap();
    let host = format!("{label}.local.");
    let service = ServiceInfo::new("_windrowtest._tcp.local.", label, &host, ip, 9, None).unwrap();
    daemon.register(service).unwrap();
    daemon
}

/// Another address of the same network; in no other would its owner be believed.
fn neighbour(ip: IpAddr) -> IpAddr {
    match ip {
        IpAddr::V4(v4) => IpAddr::V4((u32::from(v4) ^ 1).into()),
        IpAddr::V6(v6) => IpAddr::V6((u128::from(v6) ^ 1).into()),
    }
}

/// An own address, where this machine carries such messages at all.
async fn multicast_or_say_skipped(test: &str) -> Option<IpAddr> {
    let ip = own_address(test)?;
    let label = unheard_of("probe");
    let daemon = take(&label, ip);
    let found = tokio::task::spawn_blocking(move || resolve(&label)).await.unwrap();
    let _ = daemon.shutdown();
    if found.is_empty() {
        say(&format!("skipped: {test}, since this machine carries no multicast"));
        return None;
    }
    Some(ip)
}

async fn announcing(label: &str) -> TestServer {
    announcing_at(label, NetworkSource::default()).await
}

async fn announcing_at(label: &str, networks: NetworkSource) -> TestServer {
    let server = TestServer::start_with(|config| {
        config.reach.http = anywhere();
        config.reach.local_name = Some(label.to_owned());
        config.reach.networks = networks;
        config.reach.look_every = Duration::from_millis(100);
    })
    .await;
    server.running().settle_local_name(LOOK_UP).await;
    server
}

async fn seen(server: &TestServer) -> serde_json::Value {
    let here = SocketAddr::from(([127, 0, 0, 1], server.running().http_addr.port()));
    let answer = ask(here, "/conduct/reach.json", &[("Cookie", &server.conductor_cookie())]).await;
    serde_json::from_str(&answer.body).unwrap()
}

#[tokio::test]
async fn a_device_finds_the_server_by_its_name_and_its_service() {
    let Some(ip) = multicast_or_say_skipped("the name on the network").await else { return };
    let label = unheard_of("found");
    let server = announcing(&label).await;
    let port = server.running().http_addr.port();
    assert_eq!(seen(&server).await["local_name"], format!("{label}.local:{port}"));
    let asked = label.clone();
    let found = tokio::task::spawn_blocking(move || resolve(&asked)).await.unwrap();
    assert!(found.contains(&ip), "{label} leads to {found:?}");

    let host = format!("{label}.local.");
    let browse = move || {
        let daemon = ServiceDaemon::new().unwrap();
        let events = daemon.browse("_http._tcp.local.").unwrap();
        let deadline = Instant::now() + LOOK_UP;
        let mut ports = Vec::new();
        while let Ok(event) = events.recv_deadline(deadline) {
            if let ServiceEvent::ServiceResolved(service) = event
                && service.get_hostname() == host
            {
                ports.push(service.get_port());
                break;
            }
        }
        let _ = daemon.shutdown();
        ports
    };
    assert_eq!(tokio::task::spawn_blocking(browse).await.unwrap(), [port]);
}

#[tokio::test]
async fn a_name_that_another_computer_has_is_left_to_it() {
    let Some(ip) = multicast_or_say_skipped("a name that is taken").await else { return };
    let label = unheard_of("taken");
    let other = take(&label, neighbour(ip));
    let asked = label.clone();
    assert!(!tokio::task::spawn_blocking(move || resolve(&asked)).await.unwrap().is_empty());
    let server = announcing(&label).await;
    let seen = seen(&server).await;
    let port = server.running().http_addr.port();
    assert_eq!(seen["local_name"], format!("{label}-2.local:{port}"), "{seen}");
    let told = seen["warnings"].as_array().unwrap().iter().any(|w| {
        w["text"]
            .as_str()
            .unwrap()
            .contains(&format!("is {label}.local already, so this one is {label}-2.local"))
    });
    assert!(told, "{seen}");
    let _ = other.shutdown();
}

#[tokio::test]
async fn an_address_that_has_come_is_announced_as_well() {
    let Some(ip) = multicast_or_say_skipped("the name after another Wi-Fi").await else { return };
    let label = unheard_of("moved");
    let network = |ip| Network { interface: "wlan0".to_owned(), ip };
    let networks = Arc::new(Mutex::new(vec![network(ip)]));
    let source = networks.clone();
    let server = announcing_at(&label, NetworkSource::new(move || source.lock().unwrap().clone())).await;
    networks.lock().unwrap().push(network(neighbour(ip)));
    let deadline = Instant::now() + 2 * LOOK_UP;
    loop {
        let asked = label.clone();
        let found = tokio::task::spawn_blocking(move || resolve(&asked)).await.unwrap();
        if found.contains(&ip) && found.contains(&neighbour(ip)) {
            break;
        }
        assert!(Instant::now() < deadline, "{label} leads to {found:?}");
    }
    assert!(seen(&server).await["local_name"].as_str().unwrap().starts_with(&format!("{label}.local")));
}
