//! Who may do what: the conductor's passphrase, sign-ins and their roles, invitations, a room's door, and how often
//! somebody may guess. It keeps hashes in the store and must know neither pages nor the rules of a rehearsal. Times come
//! in as Unix time, ms.

mod door;
mod guesses;
mod passphrase;
mod token;

#[cfg(test)]
pub(crate) use door::CODE_LASTS_RANGE_MIN;
pub(crate) use door::{CODE_LASTS_MIN, Door, DoorView, Knock};
pub(crate) use guesses::{Guess, Guesses, Try, Wait};
pub(crate) use passphrase::{MIN_SIGNS, Unfit, check, hash};
pub(crate) use token::new_token;

use crate::store::{Lifetime, SignInRow, Store, StoreError, token_sha256};
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Instant;
use tokio::sync::Semaphore;

/// A sign-in ends 12 h after its last use, so that a laptop left in a school is closed by the next morning, and after 30
/// days. NIST SP 800-63B, section 4 (from memory): 30 days at its lowest level, 12 h at the next. OWASP's Session
/// Management Cheat Sheet names 15 to 30 minutes unused for little risk; a tablet on a stand lies longer than that.
pub(crate) const SIGN_IN_LASTS: Lifetime = Lifetime { unused_ms: 12 * HOUR_MS, whole_ms: 30 * 24 * HOUR_MS };
/// The link that sets the passphrase is on a screen in a school: an hour is enough for who has just started the program.
pub(crate) const PASSPHRASE_LINK_LASTS_MS: i64 = HOUR_MS;
/// An invitation is sent today for tomorrow's rehearsal.
pub(crate) const INVITATION_LASTS_MS: i64 = 24 * HOUR_MS;
const HOUR_MS: i64 = 3_600_000;
/// A server that stopped no longer ago goes on with the rooms and codes it had: time to start a laptop again or to change its battery,
/// and less than lies between two rehearsals. Our own choice.
pub(crate) const SAME_REHEARSAL_MS: i64 = HOUR_MS / 2;

/// Hashes computed at the same time: each takes a core and 19 MiB.
const HASHES_AT_ONCE: usize = 2;

/// What a link that is good once opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LinkKind {
    /// Sets the passphrase, the first or a new one.
    Passphrase,
    /// Lets an assistant sign in.
    Assistant,
}

impl LinkKind {
    fn name(self) -> &'static str {
        match self {
            LinkKind::Passphrase => "passphrase",
            LinkKind::Assistant => "assistant",
        }
    }

    fn lasts_ms(self) -> i64 {
        match self {
            LinkKind::Passphrase => PASSPHRASE_LINK_LASTS_MS,
            LinkKind::Assistant => INVITATION_LASTS_MS,
        }
    }
}

/// What somebody who is signed in may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    /// Everything.
    Conductor,
    /// Leading a rehearsal: socket, room, roster. Not who may do what, and not erasing.
    Assistant,
}

impl Role {
    fn name(self) -> &'static str {
        match self {
            Role::Conductor => "conductor",
            Role::Assistant => "assistant",
        }
    }
}

/// Somebody who is signed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SignIn {
    /// Names it on the page that ends it.
    pub(crate) id: i64,
    pub(crate) role: Role,
    /// An assistant's.
    pub(crate) name: String,
    pub(crate) made_ms: i64,
    pub(crate) used_ms: i64,
}

impl SignIn {
    /// `None` for a role of another version of the program: it may do nothing here.
    fn from_row(row: SignInRow) -> Option<Self> {
        let role = [Role::Conductor, Role::Assistant].into_iter().find(|role| role.name() == row.role)?;
        let SignInRow { sign_in_id: id, name, made_ms, used_ms, .. } = row;
        Some(Self { id, role, name, made_ms, used_ms })
    }
}

/// Why a passphrase could not be set or compared.
#[derive(Debug, thiserror::Error)]
pub(crate) enum AccessError {
    /// The records said no.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Not enough memory, or no random numbers.
    #[error("a passphrase could not be hashed: {0}")]
    Hash(argon2::password_hash::Error),
    /// The server is stopping.
    #[error("the server is stopping")]
    Stopping,
}

/// Who may do what in one server.
#[derive(Debug)]
pub(crate) struct Access {
    store: Store,
    cookie_id: String,
    code_lasts_min: AtomicI64,
    guesses: Guesses,
    hashing: Semaphore,
}

impl Access {
    /// Reads what belongs to this data directory.
    pub(crate) async fn open(store: Store, now_ms: i64) -> Result<Self, StoreError> {
        let new_cookie_id = &new_token()[..8];
        let settings = store.access_settings(new_cookie_id, CODE_LASTS_MIN).await?;
        // What has ended since the last rehearsal goes.
        store.sign_ins(SIGN_IN_LASTS, now_ms).await?;
        Ok(Self {
            store,
            cookie_id: settings.cookie_id,
            code_lasts_min: AtomicI64::new(settings.code_lasts_min),
            guesses: Guesses::new(Instant::now()),
            hashing: Semaphore::new(HASHES_AT_ONCE),
        })
    }

