//! From a computer's interfaces to the addresses a phone in the same room can come to. Asking the system is apart from
//! choosing, so that the choice is a pure function.

use std::fmt;
use std::net::IpAddr;
use std::sync::Arc;

/// An address of this computer and the interface that has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Network {
    /// The system's name for the interface, such as `wlan0`.
    pub interface: String,
    /// The address.
    pub ip: IpAddr,
}

/// Tells a computer's addresses, as often as it is asked.
#[derive(Clone)]
pub struct NetworkSource(Arc<dyn Fn() -> Vec<Network> + Send + Sync>);

impl NetworkSource {
    /// One that a function answers for.
    pub fn new(answer: impl Fn() -> Vec<Network> + Send + Sync + 'static) -> Self {
        Self(Arc::new(answer))
    }

    /// What the system says now, the likeliest first.
    pub fn look(&self) -> Vec<Network> {
        likeliest_first((self.0)())
    }
}

impl Default for NetworkSource {
    /// The system itself.
    fn default() -> Self {
        Self::new(|| {
            let interfaces = if_addrs::get_if_addrs().unwrap_or_default();
            // Some drivers never say whether they are up.
            let up = interfaces.into_iter().filter(|i| i.oper_status != if_addrs::IfOperStatus::Down);
            up.map(|i| Network { ip: i.ip(), interface: i.name }).collect()
        })
    }
}

impl fmt::Debug for NetworkSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("NetworkSource")
    }
}

/// Leaves out what no device elsewhere can come to, and sorts by how likely a phone in the room is to be in that network.
fn likeliest_first(networks: Vec<Network>) -> Vec<Network> {
    let mut networks: Vec<Network> = networks.into_iter().filter(|n| is_reachable(n.ip)).collect();
    // Networks of virtual machines and containers, and tunnels, come last; version 4 before 6, which is hard to type.
    networks.sort_by_key(|n| {
        (is_inside_only(&n.interface), n.ip.is_ipv6(), kind(&n.interface), n.interface.clone())
    });
    networks.dedup_by_key(|n| n.ip);
    networks
}

/// Loopback stays here; link-local addresses need a zone, which no browser's address takes, or mean that no router gave one.
fn is_reachable(ip: IpAddr) -> bool {
    match ip {
        IpAddr::V4(v4) => !(v4.is_loopback() || v4.is_link_local() || v4.is_unspecified()),
        IpAddr::V6(v6) => !(v6.is_loopback() || v6.is_unicast_link_local() || v6.is_unspecified()),
    }
}

/// Names that virtual machines, containers and tunnels give their networks inside a computer (from memory).
fn is_inside_only(interface: &str) -> bool {
    const INSIDE: [&str; 15] = [
        "docker",
        "br-",
        "veth",
        "virbr",
        "vmnet",
        "vboxnet",
        "vethernet",
        "virtualbox",
        "lxc",
        "lxd",
        "podman",
        "tun",
        "utun",
        "wg",
        "tailscale",
    ];
    let name = interface.to_ascii_lowercase();
    INSIDE.iter().any(|inside| name.starts_with(inside))
}

/// Wireless before the rest: phones are where the Wi-Fi is.
fn kind(interface: &str) -> u8 {
    let name = interface.to_ascii_lowercase();
    u8::from(!["wl", "wi-fi", "wifi", "ap"].iter().any(|wireless| name.starts_with(wireless)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(interfaces: &[(&str, &str)], expected: &[&str]) {
        let networks = interfaces
            .iter()
            .map(|&(name, ip)| Network { interface: name.to_owned(), ip: ip.parse().unwrap() })
            .collect();
        let found: Vec<String> = likeliest_first(networks).iter().map(|n| n.ip.to_string()).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn wireless_comes_first_and_what_is_inside_the_computer_last() {
        check(
            &[
                ("lo", "127.0.0.1"),
                ("docker0", "172.17.0.1"),
                ("eth0", "10.1.2.3"),
                ("wlan0", "192.168.1.5"),
                ("wlan0", "fd00::5"),
                ("wlan0", "fe80::1"),
            ],
            &["192.168.1.5", "10.1.2.3", "fd00::5", "172.17.0.1"],
        );
        check(&[("Wi-Fi", "192.168.1.5"), ("vEthernet (WSL)", "172.20.0.1")], &["192.168.1.5", "172.20.0.1"]);
    }

    #[test]
    fn an_address_nobody_gave_is_no_network() {
        // RFC 3927: what a computer takes where no router answers.
        check(&[("lo", "::1"), ("wlan0", "169.254.7.7")], &[]);
    }

    #[test]
    fn public_addresses_are_told_as_well() {
        check(&[("eth0", "203.0.113.7")], &["203.0.113.7"]);
    }
}
