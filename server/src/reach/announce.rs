//! The name of this computer on its network: multicast DNS (RFC 6762) for `NAME.local`, with the services behind it
//! (RFC 6763). A convenience only: some phones do not find such names, some networks do not carry them.

use super::Reach;
use crate::warning::Warning;
use mdns_sd::{DaemonEvent, ServiceDaemon, ServiceInfo};
use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;
use windrow_protocol::phrase::Phrase;

/// What the services are called where devices list them; without the section's name, since everybody in the network
/// reads it.
const INSTANCE: &str = "Windrow";
/// A goodbye that takes longer is left out.
const GOODBYE: Duration = Duration::from_millis(500);

/// Asking whether a name is taken lasts three quarters of a second (RFC 6762, section 8.1), and again with each next name.
const SETTLED_WITHIN: Duration = Duration::from_secs(15);

/// How the name stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) enum Announced {
    /// Not wanted.
    #[default]
    Off,
    /// Asked for, and nobody else has said yet that it is theirs.
    Asking(String),
    /// This computer is found by this name.
    As(String),
    /// This computer is found by the second name, since another one has the first.
    Instead(String, String),
    /// It could not be announced, for this reason.
    Failed(String),
}

impl Announced {
    /// The name by which this computer is found, with its ending.
    pub(crate) fn name(&self) -> Option<&str> {
        match self {
            Self::As(name) | Self::Instead(_, name) => Some(name),
            Self::Off | Self::Asking(_) | Self::Failed(_) => None,
        }
    }

    /// The name without its ending, for a certificate; also while it is being asked for.
    pub(super) fn label(&self) -> Option<&str> {
        match self {
            Self::Asking(name) | Self::As(name) | Self::Instead(_, name) => name.strip_suffix(".local"),
            Self::Off | Self::Failed(_) => None,
        }
    }

    pub(super) fn warning(&self, running_for: Duration) -> Option<Warning> {
        let failed = |what: Phrase| Warning::new(what, Phrase::of("announce-do"));
        match self {
            Self::Asking(_) if running_for >= SETTLED_WITHIN => Some(failed(Phrase::of("announce-none"))),
            Self::Off | Self::Asking(_) | Self::As(_) => None,
            Self::Instead(wanted, name) => Some(Warning::new(
                Phrase::of("announce-instead").with("wanted", &**wanted).with("name", &**name),
                Phrase::of("announce-instead-do"),
            )),
            Self::Failed(reason) => Some(failed(Phrase::of("announce-failed").with("why", &**reason))),
        }
    }
}

/// The announcement; it goes with this value.
pub(super) struct Announcer {
    daemon: ServiceDaemon,
    /// The name asked for, with its ending.
    wanted: String,
    /// Type and port of each service.
    services: Vec<(&'static str, u16)>,
    said: Vec<IpAddr>,
    full_names: Vec<String>,
}

impl Announcer {
    /// Begins to listen; nothing is announced before [`Announcer::say`].
    pub(super) fn start(reach: &Arc<Reach>, label: &str) -> Result<Self, mdns_sd::Error> {
        let daemon = ServiceDaemon::new()?;
        let events = daemon.monitor()?;
        let wanted = format!("{label}.local");
        let (reach_of_events, wanted_by_events) = (reach.clone(), wanted.clone());
        // Ends when the daemon does.
        std::thread::spawn(move || {
            let mut name = wanted_by_events.clone();
            for event in events {
                match event {
                    DaemonEvent::NameChange(change) if is_host(&change.original, &wanted_by_events) => {
                        change.new_name.trim_end_matches('.').clone_into(&mut name);
                    }
                    DaemonEvent::Announce(..) => {}
                    DaemonEvent::Error(error) => {
                        tracing::debug!(%error, "multicast DNS");
                        continue;
                    }
                    _ => continue,
                }
                let announced = if name == wanted_by_events {
                    Announced::As(name.clone())
                } else {
                    Announced::Instead(wanted_by_events.clone(), name.clone())
                };
                reach_of_events.change(|around| around.announced = announced);
            }
        });
        let http = ("_http._tcp.local.", reach.doors.http.port());
        let https = reach.doors.https.map(|addr| ("_https._tcp.local.", addr.port()));
        let services = [Some(http), https].into_iter().flatten().collect();
        Ok(Self { daemon, wanted, services, said: Vec::new(), full_names: Vec::new() })
    }

    /// Announces these addresses, if they are others than before.
    pub(super) fn say(&mut self, addresses: &[IpAddr]) -> Result<(), mdns_sd::Error> {
        if self.said == addresses || addresses.is_empty() {
            return Ok(());
        }
        let host = format!("{}.", self.wanted);
        self.full_names.clear();
        for &(kind, port) in &self.services {
            let service = ServiceInfo::new(kind, INSTANCE, &host, addresses, port, &[("path", "/")][..])?;
            self.full_names.push(service.get_fullname().to_owned());
            self.daemon.register(service)?;
        }
        addresses.clone_into(&mut self.said);
        Ok(())
    }

    /// Says goodbye, so that devices forget the name at once.
    pub(super) fn stop(self) {
        for name in &self.full_names {
            if let Ok(done) = self.daemon.unregister(name) {
                // Whoever does not hear it forgets the name after two minutes.
                let _ = done.recv_timeout(GOODBYE);
            }
        }
        if let Ok(done) = self.daemon.shutdown() {
            let _ = done.recv_timeout(GOODBYE);
        }
    }
}

fn is_host(name: &str, wanted: &str) -> bool {
    name.trim_end_matches('.').eq_ignore_ascii_case(wanted)
}
