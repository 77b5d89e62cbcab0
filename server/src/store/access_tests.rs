//! How long links and sign-ins last, on a real file.

use super::records::Store;
use super::{Lifetime, StoreError};

const HOUR_MS: i64 = 3_600_000;
const LIFETIME: Lifetime = Lifetime { unused_ms: 12 * HOUR_MS, whole_ms: 30 * 24 * HOUR_MS };

/// A store in a directory of its own, removed at the end.
async fn with_store(test: impl AsyncFnOnce(&Store) -> Result<(), StoreError>) {
    let dir = std::env::temp_dir().join(format!("windrow-access-{}", uuid::Uuid::now_v7()));
    std::fs::create_dir(&dir).unwrap();
    let store = Store::open(&dir).await.unwrap();
    let done = test(&store).await;
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
    done.unwrap();
}

#[tokio::test]
async fn a_sign_in_ends_twelve_hours_after_its_last_use() {
    with_store(async |store| {
        store.add_sign_in("a", "conductor", "", 0).await?;
        let at = async |hours: i64| store.sign_in("a", LIFETIME, hours * HOUR_MS).await;
        assert!(at(11).await?.is_some());
        assert!(at(22).await?.is_some(), "used at 11");
        assert!(at(34).await?.is_none(), "not used since 22");
        assert!(store.sign_in("b", LIFETIME, 0).await?.is_none());
        Ok(())
    })
    .await;
}

#[tokio::test]
async fn a_sign_in_ends_after_thirty_days_however_much_it_is_used() {
    with_store(async |store| {
        store.add_sign_in("a", "conductor", "", 0).await?;
        let last = 30 * 24 * HOUR_MS - 1;
        for now_ms in (0..=last).step_by(6 * HOUR_MS as usize).chain([last]) {
            assert!(store.sign_in("a", LIFETIME, now_ms).await?.is_some(), "{now_ms}");
        }
        assert!(store.sign_in("a", LIFETIME, last + 1).await?.is_none());
        assert!(store.sign_ins(LIFETIME, last + 1).await?.is_empty());
        Ok(())
    })
    .await;
}

#[tokio::test]
async fn a_link_is_good_once_and_until_it_ends() {
    with_store(async |store| {
        store.add_link("a", "assistant", HOUR_MS, 0).await?;
        assert!(store.has_link("a", "assistant", HOUR_MS - 1).await?);
        assert!(!store.has_link("a", "assistant", HOUR_MS).await?);
        assert!(!store.use_link("a", "passphrase", 0).await?, "of another kind");
        assert!(!store.use_link("a", "assistant", HOUR_MS).await?);
        assert!(store.use_link("a", "assistant", HOUR_MS - 1).await?);
        assert!(!store.use_link("a", "assistant", 0).await?);
        Ok(())
    })
    .await;
}

#[tokio::test]
async fn only_the_newest_link_sets_the_passphrase_and_whoever_was_signed_in_is_out() {
    with_store(async |store| {
        store.add_link("old", "passphrase", HOUR_MS, 0).await?;
        store.add_link("guest", "assistant", HOUR_MS, 0).await?;
        store.add_link("new", "passphrase", HOUR_MS, 0).await?;
        store.add_sign_in("a", "conductor", "", 0).await?;
        assert!(!store.set_passphrase("hash", Some("old"), 1).await?);
        assert_eq!(store.passphrase_hash().await?, None);
        assert!(store.sign_in("a", LIFETIME, 1).await?.is_some(), "nothing was changed");
        assert!(store.set_passphrase("hash", Some("new"), 1).await?);
        assert_eq!(store.passphrase_hash().await?.as_deref(), Some("hash"));
        assert!(store.sign_in("a", LIFETIME, 1).await?.is_none());
        assert!(!store.set_passphrase("other", Some("new"), 1).await?, "good once");
        assert!(store.has_link("guest", "assistant", 1).await?, "invitations stay");
        Ok(())
    })
    .await;
}
