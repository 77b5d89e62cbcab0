//! What is likely between the phones and this computer, in words, from what can be noticed. Pure.

use super::firewall::how_to_open;
use super::visits::Reached;
use super::{Doors, Surroundings};
use crate::warning::Warning;
use std::net::IpAddr;
use std::time::Duration;
use windrow_protocol::phrase::Phrase;

/// Nobody is missed before: a class needs some minutes to sit down (a guess).
const EXPECTED_WITHIN: Duration = Duration::from_secs(180);

/// The way out where a network keeps its devices apart.
fn own_network() -> Phrase {
    Phrase::of("way-own-network")
}

/// What is known.
pub(super) struct Circumstances<'a> {
    pub(super) doors: &'a Doors,
    pub(super) surroundings: &'a Surroundings,
    pub(super) reached: Reached,
    /// A sentence that names it.
    pub(super) firewall: Option<Phrase>,
    pub(super) running_for: Duration,
}

/// The gravest first.
pub(super) fn warnings(now: &Circumstances<'_>) -> Vec<Warning> {
    let mut warnings = Vec::new();
    // A proxy on this computer may well be all that reaches it.
    if now.doors.reaches_out() || now.doors.site.is_some() {
        warnings.extend(network(now));
        warnings.extend(visitors(now));
    } else {
        warnings.push(Warning::new(Phrase::of("way-local-only"), Phrase::of("way-local-only-do")));
    }
    warnings.extend(now.surroundings.certificate.iter().cloned());
    warnings.extend(now.surroundings.announced.warning(now.running_for));
    warnings
}

/// What is wrong with the network before anybody has tried.
fn network(now: &Circumstances<'_>) -> Option<Warning> {
    let (doors, networks) = (now.doors, &now.surroundings.networks);
    if doors.site.is_some() || !doors.addresses(networks).is_empty() {
        let closed = doors.own_authority && doors.http.ip().is_loopback();
        return closed.then(|| Warning::new(Phrase::of("way-plain-local"), Phrase::of("way-plain-local-do")));
    }
    let list = |of: &[IpAddr]| of.iter().map(IpAddr::to_string).collect::<Vec<_>>().join(", ");
    let ips: Vec<IpAddr> = networks.iter().map(|n| n.ip).collect();
    let public: Vec<IpAddr> = ips.iter().copied().filter(|&ip| !crate::tls::is_private(ip)).collect();
    Some(if ips.is_empty() {
        Warning::new(Phrase::of("way-no-network"), Phrase::of("way-no-network-do").with("own", own_network()))
    } else if public.len() == ips.len() {
        Warning::new(
            Phrase::of("way-public").with("addresses", list(&ips)),
            Phrase::of("way-public-do").with("own", own_network()),
        )
    } else {
        let private: Vec<IpAddr> = ips.iter().copied().filter(|&ip| crate::tls::is_private(ip)).collect();
        Warning::new(
            Phrase::of("way-not-private").with("addresses", list(&private)),
            Phrase::of("way-not-private-do"),
        )
    })
}

/// What the visitors so far tell.
fn visitors(now: &Circumstances<'_>) -> Vec<Warning> {
    let Reached { http, https, stuck } = now.reached;
    let ports: Vec<u16> =
        [Some(now.doors.http), now.doors.https].into_iter().flatten().map(|a| a.port()).collect();
    let mut warnings = Vec::new();
    if http == 0 && https == 0 {
        if let Some(firewall) = &now.firewall {
            let firewall = Phrase::of("way-firewall").with("firewall", firewall.clone());
            warnings.push(Warning::new(firewall, how_to_open(&ports)));
        }
        if now.running_for >= EXPECTED_WITHIN {
            warnings.push(Warning::new(
                Phrase::of("way-nobody"),
                Phrase::of("way-nobody-do").with("open", how_to_open(&ports)).with("own", own_network()),
            ));
        }
        let others = now.doors.addresses(&now.surroundings.networks);
        if others.len() > 1 && now.doors.site.is_none() {
            warnings.push(Warning::new(
                Phrase::of("way-several").with("address", others[0].to_string()),
                Phrase::of("way-several-do").with("others", one_of(&others[1..])),
            ));
        }
    }
    if stuck > 0 && now.doors.own_authority {
        let what_to_do = if https > 0 {
            Phrase::of("way-stuck-do")
        } else {
            let port = now.doors.https.map_or(0, |addr| addr.port());
            let open = how_to_open(&[port]);
            Phrase::of("way-stuck-all-do").with("port", port).with("open", open)
        };
        warnings.push(Warning::new(Phrase::of("way-stuck").with("n", stuck), what_to_do));
    }
    warnings
}

