//! What is likely between the phones and this computer, in words, from what can be noticed. Pure.

use super::firewall::how_to_open;
use super::visits::Reached;
use super::{Doors, Surroundings};
use crate::warning::Warning;
use std::net::IpAddr;
use std::time::Duration;

/// Nobody is missed before: a class needs some minutes to sit down (a guess).
const EXPECTED_WITHIN: Duration = Duration::from_secs(180);
/// The way out where a network keeps its devices apart.
const OWN_NETWORK: &str =
    "a small router of your own without internet, or the hotspot of this computer or of a phone";

/// What is known.
pub(super) struct Circumstances<'a> {
    pub(super) doors: &'a Doors,
    pub(super) surroundings: &'a Surroundings,
    pub(super) reached: Reached,
    pub(super) firewall: Option<&'a str>,
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
        warnings.push(Warning::new(
            "Windrow listens for this computer alone, so no phone can reach it.",
            "Start it without --http and --https, or with an address of this computer there.",
        ));
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
        return closed.then(|| {
            Warning::new(
                "Plain http is open to this computer alone, so phones get no page that helps them to trust it.",
                "Start Windrow without --http, or with --http 0.0.0.0:8470.",
            )
        });
    }
    let list = |of: &[IpAddr]| of.iter().map(IpAddr::to_string).collect::<Vec<_>>().join(", ");
    let ips: Vec<IpAddr> = networks.iter().map(|n| n.ip).collect();
    let public: Vec<IpAddr> = ips.iter().copied().filter(|&ip| !crate::tls::is_private(ip)).collect();
    Some(if ips.is_empty() {
        Warning::new(
            "This computer is in no network, so no phone can reach it.",
            format!(
                "Join the Wi-Fi that the phones are in, or open a network of your own: {OWN_NETWORK}. Windrow notices."
            ),
        )
    } else if public.len() == ips.len() {
        Warning::new(
            format!(
                "This computer has a public address only ({}), for which its own certificate cannot stand.",
                list(&ips)
            ),
            format!(
                "Use another network, such as {OWN_NETWORK}, or a certificate of your school's with --certificate and --key."
            ),
        )
    } else {
        let private: Vec<IpAddr> = ips.iter().copied().filter(|&ip| crate::tls::is_private(ip)).collect();
        Warning::new(
            format!("Windrow does not listen on this computer's private addresses ({}).", list(&private)),
            "Start it with --http [::]:8470 --https [::]:8471.",
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
        if let Some(firewall) = now.firewall {
            warnings.push(Warning::new(format!("{firewall} It may keep phones out."), how_to_open(&ports)));
        }
        if now.running_for >= EXPECTED_WITHIN {
            warnings.push(Warning::new(
                "No device has reached this computer yet.",
                format!(
                    "Let one phone open the address. If nothing comes, it may be in another Wi-Fi, or on mobile data; the \
                     Wi-Fi may keep its devices apart, as guest and school networks often do; or a firewall on this \
                     computer may be in the way. {} If the Wi-Fi is to blame, use {OWN_NETWORK}.",
                    how_to_open(&ports)
                ),
            ));
        }
        let others = now.doors.addresses(&now.surroundings.networks);
        if others.len() > 1 && now.doors.site.is_none() {
            warnings.push(Warning::new(
                format!("This computer is in several networks. The pattern leads to {}.", others[0]),
                format!(
                    "If phones do not get there, try {}.",
                    others[1..].iter().map(IpAddr::to_string).collect::<Vec<_>>().join(" or ")
                ),
            ));
        }
    }
    if stuck > 0 && now.doors.own_authority {
        let who = if stuck == 1 { "One device has".to_owned() } else { format!("{stuck} devices have") };
        let what_to_do = if https > 0 {
            "Their page says what to tap. Whoever is in a hurry takes the second way there, past the warning."
                .to_owned()
        } else {
            let port = now.doors.https.map_or(0, |addr| addr.port());
            format!(
                "Their page says what to tap. If no device gets on at all, port {port} may be closed. {}",
                how_to_open(&[port])
            )
        };
        warnings
            .push(Warning::new(format!("{who} seen the welcome page and not come in since."), what_to_do));
    }
    warnings
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
            assert!(
                warning.text.contains(begin) && !warning.what_to_do.is_empty(),
                "{warning:?} is not about {begin}"
            );
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
        check(
            |now, _| now.firewall = Some("The firewall ufw is switched on."),
            &["ufw is switched on. It may keep phones out"],
        );
        check(
            |now, _| {
                now.firewall = Some("The firewall ufw is switched on.");
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
