//! Where the server listens, and the links that follow from that. Pure: addresses and names come in as values.

use crate::tls::is_private;
use std::collections::BTreeSet;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};

/// The ways in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Doors {
    /// Plain http.
    pub(crate) http: SocketAddr,
    /// Https, if it is served here.
    pub(crate) https: Option<SocketAddr>,
    /// Whether port 80 is ours as well.
    pub(crate) port_80: bool,
    /// The https site's own address, such as `https://winds.school.example`, where a proxy or a school's certificate makes one.
    pub(crate) site: Option<String>,
    /// Whether the certificate comes from this computer's authority, so that devices must learn to trust it.
    pub(crate) own_authority: bool,
}

impl Doors {
    /// Whether anything but this computer itself can come in.
    pub(crate) fn reaches_out(&self) -> bool {
        let addrs = [Some(self.http), self.https];
        addrs.into_iter().flatten().any(|addr| !addr.ip().is_loopback())
    }

    /// Whether plain http shows the whole site, as where it is the only door or a proxy stands before it.
    pub(crate) fn whole_site_on_http(&self) -> bool {
        self.https.is_none()
    }

    /// Addresses devices can come to. This computer's own authority cannot vouch for public ones.
    pub(crate) fn addresses(&self, networks: &[super::Network]) -> Vec<IpAddr> {
        let listening = self.https.unwrap_or(self.http).ip();
        if !listening.is_unspecified() {
            return vec![listening];
        }
        // Version 4 alone listens to version 4 alone.
        let is_ours = |ip: &IpAddr| ip.is_ipv4() || listening.is_ipv6();
        let is_vouched_for = |ip: &IpAddr| !self.own_authority || is_private(*ip);
        networks.iter().map(|n| n.ip).filter(|ip| is_ours(ip) && is_vouched_for(ip)).collect()
    }

    pub(crate) fn join_urls(&self, addresses: &[IpAddr], code: &str) -> Vec<String> {
        if let Some(site) = &self.site {
            return vec![format!("{site}/join/{code}")];
        }
        let (scheme, port) = match self.https {
            Some(addr) => ("https", addr.port()),
            None => ("http", self.http.port()),
        };
        let loopback = IpAddr::V4(Ipv4Addr::LOCALHOST);
        let here = addresses.is_empty().then_some(loopback);
        let hosts = addresses.iter().copied().chain(here);
        hosts.map(|ip| format!("{scheme}://{}:{port}/join/{code}", link_host(ip))).collect()
    }

    /// Where devices must first learn to trust this computer, the pattern leads to the welcome page over plain http, which
    /// goes on by itself where trust is there. It never holds the name, which some phones do not find.
    pub(crate) fn pattern_url(&self, addresses: &[IpAddr], code: &str) -> String {
        if self.site.is_none() && self.own_authority && !self.http.ip().is_loopback() {
            let ip = addresses.first().copied().unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST));
            return format!("http://{}:{}/join/{code}", link_host(ip), self.http.port());
        }
        self.join_urls(addresses, code).swap_remove(0)
    }

    /// What is typed: as few signs as lead here.
    pub(crate) fn short_address(&self, addresses: &[IpAddr]) -> String {
        if let Some(site) = &self.site {
            return site.trim_start_matches("https://").to_owned();
        }
        let host = link_host(addresses.first().copied().unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)));
        match self.https {
            _ if self.port_80 => host,
            // The plain door is this computer's alone.
            Some(https) if self.http.ip().is_loopback() => format!("https://{host}:{}", https.port()),
            _ => format!("{host}:{}", self.http.port()),
        }
    }

    /// See [`super::Reach::secure_origin`].
    pub(super) fn secure_origin(
        &self,
        host: Option<&str>,
        certified: &BTreeSet<String>,
        addresses: &[IpAddr],
    ) -> Option<String> {
        if let Some(site) = &self.site {
            return Some(site.clone());
        }
        let port = self.https?.port();
        // A device goes on under the name it came by, since what a page keeps is kept by name; a name that the certificate
        // does not hold would only bring a warning.
        let came_by = host.map(bare_host).filter(|&h| certified.contains(h)).map(str::to_owned);
        let first = || addresses.first().copied().unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)).to_string();
        let name = came_by.unwrap_or_else(first);
        let name = name.parse::<IpAddr>().map_or(name, link_host);
        Some(format!("https://{name}:{port}"))
    }

    /// See [`super::Reach::is_own_plain_origin`].
    pub(super) fn is_own_plain_origin(&self, origin: &str, certified: &BTreeSet<String>) -> bool {
        let Some(authority) = origin.strip_prefix("http://") else { return false };
        let host = bare_host(authority);
        let port = match authority.strip_prefix(host).or_else(|| authority.strip_prefix(&format!("[{host}]")))
        {
            Some("") => Some(80),
            Some(rest) => rest.strip_prefix(':').and_then(|port| port.parse().ok()),
            None => None,
        };
        let is_our_port = port == Some(self.http.port()) || (self.port_80 && port == Some(80));
        is_our_port && certified.contains(host)
    }
}

/// The name or address of a `Host` header, without port and brackets.
pub(crate) fn bare_host(host: &str) -> &str {
    match host.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
        Some((v6, _)) => v6,
        None => host.split(':').next().unwrap_or_default(),
    }
}