/// "a", "a or b", "a or b or c".
fn one_of(addresses: &[IpAddr]) -> Phrase {
    let mut texts = addresses.iter().map(|ip| Phrase::from(ip.to_string()));
    let first = texts.next().unwrap_or_default();
    texts.fold(first, |said, next| Phrase::of("way-or").with("first", said).with("last", next))
}

#[cfg(test)]
mod tests {
    use super::super::{Announced, Network};
    use super::*;

    fn check(change: impl FnOnce(&mut Circumstances<'_>, &mut Surroundings), expected: &[&str]) {
        let doors = Doors {
            http: "0.0.0.0:8470".parse().unwrap(),
            https: Some("0.0.0.0:8471".parse().unwrap()),
            port_80: false,
            site: None,
            own_authority: true,
        };
        let here = Network { interface: "wlan0".to_owned(), ip: "192.168.1.5".parse().unwrap() };
        let mut surroundings = Surroundings { networks: vec![here], ..Surroundings::default() };
        let nothing = Surroundings::default();
        let mut now = Circumstances {
            doors: &doors,
            surroundings: &nothing,
            reached: Reached::default(),
            firewall: None,
            running_for: Duration::from_secs(10),
        };
        change(&mut now, &mut surroundings);
        let now = Circumstances { surroundings: &surroundings, ..now };
        let said = warnings(&now);
        assert_eq!(said.len(), expected.len(), "{said:#?}");
        for (warning, begin) in said.iter().zip(expected) {
            assert!(warning.to_string().contains(begin), "{warning} is not about {begin}");
        }
    }

    #[test]
    fn nothing_is_said_where_nothing_is_odd() {
        check(|_, _| {}, &[]);
        check(|now, _| now.reached = Reached { http: 12, https: 12, stuck: 0 }, &[]);
    }

    #[test]
    fn a_computer_without_a_network_is_told() {
        check(|_, around| around.networks.clear(), &["in no network"]);
        check(
            |_, around| around.networks[0].ip = "203.0.113.7".parse().unwrap(),
            &["public address only (203.0.113.7)"],
        );
        check(|_, around| around.networks[0].ip = "fd00::5".parse().unwrap(), &["does not listen on"]);
    }

    #[test]
    fn nobody_is_missed_until_some_minutes_have_passed() {
        check(|now, _| now.running_for = Duration::from_secs(179), &[]);
        check(|now, _| now.running_for = Duration::from_secs(180), &["No device has reached"]);
        let came = Reached { http: 1, https: 0, stuck: 0 };
        check(
            |now, _| {
                now.running_for = Duration::from_secs(900);
                now.reached = came;
            },
            &[],
        );
    }

    #[test]
    fn a_firewall_is_named_until_somebody_has_come_through() {
        let ufw = Phrase::of("firewall-ufw");
        check(|now, _| now.firewall = Some(ufw.clone()), &["ufw is switched on. It may keep phones out"]);
        check(
            |now, _| {
                now.firewall = Some(ufw.clone());
                now.reached = Reached { http: 1, https: 1, stuck: 0 };
            },
            &[],
        );
    }

    #[test]
    fn devices_that_stay_on_the_welcome_page_are_told() {
        check(
            |now, _| now.reached = Reached { http: 3, https: 1, stuck: 2 },
            &["2 devices have seen the welcome page"],
        );
        check(
            |now, _| now.reached = Reached { http: 1, https: 0, stuck: 1 },
            &["One device has seen the welcome page"],
        );
    }

    #[test]
    fn several_networks_and_a_taken_name_are_told() {
        check(
            |_, around| {
                around
                    .networks
                    .push(Network { interface: "eth0".to_owned(), ip: "10.1.2.3".parse().unwrap() });
                around.announced =
                    Announced::Instead("windrow.local".to_owned(), "windrow-2.local".to_owned());
            },
            &["several networks", "so this one is windrow-2.local"],
        );
    }

    #[test]
    fn a_name_that_nobody_settles_is_told_after_a_while() {
        let asking = Announced::Asking("windrow.local".to_owned());
        check(|_, around| around.announced = asking.clone(), &[]);
        check(
            |now, around| {
                around.announced = asking.clone();
                now.running_for = Duration::from_secs(20);
            },
            &["could not announce its name"],
        );
    }
}
