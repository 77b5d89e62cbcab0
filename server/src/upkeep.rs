//! Looks after the records while a server runs: whether they are whole, pulses of sessions that are over packed, copies from
//! before a restore gone in time. It must know neither rooms nor pages.

use crate::clock::unix_ms;
use crate::store::{BackupError, Health, PassingBackup, Store, StoreError, Unfit};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime};
use tokio::sync::watch;
use tokio::time::timeout;

/// A start waits so long for the quick check, which by then has read some hundred megabytes (see DEVELOPERS.md); the rest is
/// looked at while the server runs. Our own choice.
const CHECK_WITHIN: Duration = Duration::from_secs(1);
/// Between two looks at what can be packed: what players carry in comes at any time.
const PACK_EVERY: Duration = Duration::from_secs(3600);
/// How long a copy from before a restore can be of use to somebody who finds that it was the wrong file. Our own choice.
const COPIES_LAST: Duration = Duration::from_secs(30 * 24 * 3600);

/// What a check from end to end found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Checked {
    pub(crate) health: Health,
    pub(crate) checked_unix_ms: i64,
}

/// Looks after the records.
#[derive(Debug)]
pub(crate) struct Upkeep {
    store: Store,
    checked: Mutex<Option<Checked>>,
}

impl Upkeep {
    /// Checks quickly whether the records are whole, as far as that goes within a second.
    ///
    /// # Errors
    /// When they are damaged.
    pub(crate) async fn begin(store: Store) -> Result<Arc<Self>, StoreError> {
        store.forget_remains();
        let to_check = store.clone();
        let check = tokio::spawn(async move { to_check.check(true).await });
        match timeout(CHECK_WITHIN, check).await {
            Ok(Ok(health)) => {
                if let Health::Faults(faults) = health? {
                    return Err(Unfit::Damaged(faults).into());
                }
            }
            Ok(Err(_)) => tracing::warn!("the check of the records broke off"),
            Err(_) => tracing::info!("the records are large: they are checked while the server runs"),
        }
        Ok(Arc::new(Self { store, checked: Mutex::default() }))
    }

    /// What the check since the start has found; none while it is under way.
    pub(crate) fn checked(&self) -> Option<Checked> {
        self.checked.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// A backup on its way to somebody.
    pub(crate) async fn back_up(&self) -> Result<PassingBackup, BackupError> {
        self.store.back_up_in_passing().await
    }

    /// Checks, packs and forgets, until the server stops.
    pub(crate) async fn run(self: Arc<Self>, mut closing: watch::Receiver<bool>) {
        // A read of the whole file that has begun ends by itself; nobody waits for it.
        tokio::select! {
            () = self.look_after() => {}
            _ = closing.wait_for(|closing| *closing) => {}
        }
    }

    async fn look_after(&self) {
        let is_whole = self.check().await;
        loop {
            self.store.forget_copies_made_before(SystemTime::now() - COPIES_LAST);
            // Nothing is deleted in a file that is not sure to be whole.
            if is_whole {
                match self.store.pack_pulses().await {
                    Ok(0) => {}
                    Ok(n) => tracing::info!(n, "pulses of players of earlier sessions were packed"),
                    Err(error) => {
                        tracing::warn!(%error, "pulses could not be packed; tried again in an hour")
                    }
                }
            }
            tokio::time::sleep(PACK_EVERY).await;
        }
    }

    async fn check(&self) -> bool {
        let health = match self.store.check(false).await {
            Ok(health) => health,
            Err(error) => {
                tracing::warn!(%error, "the records could not be checked");
                return false;
            }
        };
        if let Health::Faults(faults) = &health {
            let faults = faults.join("; ");
            tracing::error!(%faults, "the records are damaged: make a backup of the file and bring back an older one");
        }
        let is_whole = health == Health::Whole;
        let checked = Checked { health, checked_unix_ms: unix_ms() };
        *self.checked.lock().unwrap_or_else(PoisonError::into_inner) = Some(checked);
        is_whole
    }
}
