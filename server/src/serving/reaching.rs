//! What a start does so that devices can reach and trust the server: addresses, certificate, links; and the watcher that
//! keeps them true afterwards.

use super::listeners::Listeners;
use crate::config::{Https, LOCAL_NAME, ReachConfig};
use crate::error::StartError;
use crate::reach::{Announced, Certificates, Doors, Reach, Surroundings, Watch};
use crate::tls::{self, Kept, LocalNames, School, Served};
use axum_server::tls_rustls::RustlsConfig;
use std::path::Path;
use std::sync::Arc;
use std::time::{Instant, SystemTime};

/// All of it.
pub(super) struct Reaching {
    pub(super) reach: Arc<Reach>,
    /// What the https listener serves with; the watcher changes it while it runs.
    pub(super) https: Option<RustlsConfig>,
    certificates: Certificates,
}

/// Looks where this computer is and makes or reads its certificate.
pub(super) fn prepare(
    config: &ReachConfig,
    listeners: &Listeners,
    data_dir: &Path,
) -> Result<Reaching, StartError> {
    let now = SystemTime::now();
    let announced = match &config.local_name {
        Some(label) if !listeners.http_addr.ip().is_loopback() => Announced::Asking(format!("{label}.local")),
        _ => Announced::Off,
    };
    let mut certificates = match &config.https {
        Https::None => Certificates::None,
        Https::Own { constrained, .. } => {
            let host = tls::host_name();
            // A start without a name on the network must not leave it out of the authority for years.
            let announced = config.local_name.as_deref().unwrap_or(LOCAL_NAME);
            let names = LocalNames::new(host.as_deref(), Some(announced));
            let (kept, said) = Kept::open(data_dir, &names, *constrained, now).map_err(StartError::Tls)?;
            Certificates::Kept(kept, host, said)
        }
        Https::School { certificate, key, .. } => {
            Certificates::School(School::new(certificate.clone(), key.clone()))
        }
    };
    let mut doors = Doors {
        http: listeners.http_addr,
        https: listeners.https_addr,
        port_80: listeners.has_port_80(),
        site: config.site.clone(),
        own_authority: matches!(certificates, Certificates::Kept(..)),
    };
    let networks = config.networks.look();
    let served = certificates.serve(&announced, &doors.addresses(&networks), now).map_err(StartError::Tls)?;
    if let (Certificates::School(school), Some(served), Some(addr)) =
        (&certificates, &served, listeners.https_addr)
    {
        doors.site = Some(site(school, served, doors.site.take(), addr.port())?);
    }
    let authority = match &certificates {
        Certificates::Kept(kept, ..) => Some(kept.authority.clone()),
        Certificates::None | Certificates::School(_) => None,
    };
    let (certified, certificate) =
        served.as_ref().map(|s| (s.names.clone(), s.warnings.clone())).unwrap_or_default();
    let surroundings = Surroundings { networks, certified, announced, certificate };
    let reach = Reach::new(doors, authority, config.proxies.clone(), surroundings, Instant::now());
    let https = served.map(|served| RustlsConfig::from_config(served.config));
    Ok(Reaching { reach: Arc::new(reach), https, certificates })
}

impl Reaching {
    /// The watcher.
    pub(super) fn watch(self, config: &ReachConfig) -> Watch {
        let label = config.local_name.as_deref();
        let (source, every) = (config.networks.clone(), config.look_every);
        Watch::new(self.reach, source, self.certificates, self.https, label, every)
    }
}

/// Where devices find a server with a school's own certificate: as somebody said, if the certificate is for that, else by
/// the certificate's first name.
fn site(school: &School, served: &Served, said: Option<String>, port: u16) -> Result<String, StartError> {
    let path = school.certificate.clone();
    let names = served.names.iter().cloned().collect::<Vec<_>>().join(", ");
    let Some(said) = said else {
        let name = School::link_name(served).ok_or(StartError::NoSiteName { path, names })?;
        let port = if port == 443 { String::new() } else { format!(":{port}") };
        return Ok(format!("https://{name}{port}"));
    };
    let host = said.trim_start_matches("https://").split(':').next().unwrap_or_default();
    if tls::covers(served, host) { Ok(said) } else { Err(StartError::OtherSite { path, names, site: said }) }
}
