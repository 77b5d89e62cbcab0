//! How devices find this computer: its addresses, the links and the pattern that lead to it, its name on the network, who
//! has come so far, and what is likely in the way. It must know nothing of rooms and pages.

mod addresses;
mod announce;
mod doors;
mod firewall;
mod pattern;
mod profile;
mod visits;
mod warnings;
mod watch;

pub use addresses::{Network, NetworkSource};
pub(crate) use announce::Announced;
pub(crate) use doors::{Doors, bare_host, link_host};
pub(crate) use pattern::{for_page, for_terminal};
pub(crate) use profile::profile;
pub(crate) use visits::Reached;
pub(crate) use watch::{Certificates, Watch};

use crate::tls::Authority;
use crate::warning::Warning;
use std::collections::BTreeSet;
use std::net::IpAddr;
use std::sync::{PoisonError, RwLock};
use std::time::Instant;
use visits::Visits;
use warnings::Circumstances;
use windrow_protocol::phrase::Phrase;

/// What is known of the way here; shared by pages and the watcher.
#[derive(Debug)]
pub(crate) struct Reach {
    /// Where the server listens, and what stands before it.
    pub(crate) doors: Doors,
    /// What devices are to trust; none with a school's own certificate, or without https.
    pub(crate) authority: Option<Authority>,
    /// Programs that end https before this server and say who is asking.
    pub(crate) proxies: Vec<IpAddr>,
    surroundings: RwLock<Surroundings>,
    visits: Visits,
    firewall: Option<Phrase>,
    started: Instant,
}

/// What may change while the server runs.
#[derive(Debug, Clone, Default)]
pub(crate) struct Surroundings {
    /// Networks this computer is in, the likeliest first.
    pub(crate) networks: Vec<Network>,
    /// Names and addresses of the certificate.
    pub(crate) certified: BTreeSet<String>,
    /// The name on the network.
    pub(crate) announced: Announced,
    /// What is odd about the certificate.
    pub(crate) certificate: Vec<Warning>,
}

impl Reach {
    pub(crate) fn new(
        doors: Doors,
        authority: Option<Authority>,
        proxies: Vec<IpAddr>,
        surroundings: Surroundings,
        now: Instant,
    ) -> Self {
        // Asked once: nobody changes a firewall without being told to, and asking starts another program on some systems.
        let firewall = doors.reaches_out().then(firewall::notice).flatten();
        let surroundings = RwLock::new(surroundings);
        Self { doors, authority, proxies, surroundings, visits: Visits::default(), firewall, started: now }
    }

    /// As things are now.
    pub(crate) fn surroundings(&self) -> Surroundings {
        self.surroundings.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Notes what has changed.
    pub(crate) fn change(&self, change: impl FnOnce(&mut Surroundings)) {
        change(&mut self.surroundings.write().unwrap_or_else(PoisonError::into_inner));
    }

    /// Addresses devices can come to, the likeliest first.
    pub(crate) fn addresses(&self) -> Vec<IpAddr> {
        self.doors.addresses(&self.surroundings().networks)
    }

    /// Links with which devices join, the likeliest first; never empty.
    pub(crate) fn join_urls(&self, code: &str) -> Vec<String> {
        self.doors.join_urls(&self.addresses(), code)
    }

    /// The link in the pattern on the wall.
    pub(crate) fn pattern_url(&self, code: &str) -> String {
        self.doors.pattern_url(&self.addresses(), code)
    }

    /// What is typed where there is no camera.
    pub(crate) fn short_address(&self) -> String {
        self.doors.short_address(&self.addresses())
    }

    /// The name on the network as it is typed, once it is announced.
    pub(crate) fn named_address(&self) -> Option<String> {
        let name = self.surroundings().announced.name().map(str::to_owned)?;
        Some(if self.doors.port_80 { name } else { format!("{name}:{}", self.doors.http.port()) })
    }

    /// The address of the https site as a device sees it that came to `host`, which may be a name or an address with or
    /// without a port; none where there is no https here.
    pub(crate) fn secure_origin(&self, host: Option<&str>) -> Option<String> {
        let surroundings = self.surroundings();
        self.doors.secure_origin(host, &surroundings.certified, &self.doors.addresses(&surroundings.networks))
    }

    /// Whether an origin is one of this server's own over plain http.
    pub(crate) fn is_own_plain_origin(&self, origin: &str) -> bool {
        let surroundings = self.surroundings();
        self.doors.is_own_plain_origin(origin, &surroundings.certified)
    }

    /// Notes that a device has come.
    pub(crate) fn note_visit(&self, ip: IpAddr, secure: bool) {
        self.visits.note(ip, secure, Instant::now());
    }

    /// How many devices have come.
    pub(crate) fn reached(&self) -> Reached {
        self.visits.reached(Instant::now())
    }

    /// What is likely in the way, the gravest first.
    pub(crate) fn warnings(&self) -> Vec<Warning> {
        let surroundings = self.surroundings();
        warnings::warnings(&Circumstances {
            doors: &self.doors,
            surroundings: &surroundings,
            reached: self.reached(),
            firewall: self.firewall.clone(),
            running_for: self.started.elapsed(),
        })
    }
}
