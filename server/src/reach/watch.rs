//! Looks again, every few seconds: a laptop changes its Wi-Fi, a certificate ends or is replaced. What has changed is
//! served, announced and shown anew, without a connection being cut.

use super::announce::{Announced, Announcer};
use super::{NetworkSource, Reach};
use crate::tls::{Kept, LocalNames, School, Served, TlsError};
use crate::warning::Warning;
use axum_server::tls_rustls::RustlsConfig;
use std::net::IpAddr;
use std::sync::Arc;
use std::time::{Duration, SystemTime};
use tokio::sync::watch;
use windrow_protocol::phrase::Phrase;

/// Where certificates come from.
#[derive(Debug)]
pub(crate) enum Certificates {
    /// Https is not served here.
    None,
    /// This computer's own authority, with the computer's name (without its ending) and what it said when it was opened.
    Kept(Kept, Option<String>, Vec<Warning>),
    /// The school's files.
    School(School),
}

impl Certificates {
    /// The certificate to serve with now; none where https is not served.
    pub(crate) fn serve(
        &mut self,
        announced: &Announced,
        addresses: &[IpAddr],
        now: SystemTime,
    ) -> Result<Option<Served>, TlsError> {
        match self {
            Self::None => Ok(None),
            Self::Kept(kept, host, said) => {
                let names = LocalNames::new(host.as_deref(), announced.label());
                let mut served = kept.serve(&names, addresses, now)?;
                served.warnings.splice(0..0, said.iter().cloned());
                Ok(Some(served))
            }
            Self::School(school) => school.serve(now).map(Some),
        }
    }
}

/// The watcher.
pub(crate) struct Watch {
    reach: Arc<Reach>,
    source: NetworkSource,
    certificates: Certificates,
    https: Option<RustlsConfig>,
    announcer: Option<Announcer>,
    every: Duration,
}

impl Watch {
    /// A watcher that looks `every` so often; with a label it announces that name.
    pub(crate) fn new(
        reach: Arc<Reach>,
        source: NetworkSource,
        certificates: Certificates,
        https: Option<RustlsConfig>,
        label: Option<&str>,
        every: Duration,
    ) -> Self {
        let is_wanted = matches!(reach.surroundings().announced, Announced::Asking(_));
        let announcer = label.filter(|_| is_wanted).and_then(|label| {
            let started = Announcer::start(&reach, label);
            started
                .map_err(|error| {
                    reach.change(|around| around.announced = Announced::Failed(error.to_string()));
                })
                .ok()
        });
        let mut watch = Self { reach, source, certificates, https, announcer, every };
        watch.announce();
        watch
    }

    /// Looks again and again, until the server closes.
    pub(crate) async fn run(mut self, mut closing: watch::Receiver<bool>) {
        loop {
            tokio::select! {
                _ = closing.wait_for(|closing| *closing) => break,
                () = tokio::time::sleep(self.every) => {}
            }
            // Asking the system and reading files may wait for a disk.
            let looked = tokio::task::spawn_blocking(move || {
                self.look(SystemTime::now());
                self
            });
            match looked.await {
                Ok(watch) => self = watch,
                Err(error) => {
                    tracing::error!(%error, "addresses and certificates are no longer watched");
                    return;
                }
            }
        }
        if let Some(announcer) = self.announcer {
            // Deadlines are the announcer's.
            let _ = tokio::task::spawn_blocking(move || announcer.stop()).await;
        }
    }

    fn look(&mut self, now: SystemTime) {
        let networks = self.source.look();
        let before = self.reach.surroundings();
        if networks != before.networks {
            tracing::info!("this computer's addresses have changed");
            self.reach.change(|around| around.networks = networks);
            self.announce();
        }
        match self.certificates.serve(&before.announced, &self.reach.addresses(), now) {
            Ok(None) => {}
            Ok(Some(served)) => {
                if let Some(https) = self.https.as_ref().filter(|_| served.is_new) {
                    tracing::info!("another certificate is served");
                    https.reload_from_config(served.config);
                }
                self.reach.change(|around| {
                    around.certified = served.names;
                    around.certificate = served.warnings;
                });
            }
            Err(error) => {
                let warning = match self.certificates {
                    Certificates::School(_) => Warning::new(
                        Phrase::of("certificate-school-unusable").with("why", error.to_string()),
                        Phrase::of("certificate-school-unusable-do"),
                    ),
                    _ => Warning::new(
                        Phrase::of("certificate-own-unusable").with("why", error.to_string()),
                        Phrase::of("certificate-own-unusable-do"),
                    ),
                };
                if !before.certificate.contains(&warning) {
                    tracing::warn!(%error, "the certificate cannot be used; the one before is served");
                }
                self.reach.change(|around| around.certificate = vec![warning]);
            }
        }
    }

    fn announce(&mut self) {
        let addresses = self.reach.addresses();
        let said = self.announcer.as_mut().map_or(Ok(()), |announcer| announcer.say(&addresses));
        if let Err(error) = said {
            self.reach.change(|around| around.announced = Announced::Failed(error.to_string()));
        }
    }
}