/// An address as a link writes it.
pub(crate) fn link_host(ip: IpAddr) -> String {
    match ip {
        IpAddr::V4(v4) => v4.to_string(),
        IpAddr::V6(v6) => format!("[{v6}]"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Network;
    use super::*;

    fn doors(http: &str, https: Option<&str>) -> Doors {
        Doors {
            http: http.parse().unwrap(),
            https: https.map(|addr| addr.parse().unwrap()),
            port_80: false,
            site: None,
            own_authority: https.is_some(),
        }
    }

    fn networks(ips: &[&str]) -> Vec<Network> {
        ips.iter().map(|ip| Network { interface: "wlan0".to_owned(), ip: ip.parse().unwrap() }).collect()
    }

    fn check(doors: &Doors, ips: &[&str], join: &[&str], pattern: &str, short: &str) {
        let addresses = doors.addresses(&networks(ips));
        assert_eq!(doors.join_urls(&addresses, "KF3M7P"), join);
        assert_eq!(doors.pattern_url(&addresses, "KF3M7P"), pattern);
        assert_eq!(doors.short_address(&addresses), short);
    }

    #[test]
    fn devices_join_over_https_after_a_welcome_over_http() {
        let here = ["192.168.1.5", "fd00::5", "203.0.113.7"];
        let both = doors("0.0.0.0:8470", Some("0.0.0.0:8471"));
        let join = ["https://192.168.1.5:8471/join/KF3M7P"];
        check(&both, &here, &join, "http://192.168.1.5:8470/join/KF3M7P", "192.168.1.5:8470");
        check(
            &Doors { port_80: true, ..both.clone() },
            &here,
            &join,
            "http://192.168.1.5:8470/join/KF3M7P",
            "192.168.1.5",
        );
        let six = ["https://192.168.1.5:8471/join/KF3M7P", "https://[fd00::5]:8471/join/KF3M7P"];
        check(
            &doors("[::]:8470", Some("[::]:8471")),
            &here,
            &six,
            "http://192.168.1.5:8470/join/KF3M7P",
            "192.168.1.5:8470",
        );
        let closed = doors("127.0.0.1:8470", Some("10.0.0.2:8471"));
        let join = "https://10.0.0.2:8471/join/KF3M7P";
        check(&closed, &here, &[join], join, "https://10.0.0.2:8471");
        let nowhere = ["https://127.0.0.1:8471/join/KF3M7P"];
        check(&both, &[], &nowhere, "http://127.0.0.1:8470/join/KF3M7P", "127.0.0.1:8470");
    }

    #[test]
    fn plain_http_alone_joins_at_any_address() {
        let join = "http://203.0.113.7:8470/join/KF3M7P";
        check(&doors("0.0.0.0:8470", None), &["203.0.113.7"], &[join], join, "203.0.113.7:8470");
        let join = "http://[::1]:8470/join/KF3M7P";
        check(&doors("[::1]:8470", None), &["192.168.1.5"], &[join], join, "[::1]:8470");
    }

    #[test]
    fn a_site_of_its_own_is_what_every_link_names() {
        let site = Some("https://winds.school.example:8471".to_owned());
        let school = Doors { site, own_authority: false, ..doors("0.0.0.0:8470", Some("0.0.0.0:8471")) };
        let join = "https://winds.school.example:8471/join/KF3M7P";
        check(&school, &["203.0.113.7"], &[join], join, "winds.school.example:8471");
    }

    #[test]
    fn a_device_goes_on_under_the_name_it_came_by() {
        let both = doors("0.0.0.0:8470", Some("0.0.0.0:8471"));
        let certified = BTreeSet::from(["windrow.local", "192.168.1.5", "fd00::5"].map(str::to_owned));
        let addresses = ["192.168.1.5".parse().unwrap()];
        for (host, expected) in [
            (Some("windrow.local:8470"), "https://windrow.local:8471"),
            (Some("192.168.1.5"), "https://192.168.1.5:8471"),
            (Some("[fd00::5]:8470"), "https://[fd00::5]:8471"),
            (Some("elsewhere.example"), "https://192.168.1.5:8471"),
            (None, "https://192.168.1.5:8471"),
        ] {
            assert_eq!(
                both.secure_origin(host, &certified, &addresses).as_deref(),
                Some(expected),
                "{host:?}"
            );
        }
    }

    #[test]
    fn only_this_servers_own_plain_pages_may_ask_whether_it_is_trusted() {
        let both = doors("0.0.0.0:8470", Some("0.0.0.0:8471"));
        let certified = BTreeSet::from(["windrow.local", "192.168.1.5", "fd00::5"].map(str::to_owned));
        for (origin, expected) in [
            ("http://192.168.1.5:8470", true),
            ("http://windrow.local:8470", true),
            ("http://[fd00::5]:8470", true),
            ("http://192.168.1.5", false),
            ("http://192.168.1.5:9000", false),
            ("http://192.168.1.6:8470", false),
            ("https://192.168.1.5:8470", false),
            ("http://192.168.1.5.elsewhere.example:8470", false),
            ("null", false),
        ] {
            assert_eq!(both.is_own_plain_origin(origin, &certified), expected, "{origin}");
        }
        let short = Doors { port_80: true, ..both };
        assert!(short.is_own_plain_origin("http://192.168.1.5", &certified));
    }
}