    /// Tells this server's cookies from those of another on the same computer.
    pub(crate) fn cookie_id(&self) -> &str {
        &self.cookie_id
    }

    pub(crate) fn guesses(&self) -> &Guesses {
        &self.guesses
    }

    /// How long a join code lasts, kept for the next rehearsal as well.
    pub(crate) async fn set_code_lasts(&self, lasts_min: i64) -> Result<(), StoreError> {
        self.code_lasts_min.store(lasts_min, Ordering::Relaxed);
        self.store.set_code_lasts(lasts_min).await
    }

    /// How long a join code lasts, min.
    pub(crate) fn code_lasts_min(&self) -> i64 {
        self.code_lasts_min.load(Ordering::Relaxed)
    }

    pub(crate) async fn has_passphrase(&self) -> Result<bool, StoreError> {
        Ok(self.store.passphrase_hash().await?.is_some())
    }

    /// Whether this is the conductor's passphrase; never where none is set.
    pub(crate) async fn is_passphrase(&self, given: String) -> Result<bool, AccessError> {
        let Some(kept) = self.store.passphrase_hash().await? else { return Ok(false) };
        self.compute(move || passphrase::is_right(&given, &kept)).await
    }

    /// Sets a passphrase that has been checked, and ends every sign-in; with a link only if it is good, which it is not
    /// any more afterwards. Gives back whether it was.
    pub(crate) async fn set_passphrase(
        &self,
        new: String,
        link: Option<&str>,
        now_ms: i64,
    ) -> Result<bool, AccessError> {
        let hash = self.compute(move || hash(&new)).await?.map_err(AccessError::Hash)?;
        let link_sha256 = link.map(token_sha256);
        Ok(self.store.set_passphrase(&hash, link_sha256.as_deref(), now_ms).await?)
    }

    /// Makes a link; its token is nowhere else.
    pub(crate) async fn new_link(&self, kind: LinkKind, now_ms: i64) -> Result<String, StoreError> {
        new_link(&self.store, kind, now_ms).await
    }

    /// Whether a link is good. Looking at it does not use it up: programs that preview links look at them as well.
    pub(crate) async fn has_link(
        &self,
        token: &str,
        kind: LinkKind,
        now_ms: i64,
    ) -> Result<bool, StoreError> {
        self.store.has_link(&token_sha256(token), kind.name(), now_ms).await
    }

    /// Uses an invitation up; whether it was good.
    pub(crate) async fn use_invitation(&self, token: &str, now_ms: i64) -> Result<bool, StoreError> {
        self.store.use_link(&token_sha256(token), LinkKind::Assistant.name(), now_ms).await
    }

    /// When each invitation that waits ends.
    pub(crate) async fn invitations(&self, now_ms: i64) -> Result<Vec<i64>, StoreError> {
        self.store.link_ends(LinkKind::Assistant.name(), now_ms).await
    }

    pub(crate) async fn withdraw_invitations(&self) -> Result<(), StoreError> {
        self.store.withdraw_links(LinkKind::Assistant.name()).await
    }

    /// Signs somebody in; gives back the new token.
    pub(crate) async fn sign_in(&self, role: Role, name: &str, now_ms: i64) -> Result<String, StoreError> {
        let token = new_token();
        self.store.add_sign_in(&token_sha256(&token), role.name(), name, now_ms).await?;
        Ok(token)
    }

    /// Whose token this is, if the sign-in has not ended; its use is noted.
    pub(crate) async fn who(&self, token: &str, now_ms: i64) -> Result<Option<SignIn>, StoreError> {
        let row = self.store.sign_in(&token_sha256(token), SIGN_IN_LASTS, now_ms).await?;
        Ok(row.and_then(SignIn::from_row))
    }

    /// Everybody who is signed in.
    pub(crate) async fn sign_ins(&self, now_ms: i64) -> Result<Vec<SignIn>, StoreError> {
        let rows = self.store.sign_ins(SIGN_IN_LASTS, now_ms).await?;
        Ok(rows.into_iter().filter_map(SignIn::from_row).collect())
    }

    pub(crate) async fn end_sign_in(&self, id: i64) -> Result<(), StoreError> {
        self.store.end_sign_in(id).await
    }

    pub(crate) async fn end_sign_ins(&self) -> Result<(), StoreError> {
        self.store.end_sign_ins().await
    }

    /// Runs something slow on a thread of its own, a few at a time.
    async fn compute<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, AccessError> {
        let _turn = self.hashing.acquire().await.map_err(|_| AccessError::Stopping)?;
        tokio::task::spawn_blocking(work).await.map_err(|_| AccessError::Stopping)
    }
}

/// Makes a link in these records, for a server that may be running or not.
pub(crate) async fn new_link(store: &Store, kind: LinkKind, now_ms: i64) -> Result<String, StoreError> {
    let token = new_token();
    store.add_link(&token_sha256(&token), kind.name(), now_ms + kind.lasts_ms(), now_ms).await?;
    Ok(token)
}
